"""What a purse buys for a field of a programme: seed, inoculant and fertiliser by its own price lists.

``purse`` knows the order in which things go and looks for the best buy; what a part of the field costs with a
part of its phosphorus comes from here: the buy list for seed and inoculant, which are never thinned out, and the
cheapest bags from the dealer's list for what phosphorus is left.
"""

from __future__ import annotations

from decimal import Decimal

from advisor.agronomy.budget_figures import Budget
from advisor.agronomy.buylist import Lot, Settled
from advisor.agronomy.crop import Crop
from advisor.agronomy.errors import MissingFigure
from advisor.agronomy.fertiliser_need import fertiliser_need
from advisor.agronomy.input_costs import InputCosts
from advisor.agronomy.programme import Programme
from advisor.agronomy.purse import PursePlan


def field_purse(
    programme: Programme, crop: Crop, budget: Budget, area_m2: float, lot: Lot, purse: Decimal
) -> PursePlan:
    """What a purse buys for a field, step by step, and what would earn most for it.

    Args:
        programme: rules, products, prices, needs and harvests.
        crop: a crop that the programme grows.
        budget: harvest and money of the crop in the zone of the field.
        area_m2: the field [m²], within the programme's plots.
        lot: the seed at hand, or seed that is to be bought.
        purse: money there is, 0 or more.

    Returns:
        The steps down to the first that fits, the best buy, and what is wanting.

    Raises:
        OutOfRange: a field or purse outside the programme's limits, or a test of too few seeds.
        MissingFigure: the programme says nothing of fertiliser, harvest or the crop.
        CannotBe: no mixture of the dealer's list meets the need within the nitrogen limit.

    Source:
        As ``purse_plan``, ``buy_list`` and ``choose_fertiliser``.

    >>> from advisor.agronomy.buylist import Origin
    >>> valley = programme.budgets[0]
    >>> plan = field_purse(programme, crop, valley, 10117.141056, Lot(Origin.BOUGHT), Decimal(6000))
    >>> [str(step.gone) for step in plan.steps], plan.chosen.package.cost
    (['nothing', 'half_p', 'all_p'], Decimal('5550'))
    """
    if programme.fertilising is None:
        raise MissingFigure("fertilising", "add a [fertilising] table to the programme file")
    settled = Settled.of(programme, crop, lot)
    settled.check(area_m2)
    settled.ways.masses(area_m2)  # refuses a rate of less than a seed a hole
    need = fertiliser_need(programme.fertilising.need(crop.key, budget.zone))
    return InputCosts.of(settled, programme.fertilising, need).purse_plan(budget, area_m2, purse)
