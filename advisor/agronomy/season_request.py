"""What a season is planned for: a field, a lot of seed, people, dates and money, as far as they are known."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from advisor.agronomy.buylist import Lot
from advisor.agronomy.errors import CannotBe
from advisor.agronomy.field import rectangle_m2


@dataclass(frozen=True, slots=True)
class SeasonRequest:
    """What is known and asked; what is left out leaves only its own part out of the plan.

    Args:
        lot: the seed at hand, or seed that is to be bought.
        area_m2: the field [m²]; None where its two sides are given.
        width_m: width of a field with straight sides, across the rows [m].
        length_m: length of it along the rows [m].
        people: people who sow, 1 or more; None leaves batches and packs for the days out.
        sowing: the day of sowing.
        today: the day to judge by where no day of sowing is named: the window that is open or comes next counts.
        variety: key of the variety, None for the usual one.
        spacing: index of a spacing on offer, 0 is the usual one.
        soil_mg_per_kg: phosphorus of a soil test [mg P/kg], None where there is none.
        purse: money there is, None where it does not limit.
    """

    lot: Lot
    area_m2: float | None = None
    width_m: float | None = None
    length_m: float | None = None
    people: int | None = None
    sowing: date | None = None
    today: date | None = None
    variety: str | None = None
    spacing: int = 0
    soil_mg_per_kg: float | None = None
    purse: Decimal | None = None

    @property
    def sides_m(self) -> tuple[float, float] | None:
        """Width and length, None where they are not both given."""
        return None if self.width_m is None or self.length_m is None else (self.width_m, self.length_m)

    def field_m2(self) -> float:
        """The field.

        Raises:
            CannotBe: neither an area nor two sides, or both.
            OutOfRange: a side that is not above 0.
        """
        if (self.area_m2 is None) == (self.sides_m is None):
            raise CannotBe("field", "a field is an area or a width and a length", "give one of the two")
        return self.area_m2 if self.area_m2 is not None else rectangle_m2(*(self.sides_m or (0, 0)))
