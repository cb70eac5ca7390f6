"""What amounts of one nutrient cost at least, from products that bring nothing else.

Products that hold only P₂O₅, or only K₂O, can stand in for one another gram by gram, so together they are one
product with a price for each amount. Kept are the amounts for which more would cost more, with what is bought
for them. They are the same for all plots of a dealer and are made once.

Large amounts are mostly the cheapest pack: from some amount on, as much more as it holds costs just what it costs.
Once that holds on a stretch as long as the largest pack it holds for ever, since the cheapest cover of an amount
is a pack and the cheapest cover of the rest. So it is looked for, proven on the list itself, and then repeated.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from dataclasses import dataclass
from functools import lru_cache
from math import ceil, log2

from advisor.agronomy.errors import OutOfRange
from advisor.agronomy.limits import BELOW_LARGEST, LARGEST
from advisor.agronomy.offers import levels_of

_NOISE = 1e-9


@dataclass(frozen=True, slots=True)
class Pure:
    """A product that brings one nutrient only.

    Args:
        packs: grams and coins of every way to buy it.
        part: kilograms of the nutrient in a kilogram.
    """

    packs: tuple[tuple[int, int], ...]
    part: float


@dataclass(frozen=True, slots=True)
class Frontier:
    """Amounts of a nutrient; all lists run together and rise, the first is nothing for nothing.

    Args:
        kg: amounts of the nutrient [kg].
        costs: what each costs at least, in the smallest coin.
        grams: grams of every product that are bought for it.
    """

    kg: tuple[float, ...]
    costs: tuple[int, ...]
    grams: tuple[tuple[int, ...], ...]

    def least(self, kg: float) -> int | None:
        """Index of the least amount that is enough, None where no amount is."""
        at = bisect_left(self.kg, kg * (1 - _NOISE))
        return at if at < len(self.kg) else None


def frontier_up_to(products: tuple[Pure, ...], most_kg: float) -> Frontier:
    """What amounts of a nutrient cost at least, up to the first that is enough.

    Args:
        products: products that bring it and nothing else; where there are none, nothing can be bought.
        most_kg: amount that is enough [kg], above 0.

    Returns:
        The amounts; they are kept for the next time.

    Raises:
        OutOfRange: an amount that is not above 0.

    Source:
        Own derivation: the cheapest of every sum of levels, product by product.

    >>> found = frontier_up_to((Pure(((50_000, 5600),), 0.46), Pure(((50_000, 2100),), 0.18)), 30)
    >>> found.kg[:4], found.costs[:4]
    ((0.0, 9.0, 18.0, 23.0), (0, 2100, 4200, 5600))
    """
    # A hair of a need is what is left of a difference of two amounts and no slip, so it has no lower end but 0.
    if not 0 < most_kg < LARGEST:
        raise OutOfRange("nutrient", most_kg, "above 0", BELOW_LARGEST, "kg")
    # The next power of two, so that one list serves many plots.
    return _long(products, 2.0 ** ceil(log2(most_kg)))


@lru_cache(maxsize=256)
def _long(products: tuple[Pure, ...], most_kg: float) -> Frontier:
    """The amounts, made anew up to where they repeat."""
    packs = [
        (coins / (grams * each.part), at, grams, coins)
        for at, each in enumerate(products)
        for grams, coins in each.packs
    ]
    if len(products) < 2:
        return _frontier(products, most_kg)
    _, best, grams, coins = min(packs)
    step_kg = grams * products[best].part / 1000
    window_kg = max(size * products[at].part / 1000 for _, at, size, _ in packs)
    short_kg = 2.0 ** ceil(log2(4 * window_kg))
    while short_kg < most_kg:
        short = _frontier(products, short_kg)
        if (first := _repeats_from(short, short_kg / 2, step_kg, coins, window_kg)) is not None:
            return _repeated(short, first, step_kg, (best, grams, coins), most_kg)
        short_kg *= 2
    return _frontier(products, most_kg)


def _repeats_from(short: Frontier, from_kg: float, step_kg: float, coins: int, window_kg: float) -> int | None:
    """Index of the first amount from which all repeat, None where they do not yet."""
    first = bisect_right(short.kg, from_kg)
    # With the first beyond the stretch, which covers the end of it.
    last = bisect_right(short.kg, from_kg + window_kg + _NOISE) + 1
    shifted = bisect_right(short.kg, from_kg + step_kg + _NOISE)
    if short.kg[-1] < from_kg + step_kg + window_kg or shifted + last - first > len(short.kg):
        return None
    same = all(
        abs(short.kg[at] + step_kg - short.kg[at - first + shifted]) < _NOISE * short.kg[-1]
        and short.costs[at] + coins == short.costs[at - first + shifted]
        for at in range(first, last)
    )
    return first if same else None


def _repeated(short: Frontier, first: int, step_kg: float, pack: tuple[int, int, int], most_kg: float) -> Frontier:
    """A list whose amounts from the first on come again with one pack more each time."""
    best, grams, coins = pack
    end = bisect_right(short.kg, short.kg[first] + step_kg - _NOISE * short.kg[-1])
    kg, costs, bought = list(short.kg[:end]), list(short.costs[:end]), list(short.grams[:end])
    for times in range(1, ceil(most_kg / step_kg) + 1):
        for at in range(first, end):
            if kg[-1] >= most_kg:
                break
            kg.append(short.kg[at] + times * step_kg)
            costs.append(short.costs[at] + times * coins)
            row = list(short.grams[at])
            row[best] += times * grams
            bought.append(tuple(row))
    return Frontier(tuple(kg), tuple(costs), tuple(bought))


@lru_cache(maxsize=256)
def _frontier(products: tuple[Pure, ...], most_kg: float) -> Frontier:
    points: list[tuple[int, float, tuple[int, ...]]] = [(0, 0.0, ())]
    for product in products:
        levels = levels_of(product.packs, ceil(most_kg / product.part * 1000))
        enough = bisect_left(levels.grams, most_kg / product.part * 1000) + 1
        sums = sorted(
            (
                (cost + more, kg + grams * product.part / 1000, (*bought, grams))
                for cost, kg, bought in points
                for grams, more in zip(levels.grams[:enough], levels.costs[:enough], strict=True)
            ),
            key=lambda point: (point[0], -point[1]),
        )
        points = [sums[0]]
        for point in sums:
            if points[-1][1] >= most_kg:
                break
            if point[1] > points[-1][1]:
                points.append(point)
    return Frontier(
        tuple(kg for _, kg, _ in points),
        tuple(cost for cost, _, _ in points),
        tuple(grams for _, _, grams in points),
    )
