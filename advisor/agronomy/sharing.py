"""Whole packs shared among the growers of a village: who buys together, so that least is wasted.

A grower alone pays for the part of a pack that is not needed. Neighbours who buy together pay for less of it,
but only so many people can meet around one scale. Among all ways to form groups of at most that many, the one is
taken that costs least (waste is money), then leaves least over, then has the most groups, so that nobody waits
for more people than need be. For a few growers every way is compared; for more, groups grow step by step, and the
answer says that it is not proven. No grower pays more than alone.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from itertools import combinations

from advisor.agronomy.cautions import DIVIDED_PACK
from advisor.agronomy.errors import CannotBe
from advisor.agronomy.limits import not_below, within
from advisor.agronomy.money import split_by_share
from advisor.agronomy.packs import Pack, Purchase, cheapest_purchase
from advisor.agronomy.tables import Table

#: So many growers can be split in every way within a second; a bound of the machine and not of a village.
MOST_EXACT = 10


@dataclass(frozen=True, slots=True)
class Share:
    """What one grower has of a purchase.

    Args:
        grower: key of the grower.
        grams: what the grower needs and takes home [g].
        pays: part of the bill, by grams, but no more than alone.
    """

    grower: str
    grams: int
    pays: Decimal


@dataclass(frozen=True, slots=True)
class Group:
    """Growers who buy together.

    Args:
        shares: one for each of them.
        purchase: the packs they buy.
    """

    shares: tuple[Share, ...]
    purchase: Purchase


@dataclass(frozen=True, slots=True)
class Sharing:
    """Who buys with whom.

    Args:
        groups: the groups, in the order of their first growers.
        cost: what all groups pay.
        surplus_g: what is left over in all groups [g].
        alone: what all would pay if everybody bought alone.
        exact: whether every way was compared.
        cautions: what goes with packs that are opened and divided, whatever is in them.
    """

    groups: tuple[Group, ...]
    cost: Decimal
    surplus_g: int
    alone: Decimal
    exact: bool
    cautions: tuple[str, ...] = DIVIDED_PACK


#: Cost, grams left over, and less for more groups: the smaller the better.
_Rank = tuple[Decimal, int, int]


def share_packs(packs: Sequence[Pack], needs: Sequence[tuple[str, int]], most: int, decimals: int) -> Sharing:
    """The groups of growers that waste least.

    Args:
        packs: packs on sale, at least one.
        needs: key of each grower, none twice, and grams needed, 1 or more.
        most: most growers around one scale, 1 or more.
        decimals: digits after the point in prices, 0 to 2.

    Returns:
        The groups, exact for up to ``MOST_EXACT`` growers.

    Raises:
        MissingFigure: no packs on sale.
        OutOfRange: a need below 1, or no grower in a group.
        CannotBe: a grower named twice.

    Source:
        Own formulation: the least over all partitions, by dynamic programming over sets of growers.

    >>> bag = Pack(25000, Decimal(2600))
    >>> shared = share_packs([bag], [("ann", 20_000), ("ben", 15_000), ("eva", 10_000)], 3, 0)
    >>> [[share.grower for share in group.shares] for group in shared.groups], shared.cost, shared.alone
    ([['ann'], ['ben', 'eva']], Decimal('5200'), Decimal('7800'))
    """
    if len({grower for grower, _ in needs}) < len(needs):
        raise CannotBe("grower_twice", "a grower is named twice", "give each grower one need")
    within("growers in a group", most, 1, 1000, "1")
    for _, need in needs:
        not_below("need", need, 1, "g")
    grams = [need for _, need in needs]
    exact = len(needs) <= MOST_EXACT
    parted = (_best_parts if exact else _grown_parts)(packs, grams, most)
    groups = tuple(_group(packs, [needs[at] for at in part], decimals) for part in parted)
    return Sharing(
        groups,
        sum((group.purchase.cost for group in groups), Decimal(0)),
        sum(group.purchase.surplus for group in groups),
        sum((cheapest_purchase(packs, each).cost for each in grams), Decimal(0)),
        exact,
    )


def read_share_most(table: Table) -> int | None:
    """Most growers who share packs around one scale, from the section ``[sharing]``, None where there is none.

    Args:
        table: the whole file of a programme.

    Returns:
        The number.

    Raises:
        Nothing: faults are noted in the table.

    Source:
        The project's own file format.

    >>> from advisor.agronomy.tables import read_table
    >>> read_share_most(read_table("", "programme", {})) is None
    True
    """
    row = table.optional_row("sharing")
    return None if row is None else row.whole_quantity("most", "1", 1, 100)


def _group(packs: Sequence[Pack], needs: Sequence[tuple[str, int]], decimals: int) -> Group:
    purchase = cheapest_purchase(packs, sum(grams for _, grams in needs))
    alone = [cheapest_purchase(packs, grams).cost for _, grams in needs]
    pays = _bill(purchase.cost, [grams for _, grams in needs], alone, decimals)
    shares = tuple(Share(grower, grams, paid) for (grower, grams), paid in zip(needs, pays, strict=True))
    return Group(shares, purchase)


def _bill(cost: Decimal, grams: Sequence[int], alone: Sequence[Decimal], decimals: int) -> list[Decimal]:
    """A bill by grams; whoever would pay more than alone pays as much as alone, and the others what is left."""
    settled: dict[int, Decimal] = {}
    while True:
        left = cost - sum(settled.values())
        split = split_by_share(left, tuple(0 if at in settled else of for at, of in enumerate(grams)), decimals)
        over = {at: alone[at] for at, part in enumerate(split) if part > alone[at]}
        if not over:
            return [settled.get(at, part) for at, part in enumerate(split)]
        settled |= over


def _rank(packs: Sequence[Pack], grams: int) -> _Rank:
    purchase = cheapest_purchase(packs, grams)
    return purchase.cost, purchase.surplus, -1


def _sum(one: _Rank, other: _Rank) -> _Rank:
    return one[0] + other[0], one[1] + other[1], one[2] + other[2]


def _best_parts(packs: Sequence[Pack], grams: Sequence[int], most: int) -> list[list[int]]:
    """Every set of growers is a group of its first grower and some others, and the best of the rest."""
    everyone = range(len(grams))
    led: dict[int, list[tuple[int, _Rank]]] = {1 << at: [] for at in everyone}
    for size in range(1, most + 1):
        for members in combinations(everyone, size):
            rank = _rank(packs, sum(grams[at] for at in members))
            led[1 << members[0]].append((sum(1 << at for at in members), rank))
    best: dict[int, tuple[_Rank, int]] = {0: ((Decimal(0), 0, 0), 0)}
    for growers in range(1, 1 << len(grams)):
        best[growers] = min(
            (_sum(rank, best[growers ^ group][0]), group)
            for group, rank in led[growers & -growers]
            if group & growers == group
        )
    parts, left = [], (1 << len(grams)) - 1
    while left:
        group = best[left][1]
        parts.append([at for at in everyone if group >> at & 1])
        left ^= group
    return parts


def _grown_parts(packs: Sequence[Pack], grams: Sequence[int], most: int) -> list[list[int]]:
    """The largest need first; each joins the group where it adds least, or stays alone where that is no dearer."""
    parts: list[list[int]] = []
    sums: list[int] = []
    costs: list[Decimal] = []
    for at in sorted(range(len(grams)), key=lambda at: (-grams[at], at)):
        alone = cheapest_purchase(packs, grams[at]).cost
        added = [
            (cheapest_purchase(packs, sums[place] + grams[at]).cost - costs[place], place)
            for place, part in enumerate(parts)
            if len(part) < most
        ]
        cost, place = min(added, default=(alone, -1))
        if cost < alone:
            parts[place].append(at)
            sums[place] += grams[at]
            costs[place] += cost
        else:
            parts.append([at])
            sums.append(grams[at])
            costs.append(alone)
    return sorted(sorted(part) for part in parts)
