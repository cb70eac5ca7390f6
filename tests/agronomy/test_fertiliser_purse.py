"""Fertiliser for a small purse, and few kinds of it: against every choice of few kinds, and by its own rules."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from itertools import combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.agronomy.errors import CannotBe, OutOfRange
from advisor.agronomy.fertiliser_choice import choose_fertiliser
from advisor.agronomy.fertiliser_figures import FertiliserProduct
from advisor.agronomy.fertiliser_need import Need
from advisor.agronomy.fertiliser_purse import choose_few, dressing_for_purse
from advisor.agronomy.grades import Grade
from advisor.agronomy.labels import Label
from advisor.agronomy.nutrients import K2O, P2O5, N
from advisor.agronomy.packs import Pack
from tests.laws import examples

HECTARE_M2 = 10_000


def product(key, grade, kg, price):
    return FertiliserProduct(key, Label(key), Grade(*grade), 1.0, (Pack(kg * 1000, Decimal(price)),), None)


#: A list of which four kinds are the cheapest for some needs.
MANY = (
    product("a", (18, 46, 0), 50, 5200),
    product("b", (0, 46, 0), 10, 1200),
    product("c", (0, 18, 0), 5, 240),
    product("d", (0, 0, 60), 10, 800),
    product("e", (12, 24, 12), 25, 2000),
)


class TestFewKinds:
    @examples(60)
    @given(st.integers(1, 60), st.integers(0, 30), st.integers(0, 25), st.floats(0.1, 1.5))
    def test_no_purchase_of_three_kinds_is_cheaper(self, p, k, n, hectares):
        need, costs = Need(P2O5(p), K2O(k), N(n)), []
        for few in combinations(MANY, 3):
            try:
                costs.append(choose_fertiliser(few, need, hectares * HECTARE_M2, 0).cost)
            except CannotBe:
                continue
        chosen = choose_few(MANY, need, hectares * HECTARE_M2, 0)

        assert len(chosen.lines) <= 3
        assert chosen.cost == min(costs)

    def test_where_the_cheapest_has_more_kinds_another_is_taken(self):
        pairs = [
            (choose_few(MANY, need, HECTARE_M2, 0), choose_fertiliser(MANY, need, HECTARE_M2, 0))
            for p in range(20, 61)
            for need in (Need(P2O5(p), K2O(10), N(10)),)
        ]
        more = [(few, cheapest) for few, cheapest in pairs if len(cheapest.lines) > 3]

        assert more
        assert all(len(few.lines) == 3 and few.cost >= cheapest.cost for few, cheapest in more)
        assert any(few.cost > cheapest.cost for few, cheapest in more)

    def test_fewer_than_three_are_refused_since_they_may_not_do(self):
        with pytest.raises(OutOfRange):
            choose_few(MANY, Need(P2O5(46), K2O(20), N(5)), HECTARE_M2, 0, kinds=2)


class TestASmallPurse:
    @examples(60)
    @given(st.integers(0, 12_000), st.integers(1, 20))
    def test_buys_the_first_of_its_steps_that_it_pays_for(self, programme, purse, parts):
        products = programme.fertilising.products
        need = Need(P2O5(46), K2O(0), N(20))
        half = replace(need, p2o5=P2O5(23))
        found = dressing_for_purse(products, need, HECTARE_M2, 0, Decimal(purse), parts)

        whole = choose_fertiliser(products, need, HECTARE_M2, 0).cost
        if whole <= purse:
            assert (found.area_m2, found.p_part, found.choice.cost) == (HECTARE_M2, 1, whole)
            return
        costs = [
            choose_fertiliser(products, half, HECTARE_M2 * count / parts, 0).cost for count in range(1, parts + 1)
        ]
        paid = [count for count, cost in enumerate(costs, 1) if cost <= purse]
        if not paid:
            assert found is None
            return
        assert (found.p_part, found.whole) == (0.5, whole)
        assert found.area_m2 == pytest.approx(HECTARE_M2 * paid[-1] / parts)
        assert found.choice.cost == costs[paid[-1] - 1]

    @pytest.mark.parametrize("parts", [0, 1001])
    def test_parts_that_cannot_be_are_refused(self, programme, parts):
        need = Need(P2O5(46), K2O(0), N(20))
        with pytest.raises(OutOfRange, match="parts of the field"):
            dressing_for_purse(programme.fertilising.products, need, HECTARE_M2, 0, Decimal(1), parts)
