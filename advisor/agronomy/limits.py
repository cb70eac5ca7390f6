"""Limits that every formula checks before it computes, and the one way of rounding up."""

from __future__ import annotations

from math import ceil, inf

from advisor.agronomy.errors import OutOfRange

#: Binary fractions put 2.5 acres of a 20 kg rate a hair above or below 50 kg; nobody buys a bag for that hair.
_DECIMALS = 6


def within(name: str, value: float, low: float, high: float, unit: str) -> float:
    """The value, when it lies between two limits, both allowed.

    Raises:
        OutOfRange: it does not, or it is not a number.

    >>> within("sorting loss", 0.1, 0.0, 0.9, "1")
    0.1
    """
    if not low <= value <= high:
        raise OutOfRange(name, value, low, high, unit)
    return value


def above_zero(name: str, value: float, unit: str) -> float:
    """The value, when it is finite and above zero.

    Raises:
        OutOfRange: it is not.

    >>> above_zero("area", 4046.8564224, "m2")
    4046.8564224
    """
    if not 0 < value < inf:
        raise OutOfRange(name, value, "above 0", "any finite number", unit)
    return value


def share(name: str, value: float) -> float:
    """The value, when it is above 0 and at most 1.

    Raises:
        OutOfRange: it is not.

    >>> share("germination", 0.85)
    0.85
    """
    if not 0 < value <= 1:
        raise OutOfRange(name, value, "above 0", 1, "1")
    return value


def whole_up(value: float) -> int:
    """The next whole number, unless the value is above one by no more than the noise of binary fractions.

    >>> whole_up(50000.000000001), whole_up(50000.01)
    (50000, 50001)
    """
    return ceil(round(value, _DECIMALS))
