"""A store that is away, contested or damaged: what is waited out, what is repeated, what is told to whom."""

from __future__ import annotations

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.service import contention
from advisor.service.breaker import REST_S, Breaker
from advisor.service.errors import Busy, Stumbled
from advisor.store.api import Change, Committed, Conflict, Reading, StoreDamaged, StoreUnavailable, Verdict
from advisor.store.memory import DictStore
from advisor.store.names import bucket_of
from tests.service.stage import (
    ANN,
    IDS,
    StandingClock,
    counting,
    echo,
    grower_id,
    inbound,
    sms,
    ussd,
)


class Contested(DictStore):
    """A store in which somebody else writes first, so many times."""

    def __init__(self, times: int) -> None:
        super().__init__()
        self.times = times

    def commit(self, change: Change) -> Verdict:
        if self.times:
            self.times -= 1
            return Conflict()
        return super().commit(change)


class Shaky(DictStore):
    """A store that is away, so many times; it may have written before it went."""

    def __init__(self, times: int, clock: StandingClock, *, takes_s: float = 0.0, writes: bool = False) -> None:
        super().__init__()
        self.times, self.clock, self.takes_s, self.writes = times, clock, takes_s, writes

    def commit(self, change: Change) -> Verdict:
        if not self.times:
            return super().commit(change)
        self.times -= 1
        if self.writes:
            assert isinstance(super().commit(change), Committed)
        self.clock.wait(self.takes_s)
        raise StoreUnavailable("away")


class TestWhenOthersWriteFirst:
    def test_it_reads_again_and_decides_again(self) -> None:
        step, taken = counting(echo)

        answer = inbound(Contested(4), step).take(ussd("2"))

        assert (answer.outcome, taken()) == ("moved", 5)

    def test_it_gives_up_after_a_second_and_asks_for_a_repeat(self) -> None:
        store, clock = Contested(10**9), StandingClock()

        with pytest.raises(Busy):
            inbound(store, echo, clock).take(ussd("2"))

        assert store.value(grower_id()) == (0, None)
        assert 0.8 < clock.passed_s <= contention.BUDGET_S

    @given(st.text(min_size=1), st.integers(1, 100))
    def test_each_pause_is_short_and_the_same_again_for_the_same_message(self, message: str, tries: int) -> None:
        pause_s = contention.pause_s(message, tries)

        assert 0 <= pause_s < contention.LONGEST_PAUSE_S
        assert pause_s == contention.pause_s(message, tries)

    def test_pauses_of_messages_of_one_moment_are_spread(self) -> None:
        assert len({round(contention.pause_s(f"m{number}", 5), 3) for number in range(100)}) > 40


class TestWhenTheStoreIsAway:
    def test_a_short_while_is_waited_out(self) -> None:
        clock = StandingClock()

        answer = inbound(Shaky(4, clock), echo, clock).take(ussd("2"))

        assert answer.outcome == "moved"

    def test_five_tries_are_all(self) -> None:
        clock = StandingClock()

        with pytest.raises(Busy) as refused:
            inbound(Shaky(5, clock), echo, clock).take(ussd("2"))
        assert refused.value.retry_after_s == 1

    @pytest.mark.parametrize("takes_s", [0.0, 0.05, 0.3, 0.6])
    def test_a_second_is_all(self, takes_s: float) -> None:
        clock = StandingClock()

        with pytest.raises(Busy):
            inbound(Shaky(99, clock, takes_s=takes_s), echo, clock).take(ussd("2"))
        assert clock.passed_s <= 1.0

    def test_others_are_told_at_once_that_it_is_and_one_probes_after_a_rest(self) -> None:
        clock, breaker = StandingClock(), Breaker()
        store = Shaky(10**9, clock, takes_s=0.3)
        use = inbound(store, echo, clock, breaker=breaker)
        with pytest.raises(Busy):
            use.take(ussd("1", id="m1"))
        gave_up_s = clock.passed_s

        for number in range(50):
            with pytest.raises(Busy):
                use.take(ussd("1", id=f"n{number}"))

        assert clock.passed_s == gave_up_s
        clock.wait(REST_S)
        store.times = 0
        assert [use.take(ussd("1", id=f"n{number}")).outcome for number in range(3)] == ["moved"] * 3

    def test_a_commit_whose_answer_was_lost_is_found_again(self) -> None:
        clock = StandingClock()
        store = Shaky(1, clock, writes=True)
        step, taken = counting(echo)

        answer = inbound(store, step, clock).take(ussd("2"))

        assert (answer.outcome, taken()) == ("repeated", 1)


class Damaged(DictStore):
    """A store with damaged keys, one for each thing that may be damaged."""

    def __init__(self, *what: str) -> None:
        super().__init__()
        self.what = what

    def read(self, number_hash: str, message: str) -> Reading:
        self._meet("value")
        return super().read(number_hash, message)

    def commit(self, change: Change) -> Verdict:
        self._meet("lane")
        return super().commit(change)

    def stumble(self, grower: str, message: str) -> int:
        self._meet("stumbles")
        return super().stumble(grower, message)

    def park(self, grower: str, message: str, at_ms: int) -> None:
        self._meet("parked")
        super().park(grower, message, at_ms)

    def _meet(self, what: str) -> None:
        if what in self.what:
            raise StoreDamaged(f"{{b07}}:{what}")


class TestADamagedKey:
    @pytest.mark.parametrize("what", ["value", "lane"])
    @pytest.mark.parametrize("make", [ussd, sms])
    def test_is_a_fault_like_any_other_and_named(self, make: object, what: str) -> None:
        store = Damaged(what)
        use = inbound(store, echo)
        for times in (1, 2):
            with pytest.raises(Stumbled) as stumbled:
                use.take(make("2"))
            assert stumbled.value.times == times

        answers = [use.take(make("2")) for _ in range(2)]

        assert [answer.outcome for answer in answers] == ["parked", "parked"]
        assert len({answer.body for answer in answers}) == 1
        assert [parked.message for parked in store.parked(bucket_of(grower_id()))] == [IDS.message(ANN, "m1")]
        assert use.damage.keys() == (f"{{b07}}:{what}",)

    def test_is_answered_try_later_on_ussd(self) -> None:
        use = inbound(Damaged("value", "stumbles", "parked"), echo)

        answer = use.take(ussd("2"))

        assert msgspec.json.decode(answer.body) == {"text": "Please try later (en)", "open": False}
        assert use.damage.keys() == ("{b07}:parked", "{b07}:stumbles", "{b07}:value")
