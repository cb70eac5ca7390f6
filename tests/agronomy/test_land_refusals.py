"""What calculations of fields, rows and strips refuse, in full: name, value, allowed range, unit, what to do."""

from __future__ import annotations

from math import inf, nan

import pytest

from advisor.agronomy.errors import CannotBe, OutOfRange
from advisor.agronomy.field import (
    PacedArea,
    paced,
    paced_rectangle,
    rectangle_m2,
    square_side_steps,
    step_length_m,
)
from advisor.agronomy.limits import above_zero, share, within
from advisor.agronomy.placing import BodyMeasure, in_body_measure, seeds_in_ten_steps, seeds_per_metre
from advisor.agronomy.rows import (
    days_for,
    furrow_length_m,
    holes_in_rows,
    person_days,
    rows_across,
    string_and_pegs,
)
from advisor.agronomy.shapes import four_sides_m2, sum_of_pieces, triangle_m2
from advisor.agronomy.stand_check import RowCount, StandRules, counted_stand_per_m2, seed_to_fill_kg, stand_check
from advisor.agronomy.strips import (
    Edges,
    Strip,
    Strips,
    rows_between,
    seed_for_furrows_kg,
    shaded_yield_part,
    strips_on_field,
)
from advisor.agronomy.units import area_in, area_m2

RULES = StandRules(leave_over=0.8, resow_under=0.5, fill_days=14, resow_days=21)
STRIPS = Strips(Strip(4, 0.6), Strip(2, 0.75))
FINGER = BodyMeasure("finger", "finger", 0.018, most=4)
POSITIVE = ("above 1e-9", "below 1e9")


def body_measure_of(length_m):
    return in_body_measure(0.1, [BodyMeasure("hand", "hand", length_m, most=2)], 0.2)


