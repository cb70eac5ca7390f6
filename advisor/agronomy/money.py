"""Money: exact amounts, and rounding to the smallest coin that is always against whoever counts on the money.

A mass is measured and so a binary fraction, a price is agreed and so a decimal one. They meet here and nowhere
else: the mass to the milligram times the exact price. What is paid is rounded up to the coin and what is earned
down, so that a plan never promises a coin too much. Amounts are decimals in the programme's money.
"""

from __future__ import annotations

from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal

from advisor.agronomy.errors import OutOfRange
from advisor.agronomy.limits import ABOVE_SMALLEST, SMALLEST, within

#: Beyond it sums of coins would no longer be exact in the default context of 28 digits.
MOST_MONEY = Decimal(10) ** 12
#: More than any quantity at any price; in coins it has 26 digits, and the context has room for them.
_MOST_SUM = Decimal(10) ** 24
_SMALLEST_PRICE = Decimal(str(SMALLEST))
#: More of anything than a district can hold, in its own unit.
_MOST_QUANTITY = 1e12
_MILLIONTH = Decimal("0.000001")


def checked_money(name: str, amount: Decimal, least: Decimal = Decimal(0)) -> Decimal:
    """The amount, when it is finite and not below the least.

    Args:
        name: what the amount is.
        amount: the amount in the programme's money.
        least: smallest allowed amount.

    Returns:
        The amount.

    Raises:
        OutOfRange: it is below, too large to be exact, or no number.

    Source:
        Own choice.

    >>> checked_money("price", Decimal("12.50"))
    Decimal('12.50')
    """
    if not amount.is_finite() or not least <= amount <= MOST_MONEY:
        raise OutOfRange(name, amount, least, MOST_MONEY, "money")
    return amount


def checked_price(name: str, price: Decimal) -> Decimal:
    """The price, when it is above 0 by more than a speck.

    Args:
        name: what the price is for.
        price: the price in the programme's money.

    Returns:
        The price.

    Raises:
        OutOfRange: it is not above 1e-9, too large to be exact, or no number.

    Source:
        Own choice.

    >>> checked_price("price of grain", Decimal(40))
    Decimal('40')
    """
    if not price.is_finite() or not _SMALLEST_PRICE < price <= MOST_MONEY:
        raise OutOfRange(name, price, ABOVE_SMALLEST, MOST_MONEY, "money")
    return price


def worth(quantity: float, price: Decimal) -> Decimal:
    """What a quantity is worth, not rounded to a coin.

    Args:
        quantity: kilograms, square metres or whatever the price is for, 0 or more; it counts to a millionth.
        price: money for one; below 0 for a loss.

    Returns:
        The amount in the programme's money.

    Raises:
        OutOfRange: a quantity below 0, or a quantity or price that is too large or no number.

    Source:
        Arithmetic.

    >>> worth(0.1 + 0.2, Decimal(40))
    Decimal('12.000000')
    """
    within("quantity", quantity, 0, _MOST_QUANTITY, "1")
    return Decimal(quantity).quantize(_MILLIONTH) * checked_money("price", price, -MOST_MONEY)


def paid(amount: Decimal, decimals: int) -> Decimal:
    """An amount to pay, rounded up to the smallest coin.

    Args:
        amount: the amount in the programme's money.
        decimals: digits after the point in prices, 0 to 2.

    Returns:
        The amount in coins, never below ``amount``.

    Raises:
        OutOfRange: a currency with more or fewer decimals, or an amount too large for whole coins, or no number.

    Source:
        Own choice.

    >>> paid(Decimal("12.001"), 0), paid(Decimal("12.001"), 2), paid(Decimal("12.0000"), 0)
    (Decimal('13'), Decimal('12.01'), Decimal('12'))
    """
    return _summed(amount).quantize(_coin(decimals), ROUND_CEILING)


def earned(amount: Decimal, decimals: int) -> Decimal:
    """An amount to earn, rounded down to the smallest coin.

    Args:
        amount: the amount in the programme's money; below 0 for a loss.
        decimals: digits after the point in prices, 0 to 2.

    Returns:
        The amount in coins, never above ``amount``.

    Raises:
        OutOfRange: a currency with more or fewer decimals, or an amount too large for whole coins, or no number.

    Source:
        Own choice.

    >>> earned(Decimal("12.99"), 0), earned(Decimal("-12.01"), 0)
    (Decimal('12'), Decimal('-13'))
    """
    return _summed(amount).quantize(_coin(decimals), ROUND_FLOOR)


def split_by_share(amount: Decimal, shares: tuple[int, ...], decimals: int) -> tuple[Decimal, ...]:
    """A bill split by shares, in whole coins that add up to it.

    Each pays its share rounded down; the coins left go one each to the largest remainders, the first of equals.

    Args:
        amount: the bill, a whole number of coins, 0 or more.
        shares: grams or other whole numbers, 0 or more, at least one above 0.
        decimals: digits after the point in prices, 0 to 2.

    Returns:
        What each pays, in the order of the shares.

    Raises:
        OutOfRange: an amount or share below 0, or no share above 0.

    Source:
        Method of largest remainders (Hamilton).

    >>> split_by_share(Decimal(100), (1, 1, 1), 0)
    (Decimal('34'), Decimal('33'), Decimal('33'))
    """
    for share in shares:
        within("share", share, 0, _MOST_QUANTITY, "1")
    within("shares together", sum(shares), 1, _MOST_QUANTITY * 1000, "1")
    coin = _coin(decimals)
    coins = int(paid(checked_money("bill", amount), decimals) / coin)
    whole = [coins * share // sum(shares) for share in shares]
    left = [coins * share % sum(shares) for share in shares]
    for at in sorted(range(len(shares)), key=lambda at: -left[at])[: coins - sum(whole)]:
        whole[at] += 1
    return tuple(each * coin for each in whole)


def _summed(amount: Decimal) -> Decimal:
    if not amount.is_finite() or abs(amount) > _MOST_SUM:
        raise OutOfRange("amount", amount, -_MOST_SUM, _MOST_SUM, "money")
    return amount


def _coin(decimals: int) -> Decimal:
    return Decimal(1).scaleb(-int(within("decimals", decimals, 0, 2, "1")))
