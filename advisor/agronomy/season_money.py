"""Money of a season: what must be harvested and fetched to come out even, and how often it will not.

The break-even comes first, since a grower can judge it without believing any forecast: so many kilograms, or so
much a kilogram, and the season has paid for itself. Income and margin follow for a low, a usual and a high harvest
of the zone; a demonstration yield never enters. The chance of a loss takes the harvest as triangular between low
and high with its peak at the usual one, at one price: the plainest shape that three guesses allow, a judgement.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from advisor.agronomy.budget_figures import Budget, Per
from advisor.agronomy.errors import CannotBe
from advisor.agronomy.limits import above_zero, whole_up, within
from advisor.agronomy.money import checked_money, checked_price, earned, paid, worth
from advisor.agronomy.units import ACRE_M2, HECTARE_M2

#: Whatever is compared here is smaller; beyond it differences would no longer be finite.
_FINITE = 1e300
_PER_M2 = {Per.ACRE: ACRE_M2, Per.HECTARE: HECTARE_M2}


@dataclass(frozen=True, slots=True)
class SeasonCost:
    """What a season costs.

    Args:
        before_harvest: inputs and work that are paid whatever is harvested.
        per_kg: what each harvested kilogram costs to thresh, pack and carry.

    Raises:
        OutOfRange: an amount below 0, too large to be exact, or no number.
    """

    before_harvest: Decimal
    per_kg: Decimal

    def __post_init__(self) -> None:
        checked_money("cost before harvest", self.before_harvest)
        checked_money("cost of a kilogram", self.per_kg)


@dataclass(frozen=True, slots=True)
class Outcome:
    """A season with one harvest.

    Args:
        harvest_kg: grain [kg].
        income: what it fetches, rounded down to the coin.
        cost: what the season cost, rounded up to the coin.
        break_even_price: price of a kilogram at which this harvest just pays; None where nothing is harvested.
    """

    harvest_kg: float
    income: Decimal
    cost: Decimal
    break_even_price: Decimal | None

    @property
    def margin(self) -> Decimal:
        """Income less cost, below 0 for a loss."""
        return self.income - self.cost


@dataclass(frozen=True, slots=True)
class SeasonMoney:
    """Money of a season.

    Args:
        break_even_kg: harvest that just pays [kg], None where a kilogram fetches no more than it costs.
        break_even_kg_per_ha: the same for a hectare.
        chance_of_loss: chance of a harvest below it, 0 to 1.
        low: a bad season.
        middle: the usual one.
        high: a good one.
        demonstration_kg: what a well-kept trial would harvest here, to be shown beside it; None where not known.
    """

    break_even_kg: float | None
    break_even_kg_per_ha: float | None
    chance_of_loss: float
    low: Outcome
    middle: Outcome
    high: Outcome
    demonstration_kg: float | None


def season_cost(budget: Budget, area_m2: float, inputs: Decimal) -> SeasonCost:
    """What a season costs on a field.

    Args:
        budget: costs of the zone.
        area_m2: the field [m²], above 0.
        inputs: what seed, inoculant and fertiliser cost.

    Returns:
        The costs, not rounded.

    Raises:
        OutOfRange: an area or amount that cannot be.

    Source:
        Gross margin: all that is paid for this crop and would not be paid without it.

    >>> from advisor.agronomy.budget_figures import CostLine
    >>> from advisor.agronomy.labels import Label
    >>> lines = tuple(CostLine(per, Label(per), Decimal(10), per) for per in (Per.FIELD, Per.ACRE, Per.KG))
    >>> budget = Budget("z", "x", 500, 1000, 1500, None, 1, 1, Decimal(40), lines, 2)
    >>> season_cost(budget, 2 * 4046.8564224, Decimal(5550))
    SeasonCost(before_harvest=Decimal('5580.000000'), per_kg=Decimal('10'))
    """
    above_zero("area", area_m2, "m2")
    before, per_kg = checked_money("inputs", inputs), Decimal(0)
    for line in budget.costs:
        if line.per is Per.KG:
            per_kg += line.amount
        else:
            before += line.amount if line.per is Per.FIELD else worth(area_m2 / _PER_M2[line.per], line.amount)
    return SeasonCost(before, per_kg)


def break_even_kg(cost: SeasonCost, price: Decimal) -> float | None:
    """The harvest that just pays for a season.

    Args:
        cost: what it costs.
        price: price of a kilogram at the farm gate, above 0.

    Returns:
        Grain [kg], to the gram upward; None where a kilogram fetches no more than it costs.

    Raises:
        OutOfRange: a price that cannot be.

    Source:
        Arithmetic: cost before harvest by what a kilogram leaves.

    >>> break_even_kg(SeasonCost(Decimal(7400), Decimal(3)), Decimal(40))
    200.0
    """
    left = checked_price("price of grain", price) - cost.per_kg
    if left <= 0:
        return None
    return whole_up(float(cost.before_harvest / left * 1000)) / 1000


def break_even_price(cost: SeasonCost, harvest_kg: float, decimals: int) -> Decimal | None:
    """The price of a kilogram at which a harvest just pays for its season.

    Args:
        cost: what the season costs.
        harvest_kg: grain [kg], 0 or more.
        decimals: digits after the point in prices, 0 to 2.

    Returns:
        The price, rounded up to the coin; None where nothing is harvested.

    Raises:
        OutOfRange: a harvest that cannot be.

    Source:
        Arithmetic.

    >>> break_even_price(SeasonCost(Decimal(7400), Decimal(3)), 400, 2)
    Decimal('21.50')
    """
    grain = worth(harvest_kg, Decimal(1))
    return paid(cost.before_harvest / grain + cost.per_kg, decimals) if grain else None


def outcome(cost: SeasonCost, harvest_kg: float, price: Decimal, decimals: int) -> Outcome:
    """Income, cost and margin of a season with one harvest.

    Args:
        cost: what the season costs.
        harvest_kg: grain [kg], 0 or more.
        price: price of a kilogram at the farm gate, above 0.
        decimals: digits after the point in prices, 0 to 2.

    Returns:
        The outcome.

    Raises:
        OutOfRange: a harvest or price that cannot be.

    Source:
        Gross margin: kilograms sold times farm-gate price, less the costs of the crop.

    >>> outcome(SeasonCost(Decimal(7400), Decimal(3)), 400, Decimal(40), 0).margin
    Decimal('7400')
    """
    return Outcome(
        harvest_kg,
        earned(worth(harvest_kg, checked_price("price of grain", price)), decimals),
        paid(cost.before_harvest + worth(harvest_kg, cost.per_kg), decimals),
        break_even_price(cost, harvest_kg, decimals),
    )


def chance_below(value: float, low: float, peak: float, high: float) -> float:
    """Chance that a triangular quantity falls below a value.

    Args:
        value: the value.
        low: the least it can be.
        peak: its most usual value, from ``low`` to ``high``.
        high: the most it can be.

    Returns:
        The chance, 0 to 1; with no range at all it is 0 or 1.

    Raises:
        OutOfRange: a value or edge that is no finite number, a peak outside the range, or a range that is none.

    Source:
        Distribution function of the triangular distribution; that harvests have it is a judgement.

    >>> chance_below(350, low=200, peak=400, high=600)
    0.28125
    """
    within("value", value, -_FINITE, _FINITE, "1")
    within("high", high, -_FINITE, _FINITE, "1")
    within("low", low, -_FINITE, high, "1")
    within("peak", peak, low, high, "1")
    if value <= low:
        return 0.0
    if value >= high:
        return 1.0
    if value <= peak:
        return (value - low) / (high - low) * ((value - low) / (peak - low))
    return 1 - (high - value) / (high - low) * ((high - value) / (high - peak))


def season_money(
    budget: Budget, area_m2: float, inputs: Decimal, decimals: int, part_of_harvest: float = 1.0
) -> SeasonMoney:
    """Break-even first, then income, cost and margin over the range of harvests, and the chance of a loss.

    Args:
        budget: harvests, price and costs of the zone.
        area_m2: the field [m²], above 0.
        inputs: what seed, inoculant and fertiliser cost.
        decimals: digits after the point in prices, 0 to 2.
        part_of_harvest: part of the harvest that is left where inputs were left out, 0 to 1.

    Returns:
        The money of the season.

    Raises:
        OutOfRange: a value that cannot be.

    Source:
        The formulas of this module.

    >>> budget = Budget("z", "x", 500, 1000, 1500, 2200, 1, 1, Decimal(40), (), 2)
    >>> season = season_money(budget, 10_000, Decimal(30_000), 0)
    >>> season.break_even_kg, season.chance_of_loss, season.middle.margin
    (750.0, 0.125, Decimal('10000'))
    """
    cost = season_cost(budget, area_m2, inputs)
    part = within("part of harvest", part_of_harvest, 0, 1, "1") * area_m2 / HECTARE_M2
    low_kg, middle_kg, high_kg = (each * part for each in budget.harvest)
    even_kg = break_even_kg(cost, budget.grain_price)
    low, middle, high = (outcome(cost, kg, budget.grain_price, decimals) for kg in (low_kg, middle_kg, high_kg))
    return SeasonMoney(
        even_kg,
        None if even_kg is None else even_kg / area_m2 * HECTARE_M2,
        1.0 if even_kg is None else chance_below(even_kg, low_kg, middle_kg, high_kg),
        low,
        middle,
        high,
        None if budget.demonstration is None else budget.demonstration * area_m2 / HECTARE_M2,
    )


def value_cost_ratio(with_kg: float, without_kg: float, price: Decimal, cost: Decimal) -> float:
    """What an input earns for each coin it costs: at the margin with all else in place, or of the whole package.

    Args:
        with_kg: harvest with it [kg], 0 or more.
        without_kg: harvest with everything but it [kg], 0 or more; for the whole, harvest with none of it.
        price: what a kilogram leaves at the farm gate, above 0.
        cost: what it costs, above 0.

    Returns:
        The ratio; below 1 it loses money, below 0 it harms.

    Raises:
        OutOfRange: a harvest, price or cost that cannot be.

    Source:
        Munthali and others, Agricultural Sciences 8 (2017) 801, take 2 as enough; elsewhere 1, 3 or 4.

    >>> round(value_cost_ratio(1941.0, 1057.2, Decimal(1), Decimal("254.6")), 2)
    3.47
    """
    gained = worth(with_kg, checked_price("price of grain", price)) - worth(without_kg, price)
    return float(gained / checked_price("cost of the input", cost))


@dataclass(frozen=True, slots=True)
class InputWorth:
    """Whether an input is worth its money.

    Args:
        at_the_margin: value-cost ratio of the input, all else in place.
        of_the_whole: value-cost ratio of the whole package.
        enough: whether the ratio at the margin covers the risk.
    """

    at_the_margin: float
    of_the_whole: float
    enough: bool


def input_worth(
    harvests_kg: tuple[float, float, float], price: Decimal, costs: tuple[Decimal, Decimal], ratio_enough: float
) -> InputWorth:
    """Value-cost ratios of an input at the margin and of the package that it belongs to.

    Args:
        harvests_kg: harvest with the whole package, with all of it but the input, and with none of it [kg].
        price: what a kilogram leaves at the farm gate, above 0.
        costs: what the input costs, and what the whole package costs with it.
        ratio_enough: ratio from which it is worth its risk, 1 or more.

    Returns:
        Both ratios and the verdict.

    Raises:
        OutOfRange: a value that cannot be.
        CannotBe: a package that costs less than one input of it.

    Source:
        As ``value_cost_ratio``.

    >>> input_worth((2371.5, 1941.0, 1057.2), Decimal(1), (Decimal("254.6"), Decimal("509.2")), 2).enough
    False
    """
    whole_kg, without_kg, none_kg = harvests_kg
    input_cost, package_cost = costs
    if checked_price("cost of the package", package_cost) < checked_price("cost of the input", input_cost):
        raise CannotBe(
            "package_below_input",
            f"a package for {package_cost} cannot hold an input for {input_cost}",
            "give the cost of the whole package with the input",
        )
    within("ratio that is enough", ratio_enough, 1, 100, "1")
    at_the_margin = value_cost_ratio(whole_kg, without_kg, price, input_cost)
    return InputWorth(
        at_the_margin, value_cost_ratio(whole_kg, none_kg, price, package_cost), at_the_margin >= ratio_enough
    )
