"""Fields that are no rectangles: triangles, four corners with a diagonal, and sums of pieces."""

from __future__ import annotations

from fractions import Fraction
from math import atan2, cos, dist, pi, sin, sqrt

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from advisor.agronomy.errors import CannotBe, OutOfRange
from advisor.agronomy.field import PacedArea, paced, rectangle_m2
from advisor.agronomy.shapes import four_sides_m2, sum_of_pieces, triangle_m2

coordinates = st.floats(-500, 500)
points = st.tuples(coordinates, coordinates)
sides = st.floats(0.5, 1000)


def shoelace(*corners):
    """Area of a polygon from its corners: another way to the same number."""
    turned = (*corners[1:], corners[0])
    return abs(sum(x * b - a * y for (x, y), (a, b) in zip(corners, turned, strict=True))) / 2


def on_an_ellipse(angles, wide, high):
    """Corners of a field that bends in nowhere, in walking order."""
    return [(wide * cos(angle), high * sin(angle)) for angle in sorted(angles)]


def lengths(corners):
    a, b, c, d = corners
    return dist(a, b), dist(b, c), dist(c, d), dist(d, a), dist(a, c)


class TestATriangle:
    @given(points, points, points)
    def test_from_its_sides_has_the_area_that_its_corners_have(self, a, b, c):
        area = shoelace(a, b, c)
        longest = max(dist(a, b), dist(b, c), dist(c, a))
        assume(area > 1e-3 * longest**2)

        assert triangle_m2(dist(a, b), dist(b, c), dist(c, a)) == pytest.approx(area, rel=1e-6)

    @given(st.permutations([30.0, 42.5, 61.25]))
    def test_is_the_same_whichever_side_is_measured_first(self, measured):
        assert triangle_m2(*measured) == triangle_m2(30, 42.5, 61.25)

    @given(st.floats(1, 100), st.floats(1, 100), st.floats(0.01, 100))
    def test_that_is_twice_as_long_has_four_times_the_area(self, legs, height, times):
        third = sqrt(legs**2 + height**2)

        assert triangle_m2(legs * times, height * times, third * times) == pytest.approx(
            triangle_m2(legs, height, third) * times**2, rel=1e-9
        )

    @given(st.integers(1, 400), st.integers(1, 400))
    def test_with_a_right_angle_is_half_a_rectangle(self, first, second):
        assert triangle_m2(first, second, sqrt(first**2 + second**2)) == pytest.approx(
            rectangle_m2(first, second) / 2, rel=1e-9
        )

    def test_as_thin_as_a_needle_keeps_its_digits(self):
        long, short = 100_000.0, 0.0000229
        exact = [Fraction(side) for side in (long, 99_999.9999979, short)]
        half = sum(exact) / 2
        squared = half * (half - exact[0]) * (half - exact[1]) * (half - exact[2])

        assert triangle_m2(*map(float, exact)) == pytest.approx(sqrt(squared), rel=1e-12)

    @pytest.mark.parametrize("three", [(10, 20, 30), (10, 20, 31), (5, 2, 3), (1, 100, 1)])
    def test_that_does_not_close_is_refused_with_what_to_do(self, three):
        with pytest.raises(CannotBe, match="do not meet in a triangle: measure the three sides again") as raised:
            triangle_m2(*three)

        assert raised.value.name == "triangle_does_not_close"

    def test_that_just_closes_has_an_area(self):
        assert 0 < triangle_m2(10, 20, 29.999) < 5

    @pytest.mark.parametrize("three", [(0, 5, 5), (5, -1, 5), (5, 5, float("nan")), (float("inf"), 5, 5)])
    def test_with_an_impossible_side_is_refused(self, three):
        with pytest.raises(OutOfRange, match="side is"):
            triangle_m2(*three)


