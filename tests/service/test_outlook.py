"""What a planner remembers of growers: never another answer than a fresh look would give."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta

from hypothesis import given
from hypothesis import strategies as st
from msgspec import structs

from advisor.campaign.deciding import Running, next_at
from advisor.campaign.reading import read_round
from advisor.records.grower import Grower
from advisor.service import outlook
from advisor.service.outlook import Outlook
from advisor.service.planning import AHEAD
from advisor.service.stored import Stored, glance, to_bytes
from advisor.store.api import Valued
from tests.service.campaigning import NIGHTS, SOWING, THREE
from tests.service.stage import NOW

FRESH = {"lot.test": timedelta(days=30), SOWING: timedelta(days=60), "grower.village": None}
RUNNING = Running(replace(read_round(THREE, ("en", "sw")), key="demo"), NOW, NIGHTS)
GROWERS = ("07aa112233445566", "07aa112233445567")

days = st.integers(-50, 50).map(lambda count: NOW + timedelta(days=count))
moments = st.integers(-100 * 24 * 3600, 200 * 24 * 3600).map(lambda seconds: NOW + timedelta(seconds=seconds))


def value(told: datetime, sows: int, *, tested: bool, stopped: bool, passed: tuple[str, ...]) -> bytes:
    record = Grower("+99900112233", agreed=NOW).knows(
        SOWING, (NOW.date() + timedelta(days=sows)).isoformat(), told
    )
    if tested:
        record = record.knows("lot.test", (45, 50), told)
    if passed:
        record = record.passes("demo", passed)
    kept = to_bytes(Stored(structs.replace(record, stopped=NOW if stopped else None)))
    assert kept is not None
    return kept


values = st.builds(
    value,
    days,
    st.integers(0, 60),
    tested=st.booleans(),
    stopped=st.booleans(),
    passed=st.sampled_from(((), ("one",), ("one", "two"))),
)


def fresh_look(kept: bytes, now: datetime) -> datetime | None:
    known = glance(kept, "demo", now.timestamp(), FRESH)
    return None if known is None else next_at(RUNNING, known.facts, known.passed, now)


@given(st.lists(st.tuples(st.sampled_from(GROWERS), st.integers(0, 2), moments), max_size=30), st.data())
def test_it_is_what_a_fresh_look_says_whatever_the_clock_does(looks, data) -> None:
    kept = [data.draw(values) for _ in range(3)]
    remembered = Outlook(RUNNING, FRESH, AHEAD)

    for grower, place, now in looks:
        # the same bytes in another object, as they come from a server
        read = bytes(bytearray(kept[place]))
        fresh = fresh_look(kept[place], now)
        if not remembered.wakeful([Valued(grower, 1, read)], now):
            assert fresh is None or fresh - now > AHEAD
        assert remembered.next_at(grower, read, now) == fresh


def test_a_fact_that_grows_old_changes_what_is_to_come() -> None:
    kept = value(NOW, 25, tested=True, stopped=False, passed=("one", "two"))
    remembered = Outlook(RUNNING, {"lot.test": timedelta(days=2)}, AHEAD)

    assert remembered.next_at(GROWERS[0], kept, NOW + timedelta(days=1)) is None
    assert remembered.next_at(GROWERS[0], kept, NOW + timedelta(days=2)) is None
    then = remembered.next_at(GROWERS[0], kept, NOW + timedelta(days=2, seconds=1))
    assert then is not None
    assert then.date() == NOW.date() + timedelta(days=25 - 21)


def test_it_reads_no_value_twice_that_has_not_changed(monkeypatch) -> None:
    read: list[bytes] = []
    monkeypatch.setattr(outlook, "glance", lambda kept, *rest: (read.append(kept), glance(kept, *rest))[1])
    kept = value(NOW, 25, tested=False, stopped=False, passed=())
    other = value(NOW, 26, tested=False, stopped=False, passed=())
    remembered = Outlook(RUNNING, {}, AHEAD)

    for one in (kept, kept, other, other, kept):
        remembered.next_at(GROWERS[0], one, NOW)

    assert read == [kept, other, kept]


def test_it_remembers_no_more_growers_than_it_may(monkeypatch) -> None:
    monkeypatch.setattr(outlook, "MOST", 1)
    kept = value(NOW, 25, tested=False, stopped=False, passed=())
    remembered = Outlook(RUNNING, {}, AHEAD)

    for grower in GROWERS:
        assert remembered.next_at(grower, kept, NOW) == fresh_look(kept, NOW)

    assert list(remembered._seen) == [GROWERS[0]]


def test_who_has_nothing_to_come_within_two_days_is_left_to_rest() -> None:
    kept, other = (value(NOW, sows, tested=False, stopped=False, passed=("one", "two")) for sows in (25, 22))
    remembered = Outlook(RUNNING, {}, AHEAD)
    then = remembered.next_at(GROWERS[0], kept, NOW)
    assert then is not None

    def wakes(kept: bytes, now: datetime) -> bool:
        return bool(remembered.wakeful([Valued(GROWERS[0], 1, kept)], now))

    assert not wakes(kept, NOW)
    assert not wakes(kept, then - AHEAD - timedelta(seconds=1))
    assert wakes(kept, then - AHEAD)
    assert wakes(kept, NOW - timedelta(seconds=1))
    assert wakes(other, NOW)


def test_it_lets_no_more_growers_rest_than_it_may(monkeypatch) -> None:
    monkeypatch.setattr(outlook, "MOST_AT_REST", 1)
    kept = [value(NOW, sows, tested=False, stopped=False, passed=("one", "two")) for sows in (25, 26)]
    remembered = Outlook(RUNNING, {}, AHEAD)
    for grower, one in zip(GROWERS, kept, strict=True):
        remembered.next_at(grower, one, NOW)

    woken = remembered.wakeful([Valued(grower, 1, one) for grower, one in zip(GROWERS, kept, strict=True)], NOW)
    assert [one.grower for one in woken] == [GROWERS[1]]


def test_it_lets_go_of_a_value_that_a_grower_has_no_more() -> None:
    kept, other = (value(NOW, sows, tested=False, stopped=False, passed=("one", "two")) for sows in (25, 26))
    remembered = Outlook(RUNNING, {}, AHEAD)

    for one in (kept, other):
        remembered.next_at(GROWERS[0], one, NOW)

    assert list(remembered._rests) == [hash(other)]
