"""One more crop, by two data files and nothing else: every answer follows its figures."""

from __future__ import annotations

import pytest

from advisor.agronomy.bounds import buy_list_bounds
from advisor.agronomy.buylist import Advice, Lot, Origin, buy_list
from advisor.agronomy.crop import read_crop
from advisor.agronomy.germination import Method, SeedTest
from advisor.agronomy.land_plans import placement, seed_for_next_season, strip_plan
from advisor.agronomy.masses import SeedQuality
from advisor.agronomy.programme_file import read_programme
from advisor.agronomy.replicates import Replicate, replicated_test
from advisor.agronomy.strips import Edges
from advisor.agronomy.units import ACRE_M2, FIGURE_UNITS
from tests.agronomy.conftest import HOME

CROP = """
key = "hill_pea"
thousand_seed_weight = { value = 400, unit = "g", source = "field-judgement", mark = "judgement" }
emergence = { value = 0.70, unit = "1", source = "field-judgement", mark = "judgement" }
bed_emergence = { value = 0.90, unit = "1", source = "field-judgement", mark = "judgement" }
good_over = { value = 75, unit = "percent", source = "field-judgement", mark = "judgement" }
poor_under = { value = 55, unit = "percent", source = "field-judgement", mark = "judgement" }
refuse_under = { value = 40, unit = "percent", source = "field-judgement", mark = "judgement" }
firm_from = { value = 40, unit = "seeds", source = "field-judgement", mark = "judgement" }
least = { value = 10, unit = "seeds", source = "field-judgement", mark = "judgement" }
most = { value = 400, unit = "seeds", source = "field-judgement", mark = "judgement" }
seeds_per_hole_max = { value = 3, unit = "seeds", source = "field-judgement", mark = "judgement" }

[sowing]
row = { value = 80, unit = "cm", source = "field-judgement", mark = "judgement" }
hole = { value = 20, unit = "cm", source = "field-judgement", mark = "judgement" }
plants = { value = 1, unit = "1", source = "field-judgement", mark = "judgement" }
depth_low = { value = 5, unit = "cm", source = "field-judgement", mark = "judgement" }
depth_high = { value = 7, unit = "cm", source = "field-judgement", mark = "judgement" }

[shell]
kernels = { value = 0.5, unit = "1", source = "field-judgement", mark = "judgement" }
"""

GROWN = """
[[crops]]
crop = "hill_pea"
label = "hill pea"
buying_rule = "rate"
rate = { value = 30, unit = "kg/acre", source = "field-judgement", mark = "judgement" }
rate_germination = { value = 0.75, unit = "1", source = "field-judgement", mark = "judgement" }
stand = { value = 12.5, unit = "plants/m2", source = "field-judgement", mark = "judgement" }
spill = { value = 0.0, unit = "1", source = "field-judgement", mark = "judgement" }
sorting_loss = { value = 0.2, unit = "1", source = "field-judgement", mark = "judgement" }
keep_back_germination = { value = 0.55, unit = "1", source = "field-judgement", mark = "judgement" }
sown_per_day = { value = 0.5, unit = "acre/day", source = "field-judgement", mark = "judgement" }

[[crops.spacings]]
row = { value = 80, unit = "cm", source = "field-judgement", mark = "judgement" }
hole = { value = 10, unit = "cm", source = "field-judgement", mark = "judgement" }

[[seeds]]
key = "s-hill"
crop = "hill_pea"
label = "hill pea seed"
germination = { value = 0.8, unit = "1", source = "field-judgement", mark = "judgement" }
purity = { value = 0.98, unit = "1", source = "field-judgement", mark = "judgement" }
packs = [{ size_g = 2000, price = "300" }]

[[inoculants]]
key = "i-hill"
crop = "hill_pea"
label = "hill inoculant"
dose = { value = 8, unit = "g/kg", source = "field-judgement", mark = "judgement" }
water = { value = 3, unit = "ml/kg", source = "field-judgement", mark = "judgement" }
opened_life = { value = 2, unit = "day", source = "field-judgement", mark = "judgement" }
packs = [{ size_g = 100, price = "90" }]
"""


