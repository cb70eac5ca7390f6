"""Rounds from their start to their end: planned, made and told, with clocks that do as they like."""

from __future__ import annotations

from collections import Counter
from datetime import timedelta

import pytest
from msgspec.structs import replace

from advisor.dialogue.talk import Erase, Keep, Stop
from advisor.records.grower import Grower
from advisor.service.clock import unix_ms
from advisor.service.damage import Damage
from advisor.service.erasing import Erasing
from advisor.service.planning import PASS_MS, Planner
from advisor.service.stored import Stored, from_bytes, to_bytes
from advisor.service.ticking import LEASE_MS, ROOM
from advisor.store.api import (
    BUCKETS,
    Change,
    Committed,
    Conflict,
    RoundState,
    Store,
    StoreUnavailable,
)
from advisor.store.memory import DictStore
from advisor.store.names import bucket_of
from advisor.store.recount import recount
from tests.service.campaigning import (
    ANN,
    NUMBERS,
    THREE,
    all_of,
    campaigns,
    leave,
    record,
    settle,
    start,
    texts,
)
from tests.service.lived import figures_of
from tests.service.stage import BANDS, HOUR, IDS, NOW, StandingClock, grower_id, inbound, says, sms


class TestARound:
    def test_reaches_everybody_once_a_step_and_is_counted(self, store: Store) -> None:
        settle(store)
        start(store)
        clock = StandingClock()
        told: Counter[tuple[str, str]] = Counter()

        for _ in range(8):
            all_of(campaigns(store, clock))
            told += leave(store, clock)
            clock.wait(20 * 60)

        assert told == {(number, text): 1 for number in NUMBERS for text in ("One", "Two")}
        standing = store.standing("demo")
        assert (standing.waiting, standing.planned) == (0, BUCKETS)
        assert standing.figures == {"made": 2 * len(NUMBERS)}
        assert record(store).passed_in("demo") == ("one", "two")
        assert recount(store, figures_of, ("v0", "v1", "v2")) == ()

    def test_speaks_the_language_that_each_has_chosen(self, store: Store) -> None:
        settle(store, (ANN,), grower_language="sw")
        settle(store, (NUMBERS[1],), grower_language="fr")
        start(store)
        clock = StandingClock()

        all_of(campaigns(store, clock))

        assert leave(store, clock) == {(ANN, "Moja"): 1, (NUMBERS[1], "One"): 1}

    def test_leaves_out_who_has_not_agreed_and_who_said_stop(self, store: Store) -> None:
        settle(store, NUMBERS[:2])
        version, value = store.value(grower_id(ANN))
        stopped = replace(from_bytes(value).record, stopped=NOW)
        store.commit(Change(grower_id(ANN), version, to_bytes(Stored(stopped)), unix_ms(NOW)))
        store.commit(Change(grower_id(NUMBERS[3]), 0, b'{"v":1}', unix_ms(NOW), lapses_ms=unix_ms(NOW + HOUR)))
        start(store)
        clock = StandingClock()

        all_of(campaigns(store, clock))

        assert leave(store, clock) == {(NUMBERS[1], "One"): 1}
        assert store.standing("demo").waiting == 1

    def test_follows_each_growers_own_date(self, store: Store) -> None:
        soon, later = ((NOW.date() + timedelta(days=days)).isoformat() for days in (22, 40))
        settle(store, (ANN,), plot_sowing_day=soon)
        settle(store, (NUMBERS[1],), plot_sowing_day=soon, lot_test=(45, 50))
        settle(store, (NUMBERS[2],), plot_sowing_day=later)
        start(store, 'key = "demo"\n[[steps]]\nkey = "ask"' + THREE.partition('key = "ask"')[2])
        clock = StandingClock()

        all_of(campaigns(store, clock))

        assert leave(store, clock) == {}
        assert store.standing("demo").waiting == 1, "only who is due within two days"
        clock.wait(22 * 3600)
        all_of(campaigns(store, clock))
        assert leave(store, clock) == {(ANN, "Is it still that day?"): 1}

    def test_finds_who_agreed_after_it_was_planned(self, store: Store) -> None:
        start(store, THREE.replace("after_minutes = 60", "after_minutes = 600"))
        clock = StandingClock()
        all_of(campaigns(store, clock))
        settle(store, (ANN,))

        all_of(campaigns(store, clock))
        assert leave(store, clock) == {}
        clock.wait(PASS_MS / 1000)
        all_of(campaigns(store, clock))

        assert texts(leave(store, clock)) == ["One"]

    def test_makes_no_more_messages_than_can_leave_soon(self, store: Store) -> None:
        """Texts are made shortly before they leave: a list of who is due is short, a text is not."""
        mine = [f"{grower_id(ANN)[:2]}{place:014x}" for place in range(ROOM + 20)]
        for grower in mine:
            ann = to_bytes(Stored(Grower(ANN, agreed=NOW)))
            store.commit(Change(grower, 0, ann, unix_ms(NOW)))
        start(store)
        clock = StandingClock()

        all_of(campaigns(store, clock))

        assert store.backlog(unix_ms(NOW)).outbox == ROOM
        assert store.standing("demo").waiting == ROOM + 20
        assert sum(leave(store, clock).values()) == ROOM
        all_of(campaigns(store, clock))
        assert sum(leave(store, clock).values()) == 20


