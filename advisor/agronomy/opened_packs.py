"""Which pack of inoculant is opened on which day, and what of it is lost.

An opened pack does not keep: after its days what is left of it is dead. So a pack is opened only when the open
ones are used up or dead, the oldest is used first, and the plan says for each pack what will be lost. Packs are
needed by mass and by time; the larger count is bought, and more where what each day needs leaves ends in every
pack. A neighbour who sows on the same days can use what would be lost.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from heapq import heappop, heappush
from itertools import accumulate, count, zip_longest
from math import fsum

from advisor.agronomy.cautions import FOLLOW_THE_PACK, INOCULANT_IN_SHADE, OPENED_PACK_DOES_NOT_KEEP
from advisor.agronomy.errors import CannotBe, MissingFigure
from advisor.agronomy.inoculant import packs_by_days, packs_by_mass
from advisor.agronomy.limits import above_zero, within
from advisor.agronomy.packs import Pack

_MG = 1000
#: Packs of the smallest size that one plan may open.
_MOST_OPENED = 20_000
_CAUTIONS = (OPENED_PACK_DOES_NOT_KEEP, INOCULANT_IN_SHADE, FOLLOW_THE_PACK)


@dataclass(frozen=True, slots=True)
class OpenedPack:
    """One pack.

    Args:
        size_g: its content.
        day: the day it is opened, the first of sowing is 1.
        last_day: the last day on which something of it is used.
        use_by_day: the last day on which it may be used.
        used_g: what of it goes on seed.
        lost_g: what of it is dead or over in the end; 0 when it is used up.
    """

    size_g: int
    day: int
    last_day: int
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
class CheapestOpening:
    """What to buy of all sizes on sale, so that every day has a fresh pack.

    Args:
        bought: packs to buy and how many of each, the largest first.
        packs: the packs in the order in which they are opened.
        cost: what they cost.
        lost_g: what is lost of all packs.
        cautions: keys of what must be said with it.
    """

    bought: tuple[tuple[Pack, int], ...]
    packs: tuple[OpenedPack, ...]
    cost: Decimal
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
    sums = _sums_mg(uses_g, above_zero("pack", pack_g, "g"))
    by_days = packs_by_days(len(uses_g), life_days)
    packs: list[OpenedPack] = []
    at_mg = 0
    while at_mg < sums[-1]:
        pack, at_mg = _opened(sums, at_mg, pack_g, life_days)
        packs.append(pack)
    lost_g = (len(packs) * pack_g * _MG - sums[-1]) / _MG
    return OpeningPlan(pack_g, tuple(packs), packs_by_mass(sums[-1] / _MG, pack_g), by_days, lost_g)


def cheapest_opening(packs: Sequence[Pack], uses_g: Sequence[float], life_days: int) -> CheapestOpening:
    """The packs of all sizes that cost least when every day has a fresh one; on a tie those that lose least.

    Args:
        packs: packs on sale, at least one.
        uses_g: inoculant for each day in a row [g], 0 or more, above 0 on the first and the last.
        life_days: whole days in which an opened pack must be used up, 1 or more.

    Returns:
        What is bought and when each is opened; among what costs and loses the same, the fewest packs.

    Raises:
        MissingFigure: no packs on sale.
        CannotBe: no day.
        OutOfRange: a value that cannot be.

    Source:
        Own derivation: whoever is further along with the sowing never needs more packs from there on, so of all
        that costs no more only the furthest is followed.

    >>> sizes = Pack(100, Decimal(180)), Pack(250, Decimal(350))
    >>> plan = cheapest_opening(sizes, [100, 100, 60], life_days=2)
    >>> [(pack.size, times) for pack, times in plan.bought], plan.cost
    ([(250, 1), (100, 1)], Decimal('530'))
    >>> [(pack.size_g, pack.day, pack.last_day, pack.lost_g) for pack in plan.packs]
    [(100, 1, 1, 0.0), (250, 2, 3, 90.0)]
    """
    if not packs:
        raise MissingFigure("packs on sale", "add at least one pack with its price to the programme file")
    sums = _sums_mg(uses_g, min(pack.size for pack in packs))
    packs_by_days(len(uses_g), life_days)
    sizes = sorted(packs, key=lambda pack: (-pack.size, pack.price))
    taken = _cheapest_row(sizes, sums, life_days)
    opened: list[OpenedPack] = []
    at_mg = 0
    for pack in taken:
        each, at_mg = _opened(sums, at_mg, pack.size, life_days)
        opened.append(each)
    times = Counter(taken)
    return CheapestOpening(
        bought=tuple((pack, times[pack]) for pack in dict.fromkeys(sizes) if times[pack]),
        packs=tuple(opened),
        cost=sum((pack.price for pack in taken), Decimal(0)),
        lost_g=(sum(pack.size for pack in taken) * _MG - sums[-1]) / _MG,
    )


def opening_cost(packs: Sequence[Pack], uses_g: Sequence[float], life_days: int) -> Decimal:
    """What the packs of ``cheapest_opening`` cost, without the plan of them.

    Args:
        packs: packs on sale, at least one.
        uses_g: inoculant for each day in a row [g], 0 or more, above 0 on the first and the last.
        life_days: whole days in which an opened pack must be used up, 1 or more.

    Returns:
        The cost.

    Raises:
        MissingFigure: no packs on sale.
        CannotBe: no day.
        OutOfRange: a value that cannot be.

    Source:
        As ``cheapest_opening``.

    >>> opening_cost([Pack(100, Decimal(180)), Pack(250, Decimal(350))], [100, 100, 60], life_days=2)
    Decimal('530')
    """
    if len(packs) != 1:
        return cheapest_opening(packs, uses_g, life_days).cost
    sums = _sums_mg(uses_g, packs[0].size)
    packs_by_days(len(uses_g), life_days)
    at_mg, opened, full_mg, last = 0, 0, packs[0].size * _MG, len(sums) - 1
    while at_mg < sums[last]:
        at_mg = min(at_mg + full_mg, sums[min(bisect_right(sums, at_mg) + life_days - 1, last)])
        opened += 1
    return packs[0].price * opened


def _sums_mg(uses_g: Sequence[float], pack_g: float) -> list[int]:
    """What is used up to the end of each day, 0 before the first, in whole milligrams.

    Of the running sum: days that add up to a full pack must not open another for a hair.
    """
    if not uses_g:
        raise CannotBe("no_day", "a plan for no days opens no pack", "give the inoculant for one day or more")
    above_zero("inoculant", uses_g[0], "g")
    above_zero("inoculant", uses_g[-1], "g")
    for use_g in uses_g:
        within("inoculant", use_g, 0, 1e9, "g")
    within("inoculant together", fsum(uses_g), 0, _MOST_OPENED * pack_g, "g")
    return [round(total * _MG) for total in accumulate(uses_g, initial=0.0)]


def _opened(sums: Sequence[int], at_mg: int, size_g: int, life_days: int) -> tuple[OpenedPack, int]:
    """The pack that is opened once so much is used, and what is used when it is empty or dead."""
    day = bisect_right(sums, at_mg)
    use_by = day + life_days - 1
    then_mg = min(at_mg + size_g * _MG, sums[min(use_by, len(sums) - 1)])
    used_mg = then_mg - at_mg
    lost_g = (size_g * _MG - used_mg) / _MG
    return OpenedPack(size_g, day, bisect_left(sums, then_mg), use_by, used_mg / _MG, lost_g), then_mg


def _cheapest_row(sizes: Sequence[Pack], sums: Sequence[int], life_days: int) -> list[Pack]:
    """The packs in the order of opening: least price, then least mass, then fewest."""
    number = count()
    # What stands first costs least; each entry names the one before it and the pack that was opened.
    heap: list[tuple[Decimal, int, int, int, int, tuple[object, Pack] | None]] = [
        (Decimal(0), 0, 0, next(number), 0, None)
    ]
    furthest_mg = -1
    while True:
        price, size, packs, _, at_mg, trail = heappop(heap)
        if at_mg <= furthest_mg:
            continue
        furthest_mg = at_mg
        if at_mg == sums[-1]:
            return _back(trail)
        for pack in sizes:
            _, then_mg = _opened(sums, at_mg, pack.size, life_days)
            label = (price + pack.price, size + pack.size, packs + 1, next(number), then_mg, (trail, pack))
            heappush(heap, label)


def _back(trail: object) -> list[Pack]:
    taken = []
    while isinstance(trail, tuple):
        trail, pack = trail
        taken.append(pack)
    return taken[::-1]


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
