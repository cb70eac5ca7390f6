"""Plots and lots of seed that are kept aside while another one is in hand.

Those of a scope stand in an order, and the one in hand has its place in it: ``Field 2`` stays the second while it
is taken up and put aside again. Where one is dropped, those behind it move up.
"""

from __future__ import annotations

from dataclasses import dataclass

from advisor.records.facts import Fact

#: So many of a scope a grower can have, the one in hand among them.
MOST = {"plot": 4, "lot": 3}


@dataclass(frozen=True, slots=True)
class Aside:
    """What is kept aside of one scope.

    Args:
        scope: ``plot`` or ``lot``.
        place: the place of the one in hand among all, from 0.
        others: the facts of each of the others in their order, each sorted by name.
    """

    scope: str
    place: int = 0
    others: tuple[tuple[Fact, ...], ...] = ()
