"""Loose sale: what a dealer sells by the scoop beside whole packs, and the cheapest mix of the two.

Whole packs are usually cheaper by the gram and leave more over. Where a dealer also weighs seed or fertiliser
out, the last part of a need is often cheaper loose. A scoop is a small pack that is never full of anything
else, so the same exact search serves. Inoculant is never sold loose: an opened pack does not keep.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from advisor.agronomy.cautions import DIVIDED_PACK
from advisor.agronomy.packs import Pack, cheapest_purchase


@dataclass(frozen=True, slots=True)
class LooseSale:
    """Whole packs and a loose rest.

    Args:
        packs: whole packs and how many of each, largest first.
        loose_g: what is weighed out beside them [g].
        cost: what all of it costs.
        surplus: grams bought beyond the need.
        cautions: what goes with seed or fertiliser that is weighed out of an open bag.
    """

    packs: tuple[tuple[Pack, int], ...]
    loose_g: int
    cost: Decimal
    surplus: int
    cautions: tuple[str, ...] = DIVIDED_PACK


def cheapest_with_loose(packs: Sequence[Pack], scoop: Pack, quantity_g: int) -> LooseSale:
    """The cheapest mix of whole packs and scoops that covers a quantity.

    On a tie the fewest packs and scoops together, then the least surplus.

    Args:
        packs: whole packs on sale, may be none.
        scoop: the least that is weighed out, and its price; any number can be had.
        quantity_g: grams to cover, 0 or more.

    Returns:
        What to buy.

    Raises:
        OutOfRange: a quantity below 0.

    Source:
        As ``cheapest_purchase``.

    >>> bag, scoop = Pack(25000, Decimal(2600)), Pack(1000, Decimal(125))
    >>> bought = cheapest_with_loose([bag], scoop, 27_500)
    >>> [(pack.size, count) for pack, count in bought.packs], bought.loose_g, bought.cost
    ([(25000, 1)], 3000, Decimal('2975'))
    """
    # A pack of the same size and price is as good as the scoop, so every such line counts as loose.
    bought = cheapest_purchase([*(pack for pack in packs if pack != scoop), scoop], quantity_g)
    whole = tuple((pack, count) for pack, count in bought.lines if pack != scoop)
    loose_g = sum(pack.size * count for pack, count in bought.lines if pack == scoop)
    return LooseSale(whole, loose_g, bought.cost, bought.surplus)
