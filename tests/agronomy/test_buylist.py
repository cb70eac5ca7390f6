"""The buy list, as a grower would meet it and as a law over all legal inputs."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.agronomy.bounds import buy_list_bounds
from advisor.agronomy.buylist import Advice, Choices, Lot, Origin, buy_list
from advisor.agronomy.errors import MissingFigure, OutOfRange
from advisor.agronomy.germination import Method, SeedTest
from advisor.agronomy.poor_seed import Poor
from advisor.agronomy.programme import BuyingRule
from advisor.agronomy.seed import implied_stand_per_m2
from advisor.agronomy.units import ACRE_M2

FIELD_M2 = 2.5 * ACRE_M2
BOUGHT = Lot(Origin.BOUGHT)

plots_m2 = st.floats(0.05, 50).map(lambda acres: min(max(acres, 0.0501), 49.999) * ACRE_M2)
tests = st.integers(20, 400).flatmap(
    lambda sown: st.builds(SeedTest, st.integers(0, sown), st.just(sown), st.sampled_from(Method))
)
lots = st.builds(Lot, st.sampled_from(Origin), st.none() | tests)
purses = st.none() | st.integers(0, 500_000).map(Decimal)
choices = st.builds(Choices, st.integers(0, 1), purses)
rules = st.sampled_from(BuyingRule)


def saved(grown, sown=100, method=Method.PAPER):
    return Lot(Origin.SAVED, SeedTest(grown, sown, method))


def buying_by(programme, rule):
    return replace(programme, crops=tuple(replace(plan, buying_rule=rule) for plan in programme.crops))


def counts(purchase):
    return {pack.size: count for pack, count in purchase.lines}


class TestBoughtSeed:
    def test_two_and_a_half_acres_take_50_kg_and_one_pack(self, programme, crop):
        bought = buy_list(programme, crop, FIELD_M2, BOUGHT)

        assert bought.advice is Advice.BUY_SEED
        assert (bought.seed_kg, bought.inoculant_g, bought.water_ml) == (50, 250, 100)
        assert counts(bought.seed_purchase) == {25_000: 2}
        assert counts(bought.inoculant_purchase) == {250: 1}
        assert (bought.seed_purchase.surplus, bought.inoculant_purchase.surplus) == (0, 0)
        assert bought.sowing_days == 2
        assert bought.total == Decimal(5550)

    def test_nothing_is_kept_back_and_the_label_is_believed(self, programme, crop):
        bought = buy_list(programme, crop, FIELD_M2, BOUGHT)

        assert bought.grain_kg is None
        assert (bought.germination, bought.germination_tested, bought.rough) == (0.85, False, False)
        assert (bought.seed_product, bought.inoculant_product) == ("s1", "i1")

    def test_a_tested_sample_of_it_replaces_the_label(self, programme, crop):
        bought = buy_list(programme, crop, FIELD_M2, Lot(Origin.BOUGHT, SeedTest(64, 100)))

        assert (bought.advice, bought.germination, bought.germination_tested) == (Advice.BUY_SEED, 0.64, True)
        assert bought.seed_kg == pytest.approx(62.5)
        assert bought.seed_purchase is not None

    def test_both_ways_to_a_mass_are_shown_with_the_stand_that_each_implies(self, programme, crop):
        bought = buy_list(programme, crop, FIELD_M2, BOUGHT)
        purity = programme.seed(crop.key).purity

        assert bought.seed_kg == bought.seed_kg_by_rate != bought.seed_kg_by_population
        assert bought.stand_per_m2 == bought.stand_by_rate_per_m2
        assert bought.stand_by_rate_per_m2 == pytest.approx(
            implied_stand_per_m2(50, FIELD_M2, 130, 0.85, 0.85, purity)
        )
        assert bought.stand_by_population_per_m2 >= 33.3

    def test_seeds_for_each_hole_belong_to_the_mass_that_is_bought(self, programme, crop):
        bought = buy_list(programme, crop, FIELD_M2, BOUGHT)

        assert (bought.holes.row_m, bought.holes.hole_m) == (0.6, 0.1)
        assert (bought.holes.seeds, bought.holes.every) == (2, 5)

    def test_a_programme_can_buy_by_the_stand(self, programme, crop):
        bought = buy_list(buying_by(programme, BuyingRule.POPULATION), crop, FIELD_M2, BOUGHT)

        assert bought.seed_kg == bought.seed_kg_by_population
        assert bought.stand_per_m2 == bought.stand_by_population_per_m2
        assert (bought.holes.seeds, bought.holes.every) == (3, 5)


class TestSavedSeed:
    @pytest.mark.parametrize(
        ("grown", "advice"),
        [
            (81, Advice.USE_OWN), (80, Advice.SOW_MORE), (60, Advice.SOW_MORE), (59, Advice.FIND_OTHER),
        ],
    )  # fmt: skip
    def test_the_band_decides_the_advice(self, programme, crop, grown, advice):
        assert buy_list(programme, crop, FIELD_M2, saved(grown)).advice is advice

    def test_good_seed_is_sown_at_the_rate_and_only_inoculant_is_bought(self, programme, crop):
        own = buy_list(programme, crop, FIELD_M2, saved(90))

        assert (own.seed_kg, own.grain_kg) == (50, pytest.approx(50 / 0.9))
        assert (own.seed_product, own.seed_purchase, own.total) == (None, None, Decimal(350))

    def test_hand_sorted_seed_is_all_seed_and_only_a_label_speaks_of_purity(self, programme, crop):
        own = buy_list(programme, crop, FIELD_M2, saved(85))
        bought = buy_list(programme, crop, FIELD_M2, BOUGHT)

        assert own.stand_per_m2 == pytest.approx(implied_stand_per_m2(50, FIELD_M2, 130, 0.85, 0.85, purity=1))
        assert own.seed_kg_by_population == pytest.approx(bought.seed_kg_by_population * 0.98, rel=1e-6)

    def test_seed_in_the_middle_is_sown_thicker_by_what_it_lacks(self, programme, crop):
        more = buy_list(programme, crop, FIELD_M2, saved(60))

        assert more.seed_kg == pytest.approx(50 * 0.8 / 0.6)
        assert more.inoculant_g == pytest.approx(5 * more.seed_kg)
        assert counts(more.inoculant_purchase) == {250: 2}

    @pytest.mark.parametrize(
        ("grown", "remark"), [(59, Poor.TWICE_OR_RETEST), (50, Poor.TWICE_OR_RETEST), (49, Poor.DO_NOT_SOW)]
    )
    def test_for_poor_seed_the_list_is_the_list_for_bought_seed(self, programme, crop, grown, remark):
        other = buy_list(programme, crop, FIELD_M2, saved(grown))
        label = buy_list(programme, crop, FIELD_M2, BOUGHT)

        assert (other.advice, other.poor) == (Advice.FIND_OTHER, remark)
        assert replace(other, advice=label.advice, poor=None) == label

    def test_even_seed_of_which_nothing_grew_gets_an_answer(self, programme, crop):
        assert buy_list(programme, crop, FIELD_M2, saved(0)).poor is Poor.DO_NOT_SOW

    def test_untested_seed_is_tested_first_and_nothing_is_bought_yet(self, programme, crop):
        first = buy_list(programme, crop, FIELD_M2, Lot(Origin.SAVED))

        assert first.advice is Advice.TEST_FIRST
        assert first.germination == 0.6
        assert first.grain_kg == pytest.approx(50 * 0.8 / 0.6 / 0.9)
        assert (first.seed_purchase, first.inoculant_purchase, first.inoculant_g, first.total) == (
            None,
            None,
            0,
            0,
        )

    @pytest.mark.parametrize(("sown", "rough"), [(20, True), (49, True), (50, False)])
    def test_a_test_of_few_seeds_makes_the_advice_rough(self, programme, crop, sown, rough):
        assert buy_list(programme, crop, FIELD_M2, saved(sown, sown)).rough is rough

    def test_a_test_of_too_few_seeds_is_refused(self, programme, crop):
        with pytest.raises(OutOfRange, match="sown is 19, allowed is 20 to 400"):
            buy_list(programme, crop, FIELD_M2, saved(19, 19))

    def test_a_result_in_soil_is_worth_more_than_the_same_on_paper(self, programme, crop):
        on_paper = buy_list(programme, crop, FIELD_M2, saved(65))
        in_soil = buy_list(programme, crop, FIELD_M2, saved(65, method=Method.BED))

        assert in_soil.advice is on_paper.advice is Advice.SOW_MORE
        assert in_soil.germination == pytest.approx(0.65 * 0.95 / 0.85)
        assert in_soil.seed_kg < on_paper.seed_kg


class TestPurse:
    def test_a_purse_that_is_enough_changes_nothing(self, programme, crop):
        enough = buy_list(programme, crop, FIELD_M2, BOUGHT, Choices(purse=Decimal(5550)))

        assert enough == buy_list(programme, crop, FIELD_M2, BOUGHT)

    def test_a_small_purse_buys_a_smaller_field_and_never_a_thinner_one(self, programme, crop):
        short = buy_list(programme, crop, FIELD_M2, BOUGHT, Choices(purse=Decimal(3000)))
        part = buy_list(programme, crop, short.affordable_area_m2, BOUGHT)

        assert short.affordable_area_m2 == pytest.approx(1.25 * ACRE_M2)
        assert part.total == Decimal(2950)
        assert part.inoculant_purchase is not None
        assert part.seed_kg / part.area_m2 == pytest.approx(short.seed_kg / short.area_m2, rel=1e-6)

    def test_a_purse_that_buys_no_field_at_all_says_so(self, programme, crop):
        assert buy_list(programme, crop, FIELD_M2, BOUGHT, Choices(purse=Decimal(100))).affordable_area_m2 == 0

    @pytest.mark.parametrize("purse", ["-1", "500001", "NaN", "Infinity"])
    def test_a_purse_that_cannot_be_is_refused(self, programme, crop, purse):
        with pytest.raises(OutOfRange, match="purse is"):
            buy_list(programme, crop, FIELD_M2, BOUGHT, Choices(purse=Decimal(purse)))


class TestRefusals:
    @pytest.mark.parametrize("acres", [0.049, 50.01, float("nan")])
    def test_a_field_outside_the_programme_is_refused(self, programme, crop, acres):
        with pytest.raises(OutOfRange, match="area is"):
            buy_list(programme, crop, acres * ACRE_M2, BOUGHT)

    @pytest.mark.parametrize("spacing", [-1, 2])
    def test_a_spacing_that_is_not_offered_is_refused(self, programme, crop, spacing):
        with pytest.raises(OutOfRange, match="spacing is"):
            buy_list(programme, crop, FIELD_M2, BOUGHT, Choices(spacing))

    def test_a_crop_that_the_programme_does_not_grow_is_refused(self, programme, crop):
        with pytest.raises(MissingFigure, match=r"crops\.teff"):
            buy_list(programme, replace(crop, key="teff"), FIELD_M2, BOUGHT)


class TestLaws:
    @given(area_m2=plots_m2, lot=lots, chosen=choices, rule=rules)
    def test_purchases_cover_the_need_and_their_sum_is_the_total(
        self, programme, crop, area_m2, lot, chosen, rule
    ):
        bought = buy_list(buying_by(programme, rule), crop, area_m2, lot, chosen)
        purchases = [each for each in (bought.seed_purchase, bought.inoculant_purchase) if each]

        assert bought.total == sum(each.cost for each in purchases)
        for purchase, needed_g in (
            (bought.seed_purchase, bought.seed_kg * 1000),
            (bought.inoculant_purchase, bought.inoculant_g),
        ):
            if purchase:
                held_g = sum(pack.size * count for pack, count in purchase.lines)
                assert held_g >= needed_g - 1e-3
                assert held_g - purchase.surplus <= needed_g + 1

    @given(area_m2=plots_m2, one=tests, other=tests, chosen=choices, rule=rules, origin=st.sampled_from(Origin))
    def test_worse_seed_never_means_less_of_it(self, programme, crop, area_m2, one, other, chosen, rule, origin):
        worse, better = (
            buy_list(buying_by(programme, rule), crop, area_m2, Lot(origin, test), chosen)
            for test in sorted((one, other), key=lambda test: test.germination)
        )

        if one.method is other.method and Advice.FIND_OTHER not in (worse.advice, better.advice):
            assert worse.seed_kg >= better.seed_kg

    @given(area_m2=plots_m2, lot=lots, chosen=choices)
    def test_no_seed_is_ever_sown_thinner_than_the_handbook_rate(self, programme, crop, area_m2, lot, chosen):
        rate_kg = programme.plan(crop.key).rate_kg_per_ha * area_m2 / 10_000

        assert buy_list(programme, crop, area_m2, lot, chosen).seed_kg >= rate_kg - 1e-6

    @given(area_m2=plots_m2, lot=lots, chosen=choices, rule=rules)
    def test_a_list_does_not_depend_on_the_size_of_the_field_but_for_rounding(
        self, programme, crop, area_m2, lot, chosen, rule
    ):
        rules_ = buying_by(programme, rule)
        one, half = (
            buy_list(rules_, crop, area, lot, chosen) for area in (area_m2, max(area_m2 / 2, 0.05 * ACRE_M2))
        )

        assert one.seed_kg / one.area_m2 == pytest.approx(half.seed_kg / half.area_m2, rel=1e-5)
        assert one.stand_per_m2 == pytest.approx(half.stand_per_m2, rel=1e-5)
        assert replace(one.holes, capped=False) == replace(half.holes, capped=False)

    @given(area_m2=plots_m2, lot=lots, purse=st.integers(0, 500_000).map(Decimal), rule=rules)
    def test_the_affordable_field_fits_the_purse_and_the_next_larger_does_not(
        self, programme, crop, area_m2, lot, purse, rule
    ):
        rules_ = buying_by(programme, rule)
        short = buy_list(rules_, crop, area_m2, lot, Choices(purse=purse))
        part_m2 = short.affordable_area_m2

        assert (part_m2 is None) == (short.total <= purse)
        if part_m2:
            assert buy_list(rules_, crop, max(part_m2, rules_.plot_low_m2), lot).total <= purse
        if part_m2 is not None:
            next_m2 = max((part_m2 or 0) + rules_.area_step_m2, rules_.plot_low_m2)
            assert next_m2 > area_m2 or buy_list(rules_, crop, next_m2, lot).total > purse

    @given(area_m2=plots_m2, lot=lots, chosen=choices, rule=rules)
    def test_no_list_passes_the_bounds(self, programme, crop, area_m2, lot, chosen, rule):
        rules_ = buying_by(programme, rule)
        bounds, found = buy_list_bounds(rules_, crop), buy_list(rules_, crop, area_m2, lot, chosen)

        for name in (
            "area_m2",
            "seed_kg",
            "inoculant_g",
            "water_ml",
            "sowing_days",
            "total",
            "seed_kg_by_rate",
            "seed_kg_by_population",
        ):
            assert getattr(found, name) <= getattr(bounds, name), name
        assert (found.grain_kg or 0) <= bounds.grain_kg
        assert (
            max(found.stand_per_m2, found.stand_by_rate_per_m2, found.stand_by_population_per_m2)
            <= bounds.stand_per_m2
        )
        assert (found.affordable_area_m2 or 0) <= bounds.area_m2
        assert max(found.holes.seeds, found.holes.then) <= bounds.seeds_per_hole
        assert found.holes.every <= bounds.every
        for purchase, limits in (
            (found.seed_purchase, bounds.seed_packs),
            (found.inoculant_purchase, bounds.inoculant_packs),
        ):
            assert all(count <= dict(limits)[pack] for pack, count in (purchase.lines if purchase else ()))


@given(plots_m2, lots, choices)
def test_every_list_carries_its_cautions_and_those_of_inoculant_where_there_is_some(
    programme, crop, area_m2, lot, chosen
):
    found = buy_list(programme, crop, area_m2, lot, chosen)

    assert "dressed_seed_is_poison" in found.cautions
    assert "ask_dealer_or_extension" in found.cautions
    assert ("inoculant_in_shade" in found.cautions) == (found.inoculant_purchase is not None)
    assert ("follow_the_pack" in found.cautions) == (found.inoculant_purchase is not None)


def test_the_bounds_are_reached_so_that_no_proof_rests_on_a_lazy_one(programme, crop):
    bounds = buy_list_bounds(programme, crop)
    edge = SeedTest(60, 100)
    bought = buy_list(programme, crop, programme.plot_high_m2, Lot(Origin.BOUGHT, edge))
    own = buy_list(programme, crop, programme.plot_high_m2, Lot(Origin.SAVED, edge))

    assert (bought.total, bought.seed_kg, bought.inoculant_g) == (bounds.total, bounds.seed_kg, bounds.inoculant_g)
    assert (own.grain_kg, own.sowing_days) == (bounds.grain_kg, bounds.sowing_days)
    assert dict(bounds.inoculant_packs) == dict(bought.inoculant_purchase.lines)
    assert dict(bounds.seed_packs)[programme.seed(crop.key).packs[-1]] == counts(bought.seed_purchase)[25_000]
