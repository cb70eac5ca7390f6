"""The bench still runs, on few requests; its figures mean nothing here, but what is compared must be alike."""

import pytest

from advisor.loading import load_book
from tests.bench.doors import at_the_door
from tests.bench.memory import taken_by_growers
from tests.bench.needs import table_s
from tests.bench.played import played
from tests.bench.rounds import measured, rounds_table
from tests.bench.seasons import first_plan_s, plan_us
from tests.bench.sending import sending
from tests.bench.shapes import shapes
from tests.bench.tables import memory_table, redis_table, webhook_table
from tests.bench.talks import TALKS
from tests.bench.webhook import Compared, Setting, compare, compare_signed, figures_of


@pytest.fixture(scope="module")
def compared() -> Compared:
    """One round of fifty requests a client that count; with everysec, Redis may put off what it appends."""
    return compare(rounds=1, settings=(Setting("always", 50),), warm=13)[0]


class TestBothSides:
    def test_write_the_same_with_the_same_commands(self, compared: Compared) -> None:
        ours, bare = figures_of(compared.ours), figures_of(compared.bare)
        written = ours.keys() & {"set", "del", "xadd", "hincrby", "zadd", "zrem", "sadd", "srem"}

        assert {"set", "xadd", "hincrby"} <= written
        assert {name: ours[name] for name in written} == pytest.approx({name: bare[name] for name in written})
        assert bare["bytes appended"] == pytest.approx(ours["bytes appended"], rel=0.002)

    def test_make_two_trips_a_request(self, compared: Compared) -> None:
        ours, bare = figures_of(compared.ours), figures_of(compared.bare)

        assert (bare["mget"], bare["evalsha"]) == pytest.approx((1, 1))
        assert ours["mget"] == pytest.approx(1)
        # the rounds of the service call a script too, once a second for each bucket
        assert ours["evalsha"] >= 1

    def test_are_shown_in_a_table(self, compared: Compared) -> None:
        assert "requests a second" in webhook_table(compared)
        assert "evalsha" in redis_table(compared)


def test_a_signed_service_is_compared_with_an_open_one() -> None:
    """Any answer but 200 would have ended it, so each request of the one side was signed."""
    (found,) = compare_signed(rounds=1, settings=(Setting("always", 50),), warm=13)

    assert "| signed |" in webhook_table(found, ("signed", "open"))
    ours, other = figures_of(found.ours), figures_of(found.bare)
    # none of the checks at the door asks the store
    assert (ours["mget"], ours["set"]) == pytest.approx((other["mget"], other["set"]))


def test_what_is_asked_at_the_door_is_measured() -> None:
    found = at_the_door(turns=20)

    assert len(found) == 3
    assert all(us > 0 for _, us in found)


def test_conversations_lead_to_different_answers() -> None:
    found, texts = shapes()

    assert len(found) == sum(map(len, TALKS))
    assert texts > 40


def test_growers_take_more_memory_while_they_talk() -> None:
    ended, talking = taken_by_growers(12)

    assert "history" in memory_table(ended, talking)
    bytes_of = [next(row.bytes for row in rows if row.what == "record and session") for rows in (ended, talking)]
    assert 100 < bytes_of[0] < bytes_of[1]


def test_a_table_of_needs_has_rows_for_villages_and_weeks() -> None:
    seconds, rows = table_s(growers=200)

    assert seconds > 0
    assert 100 < rows <= 400


def test_seasons_are_planned_with_and_without_a_purse() -> None:
    assert plan_us(purse=False, plans=20) > 0
    assert plan_us(purse=True, plans=20) > 0
    assert first_plan_s(processes=1) > 0


def test_a_season_takes_the_messages_that_bare_steps_take() -> None:
    season = played(load_book(), growers=10, days=40)

    assert season.messages > 30
    assert 0 < season.ratio < 1


def test_rounds_are_planned_whole_and_paused_within_the_second_that_is_promised() -> None:
    found = measured(growers=2000, turns=1)

    assert found.pause_s < 1
    assert 100 < found.idle_bytes < 1000
    assert found.due_bytes < 300
    assert "planning, µs a grower" in rounds_table(found)


def test_a_sender_and_bare_redis_hand_over_the_same() -> None:
    rows = sending(messages=300, turns=1)

    assert [name.partition(",")[0] for name, *_ in rows] == ["bare Redis", "a sender", "a sender", "a sender"]
