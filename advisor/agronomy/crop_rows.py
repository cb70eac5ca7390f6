"""Finding the row of a crop in a zone: budgets, seasons and needs stand in the programme by both."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Protocol, TypeVar

from advisor.agronomy.errors import MissingFigure


class OfCropInZone(Protocol):
    """What a row has: the crop and the zone that it is for."""

    @property
    def crop(self) -> str:
        """Key of the crop."""

    @property
    def zone(self) -> str:
        """Key of the zone."""


Row = TypeVar("Row", bound=OfCropInZone)


def row_of(rows: Sequence[Row], crop: str, zone: str, what: str, table: str) -> Row:
    """The row of a crop in a zone.

    Args:
        rows: the programme's.
        crop: key of the crop.
        zone: key of the zone.
        what: what the row is, as the refusal names it.
        table: the table of the programme file that it stands in.

    Raises:
        MissingFigure: there is none.
    """
    found = next((row for row in rows if (row.crop, row.zone) == (crop, zone)), None)
    if found is None:
        raise MissingFigure(f"{what} of {crop} in {zone}", f"add a [[{table}]] table to the programme file")
    return found
