"""The search behind ``fertiliser_choice``: branch and bound over amounts of each product, exact in coins.

Products that bring P₂O₅ only or K₂O only are two price lists (``frontier``), so amounts are tried of the others
alone; what they leave of the need is looked up. Bounds come from the cheapest mix if bags could be cut
(``cut_mix``): it prices the nutrients, and most amounts cost so much more than their nutrients are worth that
they need not be tried.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil, inf

from advisor.agronomy.cut_mix import cheapest_cut
from advisor.agronomy.frontier import Frontier, Pure, frontier_up_to
from advisor.agronomy.mixing import Held, Wanted, is_enough, left_of
from advisor.agronomy.offers import levels_of

_G_PER_KG = 1000
_NOISE = 1e-9
#: Bounds are binary fractions; a purchase that is over by less than a hundredth of a coin is not shut out.
_SLACK = 0.01


@dataclass(frozen=True, slots=True)
class Candidate:
    """A product that may be bought.

    Args:
        packs: grams and coins of every way to buy it.
        n: nitrogen in a kilogram.
        p: P₂O₅ in a kilogram.
        k: K₂O in a kilogram.
    """

    packs: tuple[tuple[int, int], ...]
    n: float
    p: float
    k: float

    @property
    def coins_per_kg(self) -> float:
        """The least that a kilogram of it costs."""
        return min(coins / grams for grams, coins in self.packs) * _G_PER_KG


def cheapest_grams(candidates: Sequence[Candidate], wanted: Wanted) -> list[int]:
    """How much of each product is in the cheapest purchase that meets a need within its limit.

    Args:
        candidates: the products, at least one.
        wanted: the need of a plot, P₂O₅ or K₂O above 0.

    Returns:
        Grams of each product.

    Raises:
        CannotBe: no mix meets the need within the limit.

    Source:
        Own formulation: Lagrangian bounds on a covering problem in whole packs with one limit.

    >>> products = Candidate(((50_000, 5200),), 0.18, 0.46, 0), Candidate(((50_000, 5600),), 0, 0.46, 0)
    >>> cheapest_grams(products, Wanted(p=60, k=0, n=20))
    [100000, 50000]
    """
    return _Search(candidates, wanted).best()


class _Search:
    """Amounts of every product that is not pure, tried in turn.

    With prices λ, κ and μ on P₂O₅, K₂O and nitrogen, a purchase costs at least λP + κK − μN, and beyond that the
    loss of each product: what its amount costs over the worth of its nutrients at those prices.
    """

    def __init__(self, candidates: Sequence[Candidate], wanted: Wanted) -> None:
        self._all, self._wanted = candidates, wanted
        self._most_n = wanted.n * (1 + _NOISE)
        self._pure_p = [at for at, each in enumerate(candidates) if each.p and not each.n and not each.k]
        self._pure_k = [at for at, each in enumerate(candidates) if each.k and not each.n and not each.p]
        pure = {*self._pure_p, *self._pure_k}
        self._mixed = [at for at, each in enumerate(candidates) if at not in pure and (each.p or each.k)]
        cut = cheapest_cut(
            tuple((each.p, each.k, each.n) for each in candidates),
            tuple(each.coins_per_kg for each in candidates),
            wanted,
        )
        self._prices = cut.price_p, cut.price_k, cut.price_n
        self._bound = cut.price_p * wanted.p + cut.price_k * wanted.k - cut.price_n * wanted.n
        self._of_p = self._frontier(self._pure_p, [each.p for each in candidates], wanted.p)
        self._of_k = self._frontier(self._pure_k, [each.k for each in candidates], wanted.k)
        self._best_cost, self._best = inf, [0] * len(candidates)
        self._grams = [0] * len(candidates)
        self._round_up(cut.kg)

    def best(self) -> list[int]:
        """Grams of each product."""
        options = sorted(((self._options(at), at) for at in self._mixed), key=lambda each: len(each[0]))
        self._try(options, 0, 0, 0.0)
        return self._best

    def _frontier(self, pure: Sequence[int], parts: Sequence[float], most_kg: float) -> Frontier:
        if not most_kg:
            return _NOTHING
        return frontier_up_to(tuple(Pure(self._all[at].packs, parts[at]) for at in pure), most_kg)

    def _round_up(self, cut_kg: Sequence[float]) -> None:
        """A first purchase: the mix for bags that can be cut, in the next larger amounts."""
        cost = 0
        for at in self._mixed:
            if cut_kg[at] > 0:
                levels = levels_of(self._all[at].packs, ceil(cut_kg[at] * _G_PER_KG))
                place = bisect_left(levels.grams, cut_kg[at] * _G_PER_KG * (1 - _NOISE))
                self._grams[at] = levels.grams[place]
                cost += levels.costs[place]
        self._close(cost)
        self._grams = [0] * len(self._all)

    def _options(self, at: int) -> list[tuple[float, int, int]]:
        """Amounts of a product that may lead to something: their loss, grams and cost; the least loss first."""
        each, wanted = self._all[at], self._wanted
        price_p, price_k, price_n = self._prices
        worth = max(0.0, price_p * each.p + price_k * each.k - price_n * each.n) / _G_PER_KG
        most_kg = max(wanted.p / each.p if each.p else 0.0, wanted.k / each.k if each.k else 0.0)
        levels = levels_of(each.packs, ceil(most_kg * _G_PER_KG))
        enough = bisect_left(levels.grams, most_kg * _G_PER_KG * (1 - _NOISE)) + 1
        room = self._best_cost - self._bound + _SLACK
        return sorted(
            (cost - grams * worth, grams, cost)
            for grams, cost in zip(levels.grams[:enough], levels.costs[:enough], strict=True)
            if cost - grams * worth <= room
        )

    def _try(
        self, options: Sequence[tuple[list[tuple[float, int, int]], int]], depth: int, cost: int, loss: float
    ) -> None:
        if depth == len(options):
            self._close(cost)
            return
        each, at = options[depth]
        for its_loss, its_grams, its_cost in each:
            if self._bound + loss + its_loss > self._best_cost + _SLACK:
                break
            self._grams[at] = its_grams
            self._try(options, depth + 1, cost + its_cost, loss + its_loss)
        self._grams[at] = 0

    def _close(self, cost: int) -> None:
        """The cheapest pure products beside the amounts at hand, kept when all of it is the cheapest so far."""
        n, p, k, bearing = 0.0, self._wanted.p, self._wanted.k, 0
        for at in self._mixed:
            grams = self._grams[at]
            if grams:
                each, kg = self._all[at], grams / _G_PER_KG
                n, p, k, bearing = n + kg * each.n, p - kg * each.p, k - kg * each.k, bearing + (each.n > 0)
        if n <= self._most_n:
            self._keep(
                cost, self._of_p.least(left_of(p, self._wanted.p)), self._of_k.least(left_of(k, self._wanted.k))
            )
        elif bearing == 1:
            # All of its nitrogen cannot be applied, so neither can all of the product.
            at = next(at for at in self._mixed if self._grams[at] and self._all[at].n)
            each = self._all[at]
            kept_kg = (n - self._most_n) / each.n
            p, k = p + kept_kg * each.p, k + kept_kg * each.k
            self._keep(
                cost, self._of_p.least(left_of(p, self._wanted.p)), self._of_k.least(left_of(k, self._wanted.k))
            )
        else:
            self._close_by_trying(cost)

    def _close_by_trying(self, cost: int) -> None:
        """Where several products share the nitrogen: for each amount of P₂O₅ the least K₂O that does."""
        stock = [
            Held(self._grams[at] / _G_PER_KG, self._all[at].n, self._all[at].p, self._all[at].k)
            for at in self._mixed
            if self._grams[at]
        ]
        high = len(self._of_k.kg)
        for in_p, (kg_p, cost_p) in enumerate(zip(self._of_p.kg, self._of_p.costs, strict=True)):
            if cost + cost_p >= self._best_cost:
                break
            low = 0
            while low < high:
                middle = (low + high) // 2
                beside = Held(kg_p, 0, 1, 0), Held(self._of_k.kg[middle], 0, 0, 1)
                if is_enough([*stock, *beside], self._wanted):
                    high = middle
                else:
                    low = middle + 1
            if high < len(self._of_k.kg):
                self._keep(cost, in_p, high)
            if not high:
                break

    def _keep(self, cost: int, in_p: int | None, in_k: int | None) -> None:
        if in_p is None or in_k is None:
            return
        total = cost + self._of_p.costs[in_p] + self._of_k.costs[in_k]
        if total < self._best_cost:
            self._best_cost, self._best = total, list(self._grams)
            for at, grams in zip(self._pure_p, self._of_p.grams[in_p], strict=False):
                self._best[at] = grams
            for at, grams in zip(self._pure_k, self._of_k.grams[in_k], strict=False):
                self._best[at] = grams


#: Where nothing of a nutrient is needed, nothing of it is bought.
_NOTHING = Frontier((0.0,), (0,), ((),))
