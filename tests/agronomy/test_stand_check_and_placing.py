"""The stand after emergence and what to do about it; depth, distance and seeds along a row."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.agronomy.errors import CannotBe, OutOfRange
from advisor.agronomy.labels import Label
from advisor.agronomy.placing import BodyMeasure, in_body_measure, seeds_in_ten_steps, seeds_per_metre
from advisor.agronomy.seed import seed_mass_by_population_kg, stand_per_m2
from advisor.agronomy.stand_check import (
    RowCount,
    StandAdvice,
    StandRules,
    counted_stand_per_m2,
    seed_to_fill_kg,
    stand_check,
)

RULES = StandRules(leave_over=0.8, resow_under=0.5, fill_days=14, resow_days=21)
FINGER = BodyMeasure("finger", Label("finger"), 0.02, most=4)
HAND = BodyMeasure("hand", Label("hand"), 0.1, most=6)

counts = st.lists(st.builds(RowCount, st.integers(0, 200), st.floats(0.5, 20)), min_size=1, max_size=8)


class TestACountedStand:
    @given(counts, st.floats(0.1, 2))
    def test_lies_between_the_thinnest_and_the_thickest_piece(self, pieces, row_m):
        each = [piece.plants / piece.row_length_m / row_m for piece in pieces]

        assert min(each) - 1e-9 <= counted_stand_per_m2(pieces, row_m) <= max(each) + 1e-9

    @given(st.integers(1, 9), st.floats(0.1, 2), st.floats(0.05, 1))
    def test_of_a_full_row_is_the_stand_of_its_spacing(self, plants, row_m, hole_m):
        full = [RowCount(plants * 50, 50 * hole_m)]

        assert counted_stand_per_m2(full, row_m) == pytest.approx(stand_per_m2(plants, row_m, hole_m))

    def test_of_no_piece_is_refused(self):
        with pytest.raises(CannotBe, match="count the plants on at least one piece of row"):
            counted_stand_per_m2([], 0.6)

    @pytest.mark.parametrize(("plants", "length_m"), [(-1, 2), (5, 0), (5, float("nan"))])
    def test_of_a_piece_that_cannot_be_is_refused(self, plants, length_m):
        with pytest.raises(OutOfRange):
            RowCount(plants, length_m)


class TestTheAdvice:
    @pytest.mark.parametrize(
        ("stand", "days", "advice"),
        [
            (24.01, 5, StandAdvice.LEAVE), (24, 5, StandAdvice.FILL_GAPS), (15, 5, StandAdvice.FILL_GAPS),
            (14.99, 5, StandAdvice.RESOW), (0, 5, StandAdvice.RESOW), (90, 5, StandAdvice.LEAVE),
            (20, 14, StandAdvice.FILL_GAPS), (20, 15, StandAdvice.TOO_LATE), (29, 90, StandAdvice.LEAVE),
            (10, 21, StandAdvice.RESOW), (10, 22, StandAdvice.TOO_LATE),
        ],
    )  # fmt: skip
    def test_turns_at_the_edges_and_on_the_days_of_the_programme(self, stand, days, advice):
        assert stand_check(stand, 30, days, RULES).advice is advice

    @given(st.floats(0, 100), st.floats(0.1, 100), st.integers(0, 100))
    def test_comes_with_the_part_of_the_target_and_what_is_missing(self, stand, target, days):
        found = stand_check(stand, target, days, RULES)

        assert found.part_of_target == pytest.approx(stand / target)
        assert found.missing_per_m2 == pytest.approx(max(0, target - stand))

    @given(st.floats(0.1, 100), st.floats(0.01, 10))
    def test_does_not_depend_on_the_unit_that_both_stands_are_in(self, target, times):
        for part in (0.3, 0.5, 0.65, 0.8, 0.9):
            here = stand_check(part * target, target, 5, RULES).advice

            assert stand_check(part * target * times, target * times, 5, RULES).advice is here

    @pytest.mark.parametrize(
        ("stand", "target", "days", "rules"),
        [
            (-1, 30, 5, RULES),
            (10, 0, 5, RULES),
            (10, 30, -1, RULES),
            (10, 30, 5, StandRules(0.5, 0.8, 14, 21)),
            (10, 30, 5, StandRules(1.2, 0.8, 14, 21)),
            (float("nan"), 30, 5, RULES),
        ],
    )
    def test_about_what_cannot_be_is_refused(self, stand, target, days, rules):
        with pytest.raises(OutOfRange):
            stand_check(stand, target, days, rules)


class TestSeedToFillGaps:
    @given(st.floats(1, 1e5), st.floats(0.01, 60), st.floats(20, 800), st.floats(0.05, 1), st.floats(0.05, 1))
    def test_is_the_seed_for_a_stand_of_what_is_missing(self, area, missing, tsw_g, g, e):
        whole = seed_mass_by_population_kg(area, missing, tsw_g, g, e)

        assert seed_to_fill_kg(area, missing, tsw_g, g, e) == pytest.approx(whole)

    def test_is_none_where_nothing_is_missing(self):
        assert seed_to_fill_kg(1000, 0, 130, 0.8, 0.8) == 0

    @pytest.mark.parametrize(
        "five", [(0, 5, 130, 0.8, 0.8), (9, -1, 130, 0.8, 0.8), (9, 5, 0, 0.8, 0.8), (9, 5, 1, 0, 1)]
    )
    def test_that_cannot_be_is_refused(self, five):
        with pytest.raises(OutOfRange):
            seed_to_fill_kg(*five)


class TestBodyMeasures:
    @pytest.mark.parametrize(
        ("length_m", "key", "count"),
        [(0.04, "finger", 2), (0.1, "hand", 1), (0.6, "hand", 6), (0.05, "finger", 2), (0.02, "finger", 1)],
    )
    def test_say_a_depth_or_distance_in_what_the_hand_has(self, length_m, key, count):
        found = in_body_measure(length_m, [FINGER, HAND], 0.25)

        assert found is not None
        assert (found.measure.key, found.count) == (key, count)

    @given(st.floats(0.005, 1), st.floats(0, 0.5))
    def test_are_never_further_off_than_allowed_and_none_is_closer(self, length_m, off):
        found = in_body_measure(length_m, [FINGER, HAND], off)

        all_m = [each.length_m * n for each in (FINGER, HAND) for n in range(1, each.most + 1)]
        closest = min(abs(one - length_m) for one in all_m)
        if found is None:
            assert closest > off * length_m - 1e-9
        else:
            assert abs(found.length_m - length_m) == pytest.approx(closest, abs=1e-6)

    def test_that_nobody_took_are_none(self):
        assert in_body_measure(0.1, [], 0.2) is None

    @pytest.mark.parametrize(("length_m", "off"), [(0, 0.1), (0.1, -0.1), (0.1, 0.6)])
    def test_of_what_cannot_be_are_refused(self, length_m, off):
        with pytest.raises(OutOfRange):
            in_body_measure(length_m, [FINGER], off)


class TestDrilling:
    @given(st.floats(1, 100), st.floats(0.1, 2), st.floats(0.05, 1), st.floats(0.05, 1), st.floats(20, 500))
    def test_takes_the_seed_that_the_target_stand_takes(self, stand, row_m, g, e, tsw_g):
        kg = seeds_per_metre(stand, row_m, g, e) * (10_000 / row_m) * tsw_g / 1e6

        assert kg == pytest.approx(seed_mass_by_population_kg(10_000, stand, tsw_g, g, e))

    @given(st.floats(1, 100), st.floats(0.3, 1.5))
    def test_drops_in_ten_steps_ten_times_as_much_as_in_one(self, per_metre, step_m):
        assert seeds_in_ten_steps(per_metre, step_m) == pytest.approx(per_metre * step_m * 10)

    @pytest.mark.parametrize(
        "four", [(0, 0.6, 0.9, 0.9), (33, 0, 0.9, 0.9), (33, 0.6, 0, 0.9), (33, 0.6, 0.9, 1.1)]
    )
    def test_of_what_cannot_be_is_refused(self, four):
        with pytest.raises(OutOfRange):
            seeds_per_metre(*four)

    @pytest.mark.parametrize("two", [(0, 0.75), (26, 0)])
    def test_over_no_steps_is_refused(self, two):
        with pytest.raises(OutOfRange):
            seeds_in_ten_steps(*two)
