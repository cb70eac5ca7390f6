"""Is it worth it, for a dialogue: against the calculator and sums made by hand from the programme's file."""

from __future__ import annotations

from datetime import UTC, datetime
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.advice.worth import losses_of, rounded_bags
from advisor.agronomy.budget_figures import Who
from advisor.agronomy.buylist import Lot, Origin
from advisor.agronomy.errors import MissingFigure, OutOfRange
from advisor.agronomy.field_purse import field_purse
from advisor.agronomy.purse import Gone
from advisor.agronomy.season_money import season_money
from advisor.agronomy.units import ACRE_M2
from advisor.dialogue.notices import notice_of

NOW = datetime(2027, 3, 1, tzinfo=UTC)
VALLEY, HILLS = "v1", "v4"


def known(acres=2.5, village=VALLEY, **more):
    return {"grower.village": village, "plot.area": acres * ACRE_M2, **more}


def priced(price, **more):
    return known(**{"grower.bag_price": str(price)}, **more)


@pytest.fixture(scope="module")
def run(book):
    def run(name, sight):
        return book.registry.calculation(name).run(sight, NOW)

    return run


@pytest.fixture(scope="module")
def holds(book):
    conditions = {each.name: each for each in book.registry.conditions}

    def holds(name, found):
        return conditions[name].holds(found)

    return holds


class TestTheHarvestThatPays:
    def test_is_the_cost_before_harvest_by_what_a_kilogram_leaves(self, run):
        """2.5 acres: seed and inoculant 5,550, fertiliser 10,630; plough and weed 2,700 an acre, transport 200.

        So 23,130 before harvest; a kilogram fetches 40 and takes 3 to thresh: 625.1 kg, 12.5 bags of 50 kg.
        """
        found = run("worth", known())

        assert (found["seed_cost"], found["feed_cost"]) == (Decimal(5550), Decimal(10630))
        assert found["even"] == 13

    def test_with_own_work_only_what_is_bought_and_carried_is_paid(self, run):
        """16,180 of inputs and 200 of transport by 40 a kilogram: 409.5 kg, 8.2 bags."""
        found = run("worth", known())

        assert found["even_own"] == 8.2
        assert found["own"] == Decimal(2700) * Decimal("2.5") + 3 * 1000

    def test_is_not_told_where_a_good_season_does_not_harvest_it(self, run, holds):
        """At 16 a kilogram 23,130 by 13 is 1,779 kg, over a good 1,625; own work: 16,380 by 16, 1,024 kg."""
        found = run("worth", priced(800))

        assert "even" not in found
        assert found["even_own"] == 21
        assert holds("only_own_work_pays", found)

    def test_is_never_reached_at_a_fifth_of_the_usual_price(self, run, holds):
        found = run("worth", priced(400))

        assert "even" not in found
        assert "even_own" not in found
        assert not holds("only_own_work_pays", found)

    @given(acres=st.floats(0.05, 20), village=st.sampled_from([VALLEY, HILLS]), price=st.integers(400, 10_000))
    def test_is_the_calculators_rounded_up_and_a_season_of_so_many_bags_loses_nothing(
        self, book, run, acres, village, price
    ):
        found = run("worth", priced(price, acres=acres, village=village))
        programme = book.programme
        zone = programme.village(village).zone
        budget = next(each for each in programme.budgets if each.zone == zone)
        left = Decimal(price) / 50 - sum(line.amount for line in budget.costs if line.per == "kg")

        if "even" in found:
            assert 0 < found["even"] <= rounded_bags(budget.harvest_high * acres * ACRE_M2 / 10_000 / 50, up=True)
            paid = found["all_costs"] - sum(line.amount for line in budget.costs if line.per == "kg") * Decimal(
                budget.harvest_middle * acres * ACRE_M2 / 10_000
            )
            assert Decimal(found["even"]) * 50 * left >= paid - 2
            assert found["even_own"] <= found["even"]


