"""When the purse is too small: what goes first, what it costs in harvest, and what earns most.

Half the phosphorus goes first, then all of it, and then area: the part of the field that is sown keeps the full
package. Seed is never sown thinner and inoculant never left out, since both are cheap and a field without them
fails as a whole. Beside this order stands what would earn most for the money, searched over field and phosphorus
together, since on some prices less phosphorus on more land is the better bargain.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum
from functools import lru_cache

from advisor.agronomy.budget_figures import Budget, Per
from advisor.agronomy.errors import OutOfRange
from advisor.agronomy.limits import above_zero, within
from advisor.agronomy.money import checked_money, worth
from advisor.agronomy.season_money import season_cost
from advisor.agronomy.units import HECTARE_M2

#: Phosphorus that can be bought: all, half or none of what the field needs.
P_PARTS = (1.0, 0.5, 0.0)

#: What inputs cost for a field [m²] with a part of its phosphorus: never less for more of either.
InputCost = Callable[[float, float], Decimal]


class Gone(StrEnum):
    """What has been given up, in the order in which it goes."""

    NOTHING = "nothing"
    HALF_P = "half_p"
    ALL_P = "all_p"
    AREA = "area"


@dataclass(frozen=True, slots=True)
class Package:
    """What is bought and what comes of it in a usual season.

    Args:
        area_m2: what is sown; all of it with full seed and inoculant.
        p_part: part of the phosphorus that it gets: 1, 0.5 or 0.
        cost: what the inputs cost.
        harvest_kg: usual harvest.
        margin: what is left of its worth after all costs of the season.
    """

    area_m2: float
    p_part: float
    cost: Decimal
    harvest_kg: float
    margin: Decimal


@dataclass(frozen=True, slots=True)
class PurseStep:
    """One step down from the whole package.

    Args:
        gone: what has been given up.
        package: what is left.
        lost_kg: usual harvest that it costs [kg].
        fits: whether the purse pays for it.
    """

    gone: Gone
    package: Package
    lost_kg: float
    fits: bool


@dataclass(frozen=True, slots=True)
class PursePlan:
    """What a purse buys.

    Args:
        steps: from the whole package downward, up to the first that fits.
        best: what leaves the largest margin for the money; None where sowing nothing leaves more.
        short: money that is wanted for the whole package, 0 when it fits.
    """

    steps: tuple[PurseStep, ...]
    best: Package | None
    short: Decimal

    @property
    def chosen(self) -> PurseStep | None:
        """The step that fits; None where the purse is too small for any part of the field."""
        return self.steps[-1] if self.steps[-1].fits else None


@dataclass(frozen=True, slots=True)
class _Field:
    """The field in equal parts, and the money of each."""

    budget: Budget
    area_m2: float
    parts: int
    cost: InputCost

    def area(self, count: int) -> float:
        return self.area_m2 * count / self.parts

    def inputs(self, count: int, p_part: float) -> Decimal:
        return checked_money("cost of inputs", self.cost(self.area(count), p_part)) if count else Decimal(0)

    def gained(self, count: int, p_part: float) -> Decimal:
        """What the harvest of so many parts leaves before the inputs are paid, as steep everywhere."""
        per_kg = sum((line.amount for line in self.budget.costs if line.per is Per.KG), Decimal(0))
        harvest = self.harvest_kg(count, p_part)
        return worth(harvest, self.budget.grain_price) - worth(harvest, per_kg)

    def harvest_kg(self, count: int, p_part: float) -> float:
        left = {1.0: 1.0, 0.5: self.budget.part_half_p, 0.0: self.budget.part_no_p}[p_part]
        return self.budget.harvest_middle * left * self.area(count) / HECTARE_M2

    def spent(self, count: int, p_part: float) -> Decimal:
        """All costs that are paid whatever is harvested; they never fall with area."""
        if not count:
            return Decimal(0)
        return season_cost(self.budget, self.area(count), self.inputs(count, p_part)).before_harvest

    def margin(self, count: int, p_part: float) -> Decimal:
        return self.gained(count, p_part) - self.spent(count, p_part)

    def most_within(self, purse: Decimal, p_part: float) -> int:
        """The most parts whose inputs the purse pays for."""
        return bisect_right(range(1, self.parts + 1), purse, key=lambda count: self.inputs(count, p_part))

    def package(self, count: int, p_part: float) -> Package:
        return Package(
            self.area(count),
            p_part,
            self.inputs(count, p_part),
            self.harvest_kg(count, p_part),
            self.margin(count, p_part),
        )


def purse_plan(budget: Budget, area_m2: float, purse: Decimal, cost: InputCost, parts: int = 20) -> PursePlan:
    """What a purse buys, step by step, and what would earn most.

    Args:
        budget: harvest, price and costs of the zone.
        area_m2: the field [m²], above 0.
        purse: money for inputs, 0 or more.
        cost: what seed, inoculant and fertiliser cost for a field and a part of its phosphorus.
        parts: parts that the field can be divided into, 1 to 1,000.

    Returns:
        The steps down to the first that fits, the best buy, and what is wanting.

    Raises:
        OutOfRange: a value that cannot be, or inputs that cost less for more.

    Source:
        Own choice of order; the best buy is exact over parts of the field and of the phosphorus.

    >>> budget = Budget("z", "x", 500, 1000, 1500, None, 0.9, 0.7, Decimal(40), (), 2)
    >>> plan = purse_plan(budget, 10_000, Decimal(9_000), lambda m2, p: Decimal(round(m2 * (0.6 + 0.4 * p))))
    >>> [(str(step.gone), round(step.lost_kg)) for step in plan.steps], plan.short
    ([('nothing', 0), ('half_p', 100)], Decimal('1000'))
    """
    above_zero("area", area_m2, "m2")
    checked_money("purse", purse)
    parts = int(within("parts of the field", parts, 1, 1000, "1"))
    field = _Field(budget, area_m2, parts, lru_cache(maxsize=None)(cost))
    whole = field.package(parts, 1.0)
    _check_costs(field, whole.cost)

    def step(gone: Gone, package: Package) -> PurseStep:
        return PurseStep(gone, package, whole.harvest_kg - package.harvest_kg, package.cost <= purse)

    steps = [step(Gone.NOTHING, whole)]
    for gone, p_part in ((Gone.HALF_P, 0.5), (Gone.ALL_P, 0.0)):
        if not steps[-1].fits:
            steps.append(step(gone, field.package(parts, p_part)))
    if not steps[-1].fits:
        # With the full package where any part of the field can have it.
        sown = ((field.most_within(purse, p_part), p_part) for p_part in P_PARTS)
        count, p_part = next(((count, p_part) for count, p_part in sown if count), (0, 1.0))
        if count:
            steps.append(step(Gone.AREA, field.package(count, p_part)))
    return PursePlan(tuple(steps), _best(field, purse), max(Decimal(0), whole.cost - purse))


def _check_costs(field: _Field, whole: Decimal) -> None:
    """Searches by halves rest on costs that never fall; a slip in a price list would make them wrong silently."""
    for lesser in (field.inputs(field.parts, 0.5), field.inputs(field.parts, 0.0), field.inputs(1, 1.0)):
        if lesser > whole:
            raise OutOfRange("cost of a part of the package", lesser, 0, whole, "money")


def _best(field: _Field, purse: Decimal) -> Package | None:
    """The largest margin over all parts of the field and of the phosphorus that the purse pays for.

    Between two numbers of parts no margin is larger than what the larger harvest leaves less what the smaller
    number costs, so most spans are passed over unseen.
    """
    best: tuple[Decimal, int, float] = (Decimal(0), 0, 1.0)
    for p_part in P_PARTS:
        most = field.most_within(purse, p_part)
        spans = [(1, most)] if most else []
        while spans:
            low, high = spans.pop()
            if max(field.gained(high, p_part), Decimal(0)) - field.spent(low, p_part) <= best[0]:
                continue
            best = max(best, (field.margin(high, p_part), high, p_part))
            if low < high:
                middle = (low + high - 1) // 2
                spans += [(low, middle), (middle + 1, high - 1)] if middle < high - 1 else [(low, middle)]
    return field.package(best[1], best[2]) if best[1] else None
