"""Limits that every formula checks before it computes, and the one way of rounding up.

No length, area, mass, time or count of a field leaves the band from a thousand-millionth to a thousand million of
its unit inside: a field of 1e9 m² is as large as a district, and 1e-9 kg is a speck of dust. What lies outside is
a slip of typing, and products and quotients of a few such numbers would no longer be finite.
"""

from __future__ import annotations

from math import ceil

from advisor.agronomy.errors import OutOfRange

#: What a number above 0 must be above, whatever its unit.
SMALLEST = 1e-9
#: What no number reaches, whatever its unit.
LARGEST = 1e9
#: The same as the errors say it.
ABOVE_SMALLEST, BELOW_LARGEST = "above 1e-9", "below 1e9"

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
    """The value, when it is above zero, and neither so small nor so large that it can only be a slip.

    Raises:
        OutOfRange: it is not above ``SMALLEST`` and below ``LARGEST``.

    >>> above_zero("area", 4046.8564224, "m2")
    4046.8564224
    """
    if not SMALLEST < value < LARGEST:
        raise OutOfRange(name, value, ABOVE_SMALLEST, BELOW_LARGEST, unit)
    return value


def not_below(name: str, value: float, low: float, unit: str) -> float:
    """The value, when it is not below the least allowed one, and not so large that it can only be a slip.

    Raises:
        OutOfRange: it is below ``low``, or not below ``LARGEST``.

    >>> not_below("rows", 50, 1, "1")
    50
    """
    if not low <= value < LARGEST:
        raise OutOfRange(name, value, low, BELOW_LARGEST, unit)
    return value


def share(name: str, value: float) -> float:
    """The value, when it is above 0 by more than a speck, and at most 1.

    Raises:
        OutOfRange: it is not above ``SMALLEST``, or above 1.

    >>> share("germination", 0.85)
    0.85
    """
    if not SMALLEST < value <= 1:
        raise OutOfRange(name, value, ABOVE_SMALLEST, 1, "1")
    return value


def whole_up(value: float) -> int:
    """The next whole number, unless the value is above one by no more than the noise of binary fractions.

    >>> whole_up(50000.000000001), whole_up(50000.01)
    (50000, 50001)
    """
    return ceil(round(value, _DECIMALS))
