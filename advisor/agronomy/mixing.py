"""Whether amounts of several fertilisers can meet a need within a nitrogen limit, and how much of each is applied.

Bought is not applied: of what is bought as much is applied as the need takes, in the way that brings least
nitrogen. So a purchase will do when its least nitrogen is within the limit. That is a linear programme in few
products; its answer lies at a corner, where at most one product for each need is neither left out nor used up,
so all corners are looked at. An amount that misses its edge by a part in a thousand million meets it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import combinations, product

from advisor.agronomy.errors import CannotBe
from advisor.agronomy.fertiliser_need import Need
from advisor.agronomy.grades import Grade
from advisor.agronomy.limits import above_zero
from advisor.agronomy.units import HECTARE_M2

_NOISE = 1e-9


@dataclass(frozen=True, slots=True)
class Wanted:
    """The need of a plot.

    Args:
        p: P₂O₅ at least [kg].
        k: K₂O at least [kg].
        n: nitrogen at most [kg].
    """

    p: float
    k: float
    n: float


@dataclass(frozen=True, slots=True)
class Held:
    """An amount of one product.

    Args:
        kg: how much there is.
        n: nitrogen in a kilogram.
        p: P₂O₅ in a kilogram.
        k: K₂O in a kilogram.
    """

    kg: float
    n: float
    p: float
    k: float


def wanted_on(need: Need, area_m2: float) -> Wanted:
    """The need of a plot.

    Args:
        need: need of a hectare.
        area_m2: the plot [m²], above 0.

    Returns:
        The need [kg].

    Raises:
        OutOfRange: an area that is not above 0.

    Source:
        Arithmetic.

    >>> from advisor.agronomy.fertiliser_need import Basis
    >>> from advisor.agronomy.nutrients import K2O, P2O5, N
    >>> wanted_on(Need(P2O5(46), K2O(0), N(20), Basis.ZONE, P2O5(0)), 5000)
    Wanted(p=23.0, k=0.0, n=10.0)
    """
    hectares = above_zero("area", area_m2, "m2") / HECTARE_M2
    return Wanted(need.p2o5.kg_per_ha * hectares, need.k2o.kg_per_ha * hectares, need.n_limit.kg_per_ha * hectares)


def held(kg: float, grade: Grade) -> Held:
    """An amount of a product by its grade.

    Args:
        kg: how much there is [kg], 0 or more.
        grade: grade of the product.

    Returns:
        The amount with what is in it.

    Raises:
        Nothing.

    Source:
        Arithmetic.

    >>> held(50, Grade(18, 46, 0))
    Held(kg=50, n=0.18, p=0.46, k=0.0)
    """
    return Held(kg, grade.n_percent / 100, grade.p2o5_percent / 100, grade.k2o_percent / 100)


def is_enough(stock: Sequence[Held], wanted: Wanted) -> bool:
    """Whether amounts of products can be applied so that the need is met within the limit.

    Args:
        stock: what there is.
        wanted: the need.

    Returns:
        Whether they can.

    Raises:
        Nothing.

    Source:
        Own derivation: what holds no nitrogen is applied first and whole, of the rest the least nitrogen counts.

    >>> [is_enough([Held(50, 0.18, 0.46, 0)], Wanted(10, 0, most_n)) for most_n in (4, 3)]
    [True, False]
    """
    n = p = k = 0.0
    for each in stock:
        n += each.kg * each.n
        p += each.kg * each.p
        k += each.kg * each.k
    if p < wanted.p * (1 - _NOISE) or k < wanted.k * (1 - _NOISE):
        return False
    most_n = wanted.n * (1 + _NOISE)
    if n <= most_n:
        return True
    bearing = [each for each in stock if each.n and each.kg]
    rest_p = wanted.p - p + sum(each.kg * each.p for each in bearing)
    rest_k = wanted.k - k + sum(each.kg * each.k for each in bearing)
    rest_p, rest_k = left_of(rest_p, wanted.p), left_of(rest_k, wanted.k)
    corners = _corners(bearing, rest_p, rest_k)
    return any(sum(kg * each.n for kg, each in zip(corner, bearing, strict=True)) <= most_n for corner in corners)


def left_of(kg: float, of: float) -> float:
    """What is left of a need; a part in a thousand million is nothing.

    Args:
        kg: the need less what was brought, below 0 where more was.
        of: the whole need, 0 or more.

    Returns:
        What is left, 0 or more.

    Raises:
        Nothing.

    Source:
        Own choice, see the head of this file.

    >>> left_of(2.5, 60), left_of(1e-9, 60), left_of(-3, 60)
    (2.5, 0.0, 0.0)
    """
    return kg if kg > of * _NOISE else 0.0


def least_nitrogen_kg(stock: Sequence[Held], wanted: Wanted) -> tuple[float, ...]:
    """How much of each product to apply so that the need is met with least nitrogen, then with least product.

    Args:
        stock: what there is.
        wanted: the need; its limit plays no part.

    Returns:
        Product to apply [kg], in the order of the stock.

    Raises:
        CannotBe: there is not enough for the need.

    Source:
        Own derivation, see the head of this file.

    >>> stock = [Held(9, 0.18, 0.46, 0), Held(4, 0, 0.5, 0)]
    >>> [round(kg, 6) for kg in least_nitrogen_kg(stock, Wanted(2.46, 0, 1))]
    [1.0, 4]
    """
    ranked = [
        (round(sum(kg * each.n for kg, each in zip(corner, stock, strict=True)), 9), sum(corner), corner)
        for corner in _corners(stock, wanted.p, wanted.k)
    ]
    if not ranked:
        raise CannotBe("not_enough", "there is not enough product for the need", "buy more of it")
    return min(ranked)[2]


def _corners(stock: Sequence[Held], p: float, k: float) -> Iterator[tuple[float, ...]]:
    """Every corner of the amounts that meet both needs."""
    slack_p, slack_k = p * _NOISE, k * _NOISE
    for free, fixed in _frees(len(stock), (p > 0) + (k > 0)):
        for used_up in product((False, True), repeat=len(fixed)):
            amounts = [0.0] * len(stock)
            rest_p, rest_k = p, k
            for at, part in zip(fixed, used_up, strict=True):
                if part:
                    each = stock[at]
                    amounts[at] = each.kg
                    rest_p -= each.kg * each.p
                    rest_k -= each.kg * each.k
            for answer in _answers([stock[at] for at in free], rest_p, rest_k):
                left_p, left_k = rest_p, rest_k
                for at, kg in zip(free, answer, strict=True):
                    each = stock[at]
                    if not -_NOISE <= kg <= each.kg * (1 + _NOISE):
                        break
                    amounts[at] = min(max(0.0, kg), each.kg)
                    left_p -= kg * each.p
                    left_k -= kg * each.k
                else:
                    if left_p <= slack_p and left_k <= slack_k:
                        yield tuple(amounts)


@lru_cache(maxsize=64)
def _frees(products: int, needs: int) -> tuple[tuple[tuple[int, ...], tuple[int, ...]], ...]:
    """Which products are neither left out nor used up, at most one for each need, and which are."""
    return tuple(
        (free, tuple(at for at in range(products) if at not in free))
        for size in range(min(needs, products) + 1)
        for free in combinations(range(products), size)
    )


def _answers(free: Sequence[Held], rest_p: float, rest_k: float) -> list[tuple[float, ...]]:
    """Amounts of the free products that meet as many needs exactly as there are free products."""
    if not free:
        return [()]
    if len(free) == 1:
        return [(rest / part,) for rest, part in ((rest_p, free[0].p), (rest_k, free[0].k)) if part]
    one, other = free
    crossed = one.p * other.k - other.p * one.k
    if not crossed:
        return []
    return [((rest_p * other.k - rest_k * other.p) / crossed, (rest_k * one.p - rest_p * one.k) / crossed)]
