"""A purse that is too small: the order in which things go, and the best buy against trying every one."""

from __future__ import annotations

from decimal import Decimal
from math import ceil

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.agronomy.budget_figures import Budget, CostLine, Per
from advisor.agronomy.errors import OutOfRange
from advisor.agronomy.labels import Label
from advisor.agronomy.money import worth
from advisor.agronomy.purse import P_PARTS, Gone, Package, purse_plan
from advisor.agronomy.season_money import season_cost
from tests.laws import examples

FIELD_M2 = 10_000.0


def budget(price=40, half=0.9, none=0.7, per_kg=3, per_field=200, per_ha=2000, per_acre=0):
    lines = ((Per.KG, per_kg), (Per.FIELD, per_field), (Per.HECTARE, per_ha), (Per.ACRE, per_acre))
    costs = tuple(CostLine(per, Label(per), Decimal(amount), per) for per, amount in lines if amount)
    return Budget("z", "x", 500, 1000, 1500, None, half, none, Decimal(price), costs, 2)


def bags(seed_price, p_price, bag_m2):
    """Seed by the square metre, and phosphorus in whole bags."""
    return lambda area_m2, p_part: Decimal(ceil(area_m2 * seed_price)) + p_price * ceil(area_m2 * p_part / bag_m2)


CHEAP = bags(0.5, 1000, 2500)  # 5,000 of seed and inoculant, 4,000 of phosphorus
budgets = st.builds(
    budget,
    price=st.integers(1, 60),
    half=st.floats(0.7, 1),
    none=st.floats(0, 0.7),
    per_kg=st.integers(0, 9),
    per_field=st.integers(0, 900),
    per_ha=st.integers(0, 9000),
    per_acre=st.integers(0, 3000),
)
costs = st.builds(bags, st.floats(0.01, 1), st.integers(0, 3000), st.floats(500, 12_000))
purses = st.integers(0, 30_000).map(Decimal)


class TestTheOrder:
    @pytest.mark.parametrize(
        ("purse", "gone", "area_m2", "p_part", "cost"),
        [
            (9000, [Gone.NOTHING], 10_000, 1.0, 9000),
            (8999, [Gone.NOTHING, Gone.HALF_P], 10_000, 0.5, 7000),
            (7000, [Gone.NOTHING, Gone.HALF_P], 10_000, 0.5, 7000),
            (6999, [Gone.NOTHING, Gone.HALF_P, Gone.ALL_P], 10_000, 0.0, 5000),
            (5000, [Gone.NOTHING, Gone.HALF_P, Gone.ALL_P], 10_000, 0.0, 5000),
            (4999, [Gone.NOTHING, Gone.HALF_P, Gone.ALL_P, Gone.AREA], 5000, 1.0, 4500),
        ],
    )
    def test_is_half_the_phosphorus_then_all_of_it_then_area_with_the_full_package(
        self, purse, gone, area_m2, p_part, cost
    ):
        plan = purse_plan(budget(), FIELD_M2, Decimal(purse), CHEAP)

        assert [step.gone for step in plan.steps] == gone
        assert plan.chosen is plan.steps[-1]
        assert plan.chosen.package.area_m2 == area_m2
        assert plan.chosen.package.p_part == p_part
        assert plan.chosen.package.cost == cost
        assert plan.short == max(0, 9000 - purse)

    def test_tells_what_each_step_costs_in_harvest(self):
        plan = purse_plan(budget(half=0.9, none=0.7), FIELD_M2, Decimal(4999), CHEAP)

        assert [round(step.lost_kg) for step in plan.steps] == [0, 100, 300, 500]

    def test_leaves_area_without_phosphorus_where_no_part_can_have_it(self):
        plan = purse_plan(budget(), FIELD_M2, Decimal(1000), CHEAP)

        assert (plan.chosen.gone, plan.chosen.package.p_part, plan.chosen.package.area_m2) == (
            Gone.AREA,
            0.0,
            2000,
        )

    def test_leaves_nine_parts_of_ten_where_one_coin_is_wanting(self):
        plan = purse_plan(budget(), FIELD_M2, Decimal(4999), bags(0.5, 0, 2500))

        assert (plan.chosen.gone, plan.chosen.package.p_part, plan.chosen.package.area_m2) == (
            Gone.AREA,
            1.0,
            9000,
        )

    def test_ends_with_nothing_where_the_purse_buys_no_part(self):
        plan = purse_plan(budget(), FIELD_M2, Decimal(0), CHEAP)

        assert plan.chosen is None
        assert plan.best is None
        assert [step.fits for step in plan.steps] == [False] * 3

    @given(budgets, costs, purses)
    def test_never_passes_the_purse_and_loses_more_at_each_step_of_phosphorus(self, prices, cost, purse):
        plan = purse_plan(prices, FIELD_M2, purse, cost)

        assert [step.fits for step in plan.steps[:-1]] == [False] * (len(plan.steps) - 1)
        assert all(step.fits == (step.package.cost <= purse) for step in plan.steps)
        lost = [step.lost_kg for step in plan.steps if step.gone is not Gone.AREA]
        assert lost == sorted(lost)
        assert lost[0] == 0

    @given(costs, purses, purses)
    def test_never_sows_less_for_a_fuller_purse(self, cost, one, other):
        poor, rich = (purse_plan(budget(), FIELD_M2, purse, cost).steps[-1] for purse in sorted((one, other)))

        assert list(Gone).index(rich.gone) <= list(Gone).index(poor.gone) or not poor.fits