@pytest.mark.parametrize(
    ("call", "name", "value", "low", "high", "unit"),
    [
        (lambda: within("spare", 3, 0, 2, "1"), "spare", 3, 0, 2, "1"),
        (lambda: above_zero("rope", 0, "m"), "rope", 0, *POSITIVE, "m"),
        (lambda: above_zero("rope", inf, "m"), "rope", inf, *POSITIVE, "m"),
        (lambda: share("purity", 0), "purity", 0, "above 1e-9", 1, "1"),
        (lambda: share("purity", 1.5), "purity", 1.5, "above 1e-9", 1, "1"),
        (lambda: rectangle_m2(0, 5), "side", 0, *POSITIVE, "m"),
        (lambda: rectangle_m2(5, -1), "side", -1, *POSITIVE, "m"),
        (lambda: step_length_m(0, 20), "rope", 0, *POSITIVE, "m"),
        (lambda: step_length_m(20, 0), "steps", 0, *POSITIVE, "1"),
        (lambda: step_length_m(20, 200, 0.4, 1.2), "step", 0.1, 0.4, 1.2, "m"),
        (lambda: step_length_m(20, 10, 0.4, 1.2), "step", 2.0, 0.4, 1.2, "m"),
        (lambda: paced_rectangle(0, 5, 1, 0), "steps", 0, *POSITIVE, "1"),
        (lambda: paced_rectangle(5, 0, 1, 0), "steps", 0, *POSITIVE, "1"),
        (lambda: paced(0, 1, 0), "area", 0, *POSITIVE, "steps²"),
        (lambda: paced(5, 0, 0), "step", 0, *POSITIVE, "m"),
        (lambda: paced(5, 1, -0.1), "step error", -0.1, 0, "below 1", "1"),
        (lambda: paced(5, 1, 1), "step error", 1, 0, "below 1", "1"),
        (lambda: square_side_steps(0, 1), "area", 0, *POSITIVE, "m2"),
        (lambda: square_side_steps(5, 0), "step", 0, *POSITIVE, "m"),
        (lambda: area_m2(0, "acre"), "area", 0, *POSITIVE, "acre"),
        (lambda: area_in(0, "acre"), "area", 0, *POSITIVE, "m2"),
        (lambda: triangle_m2(3, 0, 5), "side", 0, *POSITIVE, "m"),
        (lambda: furrow_length_m(0, 0.6), "area", 0, *POSITIVE, "m2"),
        (lambda: furrow_length_m(100, 0), "row", 0, *POSITIVE, "m"),
        (lambda: rows_across(0, 0.6, 0.3), "width", 0, *POSITIVE, "m"),
        (lambda: rows_across(30, 0, 0.3), "row", 0, *POSITIVE, "m"),
        (lambda: rows_across(30, 0.6, -1), "margin", -1, 0, "below 1e9", "m"),
        (lambda: holes_in_rows(0, 40, 0.1, 0.05), "rows", 0, 1, "below 1e9", "1"),
        (lambda: holes_in_rows(1, 0, 0.1, 0.05), "row length", 0, *POSITIVE, "m"),
        (lambda: holes_in_rows(1, 40, 0, 0.05), "hole", 0, *POSITIVE, "m"),
        (lambda: holes_in_rows(1, 40, 0.1, -1), "margin", -1, 0, "below 1e9", "m"),
        (lambda: string_and_pegs(0, 40, 1), "rows", 0, 1, "below 1e9", "1"),
        (lambda: string_and_pegs(1, 0, 1), "row length", 0, *POSITIVE, "m"),
        (lambda: string_and_pegs(1, 40, -1), "string tied", -1, 0, "below 1e9", "m"),
        (lambda: person_days(0, 0.02, 3600), "area", 0, *POSITIVE, "m2"),
        (lambda: person_days(100, 0, 3600), "area a second", 0, *POSITIVE, "m2/s"),
        (lambda: person_days(100, 0.02, 0), "working day", 0, "above 1e-9", 86_400, "s"),
        (lambda: person_days(100, 0.02, 86_401), "working day", 86_401, "above 1e-9", 86_400, "s"),
        (lambda: days_for(0, 1), "work", 0, *POSITIVE, "person-days"),
        (lambda: days_for(1, 0), "people", 0, 1, "below 1e9", "1"),
        (lambda: Strip(0, 0.6), "rows", 0, 1, 1000, "1"),
        (lambda: Strip(1001, 0.6), "rows", 1001, 1, 1000, "1"),
        (lambda: Strip(1, 0), "row", 0, *POSITIVE, "m"),
        (lambda: strips_on_field(STRIPS, 0, 40, Edges.FIRST), "width", 0, *POSITIVE, "m"),
        (lambda: strips_on_field(STRIPS, 30, 0, Edges.FIRST), "length", 0, *POSITIVE, "m"),
        (lambda: seed_for_furrows_kg(0, 0.1, 2, 130), "furrow", 0, *POSITIVE, "m"),
        (lambda: seed_for_furrows_kg(10, 0, 2, 130), "hole", 0, *POSITIVE, "m"),
        (lambda: seed_for_furrows_kg(10, 0.1, 0, 130), "seeds per hole", 0, *POSITIVE, "1"),
        (lambda: seed_for_furrows_kg(10, 0.1, 2, 0), "thousand-seed weight", 0, *POSITIVE, "g"),
        (lambda: shaded_yield_part(0, 0, 0.75), "rows", 0, 1, "below 1e9", "1"),
        (lambda: shaded_yield_part(3, -1, 0.75), "shaded sides", -1, 0, 6, "1"),
        (lambda: shaded_yield_part(3, 7, 0.75), "shaded sides", 7, 0, 6, "1"),
        (lambda: shaded_yield_part(3, 6, 0), "edge factor", 0, "above 1e-9", 1, "1"),
        (lambda: rows_between(0, 0.4, 0.4, 0.1, 1), "gap", 0, *POSITIVE, "m"),
        (lambda: rows_between(2, -1, 0.4, 0.1, 1), "clearance", -1, 0, "below 1e9", "m"),
        (lambda: rows_between(2, 0.4, 0, 0.1, 1), "row", 0, *POSITIVE, "m"),
        (lambda: rows_between(2, 0.4, 0.4, 0, 1), "hole", 0, *POSITIVE, "m"),
        (lambda: rows_between(2, 0.4, 0.4, 0.1, 0), "plants per hole", 0, *POSITIVE, "1"),
        (lambda: in_body_measure(0, [FINGER], 0.2), "length", 0, *POSITIVE, "m"),
        (lambda: in_body_measure(1, [FINGER], -0.1), "most off", -0.1, 0, 0.5, "1"),
        (lambda: in_body_measure(1, [FINGER], 0.51), "most off", 0.51, 0, 0.5, "1"),
        (lambda: body_measure_of(0), "body measure", 0, *POSITIVE, "m"),
        (lambda: seeds_per_metre(0, 0.6, 0.9, 0.8), "stand", 0, *POSITIVE, "plants/m2"),
        (lambda: seeds_per_metre(30, 0, 0.9, 0.8), "row", 0, *POSITIVE, "m"),
        (lambda: seeds_per_metre(30, 0.6, 0, 0.8), "germination", 0, "above 1e-9", 1, "1"),
        (lambda: seeds_per_metre(30, 0.6, 0.9, 2), "emergence", 2, "above 1e-9", 1, "1"),
        (lambda: seeds_in_ten_steps(0, 0.75), "seeds", 0, *POSITIVE, "1/m"),
        (lambda: seeds_in_ten_steps(26, 0), "step", 0, *POSITIVE, "m"),
        (lambda: RowCount(-1, 2), "plants", -1, 0, "below 1e9", "1"),
        (lambda: RowCount(28, 0), "row length", 0, *POSITIVE, "m"),
        (lambda: counted_stand_per_m2([RowCount(28, 2)], 0), "row", 0, *POSITIVE, "m"),
        (lambda: stand_check(-1, 30, 10, RULES), "stand", -1, 0, "below 1e9", "plants/m2"),
        (lambda: stand_check(20, 0, 10, RULES), "target", 0, *POSITIVE, "plants/m2"),
        (lambda: stand_check(20, 30, -1, RULES), "days after sowing", -1, 0, "below 1e9", "day"),
        (lambda: stand_check(20, 30, 1, StandRules(1.1, 0.5, 1, 1)), "leave over", 1.1, 0, 1, "1"),
        (lambda: stand_check(20, 30, 1, StandRules(0.5, 0.6, 1, 1)), "resow under", 0.6, 0, 0.5, "1"),
        (lambda: seed_to_fill_kg(100, -1, 130, 0.8, 0.8), "missing", -1, 0, "below 1e9", "plants/m2"),
    ],
)
def test_a_value_outside_its_range_is_refused_with_the_range(call, name, value, low, high, unit):
    with pytest.raises(OutOfRange) as refused:
        call()

    error = refused.value
    assert (error.name, error.value, error.low, error.high, error.unit) == (name, value, low, high, unit)


