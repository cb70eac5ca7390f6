"""Whole bags among the growers of a village: who buys with whom, and who gets how much from which bag.

Groups are formed by `agronomy.sharing`, the cheapest way and of those the one that leaves least over. In a large
village growers share within parts of it, since the best of all ways cannot be found for hundreds at once.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from advisor.agronomy.packs import Pack, Purchase, cheapest_purchase
from advisor.agronomy.sharing import Group, Share, share_packs

#: So many growers of a village are looked at together; finding groups takes a time that grows with its square.
MOST_TOGETHER = 60


@dataclass(frozen=True, slots=True)
class Portion:
    """What a grower takes from a bag.

    Args:
        grower: key of the grower.
        grams: how much [g].
    """

    grower: str
    grams: int


@dataclass(frozen=True, slots=True)
class Bag:
    """A bag that is bought, and what becomes of it.

    Args:
        pack: its size and price.
        portions: who takes how much, in the order in which it is weighed out.
        left_g: what is left in it [g].
    """

    pack: Pack
    portions: tuple[Portion, ...]
    left_g: int


def shared_out(
    packs: Sequence[Pack], needs: Sequence[tuple[str, int]], most: int, decimals: int
) -> tuple[tuple[Group, ...], bool]:
    """Groups of growers that waste least, in parts of `MOST_TOGETHER` where there are more.

    Args:
        packs: packs on sale, at least one.
        needs: key of each grower, none twice, and grams needed, 1 or more.
        most: most growers around one scale, 1 or more.
        decimals: digits after the point in prices, 0 to 2.

    Returns:
        The groups, and whether every way was compared.

    Raises:
        MissingFigure, OutOfRange, CannotBe: as `share_packs`.

    >>> bag = Pack(25000, Decimal(2600))
    >>> groups, exact = shared_out([bag], [("ann", 20_000), ("ben", 15_000), ("eva", 10_000)], 3, 0)
    >>> [[share.grower for share in group.shares] for group in groups], exact
    ([['ann'], ['ben', 'eva']], True)
    """
    groups: list[Group] = []
    exact = len(needs) <= MOST_TOGETHER
    for first in range(0, len(needs), MOST_TOGETHER):
        found = share_packs(packs, needs[first : first + MOST_TOGETHER], most, decimals)
        groups += found.groups
        exact = exact and found.exact
    return tuple(groups), exact


def alone(grower: str, grams: int, purchase: Purchase) -> Group:
    """A group of one, with the packs that the grower's own list has."""
    return Group((Share(grower, grams, purchase.cost),), purchase)


def weighed_out(group: Group) -> tuple[Bag, ...]:
    """Who of a group gets how much from which bag; what all take and what is left is what was bought.

    Whoever needs a whole bag or more takes bags unopened, as far as they go; the rest is weighed out bag by bag,
    the largest need first, so that few growers take from two.

    Args:
        group: growers who buy together.

    Returns:
        The bags, largest first.

    >>> packs = Pack(25000, Decimal(2600)), Pack(5000, Decimal(575))
    >>> (group,), _ = shared_out(packs, [("ann", 27_000), ("ben", 3_000)], 2, 0)
    >>> for bag in weighed_out(group):
    ...     print(bag.pack.size, [(portion.grower, portion.grams) for portion in bag.portions], bag.left_g)
    25000 [('ann', 25000)] 0
    5000 [('ben', 3000), ('ann', 2000)] 0
    """
    wanting = {share.grower: share.grams for share in group.shares}
    bags = [pack for pack, count in group.purchase.lines for _ in range(count)]
    taken: list[list[Portion]] = [[] for _ in bags]
    left = [pack.size for pack in bags]

    def take(place: int, grower: str) -> None:
        grams = min(left[place], wanting[grower])
        taken[place].append(Portion(grower, grams))
        left[place] -= grams
        wanting[grower] -= grams

    for place, pack in enumerate(bags):
        grower = max(wanting, key=lambda name: (wanting[name], name))
        if wanting[grower] >= pack.size:
            take(place, grower)
    for place in range(len(bags)):
        for grower in sorted(wanting, key=lambda name: (-wanting[name], name)):
            if left[place] and wanting[grower]:
                take(place, grower)
    return tuple(
        Bag(pack, tuple(portions), left_g) for pack, portions, left_g in zip(bags, taken, left, strict=True)
    )


def bought_by(groups: Sequence[Group]) -> tuple[tuple[Pack, int], ...]:
    """The packs of all groups and how many of each, largest first."""
    counts: dict[Pack, int] = {}
    for group in groups:
        for pack, count in group.purchase.lines:
            counts[pack] = counts.get(pack, 0) + count
    return tuple(sorted(counts.items(), key=lambda line: (-line[0].size, line[0].price)))


def cost_alone(packs: Sequence[Pack], group: Group) -> Decimal:
    """What the growers of a group would pay if each bought alone."""
    return sum((cheapest_purchase(packs, share.grams).cost for share in group.shares), Decimal(0))