class TestTheBestBuy:
    @examples(200)
    @given(budgets, costs, purses, st.integers(1, 30))
    def test_is_better_than_every_other_part_of_field_and_phosphorus(self, prices, cost, purse, parts):
        def margin(count, p_part):
            area_m2 = FIELD_M2 * count / parts
            harvest_kg = (
                1000 * {1.0: 1.0, 0.5: prices.part_half_p, 0.0: prices.part_no_p}[p_part] * area_m2 / 10_000
            )
            season = season_cost(prices, area_m2, cost(area_m2, p_part))
            return worth(harvest_kg, prices.grain_price - season.per_kg) - season.before_harvest

        tried = [
            margin(count, p_part)
            for count in range(1, parts + 1)
            for p_part in P_PARTS
            if cost(FIELD_M2 * count / parts, p_part) <= purse
        ]

        best = purse_plan(prices, FIELD_M2, purse, cost, parts).best

        if best is None:
            assert max(tried, default=Decimal(0)) <= Decimal("0.02")
        else:
            assert best.cost <= purse
            assert float(best.margin) == pytest.approx(float(max(tried)), abs=0.02)

    def test_may_be_less_phosphorus_on_more_land_than_the_order_takes(self):
        plan = purse_plan(budget(half=0.95, none=0.9), FIELD_M2, Decimal(4999), CHEAP)

        assert plan.chosen.package.p_part == 1.0
        assert (plan.best.p_part, plan.best.area_m2) == (0.0, 9000)
        assert plan.best.margin > plan.chosen.package.margin

    def test_is_taken_for_the_smallest_margin_above_nothing(self):
        """1,000 kg at 9 leave half a coin more than inputs for 8,999.5."""
        plain = budget(price=9, per_kg=0, per_field=0, per_ha=0, half=0, none=0)

        assert purse_plan(plain, FIELD_M2, Decimal(9000), lambda *_: Decimal("8999.5")).best.margin == Decimal(
            "0.5"
        )
        assert purse_plan(plain, FIELD_M2, Decimal(9000), lambda *_: Decimal(9000)).best is None

    def test_is_the_whole_field_where_it_costs_nothing_and_nothing_is_in_the_purse(self):
        best = purse_plan(budget(), FIELD_M2, Decimal(0), lambda *_: Decimal(0)).best

        assert (best.area_m2, best.p_part, best.cost) == (FIELD_M2, 1.0, 0)

    def test_asks_what_a_part_of_the_field_costs_once_and_no_more(self):
        asked = []

        def cost(area_m2, p_part):
            asked.append((area_m2, p_part))
            return CHEAP(area_m2, p_part)

        purse_plan(budget(), FIELD_M2, Decimal(4999), cost)

        assert len(asked) == len(set(asked))

    def test_of_a_part_of_the_field_pays_for_that_part_and_for_the_field_once(self):
        """Half of 1,000 kg at 40 less 3; 4,500 for inputs, 200 for the field, half of 2,000 a hectare."""
        assert purse_plan(budget(), FIELD_M2, Decimal(4999), CHEAP).chosen.package == Package(
            5000, 1.0, Decimal(4500), 500, Decimal(18_500 - 4500 - 200 - 1000)
        )

    def test_may_take_all_that_is_in_the_purse(self):
        plan = purse_plan(budget(), FIELD_M2, Decimal(9000), CHEAP)

        assert plan.best == plan.chosen.package == Package(10_000, 1.0, Decimal(9000), 1000, Decimal(25_800))

    def test_pays_by_the_acre_by_the_hectare_and_by_the_field(self):
        """1,000 kg at 40 less 3; 9,000 for inputs; 200 for the field, 2,000 a hectare, 1,000 an acre."""
        plan = purse_plan(budget(per_acre=1000), FIELD_M2, Decimal(9000), CHEAP)

        assert float(plan.chosen.package.margin) == pytest.approx(
            37_000 - 9000 - 200 - 2000 - 1000 / 0.40468564224
        )

    def test_is_to_sow_nothing_where_grain_is_worth_nothing(self):
        assert purse_plan(budget(price=3), FIELD_M2, Decimal(9000), CHEAP).best is None


class TestABound:
    @examples(200)
    @given(budgets, costs, purses, st.integers(1, 30), st.floats(0, 1))
    def test_changes_nothing_that_is_found(self, prices, cost, purse, parts, tight):
        def least(area_m2, p_part):
            return float(cost(area_m2, p_part)) * tight

        assert purse_plan(prices, FIELD_M2, purse, cost, parts, least) == purse_plan(
            prices, FIELD_M2, purse, cost, parts
        )

    def test_spares_most_of_the_asking(self):
        asked = []

        def cost(area_m2, p_part):
            asked.append((area_m2, p_part))
            return CHEAP(area_m2, p_part)

        purse_plan(budget(), FIELD_M2, Decimal(4999), cost, 100, lambda *of: float(CHEAP(*of)))

        assert len(asked) < 20


class TestWhatCannotBe:
    @pytest.mark.parametrize(
        ("area_m2", "purse", "parts"),
        [(0, 1, 10), (FIELD_M2, -1, 10), (FIELD_M2, "NaN", 10), (FIELD_M2, 1, 0), (FIELD_M2, 1, 1001)],
    )
    def test_is_refused(self, area_m2, purse, parts):
        with pytest.raises(OutOfRange):
            purse_plan(budget(), area_m2, Decimal(purse), CHEAP, parts)

    def test_is_inputs_that_cost_less_for_more(self):
        with pytest.raises(OutOfRange, match="cost of a part of the package"):
            purse_plan(budget(), FIELD_M2, Decimal(1), lambda area_m2, p_part: Decimal(10) - Decimal(p_part))
