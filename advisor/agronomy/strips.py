"""Strips: rows of one crop beside rows of another, over and over across a field.

Beside each row lies half a row spacing of ground on either side, so between unlike rows the gap is the mean of the
two spacings, and a strip is as wide as its rows times their spacing. A field takes whole strips only; what is left
over is said. Seed and fertiliser follow the furrow metres of each crop, never a share of the area: a share forgets
the strip that was left over. A legume beside a tall cereal stands in its shade; how much that costs is a figure of
the cereal. Between young rows of a crop that takes long, a legume keeps clear of them, and its stand over the
whole field is far from the stand it has alone.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from math import floor

from advisor.agronomy.errors import CannotBe
from advisor.agronomy.limits import above_zero, not_below, share, within
from advisor.agronomy.seed import stand_per_m2

#: As many repeats as fit must not be one less for a hair of a binary fraction.
_NOISE = 1e-9


class Edges(StrEnum):
    """Which crop stands at the two edges of the field."""

    FIRST = "first"
    SECOND = "second"
    ONE_EACH = "one_each"


@dataclass(frozen=True, slots=True)
class Strip:
    """A strip of one crop.

    Args:
        rows: rows beside each other, 1 or more.
        row_m: distance between them [m], above 0.

    Raises:
        OutOfRange: a value outside its range.

    >>> round(Strip(4, 0.6).width_m, 2)
    2.4
    """

    rows: int
    row_m: float

    def __post_init__(self) -> None:
        within("rows", self.rows, 1, 1000, "1")
        above_zero("row", self.row_m, "m")

    @property
    def width_m(self) -> float:
        """Width of the strip with half a row spacing on either side [m]."""
        return self.rows * self.row_m


@dataclass(frozen=True, slots=True)
class Strips:
    """One strip of each of two crops, which repeat.

    Args:
        first: the strip of the first crop.
        second: the strip of the second crop.

    >>> strips = Strips(Strip(4, 0.6), Strip(2, 0.75))
    >>> round(strips.repeat_m, 2), round(strips.gap_m, 3)
    (3.9, 0.675)
    """

    first: Strip
    second: Strip

    @property
    def repeat_m(self) -> float:
        """Width after which all repeats [m]."""
        return self.first.width_m + self.second.width_m

    @property
    def gap_m(self) -> float:
        """Gap between a row of the one and a row of the other crop [m]."""
        return (self.first.row_m + self.second.row_m) / 2

    @property
    def first_share(self) -> float:
        """Part of the ground under the first crop where strips repeat without end, 0 to 1."""
        return self.first.width_m / self.repeat_m

    @property
    def second_share(self) -> float:
        """Part of the ground under the second crop where strips repeat without end, 0 to 1."""
        return self.second.width_m / self.repeat_m


@dataclass(frozen=True, slots=True)
class StripField:
    """Strips on a real field.

    Args:
        repeats: whole repeats, 1 or more.
        first_rows: rows of the first crop.
        second_rows: rows of the second crop.
        first_furrow_m: their length together [m].
        second_furrow_m: their length together [m].
        first_m2: ground that the first crop fills [m²]; as a field of its own it would hold the same rows.
        second_m2: ground that the second crop fills [m²].
        unlike_neighbours: places where a row of the one crop has a row of the other beside it.
        left_over_m: width beyond the last whole strip [m], 0 to below one repeat.
    """

    repeats: int
    first_rows: int
    second_rows: int
    first_furrow_m: float
    second_furrow_m: float
    first_m2: float
    second_m2: float
    unlike_neighbours: int
    left_over_m: float


@dataclass(frozen=True, slots=True)
class RowsBetween:
    """Rows of a legume between the rows of a young crop that takes long.

    Args:
        rows_per_gap: whole rows in each gap, 0 where none keeps clear.
        furrow_m_per_m2: furrow metres of the legume on each m² of the whole field.
        stand_per_m2: its plants on each m² of the whole field.
        sole_crop_stand_per_m2: plants on each m² where it grows alone; a stand check uses the other one.
    """

    rows_per_gap: int
    furrow_m_per_m2: float
    stand_per_m2: float
    sole_crop_stand_per_m2: float


def strips_on_field(strips: Strips, width_m: float, length_m: float, edges: Edges) -> StripField:
    """Whole strips on a field.

    Args:
        strips: the two strips.
        width_m: width of the field across the rows [m], above 0.
        length_m: length of the field along the rows [m], above 0.
        edges: which crop stands at the edges; with the same crop at both, one strip of it is added.

    Returns:
        Rows, furrow metres and what width is left over.

    Raises:
        OutOfRange: a length that is not above 0.
        CannotBe: not even one whole repeat fits.

    Source:
        Geometry.

    >>> field = strips_on_field(Strips(Strip(4, 0.6), Strip(2, 0.75)), 30, 40, Edges.ONE_EACH)
    >>> field.repeats, field.first_rows, field.second_rows, round(field.left_over_m, 2)
    (7, 28, 14, 2.7)
    """
    extra = {Edges.FIRST: strips.first.width_m, Edges.SECOND: strips.second.width_m, Edges.ONE_EACH: 0.0}[edges]
    room_m = above_zero("width", width_m, "m") - extra
    repeats = floor(room_m / strips.repeat_m + _NOISE)
    if repeats < 1:
        raise CannotBe(
            "no_whole_repeat",
            f"strips that take {strips.repeat_m + extra:g} m do not fit into {width_m:g} m",
            "take fewer rows for a strip, another crop at the edges, or sow the field with one crop",
        )
    first_rows = strips.first.rows * (repeats + (edges is Edges.FIRST))
    second_rows = strips.second.rows * (repeats + (edges is Edges.SECOND))
    along_m = above_zero("length", length_m, "m")
    return StripField(
        repeats=repeats,
        first_rows=first_rows,
        second_rows=second_rows,
        first_furrow_m=first_rows * along_m,
        second_furrow_m=second_rows * along_m,
        first_m2=first_rows * along_m * strips.first.row_m,
        second_m2=second_rows * along_m * strips.second.row_m,
        unlike_neighbours=2 * repeats - (edges is Edges.ONE_EACH),
        left_over_m=max(0.0, round(room_m - repeats * strips.repeat_m, 9)),
    )


def seed_for_furrows_kg(furrow_m: float, hole_m: float, seeds_per_hole: float, tsw_g: float) -> float:
    """Seed for rows of a known length.

    Args:
        furrow_m: length of the rows together [m], above 0.
        hole_m: distance between holes in the row [m], above 0.
        seeds_per_hole: mean seeds for a hole, above 0.
        tsw_g: mass of a thousand seeds [g], above 0.

    Returns:
        Seed [kg], of pure seed without spill.

    Raises:
        OutOfRange: a value that is not above 0.

    Source:
        Arithmetic; for one crop alone it is the mass of its hole plan.

    >>> round(seed_for_furrows_kg(1120, 0.1, 2, 130), 3)
    2.912
    """
    holes = above_zero("furrow", furrow_m, "m") / above_zero("hole", hole_m, "m")
    seeds = holes * above_zero("seeds per hole", seeds_per_hole, "1")
    return seeds * above_zero("thousand-seed weight", tsw_g, "g") / 1e6


def shaded_yield_part(rows: int, shaded_sides: int, edge_factor: float) -> float:
    """What a crop in strips yields, as a part of what the same rows would yield in the open.

    Each side on which the taller crop stands takes the same part of one row; a row shaded on both sides loses
    that part twice.

    Args:
        rows: rows of the shaded crop, 1 or more.
        shaded_sides: places where one of them has the taller crop beside it, 0 to twice the rows.
        edge_factor: what a row shaded on one side yields, as a part of an open row, above 0, at most 1.

    Returns:
        The part, 0 to 1.

    Raises:
        OutOfRange: a value outside its range.

    Source:
        Own choice; the factor is a figure of the taller crop.

    >>> shaded_yield_part(28, 14, 0.75)
    0.875
    """
    not_below("rows", rows, 1, "1")
    within("shaded sides", shaded_sides, 0, 2 * rows, "1")
    return max(0.0, 1 - shaded_sides * (1 - share("edge factor", edge_factor)) / rows)


def rows_between(
    gap_m: float, clearance_m: float, row_m: float, hole_m: float, plants_per_hole: float
) -> RowsBetween:
    """Rows of a legume between the rows of a young crop that takes long, such as cassava or a young orchard.

    Args:
        gap_m: distance between the rows of the young crop [m], above 0.
        clearance_m: what each of them needs on either side [m], 0 or more.
        row_m: distance between rows of the legume [m], above 0.
        hole_m: distance between its holes in the row [m], above 0.
        plants_per_hole: its plants in each hole, above 0.

    Returns:
        Rows in each gap, and the stand, which is not the one of the sole crop.

    Raises:
        OutOfRange: a value outside its range.

    Source:
        Geometry; clearance is a figure of the young crop.

    >>> rows_between(1.8, 0.45, 0.45, 0.1, 1).rows_per_gap
    3
    """
    sole_stand = stand_per_m2(plants_per_hole, row_m, hole_m)
    room_m = above_zero("gap", gap_m, "m") - 2 * not_below("clearance", clearance_m, 0, "m")
    rows = floor(max(0.0, room_m) / row_m + _NOISE) + 1 if room_m >= -_NOISE else 0
    per_m2 = rows / gap_m
    return RowsBetween(rows, per_m2, per_m2 * plants_per_hole / hole_m, sole_stand)
