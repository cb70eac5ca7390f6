"""Powder without a scale: never less than the dose, and a spoon of peat is not a spoon of powder."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.agronomy.errors import OutOfRange
from advisor.agronomy.labels import Label
from advisor.agronomy.powder_measures import (
    LevelMeasures,
    Measure,
    PackPart,
    level_measures,
    measure_g,
    measured_dose,
    part_of_pack,
)

SPOON = Measure("teaspoon", Label("teaspoon"), 5)
CAP = Measure("crown-cap", Label("crown cap"), 6)
SCREW = Measure("screw-cap", Label("screw cap"), 8)
PARTS = [(k, n) for n in (2, 3, 4, 6, 8) for k in range(1, n)]

grams = st.floats(0.5, 2000)
sizes_g = st.integers(20, 1000)
densities = st.floats(0.2, 1.5)


class TestAPartOfAPack:
    @given(grams, sizes_g)
    def test_holds_the_mass_and_no_smaller_part_does(self, need_g, pack_g):
        part = part_of_pack(need_g, pack_g)
        smaller = [(part.whole - 1 + k / n) * pack_g for k, n in PARTS] + [
            (part.whole + k / n) * pack_g for k, n in [(0, 1), *PARTS]
        ]

        assert part.grams >= need_g * (1 - 1e-6)
        assert not [held for held in smaller if need_g <= held < part.grams * (1 - 1e-9)]
        assert part.grams == pytest.approx((part.whole + part.parts / part.of) * pack_g)
        assert part.over == pytest.approx(part.grams / need_g - 1, abs=1e-6)

    @pytest.mark.parametrize(
        ("need_g", "expected"),
        [
            (250, (1, 0)),
            (125, (0, (1, 2))),
            (125.1, (0, (5, 8))),
            (62.5, (0, (1, 4))),
            (83, (0, (1, 3))),
            (84, (0, (3, 8))),
            (219, (1, 0)),
            (218, (0, (7, 8))),
            (300, (1, (1, 4))),
            (1, (0, (1, 8))),
        ],
    )
    def test_is_a_half_a_third_a_quarter_a_sixth_or_an_eighth(self, need_g, expected):
        part = part_of_pack(need_g, 250)
        whole, rest = expected

        assert part.whole == whole
        assert (part.parts, part.of) == (rest or (0, part.of))

    def test_of_next_to_nothing_is_the_smallest_part_and_not_none(self):
        part = part_of_pack(1.1e-9, 250)

        assert (part.whole, part.parts, part.of, part.grams) == (0, 1, 8, 31.25)

    def test_that_is_used_up_but_for_binary_noise_is_whole(self):
        assert part_of_pack(250 * (1 + 1e-12), 250).grams == 250
        assert part_of_pack(500 * (1 - 1e-12), 250) == PackPart(2, 0, 1, 500, pytest.approx(0, abs=1e-9))
        assert part_of_pack(125 * (1 + 1e-12), 250).grams == 125


class TestLevelMeasures:
    @given(grams, densities)
    def test_hold_the_mass_and_half_a_measure_less_does_not(self, need_g, bulk):
        level = level_measures(need_g, SPOON, bulk)

        assert level.grams >= need_g * (1 - 1e-6)
        assert level.halves == 1 or (level.halves - 1) * 2.5 * bulk < need_g
        assert level.count == level.halves / 2

    @given(grams, densities, st.floats(1.01, 3))
    def test_of_a_lighter_powder_are_never_fewer(self, need_g, bulk, times):
        assert level_measures(need_g, SPOON, bulk).halves >= level_measures(need_g, SPOON, bulk * times).halves

    def test_of_peat_are_two_and_a_half_times_those_of_a_powder_of_1_g_a_ml(self):
        assert level_measures(75, SPOON, 1.0).count == 15
        assert level_measures(75, SPOON, 0.4).count == 37.5

    def test_that_are_full_but_for_binary_noise_are_not_one_more(self):
        assert level_measures(2 * (1 + 1e-12), SPOON, 0.4) == LevelMeasures(SPOON, 2, 2)
        assert level_measures(0.001, SPOON, 0.4) == LevelMeasures(SPOON, 1, 1)

    def test_a_spoon_a_crown_cap_and_a_screw_cap_are_different_measures(self):
        assert [level_measures(40, measure, 0.4).count for measure in (SPOON, CAP, SCREW)] == [20, 17, 12.5]

    @given(st.floats(0.5, 50), densities, st.floats(1, 5))
    def test_what_a_measure_holds_scales(self, volume_ml, bulk, times):
        assert measure_g(volume_ml * times, bulk) == pytest.approx(measure_g(volume_ml, bulk) * times)


class TestADose:
    def test_offers_the_part_of_a_pack_where_it_is_near_and_no_spoon_without_its_caution(self):
        dose = measured_dose(75, 250, [SPOON], 0.4, over_dose=0.25)

        assert (dose.part.parts, dose.part.of) == (1, 3)
        assert dose.cautions == ("part_of_pack_is_safest", "weigh_one_cap", "follow_the_pack")

    def test_offers_no_part_of_a_pack_that_is_far_too_much(self):
        assert measured_dose(25, 250, [SPOON], 0.4, over_dose=0.25).part.of == 8
        assert measured_dose(24.9, 250, [SPOON], 0.4, over_dose=0.25).part is None

    def test_gives_the_largest_measures_first(self):
        dose = measured_dose(8, 250, [SPOON, SCREW, CAP], 0.4, over_dose=0.25)

        assert [level.measure.key for level in dose.level] == ["screw-cap", "crown-cap", "teaspoon"]

    def test_tells_the_mass_and_of_two_measures_of_one_size_the_first_by_name_first(self):
        twin = Measure("bottle-top", Label("bottle top"), 6)
        dose = measured_dose(8, 250, [CAP, twin], 0.4, over_dose=3)

        assert (dose.grams, [level.measure.key for level in dose.level]) == (8, ["bottle-top", "crown-cap"])

    def test_without_a_measure_at_hand_speaks_of_none(self):
        assert measured_dose(75, 250, [], 0.4, over_dose=0.25).cautions == ("follow_the_pack",)


@pytest.mark.parametrize(
    ("function", "arguments"),
    [
        (part_of_pack, (0, 250)),
        (part_of_pack, (float("nan"), 250)),
        (part_of_pack, (10, 0)),
        (level_measures, (0, SPOON, 0.4)),
        (level_measures, (10, SPOON, 0)),
        (level_measures, (10, Measure("x", Label("x"), 0), 1)),
        (measure_g, (float("inf"), 1)),
        (measured_dose, (10, 250, [SPOON], 0.4, -0.1)),
    ],
)
def test_what_cannot_be_is_refused(function, arguments):
    with pytest.raises(OutOfRange):
        function(*arguments)
