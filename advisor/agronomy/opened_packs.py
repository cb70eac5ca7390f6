"""Which pack of inoculant is opened on which day, and what of it is lost.

An opened pack does not keep: after its days what is left of it is dead. So a pack is opened only when the open
ones are used up or dead, the oldest is used first, and the plan says for each pack what will be lost. Packs are
needed by mass and by time; the larger count is bought, and more where what each day needs leaves ends in every
pack. A neighbour who sows on the same days can use what would be lost.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from itertools import accumulate, pairwise, zip_longest

from advisor.agronomy.cautions import FOLLOW_THE_PACK, INOCULANT_IN_SHADE, OPENED_PACK_DOES_NOT_KEEP
from advisor.agronomy.errors import CannotBe, MissingFigure
from advisor.agronomy.inoculant import packs_by_days, packs_by_mass
from advisor.agronomy.limits import above_zero, within
from advisor.agronomy.packs import Pack

_MG = 1000
_CAUTIONS = (OPENED_PACK_DOES_NOT_KEEP, INOCULANT_IN_SHADE, FOLLOW_THE_PACK)


@dataclass(frozen=True, slots=True)
class OpenedPack:
    """One pack.

    Args:
        day: the day it is opened, the first of sowing is 1.
        use_by_day: the last day on which it may be used.
        used_g: what of it goes on seed.
        lost_g: what of it is dead or over in the end; 0 when it is used up.
    """

    day: int
    use_by_day: int
    used_g: float
    lost_g: float


@dataclass(frozen=True, slots=True)
class OpeningPlan:
    """All packs of a plot, in the order in which they are opened.

    Args:
        pack_g: content of a pack.
        packs: the packs; as many are bought.
        by_mass: packs that hold the inoculant.
        by_days: packs that are opened one after the other, since none keeps longer.
        lost_g: what is lost of all packs.
        cautions: keys of what must be said with it.
    """

    pack_g: int
    packs: tuple[OpenedPack, ...]
    by_mass: int
    by_days: int
    lost_g: float
    cautions: tuple[str, ...] = _CAUTIONS


@dataclass(frozen=True, slots=True)
class Together:
    """What sharing packs with a neighbour who sows on the same days saves.

    Args:
        own: packs for the own plot alone.
        neighbour: packs for the other plot alone.
        together: packs for both.
        saved: packs saved, 0 or more.
        lost_g: what is lost of the packs for both.
        cautions: keys of what must be said with it.
    """

    own: int
    neighbour: int
    together: int
    saved: int
    lost_g: float
    cautions: tuple[str, ...] = _CAUTIONS


def open_packs(uses_g: Sequence[float], pack_g: int, life_days: int) -> OpeningPlan:
    """The fewest packs of one size that are fresh for every day, and when each is opened.

    Args:
        uses_g: inoculant for each day in a row [g], 0 or more, above 0 on the first and the last.
        pack_g: content of a pack [g], above 0.
        life_days: whole days in which an opened pack must be used up, the day of opening among them, 1 or more.

    Returns:
        The plan; what the packs hold is what is used and what is lost.

    Raises:
        CannotBe: no day.
        OutOfRange: a value that cannot be.

    Source:
        Own derivation: opening as late as can be and using the oldest first never opens more than any other way.

    >>> plan = open_packs([100, 100, 60], 250, life_days=2)
    >>> [(pack.day, pack.used_g, pack.lost_g) for pack in plan.packs]
    [(1, 200.0, 50.0), (3, 60.0, 190.0)]
    """
    if not uses_g:
        raise CannotBe("no_day", "a plan for no days opens no pack", "give the inoculant for one day or more")
    above_zero("inoculant", uses_g[0], "g")
    above_zero("inoculant", uses_g[-1], "g")
    for use_g in uses_g:
        within("inoculant", use_g, 0, 1e9, "g")
    above_zero("pack", pack_g, "g")
    by_days = packs_by_days(len(uses_g), life_days)
    # Whole milligrams of the running sum: days that add up to a full pack must not open another for a hair.
    sums = [round(total * _MG) for total in accumulate(uses_g, initial=0.0)]
    packs: list[OpenedPack] = []
    left, opened = 0, 0
    for day, (before, after) in enumerate(pairwise(sums), 1):
        need = after - before
        if packs and day > packs[-1].use_by_day:
            left = 0
        while need > 0:
            if not left:
                packs.append(OpenedPack(day, day + life_days - 1, 0.0, float(pack_g)))
                left = pack_g * _MG
            taken = min(need, left)
            need, left = need - taken, left - taken
            opened = round(packs[-1].used_g * _MG) + taken
            packs[-1] = OpenedPack(
                packs[-1].day, packs[-1].use_by_day, opened / _MG, (pack_g * _MG - opened) / _MG
            )
    lost_g = (len(packs) * pack_g * _MG - sums[-1]) / _MG
    return OpeningPlan(pack_g, tuple(packs), packs_by_mass(sums[-1] / _MG, pack_g), by_days, lost_g)


def cheapest_opening(
    packs: Sequence[Pack], uses_g: Sequence[float], life_days: int
) -> tuple[Pack, OpeningPlan, Decimal]:
    """The size of pack that costs least when every pack is fresh; on a tie the one that loses least.

    One size serves the whole plot, so that every batch is measured alike; mixes of sizes are not tried.

    Args:
        packs: packs on sale, at least one.
        uses_g: inoculant for each day in a row [g].
        life_days: whole days in which an opened pack must be used up, 1 or more.

    Returns:
        The pack, its plan and what all of them cost.

    Raises:
        MissingFigure: no packs on sale.
        CannotBe: no day.
        OutOfRange: a value that cannot be.

    Source:
        As ``open_packs``.

    >>> sizes = Pack(100, Decimal(180)), Pack(250, Decimal(350))
    >>> pack, plan, cost = cheapest_opening(sizes, [100, 100, 60], life_days=2)
    >>> pack.size, len(plan.packs), cost
    (100, 3, Decimal('540'))
    """
    if not packs:
        raise MissingFigure("packs on sale", "add at least one pack with its price to the programme file")
    plans = [(pack, open_packs(uses_g, pack.size, life_days)) for pack in packs]
    costed = [(pack, plan, pack.price * len(plan.packs)) for pack, plan in plans]
    return min(costed, key=lambda each: (each[2], each[1].lost_g))


def packs_together(
    own_uses_g: Sequence[float], neighbour_uses_g: Sequence[float], pack_g: int, life_days: int
) -> Together:
    """Whether sharing opened packs with a neighbour who sows on the same days saves a pack.

    Args:
        own_uses_g: inoculant for each day of the own plot [g].
        neighbour_uses_g: inoculant for each day of the other plot [g], from the same first day.
        pack_g: content of a pack [g], above 0.
        life_days: whole days in which an opened pack must be used up, 1 or more.

    Returns:
        Packs alone and together; together never more than alone.

    Raises:
        CannotBe: no day.
        OutOfRange: a value that cannot be.

    Source:
        As ``open_packs``.

    >>> shared = packs_together([60, 60], [50, 50], 250, life_days=2)
    >>> shared.own, shared.neighbour, shared.together, shared.saved
    (1, 1, 1, 1)
    """
    own = len(open_packs(own_uses_g, pack_g, life_days).packs)
    neighbour = len(open_packs(neighbour_uses_g, pack_g, life_days).packs)
    both_g = [one + other for one, other in zip_longest(own_uses_g, neighbour_uses_g, fillvalue=0.0)]
    both = open_packs(both_g, pack_g, life_days)
    return Together(own, neighbour, len(both.packs), own + neighbour - len(both.packs), both.lost_g)
