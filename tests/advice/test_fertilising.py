"""Fertiliser for a dialogue: what its screens name, against the calculator itself and figures reckoned by hand."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.advice.fertilising import conditions, fertilising
from advisor.advice.fertilising_plan import need_for
from advisor.agronomy import cautions
from advisor.agronomy.errors import CannotBe, MissingFigure, OutOfRange
from advisor.agronomy.fertiliser_choice import choose_fertiliser
from advisor.agronomy.nutrients import K2O, P2O5, N
from advisor.agronomy.units import ACRE_M2
from tests.laws import examples

NOW = datetime(2027, 3, 1, tzinfo=UTC)


@pytest.fixture(scope="module")
def bought(book):
    return lambda sight: book.registry.calculation("fertiliser").run(sight, NOW)


@pytest.fixture(scope="module")
def laid(book):
    return lambda sight: book.registry.calculation("laying").run(sight, NOW)


def field(acres=1.0, village="v2", **facts):
    return {"plot.area": acres * ACRE_M2, "grower.village": village} | {
        f"plot.{name}": value for name, value in facts.items()
    }


def dressed(kg, harvest, product="f1"):
    return {"last": "dressed", "last_product": product, "last_kg": kg, "last_harvest": harvest}


class TestTheNeed:
    def test_without_a_soil_test_is_that_of_the_zone_of_the_village(self, programme, crop):
        """46 kg of P2O5 and 20 of nitrogen at most in the valley: the programme's file."""
        need = need_for(programme, crop, field())

        assert (need.p2o5, need.k2o, need.n_limit) == (P2O5(46), K2O(0), N(20))
        assert need_for(programme, crop, field(village="v5")).k2o == K2O(20)

    @pytest.mark.parametrize(
        ("mg_per_kg", "p2o5"),
        [("0", 60), ("7.9", 60), ("8", 40), ("14.9", 40), ("15", 20), ("29.9", 20), ("30", 0)],
    )
    def test_by_a_number_follows_its_class_at_both_edges(self, programme, crop, mg_per_kg, p2o5):
        assert need_for(programme, crop, field(soil="number", soil_p=mg_per_kg)).p2o5 == P2O5(p2o5)

    @pytest.mark.parametrize(("word", "p2o5"), [("low", 60), ("medium", 40), ("good", 20), ("high", 0)])
    def test_by_a_word_is_that_of_the_class(self, programme, crop, word, p2o5):
        assert need_for(programme, crop, field(soil="word", soil_class=word)).p2o5 == P2O5(p2o5)

    def test_a_soil_test_goes_before_last_season(self, programme, crop):
        sight = field(soil="number", soil_p="5", **dressed("100", "0"))

        assert need_for(programme, crop, sight).p2o5 == P2O5(60)

    def test_is_less_by_half_of_what_a_full_dressing_left(self, programme, crop):
        """60 kg of 18-46-0 bring 27.6 kg of P2O5, 300 kg of grain of 12 g/kg take 3.6: half of 24 kg an acre."""
        need = need_for(programme, crop, field(**dressed("60", "300")))

        assert need.p2o5.kg_per_ha == pytest.approx(46 - 12 / ACRE_M2 * 10_000)

    @pytest.mark.parametrize("kg", ["40.46", "1"])
    def test_is_not_less_after_less_than_a_full_dressing(self, programme, crop, kg):
        """A full one is 46 kg of P2O5 a hectare: 40.47 kg of 18-46-0 an acre."""
        assert need_for(programme, crop, field(**dressed(kg, "0"))).p2o5 == P2O5(46)
        assert need_for(programme, crop, field(**dressed("40.47", "0"))).p2o5 < P2O5(46)

    @pytest.mark.parametrize("name", ["last_product", "last_kg", "last_harvest"])
    def test_is_not_less_where_something_is_not_remembered(self, programme, crop, name):
        facts = {key: value for key, value in dressed("60", "300").items() if key != name}

        assert need_for(programme, crop, field(**facts)).p2o5 == P2O5(46)


