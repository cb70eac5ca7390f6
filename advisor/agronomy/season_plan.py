"""A whole season in one plan: field, seed, inoculant, fertiliser, money, dates, stand, harvest and cautions.

Each part comes from its own room and rests on the parts before it: inoculant on the seed that is settled, packs on
the people who sow, money on what is bought. What the programme lacks figures for, or nobody asked about, is left
out with its reason and takes nothing else with it. Where people are named, the packs are those that their days
open, in the buy list and in the purse as well, so that no part contradicts another.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from advisor.agronomy.buylist import BuyList
from advisor.agronomy.crop import Crop
from advisor.agronomy.fertiliser_need import LastSeason
from advisor.agronomy.inoculation import InoculationPlan
from advisor.agronomy.programme import Programme, Zone
from advisor.agronomy.purse import PursePlan
from advisor.agronomy.season_making import SeasonMaking, buy_lines, with_packs_opened, with_their_days
from advisor.agronomy.season_money import SeasonMoney
from advisor.agronomy.season_parts import (
    Absent,
    BuyLine,
    FertiliserPlan,
    FieldPlan,
    HarvestRange,
    Part,
    SeasonDates,
    StandAim,
)
from advisor.agronomy.season_request import SeasonRequest


@dataclass(frozen=True, slots=True)
class SeasonPlan:
    """A season of one field.

    Args:
        field: the field, its rows and holes.
        bought: verdict of the lot, seed, seeds for each hole, inoculant and what both cost.
        inoculation: batches, windows, and which pack is opened when.
        fertiliser: need, purchase and placement.
        buying: every line that is bought.
        inputs: what all lines cost.
        dates: calendar and window.
        stand: what to count after emergence.
        harvest: what to expect.
        money: break-even first, then cost, income and the chance of a loss; None while seed is not settled.
        purse: steps down to what the purse pays for.
        absent: every part that is left out, with the reason.
        cautions: keys of what must be said with any of it.
    """

    field: FieldPlan
    bought: BuyList
    inoculation: InoculationPlan | None
    fertiliser: FertiliserPlan | None
    buying: tuple[BuyLine, ...]
    inputs: Decimal
    dates: SeasonDates | None
    stand: StandAim | None
    harvest: HarvestRange | None
    money: SeasonMoney | None
    purse: PursePlan | None
    absent: tuple[Absent, ...]
    cautions: tuple[str, ...]


def season_plan(
    programme: Programme, crop: Crop, zone: Zone, request: SeasonRequest, last: LastSeason | None = None
) -> SeasonPlan:
    """The whole plan of a season.

    Args:
        programme: rules, products, prices, needs, seasons and harvests.
        crop: a crop that the programme grows.
        zone: where the field lies.
        request: field, seed, people, dates and money.
        last: what is remembered of the season before, None where nobody remembers anything.

    Returns:
        The plan; what cannot be worked out is left out of it and named.

    Raises:
        OutOfRange: a field, spacing, purse or number of people outside its limits, or a test of too few seeds.
        CannotBe: neither an area nor two sides, or both.
        MissingFigure: the programme does not grow the crop or sells no seed or inoculant for it.

    Source:
        The formulas of this room, in the order that their results need each other.

    >>> from datetime import date
    >>> from advisor.agronomy.buylist import Lot, Origin
    >>> request = SeasonRequest(Lot(Origin.BOUGHT), 10117.141056, people=4, sowing=date(2026, 11, 25))
    >>> plan = season_plan(programme, crop, programme.zones[0], request)
    >>> plan.bought.seed_kg, plan.inoculation.batches.days, plan.inputs
    (50.0, 6, Decimal('16880'))
    >>> [(str(absent.part), str(absent.why)) for absent in plan.absent]
    [('rows', 'not_asked'), ('purse', 'not_asked')]
    """
    season = SeasonMaking(programme, crop, zone, request, last)
    field = season.field()
    bought = season.settled.buy_list(season.area_m2)
    inoculation = season.inoculation(bought)
    if inoculation is not None:
        field, bought = with_their_days(field, inoculation), with_packs_opened(bought, inoculation)
    need = season.part(Part.FERTILISER, season.need)
    fertiliser = None if need is None else season.part(Part.FERTILISER, lambda: season.fertiliser(need))
    buying = buy_lines(bought, fertiliser)
    inputs = sum((line.cost for line in buying), Decimal(0))
    budget = season.part(Part.HARVEST, season.budget)
    harvest = None if budget is None else season.harvest(budget, fertiliser)
    said = (
        bought.cautions,
        () if inoculation is None else inoculation.cautions,
        () if fertiliser is None else fertiliser.choice.cautions,
        *(() if fertiliser is None else (placed.cautions for _, placed in fertiliser.placed)),
    )
    return SeasonPlan(
        field=field,
        bought=bought,
        inoculation=inoculation,
        fertiliser=fertiliser,
        buying=buying,
        inputs=inputs,
        dates=season.dates(),
        stand=season.part(Part.STAND, season.stand),
        harvest=harvest,
        money=season.money(budget, inputs, harvest),
        purse=season.purse(budget, need if fertiliser else None, inoculation),
        absent=tuple(season.absent),
        cautions=tuple(dict.fromkeys(key for keys in said for key in keys)),
    )