class TestWhatIsLeft:
    def test_of_a_usual_and_a_bad_season_is_the_calculators(self, book, run):
        valley = book.programme.budgets[0]
        money = season_money(valley, 2.5 * ACRE_M2, Decimal(16180), 0)

        found = run("worth", known())

        assert (found["gain"], found["worst"]) == (money.middle.margin, -money.low.margin)
        assert (found["usual"], found["bad"]) == (20, 10)

    @pytest.mark.parametrize(
        ("price", "condition"),
        [
            (4000, "bad_season_pays"),
            (2000, "usual_season_pays"),
            (1200, "usual_season_loses"),
        ],
    )
    def test_falls_with_the_price(self, run, holds, price, condition):
        found = run("worth", priced(price))

        names = ("bad_season_pays", "usual_season_pays", "usual_season_loses")
        assert [name for name in names if holds(name, found)] == [condition]

    def test_a_demonstration_yield_enters_no_sum(self, run):
        """900 kg an acre would be 45 bags."""
        assert run("worth", known())["usual"] == 20

    @given(price=st.integers(400, 10_000), acres=st.floats(0.05, 20))
    def test_ten_seasons_hold_no_loss_only_where_a_bad_one_keeps_money(self, run, price, acres):
        found = run("worth", priced(price, acres=acres))

        # A coin of rounding apart, against whoever counts on the money.
        assert (found["losses"] == 0) == ("least" in found) or abs(found.get("worst", found.get("least"))) <= 2

    def test_chances_are_said_as_seasons_of_ten(self):
        assert [losses_of(chance) for chance in (0.0, 0.04, 0.05, 0.15, 0.999, 1.0)] == [0, 1, 1, 2, 9, 10]


class TestBags:
    @given(kg=st.floats(0, 1e5), up=st.booleans())
    def test_are_never_said_better_than_they_are(self, kg, up):
        bags = kg / 50
        said = rounded_bags(bags, up=up)

        assert (said >= bags - 1e-5) if up else (said <= bags + 1e-5)
        assert abs(said - bags) <= (0.1 if bags < 10 else 1) + 1e-5


class TestThePrice:
    def test_is_the_programmes_until_another_is_told(self, run):
        assert run("bag_price", known())["price"] == Decimal(2000)
        assert run("worth", known())["assumed"] is True
        assert run("worth", priced(1500))["assumed"] is False

    @pytest.mark.parametrize(("price", "strange"), [(399, True), (400, False), (10_000, False), (10_001, True)])
    def test_five_times_off_either_way_is_asked_again(self, run, price, strange):
        assert run("bag_price", priced(price))["strange"] is strange

    def test_that_is_strange_makes_no_sum(self, run):
        with pytest.raises(OutOfRange, match="price of a bag"):
            run("worth", priced(40))

    def test_of_a_place_without_any_is_refused(self, run):
        with pytest.raises(MissingFigure) as refused:
            run("worth", known(village="nowhere"))

        assert notice_of(refused.value) == "no_figures"


class TestTheSeed:
    def test_that_is_not_known_is_taken_as_bought(self, run):
        assert run("worth", known()) == run("worth", known(**{"lot.origin": "bought"}))

    def test_of_ones_own_costs_only_inoculant_even_before_its_test(self, run):
        """One pack of 250 g at 350 treats 50 kg, and an acre takes some 20 kg."""
        found = run("worth", known(acres=1, **{"lot.origin": "saved"}))

        assert found["seed_cost"] == Decimal(350)


