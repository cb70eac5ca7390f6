"""Break-even, margins, the chance of a loss, and what inputs are worth."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import triang

from advisor.agronomy.budget_figures import Budget, CostLine, Interest, LoanTerms, Per, budget_of
from advisor.agronomy.errors import CannotBe, MissingFigure, OutOfRange
from advisor.agronomy.labels import Label
from advisor.agronomy.loan import instalment, repayment
from advisor.agronomy.season_money import (
    SeasonCost,
    break_even_kg,
    break_even_price,
    chance_below,
    input_worth,
    outcome,
    season_cost,
    season_money,
    value_cost_ratio,
)
from advisor.agronomy.units import ACRE_M2, HECTARE_M2

LINES = tuple(
    CostLine(per, Label(per), Decimal(amount), per)
    for per, amount in ((Per.FIELD, 200), (Per.ACRE, 1200), (Per.HECTARE, 500), (Per.KG, 3))
)
BUDGET = Budget("z", "x", 500, 1000, 1500, 2200, 0.9, 0.7, Decimal(40), LINES, 2)

money = st.integers(0, 10**6).map(Decimal)
prices = st.integers(1, 10**4).map(lambda coins: Decimal(coins) / 100)
harvests = st.integers(0, 10**6).map(lambda grams: grams / 1000)
fields = st.floats(100, 100_000)


class TestCosts:
    def test_are_paid_for_the_field_the_acre_the_hectare_and_the_kilogram(self):
        cost = season_cost(BUDGET, 2 * HECTARE_M2, Decimal(5000))

        assert cost.per_kg == 3
        assert float(cost.before_harvest) == pytest.approx(
            5000 + 200 + 1200 * 2 * HECTARE_M2 / ACRE_M2 + 1000, abs=1
        )

    @given(fields, fields, money)
    def test_never_fall_with_area(self, one, other, inputs):
        small, large = sorted((one, other))

        assert (
            season_cost(BUDGET, small, inputs).before_harvest <= season_cost(BUDGET, large, inputs).before_harvest
        )

    @pytest.mark.parametrize(("area_m2", "inputs"), [(0, Decimal(1)), (1, Decimal(-1)), (1, Decimal("NaN"))])
    def test_that_cannot_be_are_refused(self, area_m2, inputs):
        with pytest.raises(OutOfRange):
            season_cost(BUDGET, area_m2, inputs)


class TestTheBreakEven:
    @given(money, prices, st.integers(0, 20).map(Decimal))
    def test_harvest_just_pays_and_a_gram_less_does_not(self, before, price, per_kg):
        even = break_even_kg(SeasonCost(before, per_kg), price)

        if price <= per_kg:
            assert even is None
            return
        assert even is not None
        left, grams = Fraction(price) - Fraction(per_kg), Fraction(round(even * 1000), 1000)
        assert grams * left >= Fraction(before) - Fraction(1, 10**6)
        assert before == 0 or (grams - Fraction(1, 1000)) * left < Fraction(before)

    @given(money, harvests, st.integers(0, 20).map(Decimal))
    def test_price_just_pays_and_a_coin_less_does_not(self, before, harvest_kg, per_kg):
        cost = SeasonCost(before, per_kg)
        price = break_even_price(cost, harvest_kg, 2)

        if harvest_kg == 0:
            assert price is None
            return
        grain = Fraction(round(harvest_kg * 1000), 1000)
        assert price is not None
        assert grain * (Fraction(price) - Fraction(per_kg)) >= Fraction(before)
        assert grain * (Fraction(price) - Fraction(1, 100) - Fraction(per_kg)) < Fraction(before)

    def test_of_grain_that_costs_what_it_fetches_is_never_reached(self):
        worthless = replace(BUDGET, grain_price=Decimal(3))
        season = season_money(worthless, HECTARE_M2, Decimal(1000), 0)

        assert (season.break_even_kg, season.break_even_kg_per_ha, season.chance_of_loss) == (None, None, 1.0)


class TestAnOutcome:
    @given(money, harvests, prices)
    def test_never_promises_a_coin_too_much(self, before, harvest_kg, price):
        told = outcome(SeasonCost(before, Decimal(3)), harvest_kg, price, 0)
        grain = Fraction(round(harvest_kg * 1000), 1000)
        exact = grain * Fraction(price) - Fraction(before) - 3 * grain

        assert exact - 2 < Fraction(told.margin) <= exact
        assert told.income - told.cost == told.margin

    @pytest.mark.parametrize(
        ("harvest_kg", "price"), [(-1, Decimal(1)), (1, Decimal(0)), (float("nan"), Decimal(1))]
    )
    def test_that_cannot_be_is_refused(self, harvest_kg, price):
        with pytest.raises(OutOfRange):
            outcome(SeasonCost(Decimal(1), Decimal(0)), harvest_kg, price, 0)


class TestTheChanceOfALoss:
    """Against the triangular distribution of SciPy, an independent program."""

    @given(st.floats(0, 1000), st.floats(0, 1), st.floats(1, 1000), st.floats(-100, 2100))
    def test_is_the_triangular_distribution(self, low, peak, width, value):
        expected = triang.cdf(value, peak, loc=low, scale=width)

        assert chance_below(value, low, low + peak * width, low + width) == pytest.approx(expected, abs=1e-9)

    @given(st.floats(0, 1000), st.floats(0, 1000))
    def test_never_falls_as_more_must_be_harvested(self, one, other):
        less, more = sorted((one, other))

        assert 0 <= chance_below(less, 200, 400, 650) <= chance_below(more, 200, 400, 650) <= 1

    def test_of_a_harvest_without_a_range_is_nothing_or_all(self):
        assert [chance_below(value, 400, 400, 400) for value in (399, 400, 401)] == [0, 0, 1]
        assert chance_below(300, 200, 200, 400) == 0.75
        assert chance_below(300, 200, 400, 400) == 0.25

    def test_of_a_harvest_next_to_nothing_is_still_a_chance(self):
        assert chance_below(5e-201, 0, 1e-200, 1e-200) == 0.25
        assert chance_below(5e-201, 0, 0, 1e-200) == 0.75

    @pytest.mark.parametrize("shape", [(200, 100, 300), (200, 400, 300), (300, 250, 200), (float("nan"), 1, 2)])
    def test_of_a_range_that_cannot_be_is_refused(self, shape):
        with pytest.raises(OutOfRange):
            chance_below(250, *shape)


class TestASeason:
    @given(fields, money, st.floats(0, 1))
    def test_is_even_at_its_break_even_harvest(self, area_m2, inputs, part):
        season = season_money(BUDGET, area_m2, inputs, 0, part)

        assert season.break_even_kg is not None
        at_even = outcome(season_cost(BUDGET, area_m2, inputs), season.break_even_kg, BUDGET.grain_price, 2)
        assert -0.02 <= at_even.margin <= 0.05
        assert season.break_even_kg_per_ha == pytest.approx(season.break_even_kg / area_m2 * HECTARE_M2)
        assert season.low.harvest_kg <= season.middle.harvest_kg <= season.high.harvest_kg
        assert season.low.margin <= season.middle.margin <= season.high.margin
        if season.chance_of_loss == 0:
            assert season.low.margin >= -2
        if season.low.margin >= 0:
            assert season.chance_of_loss <= 1e-9

    def test_harvests_by_the_hectare(self):
        season = season_money(BUDGET, 2 * HECTARE_M2, Decimal(1000), 0, 0.5)

        assert [each.harvest_kg for each in (season.low, season.middle, season.high)] == [500, 1000, 1500]
        assert season.demonstration_kg == 4400

    @given(fields, money, money)
    def test_that_costs_more_loses_no_less_often(self, area_m2, one, other):
        cheap, dear = (season_money(BUDGET, area_m2, inputs, 0) for inputs in sorted((one, other)))

        assert cheap.chance_of_loss <= dear.chance_of_loss
        assert cheap.break_even_kg <= dear.break_even_kg
        assert cheap.middle.margin >= dear.middle.margin

    def test_never_counts_on_a_demonstration_yield(self, programme):
        """Common practice, no source: 800 to 1,000 kg an acre is what demonstrations show."""
        with_it = season_money(BUDGET, HECTARE_M2, Decimal(1000), 0)
        without = season_money(replace(BUDGET, demonstration=None), HECTARE_M2, Decimal(1000), 0)

        assert replace(with_it, demonstration_kg=None) == without
        assert with_it.demonstration_kg == 2200
        for budget in programme.budgets:
            assert budget.harvest_high * ACRE_M2 / HECTARE_M2 < 800 <= budget.demonstration * ACRE_M2 / HECTARE_M2

    @pytest.mark.parametrize("part", [-0.1, 1.1])
    def test_of_a_part_that_cannot_be_is_refused(self, part):
        with pytest.raises(OutOfRange):
            season_money(BUDGET, HECTARE_M2, Decimal(1), 0, part)


class TestValueAndCost:
    @given(harvests, harvests, prices, prices)
    def test_of_an_input_is_what_it_adds_for_each_coin(self, with_kg, without_kg, price, cost):
        ratio = value_cost_ratio(with_kg, without_kg, price, cost)

        assert ratio == pytest.approx(float((Decimal(with_kg) - Decimal(without_kg)) * price / cost), abs=1e-6)
        assert (ratio >= 1) == (ratio * float(cost) >= float(cost))

    def test_at_the_margin_is_not_that_of_the_whole(self):
        """Kamara and others 2011: the second 20 kg of P adds half of what the first does."""
        told = input_worth((2371.5, 1941.0, 1057.2), Decimal(1), (Decimal("254.6"), Decimal("509.2")), 2)

        assert (round(told.at_the_margin, 2), round(told.of_the_whole, 2), told.enough) == (1.69, 2.58, False)

    def test_is_enough_from_the_ratio_on(self):
        assert input_worth((300, 100, 0), Decimal(1), (Decimal(100), Decimal(150)), 2).enough
        assert not input_worth((299.9, 100, 0), Decimal(1), (Decimal(100), Decimal(150)), 2).enough
        assert value_cost_ratio(90, 100, Decimal(1), Decimal(5)) == -2

    def test_that_cannot_be_is_refused(self):
        with pytest.raises(OutOfRange):
            value_cost_ratio(1, 0, Decimal(1), Decimal(0))
        with pytest.raises(OutOfRange):
            value_cost_ratio(-1, 0, Decimal(1), Decimal(1))
        with pytest.raises(OutOfRange):
            input_worth((3, 2, 1), Decimal(1), (Decimal(1), Decimal(1)), 0.9)
        with pytest.raises(CannotBe, match="whole package"):
            input_worth((3, 2, 1), Decimal(1), (Decimal(2), Decimal(1)), 2)


def terms(interest, rate, apart, times):
    return LoanTerms("l", Label("l"), interest, rate, apart, times)


class TestALoan:
    @given(st.integers(1, 10**6).map(Decimal), st.integers(0, 100), st.integers(1, 12), st.integers(1, 24))
    def test_on_the_balance_is_paid_off_by_its_instalments(self, lent, thousandths, apart, times):
        """Followed period by period: interest is added, an instalment is taken off, and nothing is left."""
        each = instalment(lent, terms(Interest.ON_BALANCE, thousandths / 1000, apart, times))
        owed = Fraction(lent)
        for _ in range(times):
            owed = owed * (1 + Fraction(thousandths, 1000) * apart) - Fraction(each)

        grown = (1 + Fraction(thousandths, 1000) * apart) ** times
        assert abs(owed) < Fraction(lent) * grown / 10**20

    @given(st.integers(1, 10**6).map(Decimal), st.integers(0, 1000), st.integers(1, 12))
    def test_in_one_instalment_is_paid_back_to_the_coin_by_both_ways_of_counting(self, lent, thousandths, apart):
        """A hair above a whole coin would be rounded up to one coin more."""
        exact = lent + lent * thousandths * apart / 1000

        for kind in Interest:
            assert instalment(lent, terms(kind, thousandths / 1000, apart, 1)) == exact

    def test_at_next_to_no_interest_is_parted_evenly(self):
        for kind in Interest:
            assert instalment(Decimal(90), terms(kind, 1e-300, 1, 3)) == 30

    @given(st.integers(1, 10**6).map(Decimal), st.integers(0, 100), st.integers(1, 12), st.integers(1, 24))
    def test_at_a_flat_rate_is_never_cheaper_than_on_the_balance(self, lent, thousandths, apart, times):
        flat, balance = (instalment(lent, terms(kind, thousandths / 1000, apart, times)) for kind in Interest)

        assert flat * times == pytest.approx(lent * (1 + Decimal(thousandths) / 1000 * apart * times))
        assert flat >= balance - Decimal("1e-9")
        if times == 1:
            assert flat == pytest.approx(balance)

    @given(st.integers(1, 10**6).map(Decimal), st.integers(4, 100).map(Decimal))
    def test_is_told_in_enough_whole_kilograms(self, lent, price):
        owed = repayment(lent, terms(Interest.FLAT, 0.03, 6, 2), price, Decimal(3), 0)

        assert owed.instalment_kg * (price - 3) >= owed.instalment > (owed.instalment_kg - 1) * (price - 3)
        assert owed.total == owed.instalment * 2 == lent + owed.interest
        assert owed.total_kg == 2 * owed.instalment_kg
        assert owed.interest > 0

    def test_cannot_be_paid_with_grain_that_fetches_no_more_than_it_costs(self):
        with pytest.raises(CannotBe, match="do not borrow"):
            repayment(Decimal(100), terms(Interest.FLAT, 0, 1, 1), Decimal(3), Decimal(3), 0)

    @pytest.mark.parametrize(
        ("lent", "rate", "apart", "times"),
        [(0, 0.1, 1, 1), (1, -0.1, 1, 1), (1, 1.1, 1, 1), (1, 0.1, 0, 1), (1, 0.1, 1, 0), (1, 0.1, 1, 61)],
    )
    def test_of_terms_that_cannot_be_is_refused(self, lent, rate, apart, times):
        with pytest.raises(OutOfRange):
            instalment(Decimal(lent), terms(Interest.ON_BALANCE, rate, apart, times))


class TestTheFigures:
    def test_of_a_zone_are_found_and_missed(self, programme, crop):
        assert budget_of(programme.budgets, crop.key, "hills").zone == "hills"
        assert programme.share_most == 4
        assert programme.seed(crop.key).scoop.size == 1000
        with pytest.raises(MissingFigure, match=r"add a .*budgets"):
            budget_of(programme.budgets, crop.key, "coast")
