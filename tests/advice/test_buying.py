"""From what a grower answered to what the screens of the list name."""

from datetime import UTC, datetime
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.advice.buying import list_for
from advisor.agronomy.buylist import Advice
from advisor.agronomy.errors import CannotBe
from advisor.agronomy.units import ACRE_M2

NOW = datetime(2027, 3, 1, tzinfo=UTC)


def sight(acres=2.5, origin="bought", **more):
    return {"plot.area": acres * ACRE_M2, "lot.origin": origin} | {
        name.replace("__", "."): value for name, value in more.items()
    }


class TestTheList:
    def test_25_acres_of_bought_seed_take_50_kg_and_one_pack(self, book, crop):
        """20 kg an acre, and a 250 g pack for 50 kg: common practice, no source."""
        found = list_for(book.programme, crop, sight())

        assert (found.advice, found.seed_kg, found.inoculant_g) == (Advice.BUY_SEED, 50.0, 250.0)
        assert found.total == Decimal(2 * 2600 + 350)

    def test_seed_that_tested_70_of_100_takes_more_in_proportion(self, book, crop):
        """The rate assumes 80 %: 50 kg x 80 / 70 (arithmetic)."""
        found = list_for(book.programme, crop, sight(origin="saved", lot__test=(70, 100), lot__method="paper"))

        assert found.advice is Advice.SOW_MORE
        assert found.seed_kg == pytest.approx(50 * 80 / 70, abs=1e-4)

    def test_untested_seed_is_kept_back_and_nothing_is_bought(self, book, crop):
        """At the 60 % that the programme assumes, and 10 % lost in sorting: 50 x 80/60 / 0.9 (arithmetic)."""
        found = list_for(book.programme, crop, sight(origin="saved"))

        assert found.advice is Advice.TEST_FIRST
        assert found.grain_kg == pytest.approx(50 * 80 / 60 / 0.9, abs=1e-4)
        assert found.total == 0

    def test_the_part_that_money_is_enough_for_is_a_list_of_its_own(self, book, crop):
        part = list_for(book.programme, crop, sight(money="2000", portion="part"))

        assert part.total <= 2000
        assert part.area_m2 < 2.5 * ACRE_M2
        assert part.affordable_area_m2 is None

    def test_a_spacing_means_what_it_says_whatever_its_place_in_the_programme(self, book, crop):
        narrow = list_for(book.programme, crop, sight(plot__spacing="60x5"))
        gone = list_for(book.programme, crop, sight(plot__spacing="70x20"))

        assert narrow.holes.hole_m == pytest.approx(0.05)
        assert gone.holes.hole_m == pytest.approx(0.1), (
            "a spacing that is no longer offered gives way to the usual one"
        )

    @pytest.mark.parametrize("wrong", [{"origin": "boughtt"}, {"lot__test": (45, 50), "lot__method": "tea"}])
    def test_a_word_that_means_nothing_is_refused_and_no_fault_of_the_grower(self, book, crop, wrong):
        with pytest.raises(CannotBe):
            list_for(book.programme, crop, sight(**wrong))


class TestBounds:
    @given(
        acres=st.floats(0.05, 20),
        origin=st.sampled_from(["bought", "saved"]),
        grown=st.integers(0, 100),
        sown=st.integers(20, 400),
        method=st.sampled_from(["paper", "bed"]),
        tested=st.booleans(),
        money=st.none() | st.integers(1, 99_999),
        spacing=st.sampled_from(["60x10", "60x5"]),
    )
    def test_every_result_lies_within_the_kind_that_is_declared_for_it(
        self, book, crop, acres, origin, grown, sown, method, tested, money, spacing
    ):
        known = sight(acres, origin, plot__spacing=spacing)
        if tested:
            known |= {"lot.test": (min(grown, sown), sown), "lot.method": method}
        if money is not None:
            known["money"] = str(money)
        for name in ("buy_list", "sowing"):
            calculation = book.registry.calculation(name)
            results = calculation.run(known, NOW)
            kinds = dict(calculation.gives)
            assert set(results) <= set(kinds) | set(calculation.also)
            for result, value in results.items():
                if result in kinds:
                    kinds[result].check(value)
