"""The cheapest packs, proven against trying every combination."""

from __future__ import annotations

from decimal import Decimal
from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.agronomy.errors import CannotBe, MissingFigure, OutOfRange
from advisor.agronomy.packs import Pack, cheapest_purchase, most_packs
from tests.laws import examples

packs = st.builds(Pack, st.integers(1, 30), st.integers(1, 40).map(lambda cents: Decimal(cents) / 4))
dealers = st.lists(packs, min_size=1, max_size=3)


def by_brute_force(offered, quantity, shares):
    """Cost, packs and content of the best of every combination that can matter."""
    counts = [range(max(shares, -(-quantity // pack.size)) + 1) for pack in offered]
    covering = [
        (
            sum((pack.price * count for pack, count in zip(offered, bought, strict=True)), Decimal(0)),
            sum(bought),
            sum(pack.size * count for pack, count in zip(offered, bought, strict=True)),
        )
        for bought in product(*counts)
        if sum(min(pack.size * shares, quantity) * count for pack, count in zip(offered, bought, strict=True))
        >= quantity * shares
    ]
    return min(covering)


def worth(purchase, quantity):
    return purchase.cost, sum(count for _, count in purchase.lines), quantity + purchase.surplus


@examples(300)
@given(dealers, st.integers(0, 60))
def test_no_combination_is_cheaper_or_as_cheap_with_fewer_packs_or_less_surplus(offered, quantity):
    bought = cheapest_purchase(offered, quantity)

    assert worth(bought, quantity) == by_brute_force(offered, quantity, shares=1)


@examples(200)
@given(dealers, st.integers(1, 40), st.integers(1, 4))
def test_packs_that_must_be_fresh_for_each_share_are_cheapest_too(offered, quantity, shares):
    bought = cheapest_purchase(offered, quantity, shares)

    assert worth(bought, quantity) == by_brute_force(offered, quantity, shares)


@given(dealers, st.integers(0, 500))
def test_a_purchase_covers_the_need_and_its_sums_are_right(offered, quantity):
    bought = cheapest_purchase(offered, quantity)

    assert sum(pack.size * count for pack, count in bought.lines) == quantity + bought.surplus
    assert sum(pack.price * count for pack, count in bought.lines) == bought.cost
    assert bought.surplus >= 0
    assert all(count > 0 for _, count in bought.lines)
    assert [pack.size for pack, _ in bought.lines] == sorted((pack.size for pack, _ in bought.lines), reverse=True)


@given(dealers, st.integers(0, 300), st.integers(0, 300))
def test_more_is_never_cheaper(offered, one, other):
    less, more = sorted((one, other))

    assert cheapest_purchase(offered, less).cost <= cheapest_purchase(offered, more).cost


@given(st.lists(packs, min_size=1, max_size=3, unique=True), st.integers(0, 200))
def test_the_most_of_each_pack_is_reached_and_never_passed(offered, most):
    purchases = [dict(cheapest_purchase(offered, quantity).lines) for quantity in range(most + 1)]
    reached = [(pack, max(bought.get(pack, 0) for bought in purchases)) for pack in offered]

    assert list(most_packs(offered, most)) == reached


def test_on_a_tie_the_fewest_packs_are_bought():
    small, large = Pack(1000, Decimal(100)), Pack(2000, Decimal(200))

    assert cheapest_purchase([small, large], 2000).lines == ((large, 1),)


def test_on_a_tie_of_packs_too_the_least_surplus_is_bought():
    near, far = Pack(1000, Decimal(100)), Pack(1500, Decimal(100))

    assert cheapest_purchase([far, near], 900).lines == ((near, 1),)


def test_nothing_is_bought_for_nothing():
    bought = cheapest_purchase([Pack(1000, Decimal(100))], 0)

    assert (bought.lines, bought.cost, bought.surplus) == ((), 0, 0)


@pytest.mark.parametrize("price", ["0", "-5", "NaN", "Infinity"])
def test_a_price_that_no_dealer_asks_is_refused(price):
    with pytest.raises(CannotBe, match="give the dealer's price, above 1e-9"):
        Pack(1000, Decimal(price))


def test_an_empty_pack_is_refused():
    with pytest.raises(CannotBe, match="holds nothing"):
        Pack(0, Decimal(5))


def test_a_dealer_without_packs_is_refused():
    with pytest.raises(MissingFigure, match="add at least one pack"):
        cheapest_purchase([], 5)


@pytest.mark.parametrize(("quantity", "shares"), [(-1, 1), (5, 0)])
def test_quantities_that_cannot_be_are_refused(quantity, shares):
    with pytest.raises(OutOfRange):
        cheapest_purchase([Pack(1, Decimal(1))], quantity, shares)
