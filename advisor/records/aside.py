"""Plots and lots of seed that are kept aside while another one is in hand.

Those of a scope stand in an order, and the one in hand has its place in it: ``Field 2`` stays the second while it
is taken up and put aside again. Where one is dropped, those behind it move up.
"""

from __future__ import annotations

from collections.abc import Iterable

from msgspec import Struct

from advisor.records.facts import Fact

#: So many of a scope a grower can have, the one in hand among them.
MOST = {"plot": 4, "lot": 3}
#: The number that a lot, a bag of seed, is called by. It is written on the bag, so it stays while others come and
#: go.
BAG = "lot.bag"
#: Bags are numbered up to here; then a number that is free is given again.
MOST_BAG = 9


class Aside(Struct, frozen=True):
    """What is kept aside of one scope.

    Args:
        scope: ``plot`` or ``lot``.
        place: the place of the one in hand among all, from 0.
        others: the facts of each of the others in their order, each sorted by name.
    """

    scope: str
    place: int = 0
    others: tuple[tuple[Fact, ...], ...] = ()


def bag_numbers(told: Iterable[object]) -> tuple[int, ...]:
    """What each of a grower's bags is called; one that was never given a number has the first that is free.

    Args:
        told: of each lot in their order the number that it was given, or something that is no number.

    >>> bag_numbers((None, 2)), bag_numbers((2, None, 3)), bag_numbers((None,))
    ((1, 2), (2, 1, 3), (1,))
    """
    numbers = [number if isinstance(number, int) else None for number in told]
    given = [number for number in numbers if number is not None]
    if len(given) == len(numbers):
        return tuple(given)
    free = iter([number for number in range(1, len(numbers) + MOST_BAG + 1) if number not in given])
    return tuple(next(free) if number is None else number for number in numbers)


def next_bag(numbers: Iterable[int]) -> int:
    """The number of a new bag: the next one, so that nobody takes it for a bag of before.

    >>> next_bag((2, 3)), next_bag((1, 9))
    (4, 2)
    """
    taken = set(numbers)
    after = max(taken, default=0) + 1
    return after if after <= MOST_BAG else min(set(range(1, MOST_BAG + 1)) - taken)
