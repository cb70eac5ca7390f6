"""Money is exact, and rounding never promises a coin too much."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.agronomy.errors import OutOfRange
from advisor.agronomy.money import MOST_MONEY, checked_money, checked_price, earned, paid, split_by_share, worth

amounts = st.decimals("-1e9", "1e9", places=5)
decimals = st.integers(0, 2)


@given(amounts, decimals)
def test_what_is_paid_is_the_next_coin_up_and_what_is_earned_the_next_down(amount, places):
    coin = Decimal(1).scaleb(-places)

    assert 0 <= paid(amount, places) - amount < coin
    assert 0 <= amount - earned(amount, places) < coin
    assert paid(amount, places) % coin == earned(amount, places) % coin == 0


@given(st.integers(0, 10**9), st.integers(1, 10**6))
def test_a_worth_is_exact_to_the_milligram(milligrams, price):
    assert worth(milligrams / 10**6, Decimal(price)) == Fraction(milligrams, 10**6) * price


@given(st.integers(0, 10**7), st.lists(st.integers(0, 10**6), min_size=1, max_size=9), decimals)
def test_the_parts_of_a_bill_add_up_and_none_is_a_coin_off_its_share(coins, shares, places):
    coin = Decimal(1).scaleb(-places)
    bill = coins * coin
    if not any(shares):
        shares = [*shares, 1]

    parts = split_by_share(bill, tuple(shares), places)

    assert sum(parts) == bill
    for part, share in zip(parts, shares, strict=True):
        assert abs(Fraction(part) - Fraction(bill) * share / sum(shares)) < Fraction(coin)
        assert share > 0 or part == 0


def test_the_coins_that_are_left_go_to_the_largest_remainders_the_first_of_equals():
    """10 by elevenths: 4.55, 2.73 and 2.73; then 100 by thirds."""
    assert split_by_share(Decimal(10), (5, 3, 3), 0) == (4, 3, 3)
    assert split_by_share(Decimal("0.10"), (3, 5, 3), 2) == (Decimal("0.03"), Decimal("0.04"), Decimal("0.03"))
    assert split_by_share(Decimal(100), (1, 1, 1), 0) == (34, 33, 33)


@pytest.mark.parametrize("amount", [Decimal("-0.01"), Decimal("NaN"), Decimal("Infinity"), MOST_MONEY + 1])
def test_money_that_cannot_be_is_refused(amount):
    with pytest.raises(OutOfRange):
        checked_money("purse", amount)
    with pytest.raises(OutOfRange):
        checked_price("price", amount)


def test_nothing_is_money_and_no_price():
    assert checked_money("purse", Decimal(0)) == 0
    assert checked_money("purse", MOST_MONEY) == MOST_MONEY == checked_price("price", MOST_MONEY)
    with pytest.raises(OutOfRange) as refused:
        checked_price("price of grain", Decimal(0))
    assert (refused.value.name, refused.value.low, refused.value.unit) == ("price of grain", "above 1e-9", "money")


@pytest.mark.parametrize("quantity", [-0.001, float("nan"), float("inf")])
def test_a_quantity_that_cannot_be_is_worth_nothing_but_an_error(quantity):
    with pytest.raises(OutOfRange):
        worth(quantity, Decimal(1))


@pytest.mark.parametrize(("shares", "places"), [((), 0), ((0, 0), 0), ((-1, 2), 0), ((1,), 3), ((1,), -1)])
def test_shares_and_coins_that_cannot_be_are_refused(shares, places):
    with pytest.raises(OutOfRange):
        split_by_share(Decimal(10), shares, places)
