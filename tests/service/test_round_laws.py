"""Whatever happens in whatever order, a round tells nobody twice, nobody at night, nobody who said stop."""

from __future__ import annotations

from collections import Counter
from datetime import timedelta

import msgspec
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, rule, run_state_machine_as_test

from advisor.dialogue.talk import Agree, Keep, Start, Stop
from advisor.service.clock import unix_ms
from advisor.service.outgoing import Parcel
from advisor.service.ticking import LEASE_MS
from advisor.store.api import Change, RoundState, Settlement, StoreUnavailable, Terms
from advisor.store.memory import DictStore
from advisor.store.names import bucket_of
from advisor.store.recount import recount
from tests.service.campaigning import NIGHTS, SOWING, THREE, campaigns, settle, start
from tests.service.lived import figures_of
from tests.service.stage import NOW, StandingClock, grower_id, inbound, says, sms

NUMBERS = tuple(f"+9990066{place:05}" for place in range(4))
numbers = st.sampled_from(NUMBERS)


class Failing(DictStore):
    """A store that loses answers, before or after it has written."""

    def __init__(self) -> None:
        super().__init__()
        self.loses = ""

    def commit_all(self, changes: list[Change]) -> object:
        if self.loses == "before":
            raise StoreUnavailable("away")
        done = super().commit_all(changes)
        if self.loses == "after":
            raise StoreUnavailable("away")
        return done


class Rounds(RuleBasedStateMachine):
    """A round, growers who write, a clock that jumps, and processes that die."""

    @initialize()
    def begin(self) -> None:
        self.store, self.clock = Failing(), StandingClock(NOW - timedelta(hours=3))
        settle(self.store, NUMBERS, plot_sowing_day=(NOW.date() + timedelta(days=21)).isoformat())
        self.clock.at = NOW
        # of use for longer than from one pass of the planner to the next, so that steps are looked at again
        start(self.store, THREE.replace("good_for_hours = 6", "good_for_hours = 40"))
        self.told: Counter[tuple[str, str]] = Counter()
        self.silent: set[str] = set()
        self.messages = 0

    @rule(
        minutes=st.sampled_from([-60, 1, 60, 240, 400, 600]),
        loses=st.sampled_from(["", "", "before", "after"]),
        sends=st.sampled_from([True, True, False]),
    )
    def the_clock_jumps_and_processes_work(self, minutes: int, loses: str, sends: bool) -> None:
        self.clock.at += timedelta(minutes=minutes)
        self.store.loses = loses
        try:
            campaigns(self.store, self.clock).go_over()
        except StoreUnavailable:
            assert loses
        finally:
            self.store.loses = ""
        campaigns(self.store, self.clock).go_over()
        if sends:
            self._hand_over()

    @rule(minutes=st.sampled_from([30, 300, 700]))
    def a_quiet_day_goes_by(self, minutes: int) -> None:
        for _ in range(3):
            self.the_clock_jumps_and_processes_work(minutes, "", True)

    @rule(number=numbers)
    def one_takes_a_lease_and_dies(self, number: str) -> None:
        now_ms = unix_ms(self.clock.now())
        self.store.claim_due(bucket_of(grower_id(number)), "demo", now_ms, LEASE_MS, 100, 200)

    @rule(held=st.sampled_from([True, False, False]))
    def the_round_is_held_or_goes_on(self, held: bool) -> None:
        self.store.set_round("demo", RoundState.PAUSED if held else RoundState.RUNNING)

    @rule(number=numbers)
    def one_says_stop(self, number: str) -> None:
        self._says(number, Stop())
        self.silent.add(number)
        waiting = self.store._dues[bucket_of(grower_id(number)), "demo"]
        assert grower_id(number) not in waiting

    @rule(number=numbers)
    def one_wants_messages_again(self, number: str) -> None:
        self._says(number, Start(), Agree())
        self.silent.discard(number)

    @rule(number=numbers, days=st.integers(19, 24))
    def one_names_another_day(self, number: str, days: int) -> None:
        self._says(number, Keep(SOWING, (NOW.date() + timedelta(days=days)).isoformat()))

    def _hand_over(self) -> None:
        now = self.clock.now()
        quiet = not NIGHTS.may_send(now)
        terms = Terms(until_ms=0, again_ms=unix_ms(NIGHTS.next_allowed(now))) if quiet else Terms()
        for bucket in self.store.busy(unix_ms(now)).outbox:
            for claimed in self.store.claim(bucket, unix_ms(now), LEASE_MS, 50, terms, (2,)):
                parcel = msgspec.json.decode(claimed.body, type=Parcel)
                self.told[parcel.number, parcel.text] += 1
                assert parcel.number not in self.silent
                assert not quiet
                self.store.settle(bucket, [Settlement(claimed.oid, claimed.lane, "sent")], unix_ms(now))

    @invariant()
    def nobody_is_told_a_step_twice(self) -> None:
        assert all(times == 1 for times in self.told.values()), self.told

    @invariant()
    def each_is_due_once_at_most_and_the_figures_are_exact(self) -> None:
        assert self.store.standing("demo").waiting <= len(NUMBERS)
        assert recount(self.store, figures_of, ("v0", "v1", "v2")) == ()

    def _says(self, number: str, *effects: object) -> None:
        self.messages += 1
        message = sms("x", id=f"m{self.messages}", number=number, at=self.clock.now())
        inbound(self.store, says("", *effects), self.clock).take(message)


def test_a_round_keeps_its_promises_whatever_happens() -> None:
    run_state_machine_as_test(
        Rounds,
        settings=settings(
            max_examples=60,
            stateful_step_count=40,
            deadline=None,
            suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
        ),
    )
