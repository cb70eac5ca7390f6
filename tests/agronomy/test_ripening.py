"""Yield before harvest, what a harvest leaves on the ground, and bags."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.agronomy.errors import OutOfRange
from advisor.agronomy.harvest_figures import YieldFigures
from advisor.agronomy.ripening import (
    Bags,
    Belief,
    bags_of_grain,
    harvest_loss_kg_per_ha,
    lost_part,
    standing_kg_per_ha,
    yield_before_harvest,
)

FIGURES = YieldFigures(2.5, 4, 400, 100, 0.10, 0.12, 4000)
stands, pods, in_pod, masses = st.floats(0, 100), st.floats(0, 400), st.floats(0, 4), st.floats(1, 500)
ABSURD = [-0.001, float("nan"), float("inf")]


class TestTheYield:
    @given(stands, pods, in_pod, masses, st.floats(0, 10))
    def test_scales_with_each_count(self, stand, on_plant, seeds, tsw_g, times):
        once = standing_kg_per_ha(stand, on_plant, seeds, tsw_g)

        assert standing_kg_per_ha(stand * times, on_plant, seeds, tsw_g) == pytest.approx(once * times)
        assert standing_kg_per_ha(stand, on_plant * times, seeds, tsw_g) == pytest.approx(once * times)
        assert standing_kg_per_ha(stand, on_plant, seeds * times, tsw_g) == pytest.approx(once * times)

    @given(stands, pods, in_pod, masses)
    def test_brought_home_is_a_range_below_what_stands(self, stand, on_plant, seeds, tsw_g):
        estimate = yield_before_harvest(FIGURES, stand, on_plant, tsw_g, seeds)

        assert estimate.low_kg_per_ha <= estimate.high_kg_per_ha <= estimate.standing_kg_per_ha
        assert estimate.low_kg_per_ha == pytest.approx(0.88 * estimate.standing_kg_per_ha)
        assert estimate.high_kg_per_ha == pytest.approx(0.90 * estimate.standing_kg_per_ha)

    def test_without_a_count_of_seeds_takes_the_figure_of_the_crop(self):
        assert yield_before_harvest(FIGURES, 30, 20, 130) == yield_before_harvest(FIGURES, 30, 20, 130, 2.5)
        assert yield_before_harvest(FIGURES, 30, 20, 130, 0).standing_kg_per_ha == 0

    @pytest.mark.parametrize(("on_plant", "belief"), [(80, Belief.PLAUSIBLE), (80.01, Belief.BEYOND)])
    def test_is_flagged_above_what_the_crop_has_ever_yielded_and_not_at_it(self, on_plant, belief):
        assert yield_before_harvest(FIGURES, 50, on_plant, 100, 1).belief is belief

    @pytest.mark.parametrize(
        ("name", "counts"),
        [
            ("stand", (100.1, 1, 130, 1)),
            ("pods per plant", (1, 400.1, 130, 1)),
            ("seeds per pod", (1, 1, 130, 4.1)),
        ],
    )
    def test_from_counts_that_the_crop_cannot_bear_is_refused(self, name, counts):
        yield_before_harvest(FIGURES, 100, 400, 130, 4)
        with pytest.raises(OutOfRange, match=f"^{name} is"):
            yield_before_harvest(FIGURES, *counts)

    @pytest.mark.parametrize("absurd", ABSURD)
    def test_from_absurd_counts_is_refused(self, absurd):
        for counts in ((absurd, 1, 1, 130), (1, absurd, 1, 130), (1, 1, absurd, 130), (1, 1, 1, absurd)):
            with pytest.raises(OutOfRange):
                standing_kg_per_ha(*counts)

    def test_of_seeds_without_mass_is_refused(self):
        with pytest.raises(OutOfRange, match=r"^thousand-seed weight is 0"):
            standing_kg_per_ha(1, 1, 1, 0)


class TestWhatIsLost:
    @given(st.floats(0, 1e4), masses, st.floats(0, 10))
    def test_scales_with_the_seeds_on_the_ground(self, seeds, tsw_g, times):
        assert harvest_loss_kg_per_ha(seeds * times, tsw_g) == pytest.approx(
            harvest_loss_kg_per_ha(seeds, tsw_g) * times
        )

    @given(stands, pods, in_pod, masses)
    def test_is_all_that_stood_when_all_of_it_lies_on_the_ground(self, stand, on_plant, seeds, tsw_g):
        lost = harvest_loss_kg_per_ha(min(100_000, stand * on_plant * seeds), tsw_g)

        assert lost == pytest.approx(
            min(standing_kg_per_ha(stand, on_plant, seeds, tsw_g), 100_000 * tsw_g / 1e6 * 1e4)
        )

    @given(st.floats(0, 1e4), st.floats(1, 1e4))
    def test_as_a_part_is_from_0_to_below_1(self, lost, home):
        assert 0 <= lost_part(lost, home) < 1

    @pytest.mark.parametrize("absurd", [*ABSURD, 100_001])
    def test_of_absurd_counts_is_refused(self, absurd):
        with pytest.raises(OutOfRange, match=r"^seeds on the ground is"):
            harvest_loss_kg_per_ha(absurd, 130)

    def test_of_nothing_brought_home_is_refused(self):
        with pytest.raises(OutOfRange, match=r"^grain brought home is 0"):
            lost_part(1, 0)
        with pytest.raises(OutOfRange, match=r"^loss is -1"):
            lost_part(-1, 1)


class TestBags:
    @given(st.floats(0, 1e6), st.floats(1, 200))
    def test_hold_all_of_the_grain_and_none_is_empty(self, grain_kg, bag_kg):
        bags = bags_of_grain(grain_kg, bag_kg)

        assert bags.full * bag_kg + bags.rest_kg == pytest.approx(grain_kg, abs=bag_kg * 1e-5)
        assert bags.needed in (bags.full, bags.full + 1)
        assert (bags.needed == bags.full) == (bags.rest_kg == 0)
        assert 0 <= bags.rest_kg < bag_kg

    @pytest.mark.parametrize(
        ("grain_kg", "expected"), [(0, (0, 0, 0)), (49.9, (0, 49.9, 1)), (50, (1, 0, 1)), (50.1, (1, 0.1, 2))]
    )
    def test_are_full_exactly_at_their_content(self, grain_kg, expected):
        bags = bags_of_grain(grain_kg, 50)

        assert (bags.full, pytest.approx(bags.rest_kg), bags.needed) == expected

    def test_a_hair_of_binary_fractions_takes_no_bag_more_and_leaves_none_open(self):
        assert bags_of_grain(3 * 0.1, 0.1).needed == 3
        assert bags_of_grain(50 * 0.999999999, 50) == Bags(1, 0, 1)

    @pytest.mark.parametrize("absurd", [*ABSURD, 1e9])
    def test_of_absurd_grain_are_refused(self, absurd):
        with pytest.raises(OutOfRange, match=r"^grain is"):
            bags_of_grain(absurd, 50)

    def test_that_hold_nothing_are_refused(self):
        with pytest.raises(OutOfRange, match=r"^bag is 0"):
            bags_of_grain(1, 0)


def test_the_words_that_flows_and_programs_read_stay():
    assert [str(each) for each in Belief] == ["plausible", "beyond"]
