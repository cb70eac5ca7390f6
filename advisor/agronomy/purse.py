"""When the purse is too small: what goes first, what it costs in harvest, and what earns most.

Half the phosphorus goes first, then all of it, and then area: the part of the field that is sown keeps the full
package. Seed is never sown thinner and inoculant never left out, since both are cheap and a field without them
fails as a whole. Beside this order stands what would earn most for the money, searched over field and phosphorus
together, since on some prices less phosphorus on more land is the better bargain.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from decimal import Decimal
from enum import StrEnum

from advisor.agronomy.budget_figures import Budget, CostLine, Per
from advisor.agronomy.errors import OutOfRange
from advisor.agronomy.limits import above_zero, within
from advisor.agronomy.money import checked_money, worth
from advisor.agronomy.season_money import season_cost
from advisor.agronomy.units import HECTARE_M2

#: Phosphorus that can be bought: all, half or none of what the field needs.
P_PARTS = (1.0, 0.5, 0.0)

#: What inputs cost for a field [m²] with a part of its phosphorus: never less for more of either.
InputCost = Callable[[float, float], Decimal]
#: An amount that is quickly had and that inputs never cost less than.
LeastCost = Callable[[float, float], float]
#: Bounds are binary fractions; what misses one by less than a hundredth of a coin is looked at all the same.
_SLACK = 0.01


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


class _Field:
    """The field in equal parts, and the money of each; what the dealer's list says of a part is asked once."""

    def __init__(
        self, budget: Budget, area_m2: float, parts: int, cost: InputCost, least: LeastCost | None
    ) -> None:
        self.area_m2 = area_m2
        self.parts = parts
        self._cost = cost
        self._least = least
        self._asked: dict[tuple[int, float], Decimal] = {}
        per_kg = sum((line.amount for line in budget.costs if line.per is Per.KG), Decimal(0))
        self._left_per_kg = budget.grain_price - per_kg
        self._kg = {
            p_part: budget.harvest_middle * left * area_m2 / HECTARE_M2
            for p_part, left in zip(P_PARTS, (1.0, budget.part_half_p, budget.part_no_p), strict=True)
        }
        self._standing = season_cost(
            replace(budget, costs=_of(budget, Per.FIELD)), area_m2, Decimal(0)
        ).before_harvest
        self._by_area = season_cost(
            replace(budget, costs=_of(budget, Per.ACRE, Per.HECTARE)), area_m2, Decimal(0)
        ).before_harvest

    def inputs(self, count: int, p_part: float) -> Decimal:
        """What the inputs of so many parts cost; never less for more parts."""
        found = self._asked.get((count, p_part))
        if found is None:
            asked = self._cost(self.area_m2 * count / self.parts, p_part)
            found = self._asked[count, p_part] = checked_money("cost of inputs", asked)
        return found

    def at_least(self, count: int, p_part: float) -> float:
        """What the inputs of so many parts never cost less than; what is known already is exact."""
        found = self._asked.get((count, p_part))
        if found is not None:
            return float(found)
        if self._least is None:
            return float(self.inputs(count, p_part))
        return self._least(self.area_m2 * count / self.parts, p_part)

    def harvest_kg(self, count: int, p_part: float) -> float:
        return self._kg[p_part] * count / self.parts

    def gained(self, count: int, p_part: float) -> Decimal:
        """What the harvest of so many parts leaves before the season is paid, as steep everywhere."""
        return worth(self.harvest_kg(count, p_part), self._left_per_kg)

    def paid_beside(self, count: int) -> Decimal:
        """What is paid beside the inputs whatever is harvested."""
        return self._standing + self._by_area * count / self.parts

    def margin(self, count: int, p_part: float) -> Decimal:
        return self.gained(count, p_part) - self.inputs(count, p_part) - self.paid_beside(count)

    def margins_at_most(self, purse: Decimal) -> list[tuple[float, int, float]]:
        """What no margin is above, of everything that the purse may pay for, the most promising first."""
        left_per_kg, standing, by_area = map(float, (self._left_per_kg, self._standing, self._by_area))
        most: list[tuple[float, int, float]] = []
        for p_part in P_PARTS:
            left = self._kg[p_part] / self.parts * left_per_kg - by_area / self.parts
            most += [
                (left * count - standing - self.at_least(count, p_part), count, p_part)
                for count in range(1, self._first_beyond(purse, p_part))
            ]
        return sorted(most, reverse=True)

    def most_within(self, purse: Decimal, p_part: float) -> int:
        """The most parts whose inputs the purse pays for; looked for from above, in steps that double."""
        low, high = 0, self.parts + 1
        tried, step = self._first_beyond(purse, p_part) - 1, 1
        while high - low > 1:
            tried = min(max(tried, low + 1), high - 1)
            if self.inputs(tried, p_part) <= purse:
                low, tried = tried, tried + step
            else:
                high, tried = tried, tried - step
            step *= 2
        return low

    def _first_beyond(self, purse: Decimal, p_part: float) -> int:
        """The fewest parts of which it is known without asking that the purse does not pay for them."""
        low, high, limit = 0, self.parts + 1, float(purse) + _SLACK
        while high - low > 1:
            middle = (low + high) // 2
            low, high = (middle, high) if self.at_least(middle, p_part) <= limit else (low, middle)
        return high

    def package(self, count: int, p_part: float) -> Package:
        return Package(
            self.area_m2 * count / self.parts,
            p_part,
            self.inputs(count, p_part),
            self.harvest_kg(count, p_part),
            self.margin(count, p_part),
        )


def _of(budget: Budget, *per: Per) -> tuple[CostLine, ...]:
    return tuple(line for line in budget.costs if line.per in per)


def purse_plan(
    budget: Budget,
    area_m2: float,
    purse: Decimal,
    cost: InputCost,
    parts: int = 10,
    least: LeastCost | None = None,
) -> PursePlan:
    """What a purse buys, step by step, and what would earn most.

    Args:
        budget: harvest, price and costs of the zone.
        area_m2: the field [m²], above 0.
        purse: money for inputs, 0 or more.
        cost: what seed, inoculant and fertiliser cost for a field and a part of its phosphorus.
        parts: parts that the field can be divided into, 1 to 1,000.
        least: a bound that is quicker to work out than the cost, never above it and never less for more area; it
            changes how long the search takes and not what it finds. None for none: all of it is then asked for.

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
    field = _Field(budget, area_m2, parts, cost, least)
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
    for count, p_part in ((field.parts, 0.5), (field.parts, 0.0), (1, 1.0)):
        if (lesser := field.at_least(count, p_part)) > float(whole) + _SLACK:
            raise OutOfRange("cost of a part of the package", lesser, 0, whole, "money")


def _best(field: _Field, purse: Decimal) -> Package | None:
    """The largest margin over all parts of the field and of the phosphorus that the purse pays for.

    The most promising is asked first; once what it could leave at most is no more than what was found, so it is
    with all the others.
    """
    best: tuple[Decimal, int, float] = (Decimal(0), 0, 1.0)
    too_much = dict.fromkeys(P_PARTS, field.parts + 1)
    for at_most, count, p_part in field.margins_at_most(purse):
        if at_most < float(best[0]) - _SLACK:
            break
        if count >= too_much[p_part]:
            continue
        if field.inputs(count, p_part) > purse:
            too_much[p_part] = count
        elif (margin := field.margin(count, p_part)) > 0:
            best = max(best, (margin, count, p_part))
    return field.package(best[1], best[2]) if best[1] else None
