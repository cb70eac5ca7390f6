"""Areas in the units that people use, and fields measured by length and by step."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.agronomy.errors import CannotBe, OutOfRange
from advisor.agronomy.field import paced_rectangle, rectangle_m2, square_side_steps, step_length_m
from advisor.agronomy.units import ACRE_M2, AREA_M2, area_in, area_m2

areas = st.floats(0.01, 3e4)
steps = st.integers(1, 5000)
lengths_m = st.floats(0.3, 1.5)


@given(areas, st.sampled_from(sorted(AREA_M2)))
def test_an_area_survives_the_way_in_and_out(number, unit):
    assert area_in(area_m2(number, unit), unit) == pytest.approx(number, rel=1e-12)


@given(areas, areas, st.sampled_from(sorted(AREA_M2)))
def test_twice_the_number_is_twice_the_area(number, factor, unit):
    assert area_m2(number * factor, unit) == pytest.approx(area_m2(number, unit) * factor, rel=1e-12)


def test_an_unknown_unit_is_refused_with_the_units_there_are():
    with pytest.raises(CannotBe, match="furlong is no area unit: use one of acre, hectare, m2"):
        area_m2(1, "furlong")


@pytest.mark.parametrize("number", [0, -1, float("nan"), float("inf")])
def test_an_area_that_cannot_be_is_refused(number):
    with pytest.raises(OutOfRange, match="area is"):
        area_m2(number, "acre")


@given(lengths_m, lengths_m)
def test_the_sides_of_a_rectangle_can_be_swapped(long_m, short_m):
    assert rectangle_m2(long_m, short_m) == rectangle_m2(short_m, long_m)


@pytest.mark.parametrize("sides", [(0, 5), (5, 0), (-3, 5), (float("nan"), 5)])
def test_a_rectangle_with_an_impossible_side_is_refused(sides):
    with pytest.raises(OutOfRange, match="side is"):
        rectangle_m2(*sides)


@given(steps, steps, lengths_m, st.floats(0, 0.5))
def test_the_range_of_a_paced_field_holds_its_area_and_squares_the_error(long_steps, short_steps, step_m, error):
    paced = paced_rectangle(long_steps, short_steps, step_m, error)

    assert paced.low_m2 <= paced.area_m2 <= paced.high_m2
    assert paced.high_m2 == pytest.approx(
        rectangle_m2(long_steps * step_m * (1 + error), short_steps * step_m * (1 + error))
    )
    assert paced.low_m2 == pytest.approx(
        rectangle_m2(long_steps * step_m * (1 - error), short_steps * step_m * (1 - error))
    )


def test_a_fifth_too_long_a_step_makes_the_field_44_percent_too_large():
    paced = paced_rectangle(100, 100, 1.0, 0.2)

    assert paced.high_m2 / paced.area_m2 - 1 == pytest.approx(0.44)


@pytest.mark.parametrize("error", [-0.1, 1.0, float("nan")])
def test_a_step_error_that_cannot_be_is_refused(error):
    with pytest.raises(OutOfRange, match="step error"):
        paced_rectangle(10, 10, 0.75, error)


@pytest.mark.parametrize(("long_steps", "short_steps"), [(0, 5), (5, 0), (-1, 5)])
def test_a_side_of_no_steps_is_refused(long_steps, short_steps):
    with pytest.raises(OutOfRange, match="steps is"):
        paced_rectangle(long_steps, short_steps, 0.75, 0.05)


def test_a_step_is_the_rope_over_the_steps_it_took():
    assert step_length_m(20, 25) == 0.8


@pytest.mark.parametrize(("rope_m", "count"), [(20, 0), (0, 20), (20, 200), (20, 4)])
def test_a_step_that_nobody_has_is_refused(rope_m, count):
    with pytest.raises(OutOfRange):
        step_length_m(rope_m, count, low_m=0.4, high_m=1.2)


@given(st.floats(200, 5e5), lengths_m)
def test_the_square_of_so_many_steps_is_within_half_a_step_of_the_area(area, step_m):
    side = square_side_steps(area, step_m)

    assert (side - 0.5) * step_m <= area**0.5 * (1 + 1e-12)
    assert (side + 0.5) * step_m >= area**0.5 * (1 - 1e-12)


def test_an_acre_is_a_square_of_85_steps_of_three_quarters_of_a_metre():
    assert square_side_steps(ACRE_M2, 0.75) == 85


def test_the_smallest_square_has_a_side_of_one_step():
    assert square_side_steps(0.01, 0.75) == 1
