"""The cheapest bags, shares and scoops from the dealer's list that meet a need within the nitrogen limit.

Any mix of products is allowed, so the cheapest is searched for among all of them, exactly
(``fertiliser_search``). The need is met by what is bought, the limit holds for what is applied: a bag may hold
more nitrogen than the field bears, as long as the rest of it stays in the bag. Of equally cheap purchases
always the same one is taken.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from functools import lru_cache

from advisor.agronomy.cautions import (
    ASK_DEALER_OR_EXTENSION,
    FERTILISER_APART_FROM_SEED,
    FOLLOW_THE_PACK,
    INOCULANT_APART_FROM_FERTILISER,
    KEEP_FROM_CHILDREN_AND_FOOD,
    NO_BARE_HANDS_WITH_FERTILISER,
    WASH,
)
from advisor.agronomy.errors import MissingFigure
from advisor.agronomy.fertiliser_figures import FertiliserProduct
from advisor.agronomy.fertiliser_need import Need
from advisor.agronomy.fertiliser_search import Candidate, Dealer
from advisor.agronomy.grades import Grade, delivered
from advisor.agronomy.mixing import Wanted, held, least_nitrogen_kg, wanted_on
from advisor.agronomy.nutrients import K2O, P2O5, N, Nutrients
from advisor.agronomy.offers import Offer, bought, coins, levels_of, offers_of
from advisor.agronomy.units import HECTARE_M2

CAUTIONS = (
    NO_BARE_HANDS_WITH_FERTILISER,
    FERTILISER_APART_FROM_SEED,
    INOCULANT_APART_FROM_FERTILISER,
    WASH,
    KEEP_FROM_CHILDREN_AND_FOOD,
    FOLLOW_THE_PACK,
    ASK_DEALER_OR_EXTENSION,
)
_G_PER_KG = 1000


@dataclass(frozen=True, slots=True)
class Line:
    """What is bought of one product.

    Args:
        product: key of the product.
        offers: bags, shares and scoops, and how many of each.
        bought_kg: what they hold.
        applied_kg: what of it is applied; the rest is kept dry for another time.
        cost: what they cost.
    """

    product: str
    offers: tuple[tuple[Offer, int], ...]
    bought_kg: float
    applied_kg: float
    cost: Decimal


@dataclass(frozen=True, slots=True)
class FertiliserChoice:
    """The cheapest purchase for a plot.

    Args:
        lines: what is bought, in the order of the dealer's list; none where nothing is needed.
        cost: what all of it costs.
        delivered: what is applied to a hectare.
        cautions: keys of what must be said with it.
    """

    lines: tuple[Line, ...]
    cost: Decimal
    delivered: Nutrients
    cautions: tuple[str, ...] = CAUTIONS


def choose_fertiliser(
    products: Sequence[FertiliserProduct], need: Need, area_m2: float, decimals: int, sharers: int = 1
) -> FertiliserChoice:
    """The cheapest purchase that meets the need of a plot within the nitrogen limit.

    Args:
        products: the dealer's list, at least one product.
        need: need of a hectare.
        area_m2: the plot [m²], above 0.
        decimals: digits after the point in prices, 0 to 2.
        sharers: growers who split bags evenly among them, 1 for nobody else, at most 20.

    Returns:
        The purchase, and how much of it is applied: enough for the need, with the least nitrogen.

    Raises:
        MissingFigure: no products on the list.
        CannotBe: no mixture of the list meets the need within the limit.
        OutOfRange: an area, sharers or decimals that cannot be.

    Source:
        Own formulation: covering in whole packs under a limit, by branch and bound with Lagrangian bounds.

    >>> from advisor.agronomy.fertiliser_need import Basis
    >>> from advisor.agronomy.labels import Label
    >>> from advisor.agronomy.packs import Pack
    >>> both = [
    ...     FertiliserProduct("f1", Label("a"), Grade(18, 46, 0), 0.92, (Pack(50_000, Decimal(5200)),), None),
    ...     FertiliserProduct("f2", Label("b"), Grade(0, 46, 0), 1.1, (Pack(50_000, Decimal(5600)),), None),
    ... ]
    >>> need = Need(P2O5(60), K2O(0), N(20), Basis.ZONE, P2O5(0))
    >>> chosen = choose_fertiliser(both, need, 10_000, 0)
    >>> [(line.product, line.bought_kg, round(line.applied_kg, 1)) for line in chosen.lines], chosen.cost
    ([('f1', 100.0, 80.4), ('f2', 50.0, 50.0)], Decimal('16000'))
    """
    wanted = wanted_on(need, area_m2)
    offers, dealer = _dealer(tuple(products), need, decimals, sharers)
    if dealer is None:
        return FertiliserChoice((), Decimal(0), Nutrients(N(0), P2O5(0), K2O(0)))
    best = dealer.search(area_m2 / HECTARE_M2).grams
    return _choice(products, offers, dealer.candidates, best, wanted, area_m2)


@dataclass(frozen=True, slots=True)
class FertiliserCost:
    """What the cheapest purchase costs on plots of any size, without the purchase itself.

    Args:
        dealer: the dealer's list before the need; None where nothing is needed.
        decimals: digits after the point in prices.
    """

    dealer: Dealer | None
    decimals: int

    @classmethod
    def of(cls, products: Sequence[FertiliserProduct], need: Need, decimals: int) -> FertiliserCost:
        """The cost for a need of a hectare. Raises as ``choose_fertiliser``."""
        return cls(_dealer(tuple(products), need, decimals, 1)[1], decimals)

    def cost(self, area_m2: float) -> Decimal:
        """What ``choose_fertiliser`` costs on a plot."""
        found = 0 if self.dealer is None else self.dealer.search(area_m2 / HECTARE_M2).cost
        return Decimal(found).scaleb(-self.decimals)

    def least(self, area_m2: float) -> float:
        """An amount that it never costs less than."""
        found = 0.0 if self.dealer is None else self.dealer.least_cost(area_m2 / HECTARE_M2)
        return found / float(10**self.decimals)


def _dealer(
    products: tuple[FertiliserProduct, ...], need: Need, decimals: int, sharers: int
) -> tuple[tuple[tuple[Offer, ...], ...], Dealer | None]:
    """What the products are offered as, and the list before the need of a hectare."""
    if not products:
        raise MissingFigure("fertilisers on sale", "add at least one to [[fertilising.products]]")
    offers, candidates = _list(products, decimals, sharers)
    wanted = wanted_on(need, HECTARE_M2)
    return offers, Dealer.of(candidates, wanted) if wanted.p or wanted.k else None


@lru_cache(maxsize=64)
def _list(
    products: tuple[FertiliserProduct, ...], decimals: int, sharers: int
) -> tuple[tuple[tuple[Offer, ...], ...], tuple[Candidate, ...]]:
    offers = tuple(offers_of(product, sharers, decimals) for product in products)
    candidates = (
        _candidate(product.grade, each, decimals) for product, each in zip(products, offers, strict=True)
    )
    return offers, tuple(candidates)


def _candidate(grade: Grade, offers: Sequence[Offer], decimals: int) -> Candidate:
    packs = tuple((offer.pack.size, coins(offer.pack.price, decimals)) for offer in offers)
    return Candidate(packs, grade.n_percent / 100, grade.p2o5_percent / 100, grade.k2o_percent / 100)


def _choice(
    products: Sequence[FertiliserProduct],
    offers: Sequence[tuple[Offer, ...]],
    candidates: Sequence[Candidate],
    best: Sequence[int],
    wanted: Wanted,
    area_m2: float,
) -> FertiliserChoice:
    used = [at for at, grams in enumerate(best) if grams]
    applied = least_nitrogen_kg([held(best[at] / _G_PER_KG, products[at].grade) for at in used], wanted)
    lines, given = [], Nutrients(N(0), P2O5(0), K2O(0))
    for at, kg in zip(used, applied, strict=True):
        cover = bought(offers[at], levels_of(candidates[at].packs, best[at]), best[at])
        cost = sum((offer.pack.price * count for offer, count in cover), Decimal(0))
        lines.append(Line(products[at].key, cover, best[at] / _G_PER_KG, kg, cost))
        more = delivered(products[at].grade, kg, area_m2)
        given = Nutrients(given.n + more.n, given.p2o5 + more.p2o5, given.k2o + more.k2o)
    return FertiliserChoice(tuple(lines), sum((line.cost for line in lines), Decimal(0)), given)
