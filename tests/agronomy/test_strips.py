"""Strips of two crops: shares, whole repeats on a field, furrow metres, shade, and rows between young crops."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from advisor.agronomy.errors import CannotBe, OutOfRange
from advisor.agronomy.holes import HolePlan, seed_mass_by_plan_kg
from advisor.agronomy.rows import furrow_length_m
from advisor.agronomy.seed import stand_per_m2
from advisor.agronomy.strips import (
    Edges,
    Strip,
    Strips,
    rows_between,
    seed_for_furrows_kg,
    shaded_yield_part,
    strips_on_field,
)

a_strip = st.builds(Strip, st.integers(1, 12), st.sampled_from([0.3, 0.45, 0.5, 0.6, 0.75, 0.9]))
two_strips = st.builds(Strips, a_strip, a_strip)
edges = st.sampled_from(Edges)
widths_m = st.floats(1, 400)


def row_places(strips, crops):
    """Where each row stands, laid out row by row: half a spacing of ground on both sides of each."""
    place, places = 0.0, []
    for crop in crops:
        strip = (strips.first, strips.second)[crop]
        for _ in range(strip.rows):
            places.append((place + strip.row_m / 2, crop))
            place += strip.row_m
    return places, place


class TestARepeat:
    @given(two_strips)
    def test_is_shared_out_to_the_whole(self, strips):
        assert strips.first_share + strips.second_share == pytest.approx(1, rel=1e-12)
        assert 0 < strips.first_share < 1

    @given(two_strips)
    def test_is_as_wide_as_its_rows_and_the_gaps_between_them(self, strips):
        gaps = (strips.first.rows - 1) * strips.first.row_m + (strips.second.rows - 1) * strips.second.row_m

        assert strips.repeat_m == pytest.approx(gaps + 2 * strips.gap_m)

    @given(two_strips)
    def test_has_the_mean_of_the_two_spacings_between_unlike_rows(self, strips):
        places, _ = row_places(strips, [0, 1])
        gaps = {round(b[0] - a[0], 9) for a, b in pairwise(places) if a[1] != b[1]}

        assert gaps == {round(strips.gap_m, 9)}

    def test_of_a_thousand_rows_is_the_widest(self):
        assert Strip(1000, 0.5).width_m == 500
        with pytest.raises(OutOfRange, match="rows is 1001"):
            Strip(1001, 0.5)

    @pytest.mark.parametrize(("rows", "row_m"), [(0, 0.6), (2, 0), (-1, 0.6), (2, float("nan"))])
    def test_of_a_strip_that_cannot_be_is_refused(self, rows, row_m):
        with pytest.raises(OutOfRange):
            Strip(rows, row_m)


class TestOnAField:
    @given(two_strips, widths_m, st.floats(1, 300), edges)
    def test_rows_and_left_over_fill_the_width(self, strips, width, length, edge):
        extra = {"first": [0], "second": [1], "one_each": []}[edge]
        assume(width >= strips.repeat_m + sum((strips.first, strips.second)[n].width_m for n in extra))
        field = strips_on_field(strips, width, length, edge)

        start = extra or [0]
        crops = [crop for _ in range(field.repeats) for crop in (start[0], 1 - start[0])] + extra
        places, taken = row_places(strips, crops)
        assert (field.first_rows, field.second_rows) == tuple(
            sum(1 for _, crop in places if crop == which) for which in (0, 1)
        )
        assert taken + field.left_over_m == pytest.approx(width, abs=1e-6)
        assert 0 <= field.left_over_m < strips.repeat_m + 1e-6
        assert field.unlike_neighbours == sum(a[1] != b[1] for a, b in pairwise(places))

    @given(two_strips, widths_m, st.floats(1, 300), edges)
    def test_both_crops_and_what_is_left_over_are_the_field(self, strips, width, length, edge):
        assume(width >= 3 * strips.repeat_m)
        field = strips_on_field(strips, width, length, edge)

        filled = field.first_m2 + field.second_m2 + field.left_over_m * length
        assert filled == pytest.approx(width * length, rel=1e-6)

    @given(two_strips, st.integers(1, 60), st.floats(1, 300))
    def test_exactly_as_many_repeats_as_fit_leave_nothing_over(self, strips, repeats, length):
        field = strips_on_field(strips, repeats * strips.repeat_m, length, Edges.ONE_EACH)

        assert (field.repeats, field.left_over_m) == (repeats, pytest.approx(0, abs=1e-6))

    def test_half_a_repeat_is_never_sown(self):
        strips = Strips(Strip(4, 0.6), Strip(2, 0.75))

        assert strips_on_field(strips, 7.7, 40, Edges.ONE_EACH).repeats == 1
        assert strips_on_field(strips, 7.8, 40, Edges.ONE_EACH).repeats == 2

    def test_four_rows_to_two_with_the_legume_at_both_edges_have_one_strip_more_of_it(self):
        field = strips_on_field(Strips(Strip(4, 0.6), Strip(2, 0.75)), 30, 40, Edges.FIRST)

        assert (field.repeats, field.first_rows, field.second_rows) == (7, 32, 14)
        assert (field.first_furrow_m, field.second_furrow_m) == (1280, 560)
        assert field.left_over_m == pytest.approx(0.3)

    @pytest.mark.parametrize(
        ("edge", "width"), [(Edges.ONE_EACH, 3.89), (Edges.FIRST, 6.29), (Edges.SECOND, 5.39)]
    )
    def test_too_narrow_for_one_repeat_is_refused(self, edge, width):
        strips = Strips(Strip(4, 0.6), Strip(2, 0.75))

        with pytest.raises(CannotBe, match="do not fit into") as raised:
            strips_on_field(strips, width, 40, edge)
        assert raised.value.name == "no_whole_repeat"
        assert strips_on_field(strips, width + 0.01, 40, edge).repeats == 1

    @pytest.mark.parametrize(("width", "length"), [(0, 40), (40, 0), (-3, 40), (40, float("nan"))])
    def test_of_no_size_is_refused(self, width, length):
        with pytest.raises(OutOfRange):
            strips_on_field(Strips(Strip(4, 0.6), Strip(2, 0.75)), width, length, Edges.FIRST)


class TestSeedForFurrows:
    @given(st.floats(1, 1e5), st.sampled_from([0.05, 0.1, 0.25]), st.floats(1, 4), st.floats(20, 500))
    def test_is_the_mass_of_the_hole_plan_where_one_crop_fills_the_field(self, area, hole_m, seeds, tsw_g):
        whole = HolePlan(0.6, hole_m, 1, 0, 1)
        for_one = seed_mass_by_plan_kg(whole, area, tsw_g, purity=1, spill=0)

        found = seed_for_furrows_kg(furrow_length_m(area, 0.6), hole_m, seeds, tsw_g)

        assert found == pytest.approx(for_one * seeds)

    def test_follows_the_furrow_and_not_the_share_of_the_area(self):
        strips = Strips(Strip(4, 0.6), Strip(2, 0.75))
        field = strips_on_field(strips, 30, 40, Edges.ONE_EACH)

        by_share = strips.first_share * 30 * 40 / 0.6
        assert field.first_furrow_m == 1120
        assert by_share == pytest.approx(1230.8, abs=0.1)

    @pytest.mark.parametrize("four", [(0, 0.1, 2, 130), (10, 0, 2, 130), (10, 0.1, 0, 130), (10, 0.1, 2, 0)])
    def test_of_nothing_is_refused(self, four):
        with pytest.raises(OutOfRange):
            seed_for_furrows_kg(*four)


class TestShade:
    @given(st.integers(1, 100), st.data(), st.floats(0.05, 1))
    def test_takes_a_part_between_none_and_all(self, rows, data, factor):
        shaded = data.draw(st.integers(0, 2 * rows))

        assert 0 <= shaded_yield_part(rows, shaded, factor) <= 1

    @given(st.integers(2, 100), st.floats(0.05, 0.95))
    def test_takes_less_where_strips_are_wider(self, rows, factor):
        assert shaded_yield_part(rows + 1, 2, factor) > shaded_yield_part(rows, 2, factor)

    def test_takes_one_part_for_each_shaded_side(self):
        assert shaded_yield_part(4, 2, 0.8) == pytest.approx(0.9)
        assert shaded_yield_part(1, 2, 0.8) == pytest.approx(0.6)
        assert shaded_yield_part(1, 2, 0.4) == 0
        assert shaded_yield_part(4, 0, 0.8) == 1

    @pytest.mark.parametrize(
        ("rows", "sides", "factor"), [(0, 0, 0.8), (2, 5, 0.8), (2, -1, 0.8), (2, 2, 0), (2, 2, 1.1)]
    )
    def test_that_cannot_be_is_refused(self, rows, sides, factor):
        with pytest.raises(OutOfRange):
            shaded_yield_part(rows, sides, factor)


class TestRowsBetweenAYoungCrop:
    @given(st.floats(0.5, 20), st.floats(0, 2), st.sampled_from([0.3, 0.45, 0.6]))
    def test_keep_clear_of_it_and_one_row_more_would_not(self, gap, clearance, row_m):
        found = rows_between(gap, clearance, row_m, 0.1, 1)

        room = gap - 2 * clearance
        assert found.rows_per_gap == 0 or (found.rows_per_gap - 1) * row_m <= room + 1e-6
        assert found.rows_per_gap * row_m > room - 1e-6

    @given(st.floats(1, 20), st.floats(0.3, 2), st.sampled_from([0.3, 0.45, 0.6]))
    def test_have_a_stand_below_that_of_the_sole_crop(self, gap, clearance, row_m):
        assume(2 * clearance >= row_m + 1e-6)
        found = rows_between(gap, clearance, row_m, 0.1, 2)

        assert found.sole_crop_stand_per_m2 == pytest.approx(stand_per_m2(2, row_m, 0.1))
        assert found.stand_per_m2 < found.sole_crop_stand_per_m2

    def test_of_a_gap_of_one_row_are_one(self):
        assert rows_between(1.0, 0.5, 0.45, 0.1, 1).rows_per_gap == 1

    def test_of_a_gap_that_is_needed_itself_are_none(self):
        found = rows_between(0.9, 0.5, 0.45, 0.1, 1)

        assert (found.rows_per_gap, found.stand_per_m2, found.furrow_m_per_m2) == (0, 0, 0)

    @pytest.mark.parametrize("five", [(0, 0.4, 0.45, 0.1, 1), (2, -0.1, 0.45, 0.1, 1), (2, 0.4, 0, 0.1, 1)])
    def test_that_cannot_be_are_refused(self, five):
        with pytest.raises(OutOfRange):
            rows_between(*five)
