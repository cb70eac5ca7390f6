"""Fertiliser in the ground: a cap is held against the plan, and seed never lies on fertiliser."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.agronomy.cautions import CAUTIONS
from advisor.agronomy.errors import CannotBe, OutOfRange
from advisor.agronomy.fertiliser_figures import Furrow
from advisor.agronomy.placement import (
    CapVerdict,
    check_caps,
    fertiliser_placement,
    grams_per_hole,
    grams_per_metre,
    holes_per_cap,
    metres_per_cap,
)
from advisor.agronomy.units import ACRE_M2

FURROW = Furrow(0.05, 0.07, 0.02, 0.05, 0.1)

masses = st.floats(1, 2000)
plots = st.floats(100, 1e6)
rows = st.floats(0.2, 1.5)
holes = st.floats(0.05, 1)
caps = st.floats(1, 20)


class TestGrams:
    @given(masses, plots, rows, holes)
    def test_of_all_metres_and_of_all_holes_are_the_mass(self, kg, area_m2, row_m, hole_m):
        metres = area_m2 / row_m

        assert grams_per_metre(kg, area_m2, row_m) * metres == pytest.approx(kg * 1000)
        assert grams_per_hole(kg, area_m2, row_m, hole_m) * metres / hole_m == pytest.approx(kg * 1000)

    @given(masses, rows)
    def test_for_a_hectare_are_a_tenth_of_kilograms_times_row(self, kg, row_m):
        assert grams_per_metre(kg, 10_000, row_m) == pytest.approx(kg * row_m / 10)

    @given(masses, plots, rows, caps)
    def test_a_cap_goes_as_far_as_its_grams(self, kg, area_m2, row_m, cap_g):
        per_metre = grams_per_metre(kg, area_m2, row_m)

        assert metres_per_cap(cap_g, per_metre) * per_metre == pytest.approx(cap_g)
        assert holes_per_cap(cap_g, per_metre) * per_metre == pytest.approx(cap_g)


class TestAHabitOfCaps:
    @given(caps, holes, rows, plots, masses, st.floats(0, 1))
    def test_spreads_what_its_caps_hold_and_the_offered_distance_spreads_the_plan(
        self, cap_g, every_m, row_m, area_m2, planned_kg, tolerance
    ):
        check = check_caps(cap_g, every_m, row_m, area_m2, planned_kg, tolerance)

        assert check.kg == pytest.approx(check.caps * cap_g / 1000)
        assert check.caps == pytest.approx(area_m2 / row_m / every_m)
        mended = check_caps(cap_g, check.every_m, row_m, area_m2, planned_kg, tolerance)
        assert mended.kg == pytest.approx(planned_kg)
        assert mended.verdict is CapVerdict.AS_PLANNED

    def test_of_one_every_30_cm_is_flagged_and_52_cm_offered(self):
        check = check_caps(4.6, 0.3, 0.6, ACRE_M2, planned_kg=60, tolerance=0.1)

        assert check.verdict is CapVerdict.TOO_MUCH
        assert check.kg == pytest.approx(103.4, abs=0.05)
        assert check.every_m == pytest.approx(0.517, abs=1e-3)
        assert check.cautions[0] == "weigh_one_cap"

    @pytest.mark.parametrize(
        ("kg", "verdict"),
        [
            (110, CapVerdict.AS_PLANNED),
            (110.01, CapVerdict.TOO_MUCH),
            (90, CapVerdict.AS_PLANNED),
            (89.99, CapVerdict.TOO_LITTLE),
            (100, CapVerdict.AS_PLANNED),
        ],
    )
    def test_is_as_planned_up_to_both_edges(self, kg, verdict):
        # 10,000 caps of a tenth of a gram for each kilogram
        assert check_caps(kg / 10, 1, 1, 10_000, 100, 0.1).verdict is verdict

    @pytest.mark.parametrize(
        "arguments",
        [
            (0, 0.3, 0.6, 4000, 60, 0.1),
            (4.6, 0, 0.6, 4000, 60, 0.1),
            (4.6, 0.3, -1, 4000, 60, 0.1),
            (4.6, 0.3, 0.6, 0, 60, 0.1),
            (4.6, 0.3, 0.6, 4000, 0, 0.1),
            (4.6, 0.3, 0.6, 4000, 60, 1.1),
            (4.6, 0.3, 0.6, 4000, 60, -0.1),
        ],
    )
    def test_that_cannot_be_is_refused(self, arguments):
        with pytest.raises(OutOfRange):
            check_caps(*arguments)


class TestPlacement:
    def test_gives_grams_depth_and_cover_with_all_cautions(self):
        laid = fertiliser_placement(60, ACRE_M2, 0.6, 0.1, FURROW, 0.03)

        assert laid.g_per_m == pytest.approx(grams_per_metre(60, ACRE_M2, 0.6))
        assert laid.g_per_hole == pytest.approx(grams_per_hole(60, ACRE_M2, 0.6, 0.1))
        assert (laid.depth_from_m, laid.depth_to_m, laid.cover_m, laid.beside_m) == (0.05, 0.07, 0.02, 0.05)
        assert {"no_bare_hands_with_fertiliser", "wash", "fertiliser_apart_from_seed"} <= set(laid.cautions)
        assert set(laid.cautions) <= set(CAUTIONS)

    @given(st.floats(0.005, 0.3))
    def test_never_lets_seed_lie_on_fertiliser(self, seed_depth_m):
        if seed_depth_m <= 0.03:
            assert fertiliser_placement(60, ACRE_M2, 0.6, 0.1, FURROW, seed_depth_m).cover_m == 0.02
        elif seed_depth_m > 0.03 + 1e-6:
            with pytest.raises(CannotBe, match="sow shallower, make the furrow deeper, or lay it 5 cm beside"):
                fertiliser_placement(60, ACRE_M2, 0.6, 0.1, FURROW, seed_depth_m)

    @pytest.mark.parametrize("depth", [0, 0.004, 0.31, float("nan")])
    def test_of_seed_at_a_depth_that_cannot_be_is_refused(self, depth):
        with pytest.raises(OutOfRange, match="depth of seed"):
            fertiliser_placement(60, ACRE_M2, 0.6, 0.1, FURROW, depth)
