"""The dealer's order of a district: by product, week and village, tested and assumed seed apart, in whole bags.

Each field counts with the lot that it is sown with. What rests on a germination test is ordered apart from what
rests on a label or an assumption, since the second may still change: so no bag is shared between the two. For seed
of one's own that a round gave up untested there is inoculant, and that is assumed. Seed is
shared among growers who fetch it in the same week; an opened pack of inoculant keeps a day or two, so it is shared
only among those who sow on the same day and are done within its life.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from enum import StrEnum
from types import MappingProxyType

from advisor.agronomy.buylist import Lot, Origin
from advisor.agronomy.crop import Crop
from advisor.agronomy.errors import AgronomyError
from advisor.agronomy.packs import Pack
from advisor.agronomy.programme import Programme
from advisor.agronomy.sharing import Group
from advisor.agronomy.village_needs import Need, Needing, Plan
from advisor.campaign.bags import alone, bought_by, shared_out
from advisor.campaign.seen import Seen, SeenLot, SeenPlot


class Lacking(StrEnum):
    """Why a field is not in the order."""

    FIELD = "field"
    SEED = "seed"
    TEST = "test"
    SOWN = "sown"
    LONG_PAST = "long_past"
    FIGURES = "figures"


@dataclass(frozen=True, slots=True)
class Line:
    """A line of the order.

    Args:
        village: key of the village, empty where it is not known.
        week: the Monday of the week in which it must be at hand; None where growers named no day of sowing.
        product: key of the product.
        tested: whether germination tests stand behind it, else labels or assumptions do.
        growers: growers who need it.
        grams: how much they need together [g].
        groups: who buys with whom.
        alone: what it would cost if everybody bought alone.
        exact: whether every way to form groups was compared.
    """

    village: str
    week: date | None
    product: str
    tested: bool
    growers: int
    grams: int
    groups: tuple[Group, ...]
    alone: Decimal
    exact: bool

    @property
    def packs(self) -> tuple[tuple[Pack, int], ...]:
        """Packs to stock and how many of each, largest first."""
        return bought_by(self.groups)

    @property
    def cost(self) -> Decimal:
        """What they cost."""
        return sum((group.purchase.cost for group in self.groups), Decimal(0))

    @property
    def left_g(self) -> int:
        """What is left over [g]."""
        return sum(group.purchase.surplus for group in self.groups)


@dataclass(frozen=True, slots=True)
class Order:
    """The order, and the fields that are not in it.

    Args:
        lines: by village, week and product, tested before assumed.
        left_out: fields of each village that are not in it, and why; a grower of whom no field is known is one.
    """

    lines: tuple[Line, ...]
    left_out: tuple[tuple[str, Lacking, int], ...]

    @property
    def cost(self) -> Decimal:
        """What all of it costs."""
        return sum((line.cost for line in self.lines), Decimal(0))


@dataclass(slots=True)
class _Heap:
    """What is bought together: needs by grower, with what each would buy alone."""

    together: dict[str, int]
    apart: list[Group]
    alone: Decimal = Decimal(0)


class Ordering:
    """Adds up growers one by one; the one thing here that changes, since a district has a hundred thousand.

    Args:
        programme: rules, products and prices.
        crop: the crop that is sown.
        today: the day; whoever should have bought before it buys at once, whoever has sown buys nothing.
        spacings: places of the programme's spacings by their keys; any other key is the usual one.
    """

    def __init__(
        self, programme: Programme, crop: Crop, today: date, spacings: Mapping[str, int] = MappingProxyType({})
    ) -> None:
        self._programme, self._crop, self._today, self._spacings = programme, crop, today, spacings
        self._needing = Needing(programme, crop)
        self._packs = {seed.key: seed.packs for seed in programme.seeds}
        self._packs |= {inoculant.key: inoculant.packs for inoculant in programme.inoculants}
        self._life = {product.key: product.opened_life_days for product in programme.inoculants}
        self._heaps: dict[tuple[str, date, str, bool], dict[date, _Heap]] = {}
        self._left_out: dict[tuple[str, Lacking], int] = {}

    def add(self, seen: Seen) -> None:
        """Adds the fields of a grower."""
        for plot, lot in seen.sowings():
            found = self._needs(seen.village, plot, lot)
            if isinstance(found, Lacking):
                key = seen.village, found
                self._left_out[key] = self._left_out.get(key, 0) + 1
                continue
            for need in found:
                self._put(seen.grower, need, plot.sowing)

    def order(self) -> Order:
        """The order of all who were added."""
        lines = [self._line(key, heaps) for key, heaps in self._heaps.items()]
        return Order(
            tuple(
                sorted(
                    lines, key=lambda line: (line.village, line.week or date.max, line.product, not line.tested)
                )
            ),
            tuple((village, lacking, count) for (village, lacking), count in sorted(self._left_out.items())),
        )

    def _needs(self, village: str, plot: SeenPlot, lot: SeenLot) -> tuple[Need, ...] | Lacking:
        if plot.area_m2 is None:
            return Lacking.FIELD
        if not plot.waits(self._today):
            return Lacking.SOWN if plot.sown else Lacking.LONG_PAST
        if lot.origin not in _ORIGINS:
            return Lacking.SEED
        days = self._crop.days
        sowing = plot.sowing or date.max
        buy_by, pick_up = (
            date.max if plot.sowing is None else max(self._today, sowing - timedelta(before))
            for before in ((days.buy_by, days.pick_up) if days is not None else (0, 0))
        )
        seed = Lot(Origin(lot.origin), lot.test)
        # a round gave its test up: what is sown is not known any better until then, and is treated all the same
        given_up = bool(lot.closed)
        plan = Plan(village, plot.area_m2, seed, buy_by, pick_up, self._spacings.get(plot.spacing, 0), given_up)
        try:
            return self._needing.needs(plan) or Lacking.TEST
        except AgronomyError:
            # a field beyond the programme's limits, or a test of too few seeds: the list refuses it as well
            return Lacking.FIGURES

    def _put(self, grower: str, need: Need, sowing: date | None) -> None:
        monday = need.day if sowing is None else need.day - timedelta(need.day.weekday())
        heaps = self._heaps.setdefault((need.place, monday, need.product, need.tested), {})
        life = self._life.get(need.product)
        # seed is shared in its week, inoculant on its day
        heap = heaps.setdefault(monday if life is None else sowing or date.max, _Heap({}, []))
        heap.alone += need.purchase.cost
        too_long = life is not None and (need.sown_in > life or grower in heap.together)
        # whose day is past sows nobody knows when
        unknown = sowing is None or (life is not None and sowing < self._today)
        if unknown or too_long:
            heap.apart.append(alone(grower, need.grams, need.purchase))
        else:
            heap.together[grower] = heap.together.get(grower, 0) + need.grams

    def _line(self, key: tuple[str, date, str, bool], heaps: dict[date, _Heap]) -> Line:
        village, monday, product, tested = key
        most = self._programme.share_most or 1
        groups: list[Group] = []
        exact = True
        for _, heap in sorted(heaps.items()):
            needs = sorted(heap.together.items())
            found, compared = shared_out(self._packs[product], needs, most, self._programme.currency.decimals)
            groups += (*found, *sorted(heap.apart, key=lambda group: group.shares[0].grower))
            exact = exact and compared
        shares = [share for group in groups for share in group.shares]
        return Line(
            village=village,
            week=None if monday == date.max else monday,
            product=product,
            tested=tested,
            growers=len({share.grower for share in shares}),
            grams=sum(share.grams for share in shares),
            groups=tuple(groups),
            alone=sum((heap.alone for heap in heaps.values()), Decimal(0)),
            exact=exact,
        )


_ORIGINS = frozenset(Origin)


def growers_of(order: Order) -> Iterator[str]:
    """Every grower in an order, each once."""
    return iter(dict.fromkeys(_shares(order.lines)))


def _shares(lines: Iterable[Line]) -> Iterator[str]:
    return (share.grower for line in lines for group in line.groups for share in group.shares)
