"""A purse and a field of a programme: the steps are bought from the same lists as everything else."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.agronomy.budget_figures import Per, budget_of
from advisor.agronomy.buylist import Lot, Origin, buy_list
from advisor.agronomy.errors import MissingFigure, OutOfRange
from advisor.agronomy.fertiliser_choice import choose_fertiliser
from advisor.agronomy.fertiliser_need import fertiliser_need
from advisor.agronomy.field_purse import field_purse
from advisor.agronomy.germination import SeedTest
from advisor.agronomy.money import worth
from advisor.agronomy.nutrients import P2O5
from advisor.agronomy.purse import Gone
from advisor.agronomy.season_money import season_cost
from advisor.agronomy.units import ACRE_M2
from tests.laws import examples

BOUGHT = Lot(Origin.BOUGHT)


def bought(programme, crop, area_m2, lot, purse):
    """The plan of a field in the valley."""
    return field_purse(programme, crop, budget_of(programme.budgets, crop.key, "valley"), area_m2, lot, purse)


def cost(programme, crop, area_m2, lot, p_part):
    """Seed, inoculant and fertiliser of a field, each from its own calculation."""
    need = fertiliser_need(programme.fertilising.need(crop.key, "valley"))
    less = replace(need, p2o5=P2O5(need.p2o5.kg_per_ha * p_part))
    fertiliser = choose_fertiliser(programme.fertilising.products, less, area_m2, programme.currency.decimals)
    return buy_list(programme, crop, area_m2, lot).total + fertiliser.cost


@examples(40)
@given(st.integers(1, 40), st.integers(0, 60_000).map(Decimal), st.sampled_from([None, 55, 70, 90]))
def test_every_step_costs_what_its_parts_cost_and_the_last_one_fits(programme, crop, tenths, purse, grown):
    area_m2 = tenths * ACRE_M2 / 10
    lot = BOUGHT if grown is None else Lot(Origin.SAVED, SeedTest(grown, 100))

    plan = bought(programme, crop, area_m2, lot, purse)

    for step in plan.steps:
        assert step.package.cost == cost(programme, crop, step.package.area_m2, lot, step.package.p_part)
        assert step.fits == (step.package.cost <= purse)
    usual = budget_of(programme.budgets, crop.key, "valley").harvest_middle
    assert plan.steps[0].package.harvest_kg == pytest.approx(usual * area_m2 / 10_000)
    assert plan.best is None or plan.best.cost <= purse
    if plan.chosen is not None and plan.best is not None:
        assert plan.best.margin >= plan.chosen.package.margin


@given(st.floats(0.6, 20), st.integers(0, 90_000).map(Decimal), st.sampled_from(["valley", "hills"]))
def test_the_best_buy_is_that_of_trying_every_part_with_every_part_of_its_phosphorus(
    demonstration, crop, acres, purse, zone
):
    """Each part at its own full price, without any bound; the margin as the season's money has it."""
    area_m2, programme = acres * ACRE_M2, demonstration
    budget = budget_of(programme.budgets, crop.key, zone)
    need = fertiliser_need(programme.fertilising.need(crop.key, zone))
    per_kg = sum(line.amount for line in budget.costs if line.per is Per.KG)
    tried = [Decimal(0)]
    for count in range(1, 11):
        part_m2 = area_m2 * count / 10
        seed = buy_list(programme, crop, part_m2, BOUGHT).total
        for p_part, left in ((1.0, 1.0), (0.5, budget.part_half_p), (0.0, budget.part_no_p)):
            less = replace(need, p2o5=P2O5(need.p2o5.kg_per_ha * p_part))
            inputs = seed + choose_fertiliser(programme.fertilising.products, less, part_m2, 0).cost
            if inputs <= purse:
                harvest_kg = budget.harvest_middle * left * part_m2 / 10_000
                before = season_cost(budget, part_m2, inputs).before_harvest
                tried.append(worth(harvest_kg, budget.grain_price - per_kg) - before)

    best = field_purse(programme, crop, budget, area_m2, BOUGHT, purse).best

    assert float(best.margin if best else 0) == pytest.approx(float(max(tried)), abs=0.05)


def test_seed_is_never_thinner_and_inoculant_never_left_out(programme, crop):
    """Whatever is given up, what is sown costs at least its whole seed and inoculant."""
    for purse in range(0, 20_001, 500):
        for step in bought(programme, crop, 2.5 * ACRE_M2, BOUGHT, Decimal(purse)).steps:
            assert step.package.cost >= buy_list(programme, crop, step.package.area_m2, BOUGHT).total


def test_a_field_is_not_cut_into_plots_that_are_too_small_to_advise_on(programme, crop):
    small = programme.plot_low_m2 * 3.5

    plan = bought(programme, crop, small, BOUGHT, Decimal(1200))

    assert all(step.package.area_m2 >= programme.plot_low_m2 for step in plan.steps)
    assert bought(programme, crop, programme.plot_low_m2, BOUGHT, Decimal(0)).chosen is None


def test_area_goes_last(programme, crop):
    gone = [
        bought(programme, crop, 2.5 * ACRE_M2, BOUGHT, Decimal(purse)).steps[-1].gone
        for purse in (40_000, 5_550, 5_549)
    ]

    assert gone == [Gone.NOTHING, Gone.ALL_P, Gone.AREA]


def test_what_cannot_be_or_is_not_known_is_refused(programme, crop):
    for area_m2, purse in (
        (programme.plot_low_m2 * 0.99, 100),
        (programme.plot_high_m2 * 1.01, 100),
        (ACRE_M2, -1),
        (ACRE_M2, programme.purse_max + 1),
        (ACRE_M2, "NaN"),
    ):
        with pytest.raises(OutOfRange):
            bought(programme, crop, area_m2, BOUGHT, Decimal(purse))
    with pytest.raises(MissingFigure) as refused:
        bought(replace(programme, fertilising=None), crop, ACRE_M2, BOUGHT, Decimal(1))
    assert (refused.value.name, refused.value.instead) == (
        "fertilising",
        "add a [fertilising] table to the programme file",
    )
    coast = replace(budget_of(programme.budgets, crop.key, "valley"), zone="coast")
    with pytest.raises(MissingFigure, match="coast"):
        field_purse(programme, crop, coast, ACRE_M2, BOUGHT, Decimal(1))
