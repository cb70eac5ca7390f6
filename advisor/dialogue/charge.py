"""The grower whom an agent has chosen, as the agent's own conversation keeps them.

It is who it is, and of each bag of seed what the questions rest on. No text names any of it; the bag that is meant
is an answer like others.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from advisor.dialogue.talk import Seen
from advisor.records.grower import Value

#: What all of it begins with, and the id of the grower.
OF = "charge."
WHO = "charge.id"
#: The numbers of the grower's bags, ``1,2``.
BAGS = "charge.bags"
#: The answer which of several bags is meant.
BAG = "bag"


def taken(seen: Seen) -> dict[str, Value]:
    """What is kept of a grower who was found.

    >>> taken(Seen(grower="a", bags=((2, (("lot.early", 30),)),)))
    {'charge.id': 'a', 'charge.bags': '2', 'charge.2.lot.early': 30}
    """
    known = {_name(number, fact): value for number, facts in seen.bags for fact, value in facts}
    return {WHO: seen.grower, BAGS: ",".join(str(number) for number, _ in seen.bags), **known}


def bags(sight: Mapping[str, object]) -> tuple[int, ...]:
    """The numbers of the grower's bags."""
    return tuple(int(number) for number in str(sight.get(BAGS) or "").split(",") if number)


def bag_meant(sight: Mapping[str, object]) -> int:
    """The number of the bag that is meant: the one that was told, else the first; 0 where no grower is chosen."""
    told = sight.get(BAG)
    return told if isinstance(told, int) else next(iter(bags(sight)), 0)


def known(sight: Mapping[str, object], fact: str) -> object:
    """A fact of the bag that is meant, None where it is not known.

    >>> sight = {"charge.bags": "1,2", "charge.1.lot.early": 30, "charge.2.lot.early": 9, "bag": 2}
    >>> known(sight, "lot.early")
    9
    """
    return sight.get(_name(bag_meant(sight), fact))


def after(
    sight: Mapping[str, Value], told: Iterable[tuple[str, Value]], forgets: Iterable[str]
) -> dict[str, Value]:
    """The answers once more was told of the bag that is meant."""
    bag = bag_meant(sight)
    lost = {_name(bag, fact) for fact in forgets}
    return {name: value for name, value in sight.items() if name not in lost} | {
        _name(bag, fact): value for fact, value in told
    }


def _name(bag: int, fact: str) -> str:
    return f"{OF}{bag}.{fact}"
