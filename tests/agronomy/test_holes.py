"""Seeds for each hole and the mass of seed come from one number."""

from __future__ import annotations

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from advisor.agronomy.errors import OutOfRange
from advisor.agronomy.holes import HolePlan, hole_plan_for_mass, hole_plan_for_stand, seed_mass_by_plan_kg
from advisor.agronomy.seed import stand_per_m2

rows_m = st.floats(0.2, 1.0)
holes_m = st.floats(0.03, 0.5)
shares = st.floats(0.3, 1)


@given(st.floats(5, 60), rows_m, holes_m, shares, shares)
def test_a_plan_for_a_stand_reaches_it_with_less_than_a_quarter_seed_to_spare(
    stand, row_m, hole_m, grown, emerged
):
    plan = hole_plan_for_stand(stand, row_m, hole_m, grown, emerged, most=4)
    needed = stand * row_m * hole_m / (grown * emerged)

    assert plan.capped == (needed > 4 + 1e-9)
    assert plan.capped or needed - 1e-6 <= plan.mean <= max(1, needed + 0.25 + 1e-6)


@given(st.floats(5, 60), rows_m, holes_m, shares, shares)
def test_worse_germination_never_means_fewer_seeds_a_hole(stand, row_m, hole_m, one, other):
    worse, better = sorted((one, other))

    assert (
        hole_plan_for_stand(stand, row_m, hole_m, worse, 0.85, most=4).mean
        >= hole_plan_for_stand(stand, row_m, hole_m, better, 0.85, most=4).mean
    )


@given(st.floats(1, 500), st.floats(200, 50_000), rows_m, holes_m, st.floats(0.9, 1))
def test_a_plan_for_a_mass_never_takes_more_seed_than_there_is(seed_kg, area_m2, row_m, hole_m, purity):
    mean = seed_kg * purity * 1e6 / 130 / (area_m2 * stand_per_m2(1, row_m, hole_m))
    assume(mean >= 1)
    plan = hole_plan_for_mass(seed_kg, area_m2, row_m, hole_m, 130, purity, most=4)

    assert seed_mass_by_plan_kg(plan, area_m2, 130, purity, spill=0) <= seed_kg * (1 + 1e-6)
    assert plan.capped or plan.mean > mean - 0.25 - 1e-6


@given(st.floats(0, 0.2), st.integers(1, 4))
def test_a_plan_for_the_mass_of_a_plan_is_that_plan(spill, seeds):
    plan = HolePlan(0.6, 0.1, seeds, 0, seeds)
    mass_kg = seed_mass_by_plan_kg(plan, 5000, 130, purity=0.98, spill=spill)

    assert hole_plan_for_mass(mass_kg / (1 + spill), 5000, 0.6, 0.1, 130, 0.98, most=4) == plan


@pytest.mark.parametrize(
    ("mean", "said"),
    [
        (2.0, (2, 0, 2)), (2.2, (2, 5, 3)), (2.25, (2, 4, 3)), (2.3, (2, 3, 3)), (2.4, (2, 2, 3)),
        (2.6, (3, 3, 2)), (2.7, (3, 4, 2)), (2.8, (3, 5, 2)), (2.9, (3, 0, 3)), (0.4, (1, 0, 1)),
    ],
)  # fmt: skip
def test_the_mix_is_said_as_so_many_and_every_so_manieth_another(mean, said):
    plan = hole_plan_for_stand(mean / 0.06, 0.6, 0.1, 1, 1, most=4)

    assert (plan.seeds, plan.every, plan.then) == said


def test_a_target_beyond_the_most_seeds_a_hole_is_cut_and_says_so():
    plan = hole_plan_for_stand(33.3, 0.75, 0.25, 0.6, 0.85, most=4)

    assert (plan.seeds, plan.every, plan.capped) == (4, 0, True)


def test_a_mass_for_less_than_a_seed_a_hole_is_refused():
    with pytest.raises(OutOfRange, match="seeds for a hole"):
        hole_plan_for_mass(1, 10_000, 0.6, 0.1, 130, 1.0, most=4)


@pytest.mark.parametrize(("mean", "capped"), [(4.0, False), (4.15, False), (4.17, True), (9.0, True)])
def test_seed_is_left_over_once_the_next_mix_would_be_reached(mean, capped):
    seed_kg = mean * 10_000 / 0.06 * 130e-6

    assert hole_plan_for_mass(seed_kg, 10_000, 0.6, 0.1, 130, 1.0, most=4) == HolePlan(0.6, 0.1, 4, 0, 4, capped)


def test_spilt_seed_comes_on_top_of_the_holes():
    plan = HolePlan(0.6, 0.1, 2, 3, 3)

    assert seed_mass_by_plan_kg(plan, 10_000, 130, 1.0, spill=0.02) == pytest.approx(
        10_000 / 0.06 * (7 / 3) * 0.00013 * 1.02
    )
