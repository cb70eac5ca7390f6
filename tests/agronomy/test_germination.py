"""Germination tests: exact counts decide, the interval says how sure, and too few seeds give no answer."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import binomtest
from statsmodels.stats.proportion import proportion_confint

from advisor.agronomy.errors import CannotBe, OutOfRange
from advisor.agronomy.germination import (
    Band,
    Firmness,
    Method,
    SeedTest,
    band,
    firmness,
    mixed_germination,
    wilson_interval,
)

counts = st.integers(1, 400).flatmap(lambda sown: st.tuples(st.integers(0, sown), st.just(sown)))
germinations = st.floats(0, 1)


def test_more_seedlings_than_seeds_cannot_be():
    with pytest.raises(CannotBe, match="101 seedlings cannot come from 100 seeds: count the seedlings again"):
        SeedTest(101, 100, Method.PAPER)


@pytest.mark.parametrize(("grown", "sown"), [(-1, 100), (0, 0), (0, -5)])
def test_counts_below_what_can_be_counted_are_refused(grown, sown):
    with pytest.raises(OutOfRange):
        SeedTest(grown, sown)


@given(counts)
def test_the_interval_agrees_with_two_other_programs(count):
    grown, sown = count
    ours = wilson_interval(grown, sown)
    scipys = binomtest(grown, sown).proportion_ci(0.95, method="wilson")

    assert ours == pytest.approx((scipys.low, scipys.high), abs=1e-9)
    assert ours == pytest.approx(proportion_confint(grown, sown, 0.05, method="wilson"), abs=1e-9)


@given(counts)
def test_the_interval_holds_the_result_and_stays_a_fraction(count):
    low, high = wilson_interval(*count)

    assert 0 <= low <= count[0] / count[1] <= high <= 1


@pytest.mark.parametrize("sown", [1, 2, 3, 7, 49, 50, 99, 100, 399, 400, 12_345, 9_999_991])
def test_the_interval_of_none_and_of_all_ends_exactly_at_0_and_at_1(sown):
    assert wilson_interval(0, sown)[0] == 0
    assert wilson_interval(sown, sown)[1] == 1


@given(counts, st.integers(1, 20))
def test_the_band_follows_the_exact_fraction_whatever_the_number_of_seeds(count, times):
    grown, sown = count

    assert band(SeedTest(grown, sown), 80, 60) is band(SeedTest(grown * times, sown * times), 80, 60)


@pytest.mark.parametrize(
    ("grown", "sown", "expected"),
    [
        (81, 100, Band.GOOD), (80, 100, Band.MIDDLE), (60, 100, Band.MIDDLE), (59, 100, Band.POOR),
        (321, 400, Band.GOOD), (320, 400, Band.MIDDLE), (240, 400, Band.MIDDLE), (239, 400, Band.POOR),
        (41, 51, Band.GOOD), (40, 50, Band.MIDDLE), (30, 50, Band.MIDDLE), (31, 52, Band.POOR),
    ],
)  # fmt: skip
def test_both_edges_are_in_the_middle_band(grown, sown, expected):
    assert band(SeedTest(grown, sown), 80, 60) is expected


def test_a_percent_that_would_round_to_the_edge_is_judged_by_its_counts():
    # 319 of 399 is 79.95 %, 321 of 401 is 80.05 %: both would print as 80 %.
    assert band(SeedTest(319, 399), 80, 60) is Band.MIDDLE
    assert band(SeedTest(321, 401), 80, 60) is Band.GOOD


@pytest.mark.parametrize("edges", [(101, 60), (80, 81), (80, -1)])
def test_edges_out_of_order_are_refused(edges):
    with pytest.raises(OutOfRange, match="edge"):
        band(SeedTest(50, 100), *edges)


@pytest.mark.parametrize(
    ("sown", "expected"), [(20, Firmness.ROUGH), (49, Firmness.ROUGH), (50, Firmness.FIRM), (400, Firmness.FIRM)]
)
def test_under_50_seeds_the_result_is_rough(sown, expected):
    assert firmness(SeedTest(sown // 2, sown), 50, 20, 400) is expected


@pytest.mark.parametrize("sown", [1, 19, 401])
def test_under_20_seeds_there_is_no_answer_and_over_400_it_is_not_one_test(sown):
    with pytest.raises(OutOfRange, match=f"sown is {sown}, allowed is 20 to 400"):
        firmness(SeedTest(1, sown), 50, 20, 400)


lots = st.lists(st.tuples(st.floats(0.1, 1000), germinations), min_size=1, max_size=6)


@given(lots)
def test_a_mix_lies_between_its_worst_and_its_best_lot(mix):
    parts = [part for _, part in mix]

    assert min(parts) - 1e-12 <= mixed_germination(mix) <= max(parts) + 1e-12


def test_a_mix_counts_lots_by_their_mass_and_not_one_for_one():
    assert mixed_germination([(30, 0.9), (10, 0.5)]) == pytest.approx(0.8)


def test_a_mix_of_no_lots_is_refused():
    with pytest.raises(CannotBe, match="give at least one lot"):
        mixed_germination([])