@pytest.fixture(scope="module")
def pea(sources):
    return read_crop(CROP, sources)


@pytest.fixture(scope="module")
def grown(pea, crops, sources):
    text = (HOME / "programmes/ulami.toml").read_text("utf-8") + GROWN
    return read_programme(text, (*crops, pea), sources)


def test_the_buy_list_follows_its_rate_pack_dose_and_days(grown, pea):
    bought = buy_list(grown, pea, ACRE_M2, Lot(Origin.BOUGHT))

    assert bought.seed_kg == pytest.approx(30)
    assert bought.inoculant_g == pytest.approx(240)
    assert bought.water_ml == pytest.approx(90)
    assert bought.sowing_days == 2
    assert bought.total == 15 * 300 + 3 * 90


def test_the_target_stand_follows_its_seed_size_and_emergence(grown, pea, crops):
    mass = buy_list(grown, pea, ACRE_M2, Lot(Origin.SAVED, SeedTest(80, 100))).seed_kg_by_population

    seeds = 12.5 * ACRE_M2 / (0.8 * 0.7)
    assert mass == pytest.approx(seeds * 400 / 1e6, rel=0.1)
    assert mass >= seeds * 400 / 1e6 * (1 - 1e-9)


@pytest.mark.parametrize(
    ("grew", "advice"),
    [
        (76, Advice.USE_OWN),
        (75, Advice.SOW_MORE),
        (55, Advice.SOW_MORE),
        (54, Advice.FIND_OTHER),
    ],
)
def test_the_verdict_on_its_seed_follows_its_own_edges(grown, pea, grew, advice):
    assert buy_list(grown, pea, ACRE_M2, Lot(Origin.SAVED, SeedTest(grew, 100))).advice is advice


def test_a_test_in_replicates_counts_for_it_as_for_any_crop(grown, pea):
    found = replicated_test([Replicate(80, 100), Replicate(78, 100)], Method.PAPER)

    assert not found.test_again
    assert buy_list(grown, pea, ACRE_M2, Lot(Origin.SAVED, found.test)).advice is Advice.USE_OWN


def test_the_largest_numbers_of_its_list_are_known(grown, pea):
    bounds = buy_list_bounds(grown, pea)

    assert bounds.seed_kg >= buy_list(grown, pea, grown.plot_high_m2, Lot(Origin.BOUGHT)).seed_kg


def test_seed_to_keep_is_counted_in_the_shell(grown, pea):
    kept = seed_for_next_season(grown, pea, ACRE_M2)

    assert kept.in_shell_kg == pytest.approx(2 * kept.keep_kg)


def test_it_stands_in_strips_beside_a_partner_of_the_programme(grown, pea, crops):
    partner = next(crop for crop in crops if crop.key == grown.land.partners[0].crop)

    plan = strip_plan(grown, pea, partner, 40, 30, Edges.ONE_EACH, SeedQuality(0.8, Method.PAPER, 1))

    assert plan.field.repeats == int(40 / (4 * 0.8 + 2 * 0.75))
    assert plan.seed_kg == pytest.approx(plan.field.first_m2 * 30 * FIGURE_UNITS["kg/acre"][1] / 10_000, rel=1e-6)


def test_its_depth_and_distance_are_said_in_what_the_hand_has(grown, pea):
    placed = placement(grown, pea, SeedQuality(0.8, Method.PAPER, 1), 0.75, most_off=0.1)

    assert (placed.depth.measure.key, placed.depth.count) == ("finger", 3)
    assert (placed.row.measure.key, placed.row.count) == ("span", 4)
    assert placed.seeds_per_metre == pytest.approx(12.5 * 0.8 / (0.8 * 0.7))


def test_its_figures_are_listed_with_their_sources(grown, pea):
    assert len(pea.figures) == CROP.count("mark = ")
    assert sum(place.startswith("crops[2]") for place, _ in grown.figures) >= 8
