"""An agent's sums: what the growers of a village or a dealer need, product by product and week by week.

Each grower's plan is a few rows: so many grams of a product, in the week in which it must be at hand, and whether
tested seed stands behind it. Rows are added up for a village or a dealer: kilograms, the packs and bags if each
buys alone, the money, and how much of it rests on a test. What is only assumed is never hidden in the sum.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal

from advisor.agronomy.buylist import BuyList
from advisor.agronomy.errors import MissingFigure, OutOfRange
from advisor.agronomy.limits import whole_up
from advisor.agronomy.packs import Pack, Purchase, cheapest_purchase


@dataclass(frozen=True, slots=True)
class Need:
    """What one grower needs of one product.

    Args:
        place: key of the village, or of the dealer, that it is added up for.
        day: day by which it must be at hand.
        product: key of the product.
        grams: how much [g], 1 or more.
        tested: whether a germination test stands behind it; else the label or an assumption does.
    """

    place: str
    day: date
    product: str
    grams: int
    tested: bool


@dataclass(frozen=True, slots=True)
class Row:
    """What a place needs of a product in a week.

    Args:
        place: key of the village or dealer.
        week: the Monday of the week.
        product: key of the product.
        growers: growers who need it.
        grams: how much they need together [g].
        packs: packs or bags if each buys alone, largest first, and how many of each.
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

    >>> from importlib.resources import files
    >>> from advisor.agronomy.buylist import Lot, Origin, buy_list
    >>> from advisor.agronomy.crop import read_crop
    >>> from advisor.agronomy.programme_file import read_programme
    >>> from advisor.agronomy.sources import read_sources
    >>> data, programmes = files("advisor.agronomy") / "data", files("advisor") / "programmes"
    >>> sources = read_sources((data / "sources.toml").read_text("utf-8"))
    >>> crops = [read_crop(file.read_text("utf-8"), sources) for file in (data / "crops").iterdir()]
    >>> programme = read_programme((programmes / "ulami.toml").read_text("utf-8"), crops, sources)
    >>> crop = next(crop for crop in crops if crop.key == programme.crops[0].crop)
    >>> bought = buy_list(programme, crop, 10117.141056, Lot(Origin.BOUGHT))
    >>> [(need.product, need.grams) for need in needs_of(bought, "v1", date(2026, 11, 15), date(2026, 11, 18))]
    [('s1', 50000), ('i1', 250)]
    """
    needs = []
    if bought.seed_product is not None:
        seed_g = whole_up(bought.seed_kg * 1000)
        needs.append(Need(place, buy_by, bought.seed_product, seed_g, bought.germination_tested))
    if bought.inoculant_purchase is not None:
        grams = whole_up(bought.inoculant_g)
        needs.append(Need(place, pick_up, bought.inoculant_product, grams, bought.germination_tested))
    return tuple(needs)


class _Sum:
    """A row as it grows; the one thing here that changes, since a district adds up a hundred thousand."""

    __slots__ = ("cost", "grams", "growers", "packs", "tested_grams", "tested_growers")

    def __init__(self) -> None:
        self.growers = self.grams = self.tested_growers = self.tested_grams = 0
        self.cost = Decimal(0)
        self.packs: dict[Pack, int] = {}

    def add(self, need: Need, bought: Purchase) -> None:
        self.growers += 1
        self.grams += need.grams
        if need.tested:
            self.tested_growers += 1
            self.tested_grams += need.grams
        self.cost += bought.cost
        for pack, count in bought.lines:
            self.packs[pack] = self.packs.get(pack, 0) + count


def needs_table(needs: Iterable[Need], packs: Mapping[str, Sequence[Pack]]) -> tuple[Row, ...]:
    """Needs added up by place, week and product.

    Args:
        needs: rows of the growers' plans.
        packs: packs on sale of each product.

    Returns:
        The table by place, week and product.

    Raises:
        MissingFigure: a product without packs.
        OutOfRange: a need below 1 g.

    Source:
        Sums.

    >>> week = [Need("v1", date(2026, 11, day), "s1", 20_000, day > 18) for day in (16, 18, 22)]
    >>> [row] = needs_table(week, {"s1": [Pack(25000, Decimal(2600))]})
    >>> row.week, row.growers, row.kg, row.cost, round(row.tested_part, 2)
    (datetime.date(2026, 11, 16), 3, 60.0, Decimal('7800'), 0.33)
    """
    sums: dict[tuple[str, date, str], _Sum] = {}
    weeks: dict[date, date] = {}
    bought: dict[tuple[str, int], Purchase] = {}
    for need in needs:
        week = weeks.get(need.day)
        if week is None:
            week = weeks[need.day] = need.day - timedelta(need.day.weekday())
        purchase = bought.get((need.product, need.grams))
        if purchase is None:
            purchase = bought[need.product, need.grams] = _purchase(need, packs)
        sums.setdefault((need.place, week, need.product), _Sum()).add(need, purchase)
    return tuple(
        Row(
            *key,
            each.growers,
            each.grams,
            tuple(sorted(each.packs.items(), key=lambda line: (-line[0].size, line[0].price))),
            each.cost,
            each.tested_growers,
            each.tested_grams,
        )
        for key, each in sorted(sums.items())
    )


def _purchase(need: Need, packs: Mapping[str, Sequence[Pack]]) -> Purchase:
    if need.grams < 1:
        raise OutOfRange("need", need.grams, 1, "any whole number", "g")
    if not packs.get(need.product):
        raise MissingFigure(f"packs of {need.product}", "add the product with its packs to the programme file")
    return cheapest_purchase(packs[need.product], need.grams)
