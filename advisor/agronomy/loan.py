"""What a loan costs, told in kilograms of grain.

An instalment in money says little before harvest; in kilograms it can be held against the harvest of a bad
season. Interest is flat on what was lent, or counted on what is still owed, as the lender's terms say; instalments
are equal. Coins are rounded up, as a lender does, and kilograms too.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from advisor.agronomy.budget_figures import Interest, LoanTerms
from advisor.agronomy.errors import CannotBe
from advisor.agronomy.limits import whole_up, within
from advisor.agronomy.money import checked_money, checked_price, paid


@dataclass(frozen=True, slots=True)
class Repayment:
    """What is paid back.

    Args:
        instalment: money of each instalment.
        total: money of all instalments.
        interest: what the loan costs: the total less what was lent.
        instalment_kg: whole kilograms of grain to sell for each instalment.
        total_kg: kilograms for all of them.
    """

    instalment: Decimal
    total: Decimal
    interest: Decimal
    instalment_kg: int
    total_kg: int


def instalment(lent: Decimal, terms: LoanTerms) -> Decimal:
    """One of the equal instalments that pay a loan back, not rounded.

    Args:
        lent: what was lent, above 0.
        terms: the lender's terms.

    Returns:
        The instalment.

    Raises:
        OutOfRange: an amount or terms that cannot be.

    Source:
        Flat: interest of the whole time on what was lent. On balance: the annuity formula, one period between two
        instalments.

    >>> from advisor.agronomy.labels import Label
    >>> terms = LoanTerms("l", Label("l"), Interest.ON_BALANCE, 0.01, 1, 12)
    >>> round(instalment(Decimal(1000), terms), 2)
    Decimal('88.85')
    """
    checked_price("loan", lent)
    within("rate", terms.rate_per_month, 0, 1, "1/month")
    within("months between instalments", terms.months_apart, 1, 60, "month")
    times = int(within("instalments", terms.instalments, 1, 60, "1"))
    # In fractions, since a hair above a whole coin would be rounded up to one coin more.
    rate = Fraction(repr(terms.rate_per_month)) * terms.months_apart
    if terms.interest is Interest.FLAT or rate == 0:
        each = Fraction(lent) * (1 + rate * times) / times
    else:
        grown = (1 + rate) ** times
        each = Fraction(lent) * rate * grown / (grown - 1)
    return Decimal(each.numerator) / Decimal(each.denominator)


def repayment(lent: Decimal, terms: LoanTerms, price: Decimal, per_kg: Decimal, decimals: int) -> Repayment:
    """What a loan takes in money and in grain.

    Args:
        lent: what was lent, above 0.
        terms: the lender's terms.
        price: price of a kilogram at the farm gate, above 0.
        per_kg: what each kilogram costs to thresh, pack and carry, 0 or more.
        decimals: digits after the point in prices, 0 to 2.

    Returns:
        The repayment.

    Raises:
        OutOfRange: a value that cannot be.
        CannotBe: a kilogram that fetches no more than it costs pays nothing back.

    Source:
        As ``instalment``.

    >>> from advisor.agronomy.labels import Label
    >>> terms = LoanTerms("l", Label("l"), Interest.FLAT, 0.03, 6, 1)
    >>> owed = repayment(Decimal(5550), terms, Decimal(40), Decimal(3), 0)
    >>> owed.instalment, owed.interest, owed.instalment_kg
    (Decimal('6549'), Decimal('999'), 177)
    """
    left = checked_price("price of grain", price) - checked_money("cost of a kilogram", per_kg)
    if left <= 0:
        raise CannotBe(
            "grain_pays_nothing",
            f"grain for {price} a kilogram that costs {per_kg} to sell pays nothing back",
            "ask for a better price, or do not borrow for this crop",
        )
    each = paid(instalment(lent, terms), decimals)
    each_kg = whole_up(float(each / left))
    return Repayment(
        each, each * terms.instalments, each * terms.instalments - lent, each_kg, each_kg * terms.instalments
    )
