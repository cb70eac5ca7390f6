"""The bench's own arithmetic, against the reference library where it has the same definition."""

import statistics

import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy import percentile as reference

from tests.bench.load import Done
from tests.bench.sums import percentile, ratio_of_rounds, spread
from tests.bench.webhook import turn_of

TIMES = st.lists(st.floats(0, 1e6), min_size=1, max_size=300)


class TestAPercentile:
    @given(TIMES, st.integers(1, 100))
    def test_is_the_nearest_rank_of_numpy(self, values: list[float], percent: int) -> None:
        """numpy's method ``inverted_cdf`` is the nearest-rank method (Hyndman and Fan 1996, type 1)."""
        assert percentile(values, percent) == pytest.approx(reference(values, percent, method="inverted_cdf"))

    def test_of_nothing_is_refused(self) -> None:
        with pytest.raises(ValueError, match="needs values"):
            percentile([], 99)


class TestARatioOfRounds:
    def test_is_the_middle_one_of_the_rounds(self) -> None:
        assert ratio_of_rounds([1, 2, 30], [2, 2, 10]) == 1
        assert spread([1, 2, 30], [2, 2, 10]) == (0.5, 3)

    @given(st.lists(st.floats(1, 1e3), min_size=1, max_size=9), st.floats(0.1, 10))
    def test_does_not_see_a_machine_that_slows_both(self, rounds: list[float], slower: float) -> None:
        assert ratio_of_rounds([slower * 0.6 * value for value in rounds], rounds) == pytest.approx(0.6 * slower)

    def test_needs_both_sides_of_every_round(self) -> None:
        with pytest.raises(ValueError):
            ratio_of_rounds([1, 2], [1])


class TestATurn:
    #: The first client asks from 0 s to 4 s, the second from 1 s to 3 s; both a request a second.
    DONE = (
        Done(0.0, (1.0, 2.0, 3.0, 4.0), (1.0, 1.0, 1.0, 1.0), 0.1),
        Done(1.0, (2.0, 3.0), (1.0, 1.0), 0.1),
    )

    def test_counts_what_was_answered_while_all_were_asking(self) -> None:
        turn = turn_of(self.DONE, 6, 0.6, {"cpu_s": 0.3, "mget": 6.0})

        assert turn.a_second == 2
        assert len(turn.took_s) == 4

    def test_divides_by_all_that_was_asked(self) -> None:
        turn = turn_of(self.DONE, 6, 0.6, {"cpu_s": 0.3, "mget": 6.0})

        assert turn.workers_us == pytest.approx(1e5)
        assert turn.redis_us == pytest.approx(5e4)
        assert turn.clients_us == pytest.approx(0.2 / 6 * 1e6)
        assert turn.figures == {"mget": 1.0}
        assert statistics.fmean(turn.took_s) == 1
