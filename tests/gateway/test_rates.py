"""How often: never more than burst and rate allow, in one process and in several, whoever else asks."""

from __future__ import annotations

import multiprocessing
import os
import signal
from collections.abc import Sequence
from multiprocessing.queues import SimpleQueue
from multiprocessing.synchronize import Barrier

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.gateway.rates import Limit, Tally

LIMITS = st.builds(Limit, st.floats(0.1, 100), st.integers(1, 20))


def taken(tally: Tally, limit: Limit, moments_s: Sequence[float], who: str = "ann") -> list[float]:
    """The moments of those that were let through."""
    return [now_s for now_s in moments_s if tally.wait_s(who, limit, now_s) == 0]


class TestOneAsker:
    @given(LIMITS, st.lists(st.floats(0, 5), max_size=80))
    def test_gets_no_more_in_any_stretch_of_time_than_burst_and_rate_allow(
        self, limit: Limit, gaps_s: list[float]
    ) -> None:
        """The promise of the rule: in t seconds at most burst + rate·t."""
        moments_s = [sum(gaps_s[: place + 1]) for place in range(len(gaps_s))]

        through_s = taken(Tally(sets=1), limit, moments_s)

        for first, begun_s in enumerate(through_s):
            for last, ended_s in enumerate(through_s[first:], first):
                assert last - first + 1 <= limit.burst + limit.a_second * (ended_s - begun_s) + 1e-3

    @given(LIMITS, st.integers(1, 60))
    def test_who_keeps_to_the_rate_is_never_sent_away(self, limit: Limit, many: int) -> None:
        moments_s = [place / limit.a_second for place in range(many)]

        assert taken(Tally(sets=1), limit, moments_s) == moments_s

    @given(LIMITS, st.lists(st.floats(0, 0.1), min_size=1, max_size=60))
    def test_is_told_a_wait_after_which_it_is_let_through(self, limit: Limit, gaps_s: list[float]) -> None:
        tally, now_s = Tally(sets=1), 0.0
        for gap_s in gaps_s:
            now_s += gap_s
            wait_s = tally.wait_s("ann", limit, now_s)
            if wait_s:
                assert wait_s >= 1
                assert tally.wait_s("ann", limit, now_s + wait_s) == 0
                now_s += wait_s

    def test_who_was_sent_away_is_not_counted_for_it(self) -> None:
        tally, limit = Tally(sets=1), Limit(1, 1)
        assert [tally.wait_s("ann", limit, 0.0) for _ in range(50)] == [0] + [1] * 49

        assert tally.wait_s("ann", limit, 1.0) == 0


class TestOtherAskers:
    def test_are_counted_apart(self) -> None:
        tally, limit = Tally(), Limit(1, 3)

        assert [len(taken(tally, limit, [0.0] * 9, who)) for who in ("ann", "ben", "address ann")] == [3, 3, 3]

    @given(st.lists(st.integers(0, 30), min_size=1, max_size=200))
    def test_never_have_somebody_sent_away_who_asked_within_the_limit(self, order: list[int]) -> None:
        """Even with more askers than places: who was quiet for longest is forgotten, and nobody refused for it."""
        tally, limit, asked = Tally(sets=1), Limit(1, 5), dict.fromkeys(order, 0)
        for who in order:
            asked[who] += 1
            if asked[who] <= limit.burst:
                assert tally.wait_s(str(who), limit, 0.0) == 0

    def test_cannot_be_read_out_of_what_is_kept(self) -> None:
        tally = Tally(sets=1)
        tally.wait_s("number +99900112233", Limit(1, 5), 1.0)

        assert b"112233" not in tally._memory[:]


def _ask(tally: Tally, limit: Limit, times: int, begin: Barrier, told: SimpleQueue[int]) -> None:
    begin.wait()
    told.put(len(taken(tally, limit, [0.0] * times)))


def _ask_for_ever(tally: Tally, limit: Limit) -> None:
    while True:
        tally.wait_s("ann", limit, 0.0)


class TestSeveralProcesses:
    """Forked after the tally was made, as workers are."""

    def test_count_together_and_lose_none(self) -> None:
        context = multiprocessing.get_context("fork")
        tally, limit, told, begin = Tally(), Limit(1, 20_000), context.SimpleQueue(), context.Barrier(4)
        workers = [context.Process(target=_ask, args=(tally, limit, 10_000, begin, told)) for _ in range(4)]
        for worker in workers:
            worker.start()
        counts = [told.get() for _ in workers]
        for worker in workers:
            worker.join()

        print(f"four processes, 10,000 requests each, let through: {counts}")
        assert sum(counts) == 20_000

    def test_are_held_up_by_none_that_is_killed_while_it_counts(self) -> None:
        context = multiprocessing.get_context("fork")
        tally, limit = Tally(sets=1), Limit(1e6, 1)
        for turn in range(20):
            worker = context.Process(target=_ask_for_ever, args=(tally, limit))
            worker.start()
            for moment in range(200):
                tally.wait_s("ann", limit, moment / 100)
            assert worker.pid is not None
            os.kill(worker.pid, signal.SIGKILL)
            worker.join()

            assert tally.wait_s(f"ben {turn}", limit, 100.0 + turn) == 0


@pytest.mark.parametrize("burst", [1, 60])
def test_after_a_rest_all_of_the_burst_is_there_again(burst: int) -> None:
    tally, limit = Tally(), Limit(1, burst)
    taken(tally, limit, [0.0] * (burst + 5))

    assert len(taken(tally, limit, [float(burst)] * (burst + 5))) == burst