class TestHolding:
    def test_a_paused_round_stands_still_and_goes_on_where_it_was(self, store: Store) -> None:
        settle(store)
        start(store)
        clock = StandingClock()
        all_of(campaigns(store, clock))
        told = leave(store, clock)
        store.set_round("demo", RoundState.PAUSED)
        clock.wait(2 * 3600)

        assert campaigns(store, clock).go_over() == 0
        assert leave(store, clock) == {}
        store.set_round("demo", RoundState.RUNNING)
        all_of(campaigns(store, clock))
        told += leave(store, clock)

        assert told == {(number, text): 1 for number in NUMBERS for text in ("One", "Two")}

    def test_what_became_too_late_meanwhile_is_passed_over(self, store: Store) -> None:
        settle(store, (ANN,))
        start(store)
        clock = StandingClock()
        all_of(campaigns(store, clock))
        leave(store, clock)
        store.set_round("demo", RoundState.PAUSED)
        clock.wait(8 * 3600)
        store.set_round("demo", RoundState.RUNNING)
        all_of(campaigns(store, clock))

        assert leave(store, clock) == {}
        assert store.standing("demo").figures == {"made": 1, "late": 1}

    def test_a_stopped_round_makes_nothing_more(self, store: Store) -> None:
        settle(store)
        start(store)
        clock = StandingClock()
        store.set_round("demo", RoundState.STOPPED)

        assert campaigns(store, clock).go_over() == 0
        assert leave(store, clock) == {}