class TestTheShortPurse:
    def test_drops_phosphorus_then_area(self, book, crop, run):
        valley = book.programme.budgets[0]

        for purse in (500, 1000, 1250, 1400, 2000, 3000, 6000):
            found = run("purse", known(acres=0.5, inputs_money=str(purse)))
            plan = field_purse(book.programme, crop, valley, 0.5 * ACRE_M2, Lot(Origin.BOUGHT), Decimal(purse))

            step = plan.chosen
            package = step and step.package
            if step is not None and step.gone is Gone.AREA:
                package = max((step.package, plan.best), key=lambda each: each.harvest_kg)
            assert found["gone"] == (step and step.gone)
            assert found.get("cost") == (package and package.cost)
            assert found.get("part") == (package and package.area_m2)

    @pytest.mark.parametrize("acres", [0.5, 2.5])
    def test_of_more_money_no_harvest_is_smaller(self, run, acres):
        """Money a little short of all of the field without phosphorus does not lead to a third of it with all."""
        fewer = [
            run("purse", known(acres=acres, inputs_money=str(purse)))["fewer"] for purse in range(1000, 6000, 250)
        ]

        assert fewer == sorted(fewer, reverse=True)

    @pytest.mark.parametrize(
        ("purse", "bag_price", "condition"),
        [
            (200, None, None),
            (1000, None, "area_and_fertiliser_go"),
            (1250, None, "area_and_fertiliser_go"),
            (1400, None, "area_and_fertiliser_go"),
            # At this price nothing that can be paid earns anything, so the order alone counts.
            (1250, "1400", "area_and_half_go"),
            (1400, "1400", "area_goes"),
            (1500, None, "fertiliser_goes"),
            (3000, None, "half_fertiliser_goes"),
            (5000, None, "purse_pays_all"),
        ],
    )
    def test_has_one_condition_for_each_step(self, book, run, purse, bag_price, condition):
        price = {} if bag_price is None else {"grower.bag_price": bag_price}
        found = run("purse", known(acres=0.5, inputs_money=str(purse), **price))
        names = [each for each in book.registry.conditions if each.needs == ("gone", "p_part")]

        assert [each.name for each in names if each.holds(found)] == ([condition] if condition else [])


class TestTheLoan:
    def test_of_all_inputs_is_told_in_bags(self, run, holds):
        """16,180 at 3 % a month flat for six months is 19,092.4, a coin up; by 37 a kilogram 517 kg, 10.3 bags."""
        found = run("loan", known(loan_terms="l1"))

        assert (found["lent_sum"], found["owed"], found["owed_bags"]) == (Decimal(16180), Decimal(19093), 11)
        assert holds("loan_is_risky", found)

    @pytest.mark.parametrize(("lent", "burden"), [("4000", "safe"), ("16000", "risky"), ("99999", "lost")])
    def test_is_held_against_a_bad_and_a_usual_season(self, run, lent, burden):
        found = run("loan", known(loan_terms="l1", lent=lent))

        assert found["burden"] == burden
        assert ("owed_bags" in found) == (burden != "lost")


class TestSharedPacks:
    def test_of_two_half_acres_are_one_pack_of_inoculant(self, run):
        """Each alone: two bags of 5 kg at 575 and a pack at 350. Together: four bags and one pack."""
        found = run("shared_packs", known(acres=0.5, neighbours=2))

        assert (found["alone"], found["together"], found["saved"]) == (Decimal(3000), Decimal(2650), Decimal(350))

    def test_save_nothing_where_whole_packs_fit(self, run, holds):
        found = run("shared_packs", known(acres=2.5, neighbours=4))

        assert found["saved"] == 0
        assert not holds("sharing_saves", found)

    def test_inoculant_is_not_shared_where_sowing_outlasts_an_opened_pack(self, run):
        """Five acres take four days, an opened pack lives two; seed is four bags of 25 kg, and nothing is left."""
        assert run("shared_packs", known(acres=5, neighbours=2))["saved"] == 0

    @given(acres=st.floats(0.05, 20), neighbours=st.integers(2, 20))
    def test_never_cost_more_than_alone(self, run, acres, neighbours):
        found = run("shared_packs", known(acres=acres, neighbours=neighbours))

        assert 0 <= found["together"] <= found["alone"]
        assert found["saved"] == found["alone"] - found["together"]


def test_own_work_leaves_out_what_a_family_can_do_and_nothing_else(book):
    valley = book.programme.budgets[0]

    assert {line.key for line in valley.costs if line.who is Who.FAMILY} == {"plough", "weed", "thresh"}
    assert [line.key for line in valley.with_own_work.costs] == ["haul"]
