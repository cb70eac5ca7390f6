"""Results by village: counts against a plain count, intervals against two libraries."""

from __future__ import annotations

from collections import Counter
from datetime import UTC, date, datetime
from statistics import median

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import binomtest
from statsmodels.stats.proportion import proportion_confint

from advisor.agronomy.germination import SeedTest
from advisor.campaign.seen import Seen, SeenLot
from advisor.campaign.village_results import Results
from advisor.loading import load_figures

CROP = next(crop for crop in load_figures()[1] if crop.key == "soybean")
DAY = datetime(2027, 3, 1, tzinfo=UTC)


def counted(grown: int, sown: int = 100) -> SeenLot:
    return SeenLot("saved", SeedTest(grown, sown), DAY)


lots = st.one_of(
    st.just(SeenLot()),
    st.sampled_from(["bought", "saved"]).map(SeenLot),
    st.just(SeenLot("saved", begun=date(2027, 2, 20))),
    st.integers(20, 400).flatmap(lambda sown: st.integers(0, sown).map(lambda grown: counted(grown, sown))),
)
growers = st.builds(
    Seen,
    st.uuids().map(str),
    st.sampled_from(["", "v1", "v2"]),
    lots=st.lists(lots, min_size=1, max_size=3).map(tuple),
)


def added(*seen: Seen) -> Results:
    results = Results(CROP)
    for each in seen:
        results.add(each)
    return results


@given(st.lists(growers, max_size=12))
def test_counts_are_those_of_counting_each_grower_and_lot(seen):
    found = {result.village: result for result in added(*seen).by_village()}

    assert found.keys() == {each.village for each in seen}
    for village, result in found.items():
        here = [each for each in seen if each.village == village]
        sacks = [lot for each in here for lot in each.lots if lot != SeenLot()]
        tests = [lot.test for lot in sacks if lot.test is not None]
        # the edges of common practice, by whole counts: over 80 of a hundred good, under 60 poor
        bands = Counter(
            "good"
            if 100 * test.grown > 80 * test.sown
            else "poor"
            if 100 * test.grown < 60 * test.sown
            else "weak"
            for test in tests
        )
        assert (result.good, result.weak, result.poor) == (bands["good"], bands["weak"], bands["poor"])
        assert (result.growers, result.lots, result.tested) == (len(here), len(sacks), len(tests))
        assert result.growers_tested == sum(any(lot.test for lot in each.lots) for each in here)
        assert result.running == sum(lot.begun is not None for lot in sacks)
        assert result.untested == len(sacks) - len(tests) - result.running
        assert (result.grown, result.sown) == (sum(t.grown for t in tests), sum(t.sown for t in tests))
        parts = [test.grown / test.sown for test in tests]
        assert result.middle == (median(parts) if parts else None)
        assert (result.lowest, result.highest) == (min(parts, default=None), max(parts, default=None))


@given(st.lists(growers, max_size=12))
def test_all_villages_together_are_the_sum_of_each(seen):
    results = added(*seen)

    total = results.of_all()

    for count in ("growers", "growers_tested", "lots", "tested", "good", "weak", "poor", "running", "untested"):
        assert getattr(total, count) == sum(getattr(each, count) for each in results.by_village())


@given(st.lists(st.integers(20, 400).flatmap(lambda n: st.tuples(st.integers(0, n), st.just(n))), min_size=1))
def test_the_interval_is_that_of_scipy_and_statsmodels_for_the_summed_counts(counts):
    (result,) = added(
        *(Seen(str(at), "v1", lots=(counted(*each),)) for at, each in enumerate(counts))
    ).by_village()

    grown, sown = sum(grown for grown, _ in counts), sum(sown for _, sown in counts)
    theirs = binomtest(grown, sown).proportion_ci(0.95, method="wilson")
    assert result.interval == pytest.approx((theirs.low, theirs.high), abs=1e-9)
    assert result.interval == pytest.approx(proportion_confint(grown, sown, 0.05, "wilson"), abs=1e-9)


def test_a_published_interval_comes_out_of_two_lots():
    """R. G. Newcombe, Statistics in Medicine 17 (1998) 857: 81 of 263 is 0.2553 to 0.3662."""
    (result,) = added(
        Seen("a", "v1", lots=(counted(60, 200),)), Seen("b", "v1", lots=(counted(21, 63),))
    ).by_village()

    assert [round(limit, 4) for limit in result.interval] == [0.2553, 0.3662]


def test_a_village_without_a_test_has_counts_and_no_germination():
    (result,) = added(Seen("a", "v1", lots=(SeenLot("bought"),))).by_village()

    assert (result.growers, result.untested, result.pooled, result.interval) == (1, 1, None, None)


def test_a_lot_that_a_round_gave_up_counts_as_closed_and_untested_and_runs_no_more():
    given_up = SeenLot("saved", begun=date(2027, 2, 1), closed="no_count", closed_at=DAY)

    (result,) = added(Seen("a", "v1", lots=(given_up,)), Seen("b", "v1", lots=(counted(90),))).by_village()

    assert (result.lots, result.tested, result.running, result.untested, result.closed) == (2, 1, 0, 1, 1)
