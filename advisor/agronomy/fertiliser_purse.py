"""Fertiliser for somebody who carries it home: few kinds of it, and what a purse that is too small buys.

Four kinds of bags for one field are bought by nobody, so of purchases with few kinds the cheapest is taken. Where
money is short, half the phosphorus goes first, as in ``purse``, and then field: what is dressed is never dressed
with less than half, since a pinch for each metre is lost.
"""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from decimal import Decimal
from itertools import combinations

from advisor.agronomy.errors import CannotBe
from advisor.agronomy.fertiliser_choice import FertiliserChoice, choose_fertiliser
from advisor.agronomy.fertiliser_figures import FertiliserProduct
from advisor.agronomy.fertiliser_need import Need
from advisor.agronomy.limits import within
from advisor.agronomy.nutrients import P2O5

#: The least part of the phosphorus that a field is dressed with.
LEAST_P_PART = 0.5
#: A mix that meets two needs within one limit needs no more kinds than that.
FEWEST_KINDS = 3


@dataclass(frozen=True, slots=True)
class Dressing:
    """What a purse buys.

    Args:
        area_m2: the part of the field that is dressed.
        p_part: part of its phosphorus that it gets, 1 or a half.
        choice: the purchase for that.
        whole: what the whole dressing of the whole field costs.
    """

    area_m2: float
    p_part: float
    choice: FertiliserChoice
    whole: Decimal


def choose_few(
    products: Sequence[FertiliserProduct], need: Need, area_m2: float, decimals: int, kinds: int = FEWEST_KINDS
) -> FertiliserChoice:
    """The cheapest purchase of at most so many kinds that meets the need of a plot.

    Args:
        products: the dealer's list, at least one product.
        need: need of a hectare.
        area_m2: the plot [m²], above 0.
        decimals: digits after the point in prices, 0 to 2.
        kinds: most kinds, 3 or more.

    Returns:
        The purchase; of equally cheap ones the first by the dealer's list.

    Raises:
        MissingFigure, CannotBe, OutOfRange: as ``choose_fertiliser``.
        OutOfRange: fewer kinds than a mix may need.

    Source:
        Own formulation: a mix that meets two needs within one limit, if bags could be cut, needs three kinds at
        most, so that fewer kinds never leave a need unmet.

    >>> fertilising = programme.fertilising
    >>> need = Need(P2O5(60), fertilising.needs[1].k2o, fertilising.needs[1].n_limit)
    >>> [line.product for line in choose_few(fertilising.products, need, 4046.8564224, 0).lines]
    ['f1', 'f2', 'f4']
    """
    within("kinds of fertiliser", kinds, FEWEST_KINDS, 1000, "1")
    best = choose_fertiliser(products, need, area_m2, decimals)
    if len(best.lines) <= kinds:
        return best
    found = []
    for few in combinations(products, kinds):
        with suppress(CannotBe):
            found.append(choose_fertiliser(few, need, area_m2, decimals))
    return min(found, key=lambda choice: choice.cost)


def dressing_for_purse(
    products: Sequence[FertiliserProduct], need: Need, area_m2: float, decimals: int, purse: Decimal, parts: int
) -> Dressing | None:
    """What a purse buys: the whole dressing, half the phosphorus, or half of it on a part of the field.

    Args:
        products: the dealer's list, at least one product.
        need: need of a hectare.
        area_m2: the plot [m²], above 0.
        decimals: digits after the point in prices, 0 to 2.
        purse: money there is, 0 or more.
        parts: parts that the field can be divided into, 1 to 1,000.

    Returns:
        The first of these that the purse pays for, on as many parts as it does; None where it pays for none.

    Raises:
        MissingFigure, CannotBe, OutOfRange: as ``choose_fertiliser``.
        OutOfRange: parts that cannot be.

    Source:
        Own choice of order, that of ``purse``.

    >>> fertilising = programme.fertilising
    >>> need = Need(fertilising.needs[0].p2o5, fertilising.needs[0].k2o, fertilising.needs[0].n_limit)
    >>> found = dressing_for_purse(fertilising.products, need, 10_000, 0, Decimal(4000), 10)
    >>> found.area_m2, found.p_part, found.choice.cost, found.whole
    (7000.0, 0.5, Decimal('3850'), Decimal('10400'))
    """
    parts = int(within("parts of the field", parts, 1, 1000, "1"))
    whole = choose_few(products, need, area_m2, decimals)
    if whole.cost <= purse:
        return Dressing(area_m2, 1.0, whole, whole.cost)
    half = replace(need, p2o5=P2O5(need.p2o5.kg_per_ha * LEAST_P_PART))
    for count in range(parts, 0, -1):
        part_m2 = area_m2 * count / parts
        choice = choose_few(products, half, part_m2, decimals)
        if choice.cost <= purse:
            return Dressing(part_m2, LEAST_P_PART, choice, whole.cost)
    return None