class TestTheList:
    def test_of_an_acre_of_the_valley_is_one_kind_and_no_more_is_laid_than_is_needed(self, bought):
        """46 kg/ha are 18.62 kg an acre, in 40.47 kg of 18-46-0; 25 kg and 16 loose are the cheapest."""
        found = bought(field())

        assert (found["kinds"], found["first"], found["total"]) == (1, "f1", Decimal(2700 + 16 * 115))
        assert (found["first_bags"], found["first_kg"]) == (((25, 1), (1, 16)), 41)
        assert found["first_lay"] == pytest.approx(46 * ACRE_M2 / 10_000 / 0.46)

    def test_of_a_rich_soil_in_the_valley_is_empty(self, bought):
        found = bought(field(soil="word", soil_class="high"))

        assert (found["kinds"], found["total"]) == (0, 0)
        assert "first" not in found

    @examples(40)
    @given(
        acres=st.floats(0.05, 20),
        village=st.sampled_from(["v1", "v6"]),
        soil=st.sampled_from([None, "low", "medium", "good", "high"]),
    )
    def test_is_the_cheapest_of_the_calculator_and_within_its_nitrogen(
        self, programme, crop, bought, acres, village, soil
    ):
        sight = field(acres, village, **({} if soil is None else {"soil": "word", "soil_class": soil}))
        found, need = bought(sight), need_for(programme, crop, sight)

        chosen = choose_fertiliser(programme.fertilising.products, need, sight["plot.area"], 0)
        assert found["kinds"] <= 3
        # Where four kinds are the cheapest, three are bought, for a little more.
        assert found["total"] == chosen.cost or (len(chosen.lines) > 3 and found["total"] > chosen.cost)
        places = ("first", "second", "third")[: found["kinds"]]
        grades = [programme.fertilising.product(found[place]).grade for place in places]
        given_kg = [found[f"{place}_lay"] for place in places]
        hectares = sight["plot.area"] / 10_000
        nitrogen = sum(kg * grade.n_percent / 100 for kg, grade in zip(given_kg, grades, strict=True))
        assert nitrogen <= need.n_limit.kg_per_ha * hectares * (1 + 1e-6)
        p2o5 = sum(kg * grade.p2o5_percent / 100 for kg, grade in zip(given_kg, grades, strict=True))
        assert p2o5 >= need.p2o5.kg_per_ha * hectares * (1 - 1e-6)

    @examples(40)
    @given(acres=st.floats(0.05, 20), village=st.sampled_from(["v1", "v6"]), p=st.floats(0, 60))
    def test_is_within_the_kinds_that_texts_are_proven_with(self, book, acres, village, p):
        """Whatever is needed: every number of the list and of how it is laid can be said."""
        for name, more in (("fertiliser", {}), ("laying", {"cap": "crown-cap"})):
            calculation = book.registry.calculation(name)
            found = calculation.run(field(acres, village, soil="number", soil_p=p / 4) | more, NOW)

            for result, kind in calculation.gives:
                if result in found:
                    kind.check(found[result])


class TestLittleMoney:
    def test_that_is_enough_changes_nothing(self, bought):
        found = bought(field() | {"fertiliser_money": "4540"})

        assert (found["short"], found["total"]) == ("no", 4540)
        assert "purse" not in found

    def test_by_a_coin_buys_half_a_dose_for_all_of_the_field(self, bought):
        found = bought(field() | {"fertiliser_money": "4539"})

        assert (found["short"], found["part"], found["full"]) == ("part", ACRE_M2, 4540)

    def test_buys_less_field_and_never_less_than_half_a_dose(self, bought):
        sight = field() | {"fertiliser_money": "1500", "dressing": "fits"}
        found = bought(sight)

        assert found["total"] <= 1500
        assert found["area"] == pytest.approx(0.6 * ACRE_M2)
        assert found["first_lay"] == pytest.approx(23 * found["area"] / 10_000 / 0.46)
        assert bought(sight | {"dressing": "all"})["total"] == 4540

    def test_for_nothing_buys_nothing_and_says_what_all_costs(self, bought):
        found = bought(field() | {"fertiliser_money": "50"})

        assert (found["short"], found["full"]) == ("nothing", 4540)
        assert "part" not in found


