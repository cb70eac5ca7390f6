"""The search behind ``fertiliser_choice``: branch and bound over amounts of each product, exact in coins.

Products that bring P₂O₅ only or K₂O only are two price lists (``frontier``), so amounts are tried of the others
alone; what they leave of the need is looked up. Bounds come from the cheapest mix if bags could be cut
(``cut_mix``): it prices the nutrients, and most amounts cost so much more than their nutrients are worth that
they need not be tried. A nutrient that only pure products bring costs the same whatever is tried, so its whole
bags are in the bound already. The prices are the same for all plots of one need, and so is the order in which
amounts are tried: both are made once.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from math import ceil, inf

from advisor.agronomy.cut_mix import CutMix, cheapest_cut
from advisor.agronomy.frontier import Frontier, Pure, frontier_up_to
from advisor.agronomy.limits import within
from advisor.agronomy.mixing import Held, Wanted, is_enough, left_of
from advisor.agronomy.offers import levels_of

#: Of a nutrient on one plot: some twenty hectares' need; the time that the search takes grows with its square.
MOST_NUTRIENT_KG = 1000
_G_PER_KG = 1000
_NOISE = 1e-9
#: Bounds are binary fractions; a purchase that is over by less than a hundredth of a coin is not shut out.
_SLACK = 0.01
#: A purchase that is better is better by a coin.
_WHOLE = 1 - _SLACK


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
    return list(Dealer.of(tuple(candidates), wanted).search(1.0).grams)


@dataclass(frozen=True, slots=True)
class Found:
    """A cheapest purchase.

    Args:
        grams: grams of each product.
        cost: what they cost, in the smallest coin.
    """

    grams: tuple[int, ...]
    cost: int


# Compared by which one it is: there is one for each list and need, and to compare all it holds takes long.
@dataclass(frozen=True, slots=True, eq=False)
class Dealer:
    """A dealer's list before the need of a hectare, with all that is the same for plots of any size.

    Args:
        candidates: the products.
        wanted: the need of one hectare, or of whatever plots are counted in.
        cut: the cheapest mix for it if bags could be cut.
        pure_p: indices of the products that bring P₂O₅ only.
        pure_k: indices of those that bring K₂O only.
        mixed: indices of all others that bring anything needed.
        worth: coins that the nutrients in a gram of each mixed product are worth.
        of_p: as ``pure_p``, by what they hold.
        of_k: as ``pure_k``, by what they hold.
        rate_p: coins that a kilogram of P₂O₅ costs at least from pure products, infinite where there are none.
        rate_k: as ``rate_p``, of K₂O.
    """

    candidates: tuple[Candidate, ...]
    wanted: Wanted
    cut: CutMix
    pure_p: tuple[int, ...]
    pure_k: tuple[int, ...]
    mixed: tuple[int, ...]
    worth: tuple[float, ...]
    of_p: tuple[Pure, ...]
    of_k: tuple[Pure, ...]
    rate_p: float
    rate_k: float

    @classmethod
    def of(cls, candidates: tuple[Candidate, ...], wanted: Wanted) -> Dealer:
        """The list before a need; kept for the next time.

        Raises:
            CannotBe: no mix meets the need within the limit.
        """
        return _dealer(candidates, wanted)

    def least_cost(self, plots: float) -> float:
        """What so many plots of the need cost at the very least, in coins: if bags could be cut."""
        cut, wanted = self.cut, self.wanted
        return plots * (cut.price_p * wanted.p + cut.price_k * wanted.k - cut.price_n * wanted.n)

    def search(self, plots: float) -> Found:
        """The cheapest purchase for so many plots of the need, above 0; kept for the next time.

        Raises:
            OutOfRange: plots that need more of a nutrient than can be looked for in seconds.
        """
        within("P2O5 for the plot", plots * self.wanted.p, 0, MOST_NUTRIENT_KG, "kg")
        within("K2O for the plot", plots * self.wanted.k, 0, MOST_NUTRIENT_KG, "kg")
        return _found(self, plots)


@lru_cache(maxsize=256)
def _dealer(candidates: tuple[Candidate, ...], wanted: Wanted) -> Dealer:
    pure_p = tuple(at for at, each in enumerate(candidates) if each.p and not each.n and not each.k)
    pure_k = tuple(at for at, each in enumerate(candidates) if each.k and not each.n and not each.p)
    mixed = tuple(at for at, each in enumerate(candidates) if at not in {*pure_p, *pure_k} and (each.p or each.k))
    holds, rates = zip(*(((each.p, each.k, each.n), each.coins_per_kg) for each in candidates), strict=True)
    cut = cheapest_cut(holds, rates, wanted)
    worth = tuple(
        max(0.0, cut.price_p * each.p + cut.price_k * each.k - cut.price_n * each.n) / _G_PER_KG
        for each in (candidates[at] for at in mixed)
    )
    of_p = tuple(Pure(candidates[at].packs, candidates[at].p) for at in pure_p)
    of_k = tuple(Pure(candidates[at].packs, candidates[at].k) for at in pure_k)
    rate_p = min((candidates[at].coins_per_kg / candidates[at].p for at in pure_p), default=inf)
    rate_k = min((candidates[at].coins_per_kg / candidates[at].k for at in pure_k), default=inf)
    return Dealer(candidates, wanted, cut, pure_p, pure_k, mixed, worth, of_p, of_k, rate_p, rate_k)


@lru_cache(maxsize=4096)
def _found(dealer: Dealer, plots: float) -> Found:
    search = _Search(dealer, plots)
    search.run()
    return Found(tuple(search.best), int(search.best_cost))


@lru_cache(maxsize=256)
def _by_loss(packs: tuple[tuple[int, int], ...], worth: float, last_g: int) -> tuple[tuple[float, int, int], ...]:
    """Loss, grams and cost of every amount of a product up to the last, the least loss first."""
    levels = levels_of(packs, last_g)
    rows = zip(levels.grams, levels.costs, strict=True)
    return tuple(sorted((cost - grams * worth, grams, cost) for grams, cost in rows))


#: Where nothing of a nutrient is needed, nothing of it is bought.
_NOTHING = Frontier((0.0,), (0,), ((),))


class _Search:
    """Amounts of every product that is not pure, tried in turn.

    With prices λ, κ and μ on P₂O₅, K₂O and nitrogen, a purchase costs at least λP + κK − μN, and beyond that the
    loss of each product: what its amount costs over the worth of its nutrients at those prices.
    """

    def __init__(self, dealer: Dealer, plots: float) -> None:
        self._dealer, self._all = dealer, dealer.candidates
        of_one, cut = dealer.wanted, dealer.cut
        self._wanted = Wanted(of_one.p * plots, of_one.k * plots, of_one.n * plots)
        self._most_n = self._wanted.n * (1 + _NOISE)
        self._noise_p, self._noise_k = self._wanted.p * _NOISE, self._wanted.k * _NOISE
        self._mixed, self._worth = dealer.mixed, dealer.worth
        mixed = [self._all[at] for at in dealer.mixed]
        self._of_p = frontier_up_to(dealer.of_p, self._wanted.p) if self._wanted.p else _NOTHING
        self._of_k = frontier_up_to(dealer.of_k, self._wanted.k) if self._wanted.k else _NOTHING
        self._bound = -cut.price_n * self._wanted.n
        for price, need, frontier, brought in (
            (cut.price_p, self._wanted.p, self._of_p, any(each.p for each in mixed)),
            (cut.price_k, self._wanted.k, self._of_k, any(each.k for each in mixed)),
        ):
            whole = None if brought else frontier.least(need)
            self._bound += price * need if whole is None else frontier.costs[whole]
        self.best_cost: float = inf
        self.best = [0] * len(self._all)
        self._grams = [0] * len(self._all)
        self._round_up([kg * plots for kg in cut.kg])

    def run(self) -> None:
        """Looks for the best."""
        tried = sorted((self._last_g(at), at, worth) for at, worth in zip(self._mixed, self._worth, strict=True))
        if tried:  # else pure products alone do, and the first purchase was the cheapest of them
            self._try(tried, 0, 0, 0.0, 0)

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

    def _last_g(self, at: int) -> int:
        """The least amount of a product that is enough by itself."""
        each, wanted = self._all[at], self._wanted
        most_kg = max(wanted.p / each.p if each.p else 0.0, wanted.k / each.k if each.k else 0.0)
        levels = levels_of(each.packs, ceil(most_kg * _G_PER_KG))
        return levels.grams[bisect_left(levels.grams, most_kg * _G_PER_KG * (1 - _NOISE))]

    def _try(
        self, tried: Sequence[tuple[int, int, float]], depth: int, cost: int, loss: float, bearing: int
    ) -> None:
        last_g, at, worth = tried[depth]
        if depth + 1 == len(tried):
            self._try_last(at, last_g, cost, bearing)
            return
        each = self._all[at]
        # The next power of two, so that one list serves many plots; what is more than enough is passed over.
        for its_loss, its_grams, its_cost in _by_loss(each.packs, worth, 1 << last_g.bit_length()):
            if self._bound + loss + its_loss > self.best_cost + _SLACK:
                break
            if its_grams <= last_g:
                self._grams[at] = its_grams
                more = bool(its_grams and each.n)
                self._try(tried, depth + 1, cost + its_cost, loss + its_loss, bearing + more)
        self._grams[at] = 0

    def _try_last(self, at: int, last_g: int, cost: int, bearing: int) -> None:
        """The last product beside the amounts at hand, from the amount that would be best if bags could be cut.

        Pure products bring what is left for no less than their best rate, so what an amount costs with them is at
        least a line with two kinks that falls to that amount and rises from it: once it is over the best on either
        side, so is all beyond. Nearly all of the time goes here, so what ``_close`` does is done in place.

        Args:
            at: which product.
            last_g: the first amount that is enough by itself.
            cost: what the amounts before it cost.
            bearing: how many of them hold nitrogen.
        """
        n_left, p_left, k_left = self._most_n, self._wanted.p, self._wanted.k
        for other in self._mixed:
            if self._grams[other]:
                kg, held = self._grams[other] / _G_PER_KG, self._all[other]
                n_left, p_left, k_left = n_left - kg * held.n, p_left - kg * held.p, k_left - kg * held.k
        each, less, noise_p, noise_k = self._all[at], 1 - _NOISE, self._noise_p, self._noise_k
        n, p, k = each.n / _G_PER_KG, each.p / _G_PER_KG, each.k / _G_PER_KG
        kg_p, costs_p, kg_k, costs_k = self._of_p.kg, self._of_p.costs, self._of_k.kg, self._of_k.costs
        # Beyond this amount there is more nitrogen than can be applied.
        most_g = n_left / n if n else inf if n_left >= 0 else -1.0
        levels = levels_of(each.packs, last_g)
        grams, costs = levels.grams, levels.costs
        top = bisect_left(grams, last_g)
        if not bearing and most_g < last_g:
            top = bisect_left(grams, most_g)  # what is bought beyond it stays in the bag
        rate = each.coins_per_kg / _G_PER_KG
        rate_p, rate_k = self._dealer.rate_p, self._dealer.rate_k

        here = cost - _WHOLE

        def at_least(g: float) -> float:
            more = here + rate * g
            if p_left - p * g > noise_p:
                more += rate_p * (p_left - p * g)
            if k_left - k * g > noise_k:
                more += rate_k * (k_left - k * g)
            return more

        kinks = [0.0, *(left / part for left, part in ((p_left, p), (k_left, k)) if part and left > 0)]
        start = min(top, bisect_left(grams, min(kinks, key=at_least)))
        for places in (range(start, -1, -1), range(start + 1, top + 1)):
            for place in places:
                g = grams[place]
                # As ``at_least`` has it.
                more = here + rate * g
                if (left := p_left - p * g) > noise_p:
                    more += rate_p * left
                if (left := k_left - k * g) > noise_k:
                    more += rate_k * left
                if more > self.best_cost and place != start:
                    break
                applied: float = g
                if g > most_g:
                    if bearing:
                        self._grams[at] = g
                        self._close(cost + costs[place])
                        continue
                    applied = most_g
                rest_p, rest_k = p_left - applied * p, k_left - applied * k
                in_p = bisect_left(kg_p, rest_p * less) if rest_p > noise_p else 0
                in_k = bisect_left(kg_k, rest_k * less) if rest_k > noise_k else 0
                if in_p == len(kg_p) or in_k == len(kg_k):
                    continue
                if cost + costs[place] + costs_p[in_p] + costs_k[in_k] < self.best_cost:
                    self._grams[at] = g
                    self._keep(cost + costs[place], in_p, in_k)
        self._grams[at] = 0

    def _close(self, cost: int) -> None:
        """The cheapest pure products beside the amounts at hand, kept when all of it is the cheapest so far."""
        n, p, k, bearing = 0.0, self._wanted.p, self._wanted.k, 0
        for at in self._mixed:
            grams = self._grams[at]
            if grams:
                each, kg = self._all[at], grams / _G_PER_KG
                n, p, k, bearing = n + kg * each.n, p - kg * each.p, k - kg * each.k, bearing + (each.n > 0)
        if n > self._most_n:
            if bearing != 1:
                self._close_by_trying(cost)
                return
            # All of its nitrogen cannot be applied, so neither can all of the product.
            at = next(at for at in self._mixed if self._grams[at] and self._all[at].n)
            each = self._all[at]
            kept_kg = (n - self._most_n) / each.n
            p, k = p + kept_kg * each.p, k + kept_kg * each.k
        left_p, left_k = left_of(p, self._wanted.p), left_of(k, self._wanted.k)
        self._keep(cost, self._of_p.least(left_p), self._of_k.least(left_k))

    def _close_by_trying(self, cost: int) -> None:
        """Where several products share the nitrogen: for each amount of P₂O₅ the least K₂O that does."""
        stock = [
            Held(self._grams[at] / _G_PER_KG, self._all[at].n, self._all[at].p, self._all[at].k)
            for at in self._mixed
            if self._grams[at]
        ]
        high = len(self._of_k.kg)
        for in_p, (kg_p, cost_p) in enumerate(zip(self._of_p.kg, self._of_p.costs, strict=True)):
            if cost + cost_p >= self.best_cost:
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
        if total < self.best_cost:
            self.best_cost, self.best = total, list(self._grams)
            for at, grams in zip(self._dealer.pure_p, self._of_p.grams[in_p], strict=False):
                self.best[at] = grams
            for at, grams in zip(self._dealer.pure_k, self._of_k.grams[in_k], strict=False):
                self.best[at] = grams