class TestFourSidesAndADiagonal:
    @given(st.lists(st.floats(0, 2 * pi), min_size=4, max_size=4), st.floats(5, 300), st.floats(5, 300))
    def test_give_the_area_that_the_corners_have(self, angles, wide, high):
        corners = on_an_ellipse(angles, wide, high)
        area = shoelace(*corners)
        assume(all(length > 1 for length in lengths(corners)))
        assume(min(shoelace(*corners[:3]), shoelace(*corners[2:], corners[0])) > 1e-2 * max(wide, high))

        assert four_sides_m2(*lengths(corners)) == pytest.approx(area, rel=1e-4)

    @given(st.floats(0.05, 0.9), st.floats(-0.8, 0.8), st.floats(20, 200))
    def test_with_a_corner_that_bends_in_give_the_area_that_the_corners_have(self, depth, aside, size):
        start, far = (-size, 0.0), (size, 0.0)
        outer, inner = (0.0, 2 * size), (aside * size * (1 - depth), 2 * size * depth * (1 - abs(aside)))
        assume(inner[1] > 0.02 * size)
        corners = (start, outer, far, inner)

        found = four_sides_m2(*lengths(corners), bends_in=True)

        assert found == pytest.approx(shoelace(*corners), rel=1e-6)

    def test_are_the_same_walked_from_the_far_end_of_the_diagonal(self):
        assert four_sides_m2(50, 60, 70, 40, 80) == pytest.approx(four_sides_m2(70, 40, 50, 60, 80))

    @given(sides, sides)
    def test_of_a_rectangle_give_the_rectangle(self, long, short):
        assume(min(long, short) > 0.01 * max(long, short))

        assert four_sides_m2(long, short, long, short, sqrt(long**2 + short**2)) == pytest.approx(
            rectangle_m2(long, short), rel=1e-6
        )

    @pytest.mark.parametrize("diagonal", [10, 100, 120])
    def test_with_a_diagonal_that_cannot_be_are_refused(self, diagonal):
        with pytest.raises(CannotBe, match="do not meet in a triangle"):
            four_sides_m2(60, 40, 60, 40, diagonal)

    def test_whose_corner_cannot_bend_in_are_refused(self):
        with pytest.raises(CannotBe, match="no corner off the diagonal lies inside the field") as raised:
            four_sides_m2(50, 50, 30.1, 60, 60, bends_in=True)

        assert raised.value.name == "corner_does_not_bend_in"

    @given(st.lists(st.floats(0, 2 * pi), min_size=4, max_size=4, unique=True), st.floats(5, 300))
    def test_left_out_the_usual_shortcut_is_never_too_small(self, angles, size):
        corners = on_an_ellipse(angles, size, size)
        first, second, third, fourth, _ = lengths(corners)

        shortcut = (first + third) / 2 * (second + fourth) / 2

        assert shortcut >= shoelace(*corners) * (1 - 1e-9)

    def test_left_out_the_same_sides_make_a_field_of_any_smaller_size(self):
        square, pushed = four_sides_m2(50, 50, 50, 50, 70.710678), four_sides_m2(50, 50, 50, 50, 95)

        assert square == pytest.approx(2500)
        assert pushed < 1500


class TestAPacedArea:
    @given(st.floats(1, 1e6), st.floats(0.3, 1.5), st.floats(0, 0.5))
    def test_has_a_range_in_which_the_step_error_counts_twice(self, squares, step_m, error):
        area = paced(squares, step_m, error)

        assert area.low_m2 == pytest.approx(squares * (step_m * (1 - error)) ** 2)
        assert area.high_m2 == pytest.approx(squares * (step_m * (1 + error)) ** 2)
        assert area.low_m2 <= area.area_m2 <= area.high_m2

    @pytest.mark.parametrize("error", [0.05, 0.2])
    def test_of_any_shape_is_off_by_the_same_part(self, error):
        true = four_sides_m2(50, 60, 70, 40, 80)
        longer = four_sides_m2(*(side * (1 + error) for side in (50, 60, 70, 40, 80)))

        assert paced(true, 1, error).high_m2 == pytest.approx(longer)

    @pytest.mark.parametrize(("squares", "step_m", "error"), [(0, 1, 0.05), (9, 0, 0.05), (9, 1, 1), (9, 1, -0.1)])
    def test_that_cannot_be_is_refused(self, squares, step_m, error):
        with pytest.raises(OutOfRange):
            paced(squares, step_m, error)