class TestHowItIsLaid:
    def test_a_rope_of_row_takes_its_part_and_a_cap_goes_as_far_as_it_holds(self, laid):
        """40.47 kg an acre are 10 g/m2; 20 m of 60 cm rows are 12 m2. A cap of 5 mL at 0.92 g/mL holds 4.6 g."""
        found = laid(field() | {"cap": "crown-cap"})

        assert found["rope_g"] == pytest.approx(0.120)
        assert found["caps"] == 26.0
        assert found["every"] == pytest.approx(4.6 / 6)
        assert found["holes"] == pytest.approx(7.667, abs=1e-3)

    def test_depths_are_those_of_the_programme_and_the_seed_lies_above_the_soil_on_it(self, laid):
        """A furrow 5 to 7 cm deep under 2 cm of soil: common practice, no source."""
        found = laid(field() | {"cap": "teaspoon"})

        assert [found[name] for name in ("from", "to", "cover", "beside", "seed_depth")] == [5, 7, 2, 5, 3]

    def test_a_mixture_fills_as_much_room_as_its_parts(self, laid, bought, programme):
        sight = field(village="v5") | {"cap": "screw-cap"}
        found, parts = laid(sight), bought(sight)
        kg = {parts[place]: parts[f"{place}_lay"] for place in ("first", "second", "third")}
        litres = sum(each / programme.fertilising.product(key).bulk_g_per_ml for key, each in kg.items())

        per_m = sum(kg.values()) * 1000 / (ACRE_M2 / 0.6)
        assert found["every"] == pytest.approx(7 * sum(kg.values()) / litres / per_m)

    def test_of_nearly_nothing_is_a_cap_to_a_rope(self, laid):
        """46 - (x - 0) / 2 is nearly nothing for 91.99 kg of P2O5 a hectare: 80.93 kg of 18-46-0 an acre."""
        found = laid(field(**dressed("80.93", "0")) | {"cap": "crown-cap"})

        assert (found["caps"], found["every"]) == (1.0, 20)

    def test_other_rows_take_as_much_for_each_metre(self, laid):
        wide, close = (laid(field(spacing=key) | {"cap": "teaspoon"}) for key in ("60x10", "60x5"))

        assert wide["every"] == close["every"]
        assert close["holes"] == pytest.approx(2 * wide["holes"])


class TestRefusals:
    def test_a_programme_that_says_nothing_of_fertiliser_has_no_figures(self, programme, crop):
        bare = fertilising(replace(programme, fertilising=None), crop)

        for calculation in bare:
            with pytest.raises(MissingFigure):
                calculation.run(field() | {"cap": "teaspoon"}, NOW)

    def test_a_village_that_is_none_has_no_zone(self, bought):
        with pytest.raises(MissingFigure):
            bought(field(village="nowhere"))

    def test_a_word_that_is_no_class_is_refused(self, bought):
        with pytest.raises(CannotBe):
            bought(field(soil="word", soil_class="rich"))

    def test_of_no_need_nothing_is_laid(self, laid):
        with pytest.raises(OutOfRange):
            laid(field(soil="word", soil_class="high") | {"cap": "teaspoon"})

    def test_a_measure_that_is_not_known_is_refused(self, laid):
        with pytest.raises(MissingFigure):
            laid(field() | {"cap": "bucket"})


class TestWhatIsSaidWithIt:
    def test_both_calculations_bring_their_cautions(self, book):
        bought, laid = (book.registry.calculation(name) for name in ("fertiliser", "laying"))
        handling = {
            cautions.NO_BARE_HANDS_WITH_FERTILISER,
            cautions.WASH,
            cautions.KEEP_FROM_CHILDREN_AND_FOOD,
            cautions.FOLLOW_THE_PACK,
            cautions.ASK_DEALER_OR_EXTENSION,
        }
        apart = {cautions.FERTILISER_APART_FROM_SEED, cautions.INOCULANT_APART_FROM_FERTILISER}

        assert {brings.caution for brings in bought.brings} == handling
        assert {brings.caution for brings in laid.brings} == handling | apart | {cautions.WEIGH_ONE_CAP}

    @pytest.mark.parametrize(
        ("name", "sight", "holds"),
        [
            ("one_fertiliser_is_bought", {"kinds": 1}, True),
            ("two_fertilisers_are_bought", {"kinds": 3}, False),
            ("three_fertilisers_are_bought", {"kinds": 3}, True),
            ("fertiliser_money_is_short", {"short": "part"}, False),
            ("soil_is_tested", {"plot.soil": "number"}, True),
            ("soil_is_tested", {"plot.soil": "none"}, False),
            ("field_was_dressed", {"plot.last": "plain"}, False),
        ],
    )
    def test_conditions_hold_for_their_own_values_alone(self, name, sight, holds):
        condition = next(each for each in conditions() if each.name == name)

        assert condition.holds(sight) is holds
