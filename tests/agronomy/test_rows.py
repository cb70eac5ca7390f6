"""Rows: whole ones across a field, furrow metres, holes, string, pegs and days of work."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.agronomy.errors import CannotBe, OutOfRange
from advisor.agronomy.rows import (
    days_for,
    furrow_length_m,
    holes_in_rows,
    person_days,
    rows_across,
    string_and_pegs,
)

lengths_m = st.floats(1, 500)
rows_m = st.floats(0.1, 2)


class TestFurrowMetres:
    @given(st.floats(1, 1e6), rows_m)
    def test_times_the_row_spacing_are_the_area(self, area, row_m):
        assert furrow_length_m(area, row_m) * row_m == pytest.approx(area)

    @given(st.floats(1, 1e6), rows_m)
    def test_double_where_rows_are_half_as_far_apart(self, area, row_m):
        assert furrow_length_m(area, row_m / 2) == pytest.approx(2 * furrow_length_m(area, row_m))

    @pytest.mark.parametrize(("area", "row_m"), [(0, 0.6), (100, 0), (-1, 0.6), (100, float("nan"))])
    def test_of_nothing_are_refused(self, area, row_m):
        with pytest.raises(OutOfRange):
            furrow_length_m(area, row_m)


class TestRowsAcrossAWidth:
    @given(lengths_m, rows_m, st.floats(0, 0.5))
    def test_fill_the_width_with_their_margins_and_what_is_left_over(self, width, row_m, margin_m):
        found = rows_across(width, row_m, margin_m)

        taken = (found.rows - 1) * row_m + 2 * margin_m
        assert taken + found.left_over_m == pytest.approx(width, abs=1e-6)
        assert 0 <= found.left_over_m <= row_m

    @given(st.integers(1, 800), st.sampled_from([0.3, 0.45, 0.5, 0.6, 0.75, 0.9]))
    def test_are_exactly_as_many_as_fit_with_half_a_row_at_each_edge(self, rows, row_m):
        assert rows_across(rows * row_m, row_m, row_m / 2).rows == rows

    def test_are_one_less_for_a_centimetre_that_is_missing(self):
        assert rows_across(29.99, 0.6, 0.3).rows == 49

    def test_are_one_where_only_the_margins_fit(self):
        assert rows_across(0.6, 0.6, 0.3).rows == 1

    def test_that_the_margins_leave_no_room_for_are_refused(self):
        with pytest.raises(CannotBe, match=r"leave no room in 0\.5 m: give a smaller margin"):
            rows_across(0.5, 0.6, 0.3)

    @pytest.mark.parametrize(("width", "row_m", "margin_m"), [(0, 0.6, 0), (9, 0, 0), (9, 0.6, -0.1)])
    def test_that_cannot_be_are_refused(self, width, row_m, margin_m):
        with pytest.raises(OutOfRange):
            rows_across(width, row_m, margin_m)


class TestHolesAndTools:
    @given(st.integers(1, 300), st.integers(1, 900), st.sampled_from([0.05, 0.1, 0.25, 0.3]))
    def test_holes_are_rows_times_holes_in_a_row(self, rows, holes, hole_m):
        assert holes_in_rows(rows, holes * hole_m, hole_m, hole_m / 2) == rows * holes

    def test_holes_on_a_real_field_are_as_many_as_its_area_holds(self):
        rows = rows_across(30, 0.6, 0.3).rows

        assert holes_in_rows(rows, 40, 0.1, 0.05) == pytest.approx(30 * 40 / (0.6 * 0.1))

    def test_no_rows_have_no_holes(self):
        with pytest.raises(OutOfRange, match="rows is 0"):
            holes_in_rows(0, 40, 0.1, 0)

    @given(st.integers(1, 300), lengths_m, st.floats(0, 3))
    def test_the_string_reaches_both_pegs_of_every_row(self, rows, length_m, tied_m):
        tools = string_and_pegs(rows, length_m, tied_m)

        assert tools.string_m == pytest.approx(length_m + tied_m)
        assert tools.pegs == 2 * rows

    @pytest.mark.parametrize(("rows", "length_m", "tied_m"), [(0, 40, 1), (5, 0, 1), (5, 40, -1)])
    def test_tools_that_cannot_be_are_refused(self, rows, length_m, tied_m):
        with pytest.raises(OutOfRange):
            string_and_pegs(rows, length_m, tied_m)


class TestWork:
    @given(st.floats(1, 1e6), st.floats(1e-3, 2), st.floats(900, 86_400), st.integers(1, 40))
    def test_whole_days_are_enough_and_one_less_is_not(self, area, rate, day_s, people):
        work = person_days(area, rate, day_s)
        assert work * rate * day_s == pytest.approx(area)
        days = days_for(work, people)

        assert days * people >= work * (1 - 1e-6)
        assert days == 1 or (days - 1) * people < work

    @given(st.floats(0.1, 1e4), st.integers(1, 39))
    def test_more_people_never_take_longer(self, work, people):
        assert days_for(work, people + 1) <= days_for(work, people)

    @pytest.mark.parametrize(("work", "people"), [(0, 2), (5, 0), (float("inf"), 2)])
    def test_that_cannot_be_is_refused(self, work, people):
        with pytest.raises(OutOfRange):
            days_for(work, people)

    @pytest.mark.parametrize(
        ("area", "rate", "day_s"),
        [(0, 1, 900), (100, 0, 900), (100, 1, 0), (100, 1, 86_401), (100, float("inf"), 9)],
    )
    def test_at_no_rate_or_in_no_time_is_refused(self, area, rate, day_s):
        with pytest.raises(OutOfRange):
            person_days(area, rate, day_s)

    def test_may_last_a_day_and_a_night(self):
        assert person_days(86_400, 1, 86_400) == 1