piece = st.tuples(st.floats(1, 1e5), st.floats(0, 0.3)).map(lambda drawn: paced(drawn[0], 1, drawn[1]))


class TestASumOfPieces:
    @given(st.lists(piece, min_size=1, max_size=6))
    def test_is_as_large_as_its_pieces(self, pieces):
        whole = sum_of_pieces(pieces)

        assert whole.area_m2 == pytest.approx(sum(each.area_m2 for each in pieces))
        assert whole.low_m2 <= whole.area_m2 * (1 + 1e-12)
        assert whole.area_m2 <= whole.high_m2 * (1 + 1e-12)

    @given(st.lists(piece, min_size=1, max_size=4), piece, st.data())
    def test_holds_the_true_area_whoever_paced_which_piece(self, pieces, hole, data):
        assume(hole.area_m2 < sum(each.area_m2 for each in pieces))
        whole = sum_of_pieces(pieces, [hole])

        true = [data.draw(st.floats(each.low_m2, each.high_m2)) for each in (*pieces, hole)]
        assert whole.low_m2 - 1e-6 <= max(0, sum(true[:-1]) - true[-1])
        assert sum(true[:-1]) - true[-1] <= whole.high_m2 + 1e-6

    def test_never_has_a_low_end_below_nothing(self):
        assert sum_of_pieces([PacedArea(100, 60, 150)], [PacedArea(90, 80, 100)]).low_m2 == 0

    def test_of_no_pieces_is_refused(self):
        with pytest.raises(CannotBe, match="give at least one piece"):
            sum_of_pieces([])

    @pytest.mark.parametrize("hole_m2", [100, 101])
    def test_of_which_all_is_taken_away_is_refused(self, hole_m2):
        with pytest.raises(CannotBe, match="as much is taken away from the field as it has"):
            sum_of_pieces([PacedArea(100, 90, 110)], [PacedArea(hole_m2, hole_m2, hole_m2)])


def test_the_corners_of_the_checks_above_go_round_in_one_direction():
    corners = on_an_ellipse([0.3, 4.0, 1.0, 2.0], 10, 20)

    assert [atan2(y / 20, x / 10) % (2 * pi) for x, y in corners] == pytest.approx([0.3, 1.0, 2.0, 4.0])


def test_the_corner_may_bend_in_on_either_side_of_the_diagonal():
    assert (
        four_sides_m2(50, 50, 34, 34, 60, bends_in=True) == four_sides_m2(34, 34, 50, 50, 60, bends_in=True) == 720
    )


def test_a_corner_may_bend_in_close_to_the_start():
    found = four_sides_m2(3, 13, 12, 5, 15, bends_in=True)

    assert found == pytest.approx(triangle_m2(12, 5, 15) - triangle_m2(3, 13, 15))


@pytest.mark.parametrize("four", [(65, 61, 15, 13), (61, 65, 13, 15), (15, 13, 65, 61), (13, 15, 61, 65)])
def test_a_corner_that_lies_on_another_side_does_not_bend_in(four):
    # From either end of the diagonal of 14 the corner lies straight on the way to the one of the long sides.
    with pytest.raises(CannotBe, match="no corner off the diagonal lies inside the field"):
        four_sides_m2(*four, 14, bends_in=True)


def test_what_is_taken_away_is_large_for_the_low_end_and_small_for_the_high_end():
    found = sum_of_pieces([PacedArea(5000, 4500, 5500), PacedArea(600, 500, 700)], [PacedArea(100, 90, 110)])

    assert found == PacedArea(5500, 4890, 6110)
