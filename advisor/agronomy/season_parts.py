"""The parts of a season's plan, and why one of them is not there."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from enum import StrEnum

from advisor.agronomy.fertiliser_choice import FertiliserChoice
from advisor.agronomy.fertiliser_need import Need
from advisor.agronomy.placement import Placement
from advisor.agronomy.row_plans import RowPlan
from advisor.agronomy.season_calendar import Calendar
from advisor.agronomy.sowing_window import Window


class Part(StrEnum):
    """A part of the plan that may be left out."""

    ROWS = "rows"
    INOCULATION = "inoculation"
    FERTILISER = "fertiliser"
    PLACEMENT = "placement"
    WINDOW = "window"
    CALENDAR = "calendar"
    STAND = "stand"
    HARVEST = "harvest"
    MONEY = "money"
    PURSE = "purse"


class Why(StrEnum):
    """Why a part is left out."""

    NOT_ASKED = "not_asked"
    NO_FIGURES = "no_figures"
    NOT_SETTLED = "not_settled"
    CANNOT_BE = "cannot_be"


@dataclass(frozen=True, slots=True)
class Absent:
    """A part that is not in the plan.

    Args:
        part: which.
        why: whether nobody asked, the programme lacks figures, seed must be tested first, or it cannot be.
        what: what is missing or wrong.
        instead: what to give, add or do.
    """

    part: Part
    why: Why
    what: str
    instead: str


@dataclass(frozen=True, slots=True)
class FieldPlan:
    """The field and its rows.

    Args:
        area_m2: the field.
        row_m: distance between rows.
        hole_m: distance between holes in the row.
        furrow_m: length of all rows together, by the area.
        holes: holes, by the area.
        rows: whole rows with tools and work, None without the sides of the field or figures for it.
    """

    area_m2: float
    row_m: float
    hole_m: float
    furrow_m: float
    holes: int
    rows: RowPlan | None


@dataclass(frozen=True, slots=True)
class FertiliserPlan:
    """Fertiliser of a field.

    Args:
        need: what a hectare needs.
        choice: what is bought and applied.
        placed: key of each product and how it is laid; none where the programme or the crop lacks figures for it.
    """

    need: Need
    choice: FertiliserChoice
    placed: tuple[tuple[str, Placement], ...]


@dataclass(frozen=True, slots=True)
class BuyLine:
    """A line of what is bought.

    Args:
        product: key of the product.
        needed_kg: what the field takes.
        bought_kg: what is bought, never less.
        cost: what it costs.
    """

    product: str
    needed_kg: float
    bought_kg: float
    cost: Decimal


@dataclass(frozen=True, slots=True)
class SeasonDates:
    """The dates of a season.

    Args:
        calendar: all of them.
        window: the sowing window of the zone, None where the programme does not say.
        last_safe: last day on which the variety still has rain as long as it needs it, None as the window.
        safe: whether the day of sowing is not after it, None as the window.
    """

    calendar: Calendar
    window: Window | None
    last_safe: date | None
    safe: bool | None


@dataclass(frozen=True, slots=True)
class StandAim:
    """What to count after emergence.

    Args:
        plants_per_m2: plants that should stand.
        plants_a_metre: the same on a metre of row.
        leave_over_a_metre: more than these on a metre are left as they are.
        resow_under_a_metre: fewer than these are sown again.
        fill_days: whole days after sowing in which gaps are filled.
        resow_days: whole days after sowing in which the field is sown again.
    """

    plants_per_m2: float
    plants_a_metre: float
    leave_over_a_metre: float
    resow_under_a_metre: float
    fill_days: int
    resow_days: int


@dataclass(frozen=True, slots=True)
class HarvestRange:
    """What growers of the zone would bring home from such a field.

    Args:
        low_kg: a bad season.
        middle_kg: the usual one.
        high_kg: a good one.
        part: part of the full harvest that is counted, below 1 where no phosphorus is given.
    """

    low_kg: float
    middle_kg: float
    high_kg: float
    part: float
