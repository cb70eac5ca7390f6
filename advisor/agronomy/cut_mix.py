"""The cheapest mix of fertilisers if bags could be cut at will, and what it says each nutrient is worth.

A linear programme with three needs (P₂O₅ and K₂O at least, nitrogen at most). There are few products on a list,
so every corner is looked at; the corners are the same for all plots of one dealer and are kept.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import combinations
from math import inf

from advisor.agronomy.errors import CannotBe
from advisor.agronomy.mixing import Wanted

#: Products of a corner, the needs that they meet exactly, the inverse of what they hold, and prices on the needs.
_Corner = tuple[tuple[int, ...], tuple[int, ...], tuple[tuple[float, ...], ...], tuple[float, ...]]


@dataclass(frozen=True, slots=True)
class CutMix:
    """The cheapest mix if bags could be cut.

    Args:
        kg: amount of each product.
        price_p: what a kilogram more of P₂O₅ would cost.
        price_k: what a kilogram more of K₂O would cost.
        price_n: what a kilogram more of allowed nitrogen would save.
    """

    kg: tuple[float, ...]
    price_p: float
    price_k: float
    price_n: float


def cheapest_cut(
    holds: tuple[tuple[float, float, float], ...], rates: tuple[float, ...], wanted: Wanted
) -> CutMix:
    """The cheapest mix if bags could be cut at will, and the prices that it puts on the nutrients.

    Args:
        holds: P₂O₅, K₂O and nitrogen in a kilogram of each product.
        rates: price of a kilogram of each, above 0.
        wanted: the need of the plot.

    Returns:
        Amounts and prices.

    Raises:
        CannotBe: no mix meets the need within the limit.

    Source:
        Linear programming: an optimum lies at a corner, where as many products as needs meet those needs exactly.

    >>> mix = cheapest_cut(((0.46, 0, 0.18), (0.46, 0, 0)), (100.0, 110.0), Wanted(p=46, k=0, n=9))
    >>> [round(kg, 6) for kg in mix.kg], round(mix.price_n, 2)
    ([50.0, 50.0], 55.56)
    """
    asked = (wanted.p, wanted.k, wanted.n)
    best, mix, prices = inf, [0.0] * len(holds), (0.0, 0.0, 0.0)
    for products, rows, inverse, on_rows in _corners(holds, rates):
        amounts = [sum(part * asked[row] for part, row in zip(line, rows, strict=True)) for line in inverse]
        if min(amounts) < 0:
            continue
        cost = sum(kg * rates[at] for kg, at in zip(amounts, products, strict=True))
        if cost < best and _meets(amounts, products, holds, asked):
            best, mix = cost, [0.0] * len(holds)
            for at, kg in zip(products, amounts, strict=True):
                mix[at] = kg
            priced = dict(zip(rows, on_rows, strict=True))
            prices = (max(0.0, priced.get(0, 0.0)), max(0.0, priced.get(1, 0.0)), max(0.0, -priced.get(2, 0.0)))
    if best == inf:
        raise CannotBe(
            "no_mixture",
            f"nothing on the list brings {wanted.p:.1f} kg P2O5 and {wanted.k:.1f} kg K2O "
            f"with at most {wanted.n:.1f} kg nitrogen",
            "ask the dealer for a product with more of them and less nitrogen",
        )
    return CutMix(tuple(mix), *prices)


def _meets(
    amounts: Sequence[float],
    products: Sequence[int],
    holds: Sequence[tuple[float, float, float]],
    asked: tuple[float, float, float],
) -> bool:
    p = k = n = 0.0
    for kg, at in zip(amounts, products, strict=True):
        p += kg * holds[at][0]
        k += kg * holds[at][1]
        n += kg * holds[at][2]
    near = 1e-9
    return p >= asked[0] * (1 - near) and k >= asked[1] * (1 - near) and n <= asked[2] * (1 + near)


@lru_cache(maxsize=64)
def _corners(holds: tuple[tuple[float, float, float], ...], rates: tuple[float, ...]) -> tuple[_Corner, ...]:
    """Every way in which as many products as needs meet them exactly; the same for all plots of a dealer."""
    found: list[_Corner] = []
    for size in (1, 2, 3):
        for products in combinations(range(len(holds)), size):
            for rows in combinations(range(3), size):
                inverse = _inverse([[holds[at][row] for at in products] for row in rows])
                if inverse:
                    on_rows = tuple(
                        sum(rates[at] * line[row] for at, line in zip(products, inverse, strict=True))
                        for row in range(size)
                    )
                    found.append((products, rows, inverse, on_rows))
    return tuple(found)


def _inverse(matrix: list[list[float]]) -> tuple[tuple[float, ...], ...]:
    """The inverse of a small matrix, empty where there is none (Gauss and Jordan, with the largest pivot)."""
    size = len(matrix)
    rows = [row + [float(at == column) for column in range(size)] for at, row in enumerate(matrix)]
    for at in range(size):
        pivot = max(range(at, size), key=lambda row: abs(rows[row][at]))
        if abs(rows[pivot][at]) < 1e-12:
            return ()
        rows[at], rows[pivot] = rows[pivot], rows[at]
        rows[at] = [each / rows[at][at] for each in rows[at]]
        for row in range(size):
            if row != at:
                factor = rows[row][at]
                rows[row] = [each - factor * of for each, of in zip(rows[row], rows[at], strict=True)]
    return tuple(tuple(row[size:]) for row in rows)
