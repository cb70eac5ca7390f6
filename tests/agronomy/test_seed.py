"""The two ways to a mass of seed, kept apart, and what a test in soil means for each."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.agronomy.errors import MissingFigure, OutOfRange
from advisor.agronomy.germination import Method
from advisor.agronomy.seed import (
    emergence_after,
    grain_for_seed_kg,
    implied_stand_per_m2,
    paper_germination,
    seed_mass_by_population_kg,
    seed_mass_by_rate_kg,
)
from advisor.agronomy.units import ACRE_M2

shares = st.floats(0.05, 1)
areas_m2 = st.floats(100, 1e6)
stands = st.floats(1, 500)
weights_g = st.floats(1, 500)
rates = st.floats(1, 200)
methods = st.sampled_from(Method)


@given(areas_m2, stands, weights_g, shares, shares, shares)
def test_the_stand_that_a_mass_implies_is_the_stand_it_was_computed_for(
    area_m2, stand, tsw_g, grown, emerged, pure
):
    seed_kg = seed_mass_by_population_kg(area_m2, stand, tsw_g, grown, emerged, pure)

    assert implied_stand_per_m2(seed_kg, area_m2, tsw_g, grown, emerged, pure) == pytest.approx(stand, rel=1e-12)


@given(areas_m2, stands, weights_g, shares, shares)
def test_worse_germination_never_means_less_seed_for_a_stand(area_m2, stand, tsw_g, one, other):
    worse, better = sorted((one, other))

    assert seed_mass_by_population_kg(area_m2, stand, tsw_g, worse, 0.85) >= seed_mass_by_population_kg(
        area_m2, stand, tsw_g, better, 0.85
    )


@given(areas_m2, rates, shares, shares, shares)
def test_worse_germination_never_means_less_seed_by_a_rate_and_better_never_less_than_the_rate(
    area_m2, rate, one, other, assumed
):
    worse, better = sorted((one, other))
    plain_kg = rate * area_m2 / 10_000

    assert seed_mass_by_rate_kg(area_m2, rate, worse, assumed) >= seed_mass_by_rate_kg(
        area_m2, rate, better, assumed
    )
    assert seed_mass_by_rate_kg(area_m2, rate, better, assumed) >= plain_kg
    assert seed_mass_by_rate_kg(area_m2, rate, 1.0, assumed) == pytest.approx(plain_kg, rel=1e-12)


@given(areas_m2, st.floats(1, 100), rates, shares)
def test_seed_scales_with_the_field(area_m2, times, rate, grown):
    assert seed_mass_by_rate_kg(area_m2 * times, rate, grown, 0.8) == pytest.approx(
        seed_mass_by_rate_kg(area_m2, rate, grown, 0.8) * times
    )


def test_a_rate_without_its_germination_is_refused():
    with pytest.raises(MissingFigure, match="give the germination that the handbook rate assumes"):
        seed_mass_by_rate_kg(ACRE_M2, 49.4, 0.85, None)


def test_the_two_ways_do_not_agree():
    by_rate_kg = 20.0
    by_stand_kg = seed_mass_by_population_kg(ACRE_M2, 100 / 3, 130, 0.85, 0.85)

    assert implied_stand_per_m2(by_rate_kg, ACRE_M2, 130, 0.85, 0.85) == pytest.approx(27.466, abs=1e-3)
    assert by_stand_kg == pytest.approx(24.272, abs=1e-3)


@pytest.mark.parametrize("value", [0, -0.1, 1.01, float("nan")])
@pytest.mark.parametrize("at", [3, 4, 5])
def test_a_share_outside_0_to_1_is_refused(at, value):
    inputs = [10_000, 33.3, 130, 0.85, 0.85, 1.0]
    inputs[at] = value

    with pytest.raises(OutOfRange, match="above 1e-9 to 1"):
        seed_mass_by_population_kg(*inputs)


@given(shares, shares, shares)
def test_a_result_on_paper_stands_for_itself(grown, one, other):
    emergence, bed_emergence = sorted((one, other))

    assert paper_germination(grown, Method.PAPER, emergence, bed_emergence) == pytest.approx(grown)


@given(shares, shares, shares)
def test_the_same_result_in_soil_is_never_worth_less_than_on_paper(grown, one, other):
    emergence, bed_emergence = sorted((one, other))

    assert grown - 1e-12 <= paper_germination(grown, Method.BED, emergence, bed_emergence) <= 1


@given(st.floats(0.05, 0.85))
def test_a_result_in_soil_and_its_paper_footing_give_the_same_stand(grown):
    on_paper = paper_germination(grown, Method.BED, 0.85, 0.95)

    assert seed_mass_by_population_kg(1000, 30, 130, on_paper, 0.85) == pytest.approx(
        seed_mass_by_population_kg(1000, 30, 130, grown, emergence_after(Method.BED, 0.85, 0.95))
    )


def test_soil_that_loses_more_than_paper_is_refused():
    with pytest.raises(OutOfRange, match="bed emergence"):
        emergence_after(Method.BED, 0.85, 0.80)


@given(st.floats(0.1, 1e4), st.floats(0, 0.9))
def test_the_grain_loses_exactly_what_sorting_takes(seed_kg, loss):
    assert grain_for_seed_kg(seed_kg, loss) * (1 - loss) == pytest.approx(seed_kg)


@pytest.mark.parametrize("loss", [-0.01, 1.0, float("nan")])
def test_a_sorting_loss_that_leaves_nothing_is_refused(loss):
    with pytest.raises(OutOfRange, match="sorting loss"):
        grain_for_seed_kg(10, loss)