@pytest.mark.parametrize(
    ("call", "name", "said"),
    [
        (
            lambda: area_m2(1, "rood", {"kanto": 1000.0}),
            "area_unit",
            "rood is no area unit: use one of acre, hectare, kanto, m2",
        ),
        (
            lambda: triangle_m2(5, 1, 2.25),
            "triangle_does_not_close",
            "sides of 1, 2.25 and 5 do not meet in a triangle: "
            "measure the three sides again; the longest is always shorter than the other two together",
        ),
        (
            lambda: four_sides_m2(60, 40, 60, 40, 72.1110255, bends_in=True),
            "corner_does_not_bend_in",
            "with these lengths no corner off the diagonal lies inside the field: "
            "measure the other diagonal, or add the two triangles if the diagonal runs inside the field",
        ),
        (
            lambda: sum_of_pieces([]),
            "no_piece",
            "a field of no pieces has no area: give at least one piece",
        ),
        (
            lambda: sum_of_pieces([PacedArea(5, 4, 6)], [PacedArea(5, 4, 6)]),
            "nothing_left_to_sow",
            "as much is taken away from the field as it has: "
            "measure again what is not sown, and take away only what lies inside the pieces",
        ),
        (
            lambda: rows_across(1, 0.6, 0.75),
            "no_room_for_a_row",
            "margins of 0.75 m leave no room in 1 m: give a smaller margin, or measure the width again",
        ),
        (
            lambda: holes_in_rows(3, 1, 0.1, 0.75),
            "no_room_for_a_hole",
            "margins of 0.75 m leave no room in 1 m: give a smaller margin, or measure the row again",
        ),
        (
            lambda: strips_on_field(STRIPS, 6, 40, Edges.FIRST),
            "no_whole_repeat",
            "strips that take 6.3 m do not fit into 6 m: "
            "take fewer rows for a strip, another crop at the edges, or sow the field with one crop",
        ),
        (
            lambda: counted_stand_per_m2([], 0.6),
            "no_count",
            "no row was counted: count the plants on at least one piece of row",
        ),
    ],
)
def test_what_cannot_be_is_said_with_what_to_do(call, name, said):
    with pytest.raises(CannotBe) as refused:
        call()

    assert (refused.value.name, str(refused.value)) == (name, said)


@pytest.mark.parametrize("value", [nan, -inf, inf])
def test_what_is_no_finite_number_is_no_length(value):
    for call in (lambda: rectangle_m2(value, 1), lambda: Strip(1, value), lambda: RowCount(1, value)):
        with pytest.raises(OutOfRange):
            call()


def test_the_edges_themselves_are_allowed():
    assert (within("spare", 0, 0, 2, "1"), within("spare", 2, 0, 2, "1"), share("purity", 1)) == (0, 2, 1)
    assert step_length_m(20, 50, 0.4, 1.2) == 0.4
    assert step_length_m(24, 20, 0.4, 1.2) == 1.2
    assert paced(5, 1, 0) == PacedArea(5, 5, 5)
    assert rows_across(1.2, 0.6, 0.6).rows == holes_in_rows(1, 0.1, 0.1, 0.05) == 1
    assert person_days(86_400, 1, 86_400) == person_days(0.5, 1, 0.5) == 1
    assert shaded_yield_part(3, 6, 1) == 1
    assert Strip(1000, 1).width_m == 1000
    assert in_body_measure(0.036, [FINGER], 0).count == 2
    assert in_body_measure(0.036, [FINGER], 0.5).count == 2
    assert stand_check(0, 30, 0, StandRules(1, 1, 1, 1)).part_of_target == 0
    assert seed_to_fill_kg(100, 0, 130, 0.8, 0.8) == 0
    assert string_and_pegs(1, 40, 0).string_m == 40
    assert rows_between(0.8, 0.4, 0.4, 0.1, 1).rows_per_gap == 1
    assert rows_between(0.8, 0, 0.4, 0.1, 1).rows_per_gap == 3
    assert RowCount(0, 1).plants == 0
