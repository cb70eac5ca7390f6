"""An agent's sums: what the growers of a village or a dealer need, product by product and week by week.

Each grower's buy list becomes a few rows: so many grams of a product in so many packs, the day on which it must be
at hand, and whether tested seed stands behind it. Rows are added up for a village or a dealer: kilograms, packs
and bags, money, and how much of it rests on a test. What is only assumed is never hidden in a sum.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal

from advisor.agronomy.buylist import BuyList, Lot, Package, Settled
from advisor.agronomy.crop import Crop
from advisor.agronomy.limits import whole_up
from advisor.agronomy.packs import Pack, Purchase
from advisor.agronomy.programme import Programme


@dataclass(frozen=True, slots=True)
class Plan:
    """A grower's plan as far as the sums need it.

    Args:
        place: key of the village, or of the dealer, that it is added up for.
        area_m2: the field [m²].
        lot: the seed at hand, or that is to be bought.
        buy_by: day by which seed is bought.
        pick_up: day on which inoculant is picked up.
        spacing: index of a spacing on offer, 0 is the usual one.
        as_it_is: whether no test of the lot is to come, so that seed of one's own is sown without one.
    """

    place: str
    area_m2: float
    lot: Lot
    buy_by: date
    pick_up: date
    spacing: int = 0
    as_it_is: bool = False


@dataclass(frozen=True, slots=True)
class Need:
    """What one grower needs of one product.

    Args:
        place: key of the village, or of the dealer, that it is added up for.
        day: day by which it must be at hand.
        product: key of the product.
        grams: how much is needed [g].
        purchase: the packs that the grower buys for it.
        tested: whether a germination test stands behind it; else the label or an assumption does.
        sown_in: days of sowing for which an opened pack must do, 1 where that does not matter.
    """

    place: str
    day: date
    product: str
    grams: int
    purchase: Purchase
    tested: bool
    sown_in: int = 1


@dataclass(frozen=True, slots=True)
class Row:
    """What a place needs of a product in a week.

    Args:
        place: key of the village or dealer.
        week: the Monday of the week.
        product: key of the product.
        growers: growers who need it.
        grams: how much they need together [g].
        packs: packs or bags that they buy, largest first, and how many of each.
        cost: what those cost.
        tested_growers: growers whose need rests on a test.
        tested_grams: their part of the grams.
    """

    place: str
    week: date
    product: str
    growers: int
    grams: int
    packs: tuple[tuple[Pack, int], ...]
    cost: Decimal
    tested_growers: int
    tested_grams: int

    @property
    def kg(self) -> float:
        """How much they need together [kg]."""
        return self.grams / 1000

    @property
    def tested_part(self) -> float:
        """Part of the grams that rests on a test, 0 to 1."""
        return self.tested_grams / self.grams


def needs_of(bought: BuyList, place: str, buy_by: date, pick_up: date) -> tuple[Need, ...]:
    """The rows that a grower's buy list adds to a place.

    Args:
        bought: the buy list.
        place: key of the village, or of the dealer.
        buy_by: day by which seed is bought.
        pick_up: day on which inoculant is picked up.

    Returns:
        Seed and inoculant; only what the grower buys.

    Raises:
        Nothing.

    Source:
        The buy list.

    >>> from advisor.agronomy.buylist import Lot, Origin, buy_list
    >>> bought = buy_list(programme, crop, 10117.141056, Lot(Origin.BOUGHT))
    >>> [(need.product, need.grams) for need in needs_of(bought, "v1", date(2026, 11, 15), date(2026, 11, 18))]
    [('s1', 50000), ('i1', 250)]
    """
    needs = []
    if bought.seed_product is not None and bought.seed_purchase is not None:
        grams = whole_up(bought.seed_kg * 1000)
        product, purchase = bought.seed_product, bought.seed_purchase
        needs.append(Need(place, buy_by, product, grams, purchase, bought.germination_tested))
    if bought.inoculant_purchase is not None:
        grams = whole_up(bought.inoculant_g)
        product, purchase = bought.inoculant_product, bought.inoculant_purchase
        days = bought.sowing_days
        needs.append(Need(place, pick_up, product, grams, purchase, bought.germination_tested, sown_in=days))
    return tuple(needs)


class Needing:
    """What growers need; fields and lots that are alike are computed once, so it is made once for many growers.

    Args:
        programme: rules, products and prices.
        crop: a crop that the programme grows.

    >>> from advisor.agronomy.buylist import Origin
    >>> ann = Plan("v1", 10117.141056, Lot(Origin.BOUGHT), date(2026, 11, 15), date(2026, 11, 18))
    >>> [need.grams for need in Needing(programme, crop).needs(ann)]
    [50000, 250]
    """

    def __init__(self, programme: Programme, crop: Crop) -> None:
        self._programme, self._crop = programme, crop
        self._lots: dict[tuple[Lot, int, bool], tuple[Settled, dict[float, Package]]] = {}

    def needs(self, plan: Plan) -> tuple[Need, ...]:
        """What one plan needs: seed first, then inoculant, and only what is bought. Raises as `growers_needs`."""
        key = plan.lot, plan.spacing, plan.as_it_is
        found = self._lots.get(key)
        if found is None:
            found = Settled.of(self._programme, self._crop, plan.lot, plan.spacing), {}
            found[0].ways.masses(plan.area_m2)  # refuses a rate of less than a seed a hole, on any field alike
            self._lots[key] = found
        settled, packages = found
        package = packages.get(plan.area_m2)
        if package is None:
            settled.check(plan.area_m2)
            of = settled.sown_as_it_is if plan.as_it_is else settled.package
            package = packages[plan.area_m2] = of(plan.area_m2)
        needs = []
        # As ``needs_of`` has it from the whole list, of which nothing else is needed here.
        if package.seed is not None:
            grams = whole_up(package.seed_kg * 1000)
            needs.append(Need(plan.place, plan.buy_by, settled.seed.key, grams, package.seed, settled.tested))
        if package.inoculant is not None:
            grams, product, days = whole_up(package.inoculant_g), settled.inoculant.key, package.days
            needs.append(
                Need(plan.place, plan.pick_up, product, grams, package.inoculant, settled.tested, sown_in=days)
            )
        return tuple(needs)


def growers_needs(programme: Programme, crop: Crop, plans: Iterable[Plan]) -> Iterator[Need]:
    """The rows of many growers; fields and lots that are alike are computed once.

    Args:
        programme: rules, products and prices.
        crop: a crop that the programme grows.
        plans: the growers' plans.

    Returns:
        The rows, grower by grower.

    Raises:
        OutOfRange: a field outside the programme's limits, or a test of too few seeds.
        MissingFigure: the programme does not grow the crop or sells nothing for it.

    Source:
        As ``buy_list``.

    >>> from advisor.agronomy.buylist import Origin
    >>> ann = Plan("v1", 10117.141056, Lot(Origin.BOUGHT), date(2026, 11, 15), date(2026, 11, 18))
    >>> sum(need.purchase.cost for need in growers_needs(programme, crop, [ann, ann]))
    Decimal('11100')
    """
    needing = Needing(programme, crop)
    for plan in plans:
        yield from needing.needs(plan)


class _Sum:
    """A row as it grows; the one thing here that changes, since a district adds up a hundred thousand."""

    __slots__ = ("cost", "grams", "growers", "packs", "tested_grams", "tested_growers")

    def __init__(self) -> None:
        self.growers = self.grams = self.tested_growers = self.tested_grams = 0
        self.cost = Decimal(0)
        self.packs: dict[Pack, int] = {}

    def add(self, need: Need) -> None:
        self.growers += 1
        self.grams += need.grams
        if need.tested:
            self.tested_growers += 1
            self.tested_grams += need.grams
        self.cost += need.purchase.cost
        for pack, count in need.purchase.lines:
            self.packs[pack] = self.packs.get(pack, 0) + count


def needs_table(needs: Iterable[Need]) -> tuple[Row, ...]:
    """Needs added up by place, week and product.

    Args:
        needs: rows of the growers' buy lists.

    Returns:
        The table by place, week and product.

    Raises:
        Nothing.

    Source:
        Sums.

    >>> bag = Pack(25000, Decimal(2600))
    >>> one = Purchase(((bag, 1),), bag.price, 5000)
    >>> week = [Need("v1", date(2026, 11, day), "s1", 20_000, one, day > 18) for day in (16, 18, 22)]
    >>> [row] = needs_table(week)
    >>> row.week, row.growers, row.kg, row.packs[0][1], row.cost, round(row.tested_part, 2)
    (datetime.date(2026, 11, 16), 3, 60.0, 3, Decimal('7800'), 0.33)
    """
    sums: dict[tuple[str, date, str], _Sum] = {}
    mondays: dict[date, date] = {}
    for need in needs:
        monday = mondays.get(need.day)
        if monday is None:
            monday = mondays[need.day] = need.day - timedelta(need.day.weekday())
        key = need.place, monday, need.product
        found = sums.get(key)
        if found is None:
            found = sums[key] = _Sum()
        found.add(need)
    return tuple(
        Row(
            *key,
            found.growers,
            found.grams,
            tuple(sorted(found.packs.items(), key=lambda line: (-line[0].size, line[0].price))),
            found.cost,
            found.tested_growers,
            found.tested_grams,
        )
        for key, found in sorted(sums.items())
    )
