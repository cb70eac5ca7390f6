"""The bounds of a buy list are what the worst and the best seed on the largest plot give, at every spacing."""

from __future__ import annotations

from dataclasses import replace

import pytest

from advisor.agronomy.bounds import buy_list_bounds
from advisor.agronomy.buylist import Choices, Lot, Origin, buy_list
from advisor.agronomy.germination import Method, SeedTest
from advisor.agronomy.limits import whole_up
from advisor.agronomy.packs import most_packs
from advisor.agronomy.programme import BuyingRule, Spacing

SPACINGS = (Spacing(0.6, 0.1), Spacing(0.6, 0.06))
BEST = Lot(Origin.SAVED, SeedTest(100, 100, Method.BED))


def grown(programme, crop, **changed):
    """The programme with one crop, of which some rules are others."""
    return replace(programme, crops=(replace(programme.plan(crop.key), spacings=SPACINGS, **changed),))


def worst(programme, crop, origin, spacing):
    lot = Lot(origin, SeedTest(crop.poor_under_percent, 100))
    return buy_list(programme, crop, programme.plot_high_m2, lot, Choices(spacing))


@pytest.mark.parametrize("rule", BuyingRule)
def test_masses_are_those_of_the_worst_seed_at_the_spacing_that_takes_most(programme, crop, rule):
    rules = grown(programme, crop, buying_rule=rule)
    lists = [worst(rules, crop, origin, spacing) for origin in Origin for spacing in (0, 1)]
    bounds = buy_list_bounds(rules, crop)

    assert bounds.seed_kg == max(found.seed_kg for found in lists)
    assert bounds.seed_kg_by_population == max(found.seed_kg_by_population for found in lists)
    assert bounds.grain_kg == max(found.grain_kg for found in lists if found.grain_kg is not None)
    bought_g = max(whole_up(found.seed_kg * 1000) for found in lists if found.seed_purchase is not None)
    assert bounds.seed_packs == most_packs(rules.seed(crop.key).packs, bought_g)
    assert len({found.seed_kg_by_population for found in lists}) > 2, "a spacing and a purity make a difference"


def test_the_largest_stand_is_the_target_and_one_step_of_a_mix(programme, crop):
    bounds = buy_list_bounds(grown(programme, crop, rate_kg_per_ha=40.0), crop)

    assert bounds.stand_per_m2 == pytest.approx(33.3 + 0.95 / 6 / 0.036)


def test_the_largest_stand_is_that_of_the_best_seed_where_the_rate_is_high(programme, crop):
    rules = grown(programme, crop, rate_kg_per_ha=80.0)
    best = buy_list(rules, crop, rules.plot_high_m2, BEST)

    assert buy_list_bounds(rules, crop).stand_per_m2 == best.stand_by_rate_per_m2
    assert best.stand_by_rate_per_m2 == pytest.approx(80 / 1.3 * 0.95)


def test_the_largest_stand_is_one_seed_in_every_hole_where_the_target_is_less(programme, crop):
    rules = grown(programme, crop, buying_rule=BuyingRule.POPULATION, rate_kg_per_ha=20.0, stand_per_m2=1.0)

    assert buy_list_bounds(rules, crop).stand_per_m2 == pytest.approx(0.95 / 0.036)