class TestWhoLeaves:
    @pytest.mark.parametrize("effect", [Stop(), Erase()])
    def test_is_off_every_list_with_that_very_message(self, store: Store, effect: Stop | Erase) -> None:
        settle(store, NUMBERS[:2])
        start(store, at=NOW + HOUR)
        clock = StandingClock()
        all_of(campaigns(store, clock))
        assert store.standing("demo").waiting == 2

        inbound(store, says("Done.", effect)).take(sms("stop", number=ANN))

        assert store.standing("demo").waiting == 1
        leave(store, clock)
        clock.wait(3 * 3600)
        all_of(campaigns(store, clock))
        assert set(leave(store, clock)) == {(NUMBERS[1], "Two")}

    def test_at_the_operators_word_is_off_every_list(self, store: Store) -> None:
        settle(store, NUMBERS[:2])
        start(store, at=NOW + HOUR)
        clock = StandingClock()
        all_of(campaigns(store, clock))

        Erasing(store, clock, BANDS).at_the_operators_word(ANN, IDS)

        assert store.standing("demo").waiting == 1

    def test_between_a_look_and_its_commit_is_sent_nothing(
        self, store: Store, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        settle(store, (ANN,))
        start(store)
        clock = StandingClock()
        commit_all = type(store).commit_all

        def stopped_just_then(self: Store, changes: list[Change]) -> object:
            inbound(store, says("", Stop())).take(sms("stop", number=ANN))
            return commit_all(self, changes)

        monkeypatch.setattr(type(store), "commit_all", stopped_just_then)
        campaigns(store, clock).go_over()
        campaigns(store, clock).go_over()

        assert leave(store, clock) == {}
        assert store.standing("demo").waiting == 0
        assert record(store).passed_in("demo") == ()


class TestTrouble:
    def test_a_process_that_dies_before_its_commit_is_followed_by_another(self, store: Store) -> None:
        settle(store, (ANN,))
        start(store)
        clock = StandingClock()
        all_planned = campaigns(store, clock)
        all_planned._plan({running.round.key: running for running in all_planned._running()})
        store.claim_due(bucket_of(grower_id(ANN)), "demo", unix_ms(NOW), LEASE_MS, 100, ROOM)

        all_of(campaigns(store, clock))
        assert leave(store, clock) == {}
        clock.wait(LEASE_MS / 1000)
        all_of(campaigns(store, clock))

        assert texts(leave(store, clock)) == ["One"]

    def test_an_answer_that_was_lost_repeats_nothing(self, store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
        settle(store)
        start(store)
        clock = StandingClock()
        commit_all, lost = type(store).commit_all, []

        def loses_each_first_answer(self: Store, changes: list[Change]) -> object:
            verdicts = commit_all(self, changes)
            lost.append(len(changes))
            if len(lost) % 2:
                raise StoreUnavailable("away")
            return verdicts

        monkeypatch.setattr(type(store), "commit_all", loses_each_first_answer)
        told: Counter[tuple[str, str]] = Counter()
        for _ in range(200):
            try:
                campaigns(store, clock).go_over()
            except StoreUnavailable:
                clock.wait(LEASE_MS / 1000)
            told += leave(store, clock)
            clock.wait(60)

        assert told == {(number, text): 1 for number in NUMBERS for text in ("One", "Two")}

    def test_two_who_decide_on_the_same_grower_send_one_message(self) -> None:
        class Twice(DictStore):
            def commit_all(self, changes):
                first = super().commit_all(changes)
                second = super().commit_all(changes)
                assert all(isinstance(verdict, Committed) for verdict in first)
                assert all(isinstance(verdict, Conflict) for verdict in second)
                return second

        store = Twice()
        settle(store)
        start(store)
        clock = StandingClock()

        all_of(campaigns(store, clock))

        assert set(leave(store, clock).values()) == {1}
        assert store.standing("demo").figures == {"made": len(NUMBERS)}

    def test_a_grower_who_writes_meanwhile_loses_nothing(self, store: Store) -> None:
        settle(store, (ANN,))
        start(store)
        clock = StandingClock()
        inbound(store, says("Noted.", Keep("plot.area", 4000.0))).take(sms("1 acre", number=ANN))
        all_of(campaigns(store, clock))
        inbound(store, says("Noted.", Keep("plot.area", 8000.0))).take(sms("2 acre", id="m2", number=ANN))

        assert record(store).fact("plot.area").value == 8000.0
        assert record(store).passed_in("demo") == ("one",)

    def test_a_value_that_cannot_be_read_holds_no_other_back(self) -> None:
        store = DictStore()
        settle(store, NUMBERS[:2])
        start(store)
        clock = StandingClock()
        round_ = campaigns(store, clock)
        round_._plan({running.round.key: running for running in round_._running()})
        version, _ = store.value(grower_id(ANN))
        store.commit(Change(grower_id(ANN), version, b'{"v":9}', unix_ms(NOW)))

        all_of(round_)

        assert set(leave(store, clock)) == {(NUMBERS[1], "One")}

    def test_a_round_in_languages_that_the_programme_lacks_is_left_alone(self) -> None:
        store = DictStore()
        settle(store, (ANN,))
        start(store, THREE.replace(", sw =", ", fr ="))
        start(store, key="sound")

        all_of(campaigns(store, StandingClock()))

        assert texts(leave(store, StandingClock())) == ["One"]


def test_a_planner_that_is_interrupted_leaves_nobody_out(monkeypatch: pytest.MonkeyPatch) -> None:
    """Steps of three, and each go ends after one: the next goes on behind it."""
    monkeypatch.setattr("advisor.service.planning.STEP", 3)
    store, clock = DictStore(), StandingClock()
    bucket = bucket_of(grower_id(ANN))
    for place in range(20):
        ann = to_bytes(Stored(Grower(ANN, agreed=NOW)))
        store.commit(Change(f"{bucket:02x}{place:014x}", 0, ann, unix_ms(NOW)))
    start(store, at=NOW + HOUR)
    (running,) = campaigns(store, clock)._running()

    looked_at = [Planner(store, clock, Damage(clock)).plan(running, bucket, until_s=0.0) for _ in range(9)]

    assert looked_at == [3] * 6 + [2, 0, 0]
    assert store.standing("demo").waiting == 20
