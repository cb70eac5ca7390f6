"""Which numbers of a span have to be looked at to find the one that takes most room.

The room a number takes depends on its sign, its digits before and after the point, and the plural form of the
unit beside it. Numbers alike in all four take the same room, so one of each will do.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from decimal import Decimal
from functools import lru_cache

# Plural rules look at the last two digits, so this many neighbours show every form there is; the rule of French
# and Portuguese on millions is met by the round ones.
_NEIGHBOURS = 110
_MILLION = 10**6


def representatives(
    low: Decimal, high: Decimal, decimals: int, category: Callable[[Decimal], str]
) -> Iterator[Decimal]:
    """One number for each combination of sign, digits and plural form that a span holds.

    Args:
        low: smallest number, rounded to the decimals.
        high: largest number, rounded to the decimals.
        decimals: most digits after the point.
        category: the plural form of a number.

    >>> [str(n) for n in representatives(Decimal(0), Decimal("10"), 1, lambda n: "one" if n == 1 else "other")]
    ['9', '1', '10', '9.9']
    """
    scale = 10**decimals
    low_units, high_units = int(low * scale), int(high * scale)
    for sign, nearest, farthest in ((1, max(low_units, 0), high_units), (-1, max(-high_units, 1), -low_units)):
        for places in range(decimals + 1):
            for first, last in _blocks(nearest, farthest, decimals, places):
                yield from _of_block(sign, first, last, places, category)


@lru_cache(maxsize=4096)
def _of_block(
    sign: int, first: int, last: int, places: int, category: Callable[[Decimal], str]
) -> tuple[Decimal, ...]:
    """The first number of each plural form in a block; most spans have most of their blocks in common."""
    found: dict[str, Decimal] = {}
    for number in _shown(first, last, places):
        found.setdefault(category(sign * number), sign * number)
    return tuple(found.values())


def _blocks(nearest: int, farthest: int, decimals: int, places: int) -> Iterator[tuple[int, int]]:
    """The numbers of a span that show the given decimals, in blocks of equally many digits before the point."""
    step = 10 ** (decimals - places)
    first, last = -(-nearest // step), farthest // step
    start, end = 0, 10 ** (places + 1) - 1
    while start <= last:
        if max(start, first) <= min(end, last):
            yield max(start, first), min(end, last)
        start, end = end + 1, end * 10 + 9


def _shown(first: int, last: int, places: int) -> Iterator[Decimal]:
    """Both ends of a block and the round numbers in it; with decimals, none whose last one is a zero."""
    top = range(last, max(first, last - 2 * _NEIGHBOURS) - 1, -1)
    bottom = range(first, min(last, first + 2 * _NEIGHBOURS) + 1)
    round_one = last - last % (_MILLION * 10**places)
    for units in (*top, *bottom, *([round_one] if round_one >= first else [])):
        if not places or units % 10:
            yield Decimal(units).scaleb(-places)
