"""Poor seed and seed of one's own: what to do, what it costs, how much to keep."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.agronomy.buylist import Lot, Origin, buy_list
from advisor.agronomy.cautions import CAUTIONS
from advisor.agronomy.errors import CannotBe, OutOfRange
from advisor.agronomy.germination import Band, SeedTest, band, mixed_germination
from advisor.agronomy.poor_seed import Poor, poor_seed, without_other_seed
from advisor.agronomy.saved_seed import (
    Cheaper,
    SeedOffer,
    cost_of_thousand_plants,
    in_shell_kg,
    kernels_kg,
    own_or_bought,
    seed_age,
    seed_to_keep_kg,
)
from advisor.agronomy.seed import seed_mass_by_population_kg
from advisor.agronomy.units import ACRE_M2

counts = st.integers(1, 400).flatmap(lambda sown: st.builds(SeedTest, st.integers(0, sown), st.just(sown)))
parts = st.floats(0.05, 1)
prices = st.decimals(0, 10_000, places=2)


class TestPoorSeed:
    @pytest.mark.parametrize(
        ("grown", "sown", "choice"),
        [
            (59, 100, Poor.TWICE_OR_RETEST), (50, 100, Poor.TWICE_OR_RETEST), (49, 100, Poor.DO_NOT_SOW),
            (25, 50, Poor.TWICE_OR_RETEST), (24, 50, Poor.DO_NOT_SOW), (0, 100, Poor.DO_NOT_SOW),
            (599, 1000, Poor.TWICE_OR_RETEST), (500, 1000, Poor.TWICE_OR_RETEST), (499, 1000, Poor.DO_NOT_SOW),
        ],
    )  # fmt: skip
    def test_of_which_half_grows_is_sown_twice_as_thick_or_tested_again(self, grown, sown, choice):
        found = poor_seed(SeedTest(grown, sown), 50, 60, 50)

        twice = choice is Poor.TWICE_OR_RETEST
        assert found.without_other is choice
        assert found.seed_kg == (100 if twice else None)
        assert found.second_test is found.visit is twice

    @given(counts)
    def test_is_judged_only_where_the_band_says_poor(self, test):
        if band(test, 80, 60) is Band.POOR:
            assert without_other_seed(test, 60, 50) in Poor
        else:
            with pytest.raises(CannotBe, match="are not under 60 percent"):
                without_other_seed(test, 60, 50)

    def test_of_a_crop_that_calls_no_seed_poor_is_never_poor(self):
        with pytest.raises(CannotBe, match="are not under 0 percent"):
            without_other_seed(SeedTest(0, 100), 0, 0)

    def test_that_is_not_sown_may_be_dressed_and_is_then_no_food(self):
        found = poor_seed(SeedTest(10, 100), 50, 60, 50)

        assert "dressed_seed_is_poison" in found.cautions
        assert set(found.cautions) <= set(CAUTIONS)

    @pytest.mark.parametrize(("kg", "lower", "refuse"), [(0, 60, 50), (50, 101, 50), (50, 60, 61), (50, 60, -1)])
    def test_of_no_mass_or_of_edges_out_of_order_is_refused(self, kg, lower, refuse):
        with pytest.raises(OutOfRange):
            poor_seed(SeedTest(10, 100), kg, lower, refuse)


class TestLots:
    def test_of_unlike_size_are_mixed_by_their_mass_and_not_by_their_tests(self):
        pooled = SeedTest(90 + 10, 100 + 20).germination

        assert mixed_germination([(10, 0.9), (30, 0.5)]) == pytest.approx(0.6)
        assert pooled > 0.8

    def test_that_were_analysed_have_a_purity_and_hand_sorted_ones_none(self, programme, crop):
        test = SeedTest(85, 100)
        own = buy_list(programme, crop, ACRE_M2, Lot(Origin.SAVED, test))
        bought = buy_list(programme, crop, ACRE_M2, Lot(Origin.BOUGHT, test))

        purity = programme.seed(crop.key).purity
        assert purity < 1
        assert bought.seed_kg_by_population == pytest.approx(own.seed_kg_by_population / purity, rel=1e-6)


class TestSavedSeed:
    @given(st.integers(0, 20), st.integers(1, 10))
    def test_is_replaced_when_its_seasons_are_over(self, seasons, after):
        age = seed_age(seasons, after)

        assert age.replace == (seasons >= after)
        assert age.left == max(0, after - seasons)

    @pytest.mark.parametrize(("seasons", "after"), [(-1, 3), (2, 0)])
    def test_of_an_age_that_cannot_be_is_refused(self, seasons, after):
        with pytest.raises(OutOfRange):
            seed_age(seasons, after)

    @given(prices, parts, parts, st.floats(0, 0.8), st.floats(20, 800), parts)
    def test_costs_for_a_thousand_plants_what_the_seed_for_them_costs(self, price, g, p, loss, tsw_g, e):
        kg = seed_mass_by_population_kg(1000, 1, tsw_g, g, e, p) / (1 - loss)

        assert float(cost_of_thousand_plants(SeedOffer(price, g, p, loss), tsw_g, e)) == pytest.approx(
            float(price) * kg, rel=1e-5, abs=1e-5
        )

    @given(prices, st.floats(0.1, 1), st.floats(20, 800))
    def test_that_grows_half_as_well_costs_twice_as_much(self, price, g, tsw_g):
        good, bad = (cost_of_thousand_plants(SeedOffer(price, part, 1), tsw_g, 1) for part in (g, g / 2))

        assert float(bad) == pytest.approx(2 * float(good), rel=1e-4, abs=1e-4)

    def test_costs_are_kept_to_the_ninth_digit_and_not_cut_to_coins(self):
        # 0.13 / (0.9 x 0.85) is 0.16993464052...
        assert cost_of_thousand_plants(SeedOffer(Decimal(1), 0.9), 130, 0.85) == Decimal("0.169934641")

    def test_is_compared_with_bought_seed_plant_by_plant(self):
        cheap, dear = SeedOffer(Decimal(50), 0.4), SeedOffer(Decimal(100), 0.9)

        assert own_or_bought(cheap, dear, 130, 0.85).cheaper is Cheaper.BOUGHT
        assert own_or_bought(dear, cheap, 130, 0.85).cheaper is Cheaper.OWN
        assert own_or_bought(dear, dear, 130, 0.85).cheaper is Cheaper.ALIKE

    @pytest.mark.parametrize(
        "offer",
        [
            SeedOffer(Decimal(-1), 0.8),
            SeedOffer(Decimal("NaN"), 0.8),
            SeedOffer(Decimal(9), 0),
            SeedOffer(Decimal(9), 0.8, 1.2),
            SeedOffer(Decimal(9), 0.8, 1, 1),
        ],
    )
    def test_of_a_price_or_quality_that_cannot_be_is_refused(self, offer):
        with pytest.raises(OutOfRange):
            cost_of_thousand_plants(offer, 130, 0.85)

    @given(st.floats(1, 1000), st.floats(0, 0.8), st.floats(0, 2))
    def test_kept_at_harvest_is_enough_after_sorting_and_with_its_spare(self, kg, loss, spare):
        kept = seed_to_keep_kg(kg, loss, spare)

        assert kept * (1 - loss) == pytest.approx(kg * (1 + spare))
        assert kept >= kg

    @pytest.mark.parametrize("three", [(0, 0.1, 0.1), (10, 1, 0.1), (10, 0.1, -0.1), (10, 0.1, 2.1)])
    def test_kept_that_cannot_be_is_refused(self, three):
        with pytest.raises(OutOfRange):
            seed_to_keep_kg(*three)


class TestInTheShell:
    @given(st.floats(0.1, 1e4), parts)
    def test_a_crop_shelled_again_is_what_it_was(self, kg, part):
        assert kernels_kg(in_shell_kg(kg, part), part) == pytest.approx(kg)
        assert in_shell_kg(kg, part) >= kg

    @pytest.mark.parametrize(("kg", "part"), [(0, 0.7), (10, 0), (10, 1.1)])
    def test_what_cannot_be_is_refused(self, kg, part):
        with pytest.raises(OutOfRange):
            in_shell_kg(kg, part)
        with pytest.raises(OutOfRange):
            kernels_kg(kg, part)
