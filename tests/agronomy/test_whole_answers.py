"""Whole answers about land and seed for the shipped soybean, each number reckoned by hand beside it."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest

from advisor.agronomy.buylist import Advice, BuyList, Choices, Lot, Origin, Settled, buy_list
from advisor.agronomy.errors import MissingFigure, OutOfRange
from advisor.agronomy.germination import Method, SeedTest
from advisor.agronomy.holes import HolePlan
from advisor.agronomy.land_figures import CropLand
from advisor.agronomy.land_plans import (
    Placement,
    SeedToKeep,
    StripPlan,
    placement,
    seed_for_next_season,
    strip_plan,
)
from advisor.agronomy.masses import SeedMasses, SeedQuality, seed_masses
from advisor.agronomy.packs import Pack, Purchase
from advisor.agronomy.placing import Span
from advisor.agronomy.programme import BuyingRule, Spacing
from advisor.agronomy.row_plans import FieldStand, RowPlan, field_stand, row_plan, rows_between_young
from advisor.agronomy.rows import StringAndPegs
from advisor.agronomy.stand_check import RowCount, StandAdvice, StandCheck
from advisor.agronomy.strips import Edges, RowsBetween, StripField

BED = SeedQuality(0.8, Method.BED, 0.98)


@pytest.fixture(scope="module")
def by_key(crops):
    return {crop.key: crop for crop in crops}


@pytest.fixture(scope="module")
def main(demonstration, by_key):
    return by_key[demonstration.crops[0].crop]


def near(value):
    return pytest.approx(value, rel=1e-6)


def test_a_field_in_rows(demonstration, main):
    assert row_plan(demonstration, main, 31, 40.04, people=3, spacing=1) == RowPlan(
        rows=51,  # (31 - 2 x 0.3) / 0.6 = 50.67 gaps
        left_over_m=near(0.4),  # 30.4 - 50 x 0.6
        furrow_m=near(2042.04),  # 51 x 40.04
        holes=40_800,  # 51 x 800, since 40.04 / 0.05 = 800.8
        tools=StringAndPegs(near(41.04), 102),
        person_days=near(31 * 40.04 / (75 * 6)),
        days=1,
    )


def test_the_stand_of_a_field_with_gaps(demonstration, main):
    counts = [RowCount(24, 2), RowCount(10, 1)]

    assert field_stand(demonstration, main, 4000, counts, 10, BED) == FieldStand(
        StandCheck(
            near(34 / 3 / 0.6),
            near(34 / 3 / 0.6 / 33.3),
            near(33.3 - 34 / 3 / 0.6),
            StandAdvice.FILL_GAPS,
        ),
        near(4000 * (33.3 - 34 / 1.8) * 130e-6 / (0.8 * 0.95 * 0.98)),
    )


@pytest.mark.parametrize("spacing", [0, 1])
def test_rows_between_a_young_crop_are_as_thick_as_alone_at_each_spacing(demonstration, main, by_key, spacing):
    # Between rows 2 m apart that need 0.3 m on either side there is room for 1.4 / 0.6 = 2.33 gaps.
    assert rows_between_young(demonstration, main, by_key["maize"], 2.0, spacing) == RowsBetween(
        rows_per_gap=3,
        furrow_m_per_m2=1.5,
        stand_per_m2=near(1.5 * 33.3 * 0.6),
        sole_crop_stand_per_m2=near(33.3),
    )


def test_a_field_in_strips(demonstration, main, by_key):
    found = strip_plan(demonstration, main, by_key["sorghum"], 30, 40, Edges.SECOND, BED, 1)

    assert found == StripPlan(
        field=StripField(
            repeats=7,  # (30 - 2 x 0.75) / (4 x 0.6 + 2 x 0.75) = 7.3
            first_rows=28,
            second_rows=16,
            first_furrow_m=1120,
            second_furrow_m=640,
            first_m2=near(672),
            second_m2=near(480),
            unlike_neighbours=14,
            left_over_m=near(1.2),
        ),
        seed_kg=near(672 * 20 / 4046.8564224),  # 80 percent in soil are more than 80 on paper
        partner_seed_kg=near(640 / 0.2 * 3 * 30e-6),
        yield_part=near(1 - 14 * (1 - 0.8) / 28),
    )


def test_seed_to_keep_for_the_next_season(demonstration, main):
    seed_kg = 20 / 4046.8564224 * 4000 * 0.8 / 0.7

    for part, shell_kg in ((None, None), (0.7, near(seed_kg / 0.9 * 1.25 / 0.7))):
        crop = replace(main, land=replace(main.land, kernel_part=part))
        assert seed_for_next_season(demonstration, crop, 4000) == SeedToKeep(
            near(seed_kg), near(seed_kg / 0.9 * 1.25), shell_kg
        )


def test_where_a_seed_is_laid(demonstration, main):
    finger, hand, span = demonstration.land.measures

    assert placement(demonstration, main, BED, 0.75, most_off=0.2) == Placement(
        row_m=0.6,
        hole_m=0.1,
        depth_low_m=0.02,
        depth_high_m=0.05,
        row=Span(span, 3, near(0.6)),
        hole=Span(hand, 1, 0.1),
        depth=Span(finger, 2, 0.04),  # the middle is 3.5 cm
        seeds_per_metre=near(33.3 * 0.6 / (0.8 * 0.95)),
        seeds_in_ten_steps=near(33.3 * 0.6 / (0.8 * 0.95) * 7.5),
    )


def test_a_measure_that_is_off_by_more_than_allowed_is_none(demonstration, main):
    placed = placement(demonstration, main, BED, 0.75, most_off=0.1)

    assert (placed.row.count, placed.hole.count, placed.depth) == (3, 1, None)


def test_both_ways_to_a_mass(demonstration, main):
    by_rate_kg, seeds = 20 / 4046.8564224 * 4000 * 0.8 / 0.7, 4000 / 0.03
    plan = demonstration.plan(main.key)
    paper = SeedQuality(0.7, Method.PAPER, 1.0)

    for rule in BuyingRule:
        rate = rule is BuyingRule.RATE
        found = seed_masses(replace(plan, buying_rule=rule), main, plan.spacings[1], 4000, paper)
        rated = (near(by_rate_kg), near(by_rate_kg / 130e-6 * 0.7 * 0.85 / 4000))
        # 33.3 x 0.03 / 0.595 = 1.68 seeds, and the next mix above is 1.75.
        stood = (near(seeds * 1.75 * 130e-6 * 1.02), near(1.75 * 0.7 * 0.85 / 0.03))
        # 22.59 kg are 1.30 seeds, and the next mix below is 1.25.
        holes = HolePlan(0.6, 0.05, 1, 4, 2) if rate else HolePlan(0.6, 0.05, 2, 4, 1)
        assert found.kg == round(found.kg, 6), "to the milligram"
        assert found == SeedMasses(*(rated if rate else stood), *rated, *stood, holes)


def test_a_list_for_seed_of_ones_own_that_tests_in_the_middle(demonstration, main):
    lot, kg = Lot(Origin.SAVED, SeedTest(70, 100)), 20 / 4046.8564224 * 4000 * 0.8 / 0.7
    stand = near(kg / 130e-6 * 0.7 * 0.85 / 4000)
    found = buy_list(demonstration, main, 4000, lot, Choices(1, Decimal(500)))

    assert found == BuyList(
        area_m2=4000,
        advice=Advice.SOW_MORE,
        poor=None,
        germination=0.7,
        germination_tested=True,
        rough=False,
        seed_kg=near(kg),
        grain_kg=near(kg / 0.9),
        seed_product=None,
        seed_purchase=None,
        inoculant_product="i1",
        inoculant_g=near(5 * kg),
        water_ml=near(2 * kg),
        inoculant_purchase=Purchase(((Pack(250, Decimal(350)), 1),), Decimal(350), 137),
        sowing_days=1,
        total=Decimal(350),
        stand_per_m2=stand,
        seed_kg_by_rate=near(kg),
        stand_by_rate_per_m2=stand,
        seed_kg_by_population=near(30.94),
        stand_by_population_per_m2=near(1.75 * 0.7 * 0.85 / 0.03),
        holes=HolePlan(0.6, 0.05, 1, 4, 2),
        affordable_area_m2=None,
        cautions=found.cautions,
    )


def test_a_list_for_bought_seed(demonstration, main):
    kg = 20 / 4046.8564224 * 4000
    stand = near(kg * 0.98 / 130e-6 * 0.85 * 0.85 / 4000)
    found = buy_list(demonstration, main, 4000, Lot(Origin.BOUGHT))

    assert found == BuyList(
        area_m2=4000,
        advice=Advice.BUY_SEED,
        poor=None,
        germination=0.85,
        germination_tested=False,
        rough=False,
        seed_kg=near(kg),
        grain_kg=None,
        seed_product="s1",
        seed_purchase=Purchase(((Pack(5000, Decimal(575)), 4),), Decimal(2300), 231),
        inoculant_product="i1",
        inoculant_g=near(5 * kg),
        water_ml=near(2 * kg),
        inoculant_purchase=Purchase(((Pack(250, Decimal(350)), 1),), Decimal(350), 151),
        sowing_days=1,
        total=Decimal(2650),
        stand_per_m2=stand,
        seed_kg_by_rate=near(kg),
        stand_by_rate_per_m2=stand,
        # 33.3 x 0.06 / 0.7225 = 2.77 seeds, and the next mix above is 2.8.
        seed_kg_by_population=near(4000 / 0.06 * 2.8 * 130e-6 / 0.98 * 1.02),
        stand_by_population_per_m2=near(2.8 * 0.85 * 0.85 / 0.06),
        # 19.77 kg are 2.23 seeds, and the next mix below is 2.2.
        holes=HolePlan(0.6, 0.1, 2, 5, 3),
        affordable_area_m2=None,
        cautions=found.cautions,
    )


def test_a_list_for_seed_of_ones_own_that_nobody_tested(demonstration, main):
    kg = 20 / 4046.8564224 * 4000 * 0.8 / 0.6
    stand = near(kg / 130e-6 * 0.6 * 0.85 / 4000)
    found = buy_list(demonstration, main, 4000, Lot(Origin.SAVED))

    assert found == BuyList(
        area_m2=4000,
        advice=Advice.TEST_FIRST,
        poor=None,
        germination=0.6,
        germination_tested=False,
        rough=False,
        seed_kg=near(kg),
        grain_kg=near(kg / 0.9),
        seed_product=None,
        seed_purchase=None,
        inoculant_product="i1",
        inoculant_g=0,
        water_ml=0,
        inoculant_purchase=None,
        sowing_days=1,
        total=Decimal(0),
        stand_per_m2=stand,
        seed_kg_by_rate=near(kg),
        stand_by_rate_per_m2=stand,
        # 33.3 x 0.06 / 0.51 = 3.92 seeds, and the next mix above is 4.
        seed_kg_by_population=near(4000 / 0.06 * 4 * 130e-6 * 1.02),
        stand_by_population_per_m2=near(4 * 0.6 * 0.85 / 0.06),
        # 26.36 kg are 3.04 seeds, and the next mix below is 3.
        holes=HolePlan(0.6, 0.1, 3, 0, 3),
        affordable_area_m2=None,
        cautions=found.cautions,
    )


@pytest.mark.parametrize("area_m2", [1, 1e9])
def test_a_field_that_no_programme_has_is_refused_with_those_that_it_has(demonstration, main, area_m2):
    with pytest.raises(OutOfRange) as refused:
        buy_list(demonstration, main, area_m2, Lot(Origin.BOUGHT))

    error = refused.value
    assert (error.name, error.value, error.unit) == ("area", area_m2, "m2")
    assert (error.low, error.high) == (demonstration.plot_low_m2, demonstration.plot_high_m2)


@pytest.mark.parametrize("purse", ["-0.01", "100000000000", "NaN", "Infinity"])
def test_a_purse_that_nobody_has_is_refused_with_those_that_may_be(demonstration, main, purse):
    with pytest.raises(OutOfRange) as refused:
        buy_list(demonstration, main, 4000, Lot(Origin.BOUGHT), Choices(purse=Decimal(purse)))

    error = refused.value
    assert (error.name, str(error.value), error.low) == ("purse", purse, 0)
    assert (error.high, error.unit) == (demonstration.purse_max, demonstration.currency.symbol)


def test_no_money_at_all_is_a_purse(demonstration, main):
    assert (
        buy_list(demonstration, main, 4000, Lot(Origin.BOUGHT), Choices(purse=Decimal(0))).affordable_area_m2 == 0
    )


@pytest.mark.parametrize(
    ("grown", "advice"), [(10, Advice.FIND_OTHER), (20, Advice.SOW_MORE), (25, Advice.USE_OWN)]
)
def test_a_test_of_thirty_seeds_is_rough_whatever_it_advises(demonstration, main, grown, advice):
    found = buy_list(demonstration, main, 4000, Lot(Origin.SAVED, SeedTest(grown, 30)))

    assert (found.advice, found.rough) == (advice, True)


def test_without_a_spacing_the_usual_one_is_meant(demonstration, main, by_key):
    plan = replace(demonstration.plan(main.key), spacings=(Spacing(0.6, 0.1), Spacing(0.4, 0.1)))
    programme = replace(demonstration, crops=(plan,))

    for call in (
        lambda *spacing: Settled.of(programme, main, Lot(Origin.BOUGHT), *spacing),
        lambda *spacing: row_plan(programme, main, 30, 40, 2, *spacing),
        lambda *spacing: field_stand(programme, main, 4000, [RowCount(42, 3)], 10, BED, *spacing),
        lambda *spacing: rows_between_young(programme, main, by_key["maize"], 3, *spacing),
        lambda *spacing: strip_plan(programme, main, by_key["maize"], 30, 40, Edges.FIRST, BED, *spacing),
    ):
        assert call() == call(0) != call(1)


@pytest.mark.parametrize("spacing", [-1, 2])
def test_a_spacing_that_is_not_on_offer_is_refused_with_those_that_are(demonstration, main, by_key, spacing):
    maize = by_key["maize"]

    for call in (
        lambda: row_plan(demonstration, main, 30, 40, 2, spacing),
        lambda: field_stand(demonstration, main, 4000, [RowCount(24, 2)], 10, BED, spacing),
        lambda: rows_between_young(demonstration, main, maize, 2, spacing),
        lambda: strip_plan(demonstration, main, maize, 30, 40, Edges.FIRST, BED, spacing),
        lambda: buy_list(demonstration, main, 4000, Lot(Origin.BOUGHT), Choices(spacing)),
    ):
        with pytest.raises(OutOfRange) as refused:
            call()
        error = refused.value
        assert (error.name, error.value, error.low, error.high, error.unit) == ("spacing", spacing, 0, 1, "1")


def test_the_stand_of_a_field_of_no_size_is_refused(demonstration, main):
    with pytest.raises(OutOfRange, match=r"^area is 0, allowed is above 1e-9 to below 1e9 \(unit m2\)"):
        field_stand(demonstration, main, 0, [RowCount(24, 2)], 10, BED)


def test_what_the_files_leave_out_is_asked_for_by_name(demonstration, programme, main, by_key):
    silent, maize = replace(main, land=CropLand()), by_key["maize"]
    shadeless = replace(maize, land=replace(maize.land, edge_factor=None, clearance_m=None))

    for call, name, said in (
        (
            lambda: row_plan(programme, main, 30, 40, 2),
            "row_work",
            "add a [row_work] section to the programme file",
        ),
        (
            lambda: row_plan(replace(demonstration, inoculation=None), main, 30, 40, 2),
            "inoculation",
            "add an [inoculation] section to the programme file",
        ),
        (
            lambda: field_stand(programme, main, 4000, [RowCount(24, 2)], 10, BED),
            "stand_check",
            "add a [stand_check] section to the programme file",
        ),
        (
            lambda: rows_between_young(demonstration, main, shadeless, 2),
            "maize.young.clearance",
            "add a [young] section to its file",
        ),
        (
            lambda: strip_plan(demonstration, main, shadeless, 30, 40, Edges.FIRST, BED),
            "maize.shade.edge_factor",
            "add a [shade] section to its file",
        ),
        (
            lambda: seed_for_next_season(programme, main, 4000),
            "saved_seed",
            "add a [saved_seed] section to the programme file",
        ),
        (
            lambda: placement(demonstration, silent, BED, 0.75, 0.2),
            "soybean.sowing",
            "add a [sowing] section to its file",
        ),
    ):
        with pytest.raises(MissingFigure) as refused:
            call()
        assert (refused.value.name, refused.value.instead) == (name, said)
