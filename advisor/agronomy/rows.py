"""Rows on a field: how many fit, how long they are together, and how much work they are.

Furrow metres are what seed, fertiliser and days of work follow; an area is only the way to them. Rows come whole:
the last half row is no row, so what is counted on a real field is a little less than area over row spacing. The
string is laid once a row and moved along, the pegs stay at both ends until the row is sown.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import floor

from advisor.agronomy.errors import CannotBe, OutOfRange
from advisor.agronomy.limits import ABOVE_SMALLEST, SMALLEST, above_zero, not_below, whole_up

#: Ten rows of 0.6 m fit into 5.4 m and must not be nine for a hair of a binary fraction.
_NOISE = 1e-9

#: Nobody works longer than a day and a night.
_DAY_S = 86_400


@dataclass(frozen=True, slots=True)
class RowsAcross:
    """Whole rows across the width of a field.

    Args:
        rows: whole rows, 1 or more.
        left_over_m: width beyond the last row that is neither row nor margin, 0 to below one row spacing.
    """

    rows: int
    left_over_m: float


@dataclass(frozen=True, slots=True)
class StringAndPegs:
    """What is taken to the field to sow in straight rows.

    Args:
        string_m: string for one row with its ends; it is moved from row to row.
        pegs: pegs for both ends of every row.
    """

    string_m: float
    pegs: int


def furrow_length_m(area_m2: float, row_m: float) -> float:
    """Length of all rows of a field together.

    Args:
        area_m2: the field [m²], above 0.
        row_m: distance between rows [m], above 0.

    Returns:
        Furrow metres [m].

    Raises:
        OutOfRange: a value that is not above 0.

    Source:
        Pennsylvania State University, Planting considerations and stand assessments: an acre of 30 in rows has
        17,424 ft of row.

    >>> round(furrow_length_m(4046.8564224, 0.6))
    6745
    """
    return above_zero("area", area_m2, "m2") / above_zero("row", row_m, "m")


def rows_across(width_m: float, row_m: float, margin_m: float) -> RowsAcross:
    """Whole rows across a width; the first and the last row stand the margin away from the edge or further.

    Args:
        width_m: width of the field across the rows [m], above 0.
        row_m: distance between rows [m], above 0.
        margin_m: distance from each edge to the row beside it [m], 0 or more.

    Returns:
        Rows and the width that is left over.

    Raises:
        OutOfRange: a value outside its range.
        CannotBe: the two margins leave no room for a row.

    Source:
        Geometry. With a margin of half a row the rows are the width over the row spacing, cut to a whole number.

    >>> rows_across(30, 0.6, 0.3)
    RowsAcross(rows=50, left_over_m=0.0)
    """
    return _whole("row", "width", above_zero("width", width_m, "m"), row_m, margin_m)


def holes_in_rows(rows: int, row_length_m: float, hole_m: float, margin_m: float) -> int:
    """Holes in all rows of a field.

    Args:
        rows: rows, 1 or more.
        row_length_m: length of the field along the rows [m], above 0.
        hole_m: distance between holes in the row [m], above 0.
        margin_m: distance from each end to the first hole [m], 0 or more.

    Returns:
        Holes.

    Raises:
        OutOfRange: a value outside its range.
        CannotBe: the two margins leave no room for a hole.

    Source:
        Geometry, as ``rows_across``.

    >>> holes_in_rows(50, 40, 0.1, 0.05)
    20000
    """
    not_below("rows", rows, 1, "1")
    return rows * _whole("hole", "row", above_zero("row length", row_length_m, "m"), hole_m, margin_m).rows


def string_and_pegs(rows: int, row_length_m: float, tied_m: float) -> StringAndPegs:
    """String and pegs for sowing in straight rows.

    Args:
        rows: rows, 1 or more.
        row_length_m: length of a row [m], above 0.
        tied_m: string that goes round the pegs, both ends together [m], 0 or more.

    Returns:
        What to take to the field.

    Raises:
        OutOfRange: a value outside its range.

    Source:
        Common practice, no source.

    >>> string_and_pegs(50, 40, 1)
    StringAndPegs(string_m=41, pegs=100)
    """
    not_below("rows", rows, 1, "1")
    length_m = above_zero("row length", row_length_m, "m") + not_below("string tied", tied_m, 0, "m")
    return StringAndPegs(length_m, 2 * rows)


def person_days(area_m2: float, person_m2_per_s: float, day_s: float) -> float:
    """Work on a field.

    Args:
        area_m2: the field [m²], above 0.
        person_m2_per_s: area that one person sows in a second [m²/s], above 0.
        day_s: time that one person works on a day [s], above 0, at most a day and a night.

    Returns:
        Person-days, not rounded.

    Raises:
        OutOfRange: a value outside its range.

    Source:
        Arithmetic; rate and hours are figures of the programme.

    >>> round(person_days(1800, 75 / 3600, 6 * 3600), 6)
    4.0
    """
    if not SMALLEST < day_s <= _DAY_S:
        raise OutOfRange("working day", day_s, ABOVE_SMALLEST, _DAY_S, "s")
    return above_zero("area", area_m2, "m2") / (above_zero("area a second", person_m2_per_s, "m2/s") * day_s)


def days_for(work_person_days: float, people: int) -> int:
    """Whole days that a number of people need; a day that is begun counts.

    Args:
        work_person_days: the work [person-days], above 0.
        people: people who come, 1 or more.

    Returns:
        Days, 1 or more.

    Raises:
        OutOfRange: a value outside its range.

    Source:
        Arithmetic.

    >>> days_for(4, 3), days_for(4, 4)
    (2, 1)
    """
    not_below("people", people, 1, "1")
    return max(1, whole_up(above_zero("work", work_person_days, "person-days") / people))


def _whole(what: str, along: str, length_m: float, apart_m: float, margin_m: float) -> RowsAcross:
    """Rows across a width, or holes along a row: the first and the last one stand the margin away from the end."""
    room_m = length_m - 2 * not_below("margin", margin_m, 0, "m")
    if room_m < -_NOISE:
        raise CannotBe(
            f"no_room_for_a_{what}",
            f"margins of {margin_m:g} m leave no room in {length_m:g} m",
            f"give a smaller margin, or measure the {along} again",
        )
    gaps = floor(max(0.0, room_m) / above_zero(what, apart_m, "m") + _NOISE)
    return RowsAcross(gaps + 1, max(0.0, round(room_m - gaps * apart_m, 9)))
