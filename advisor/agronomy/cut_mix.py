"""The cheapest mix of fertilisers if bags could be cut at will, and what it says each nutrient is worth.

A linear programme with three needs (P₂O₅ and K₂O at least, nitrogen at most). There are few products on a list,
so every corner is looked at. Kept are the corners whose prices no product undercuts; they are the same for all
plots of one dealer, and one of them that meets the need is the cheapest mix. The prices matter as much as the mix,
since ``fertiliser_search`` leaves out what costs more than its nutrients are worth: where a product holds P₂O₅ and
K₂O just as they are needed, a mix has many corners, and only at some of them are both priced as they cost.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import combinations

from advisor.agronomy.errors import CannotBe
from advisor.agronomy.mixing import Wanted

#: Products of a corner, the needs that they meet exactly, the inverse of what they hold, and prices on the needs.
_Corner = tuple[tuple[int, ...], tuple[int, ...], tuple[tuple[float, ...], ...], tuple[float, float, float]]
#: An amount or a price that is off by so small a part is not off.
_NOISE = 1e-9


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
    for products, rows, inverse, prices in _corners(holds, rates):
        amounts = [sum(part * asked[row] for part, row in zip(line, rows, strict=True)) for line in inverse]
        nothing = _NOISE * max(amounts)
        if min(amounts) >= -nothing:
            mix = [0.0] * len(holds)
            for at, kg in zip(products, amounts, strict=True):
                mix[at] = kg if kg > nothing else 0.0
            if _meets(mix, holds, asked):
                return CutMix(tuple(mix), *prices)
    raise CannotBe(
        "no_mixture",
        f"nothing on the list brings {wanted.p:.1f} kg P2O5 and {wanted.k:.1f} kg K2O "
        f"with at most {wanted.n:.1f} kg nitrogen",
        "ask the dealer for a product with more of them and less nitrogen",
    )


def _meets(
    mix: Sequence[float], holds: Sequence[tuple[float, float, float]], asked: tuple[float, float, float]
) -> bool:
    p, k, n = (sum(kg * each[row] for kg, each in zip(mix, holds, strict=True)) for row in range(3))
    return p >= asked[0] * (1 - _NOISE) and k >= asked[1] * (1 - _NOISE) and n <= asked[2] * (1 + _NOISE)


@lru_cache(maxsize=64)
def _corners(holds: tuple[tuple[float, float, float], ...], rates: tuple[float, ...]) -> tuple[_Corner, ...]:
    """Every way in which as many products as needs meet them exactly, at prices that no product undercuts."""
    found: list[_Corner] = []
    for size in (1, 2, 3):
        for products in combinations(range(len(holds)), size):
            for rows in combinations(range(3), size):
                inverse = _inverse([[holds[at][row] for at in products] for row in rows])
                if inverse:
                    on_rows = [0.0, 0.0, 0.0]
                    for place, row in enumerate(rows):
                        on_rows[row] = sum(
                            rates[at] * line[place] for at, line in zip(products, inverse, strict=True)
                        )
                    if _none_undercuts(on_rows, holds, rates):
                        prices = max(0.0, on_rows[0]), max(0.0, on_rows[1]), max(0.0, -on_rows[2])
                        found.append((products, rows, inverse, prices))
    return tuple(found)


def _none_undercuts(
    on_rows: Sequence[float], holds: Sequence[tuple[float, float, float]], rates: Sequence[float]
) -> bool:
    """Whether prices are such that no product costs less than it is worth; nitrogen is worth no money."""
    on_p, on_k, on_n = on_rows
    near = _NOISE * max(rates)
    return min(on_p, on_k, -on_n) >= -near and all(
        on_p * p + on_k * k + on_n * n <= rate + near for (p, k, n), rate in zip(holds, rates, strict=True)
    )


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
