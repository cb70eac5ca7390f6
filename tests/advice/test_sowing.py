"""How seed is laid on the phone is how the buy list sows it, in the programme's own measures."""

from dataclasses import replace
from datetime import UTC, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.advice.sowing import MOST_OFF, conditions, sowing
from advisor.agronomy.buylist import Advice
from advisor.agronomy.errors import MissingFigure
from advisor.agronomy.land_plans import placement
from advisor.agronomy.masses import SeedQuality

NOW = datetime(2026, 11, 20, tzinfo=UTC)
BOUGHT = {"lot.origin": "bought"}
SAVED = {"lot.origin": "saved"}


def how(programme, crop, sight):
    return sowing(programme, crop)[0].run(sight, NOW)


def rows(programme, crop, sight):
    return sowing(programme, crop)[1].run(sight, NOW)


def holds(name, results):
    return next(each for each in conditions() if each.name == name).holds(results)


class TestDistances:
    def test_are_named_in_the_measures_that_the_calculator_places_by(self, programme, crop):
        found = how(programme, crop, BOUGHT)
        placed = placement(programme, crop, SeedQuality(0.85, "paper", 1), 0.75, MOST_OFF)

        for name, span in (("row", placed.row), ("hole", placed.hole), ("depth", placed.depth)):
            assert (found[f"{name}_count"], found[f"{name}_measure"]) == (span.count, span.measure.key)

    def test_three_spans_one_hand_and_two_fingers_by_the_programmes_measures(self, programme, crop):
        """60 cm are three spans of 20, 10 cm is a hand, and 4 cm lie between 2 and 5 (arithmetic)."""
        found = how(programme, crop, BOUGHT)

        assert [(found[f"{name}_count"], found[f"{name}_measure"]) for name in ("row", "hole", "depth")] == [
            (3, "span"),
            (1, "hand"),
            (2, "finger"),
        ]
        assert (found["shallow"], found["deep"]) == (2, 5)
        assert holds("body_measures_fit", found)

    def test_a_hole_every_5_cm_has_no_measure_since_two_fingers_are_a_fifth_short(self, programme, crop):
        found = how(programme, crop, BOUGHT | {"plot.spacing": "60x5"})

        assert found["hole"] == 0.05
        assert "hole_count" not in found
        assert not holds("body_measures_fit", found)

    def test_a_depth_outside_what_the_crop_bears_is_never_named(self, programme, crop):
        """A palm of 5.5 cm is near to a middle of 5 cm, and deeper than the deepest."""
        palm = replace(programme.land.measures[0], length_m=0.055, most=1)
        land = replace(crop.land, sowing=replace(crop.land.sowing, depth_low_m=0.048, depth_high_m=0.052))
        other = replace(programme, land=replace(programme.land, measures=(palm,)))

        assert "depth_count" not in how(other, replace(crop, land=land), BOUGHT)

    def test_a_programme_that_measured_nobody_says_centimetres(self, programme, crop):
        bare = replace(programme, land=replace(programme.land, measures=()))

        assert not holds("body_measures_fit", how(bare, crop, BOUGHT))


class TestSeeds:
    @given(
        grown=st.integers(60, 100),
        spacing=st.sampled_from(["60x10", "60x5"]),
        origin=st.sampled_from([BOUGHT, SAVED]),
        method=st.sampled_from(["paper", "bed"]),
    )
    def test_a_hole_gets_what_the_buy_list_gives_it(self, book, programme, crop, grown, spacing, origin, method):
        known = origin | {"lot.test": (grown, 100), "lot.method": method, "plot.spacing": spacing}
        listed = book.registry.calculation("sowing").run(known | {"plot.area": 4046.86}, NOW)

        found = how(programme, crop, known)

        assert {name: found[name] for name in listed} == dict(listed)

    def test_a_rope_of_20_m_takes_440_of_2_2_a_hole_and_57_g(self, programme, crop):
        """200 holes of 2.2 seeds of 0.13 g; 22 a metre, 165 on ten steps of 0.75 m (arithmetic)."""
        found = how(programme, crop, BOUGHT)

        assert (found["seeds"], found["every"], found["then"]) == (2, 5, 3)
        assert (found["rope"], found["rope_seeds"]) == (20, 440)
        assert found["rope_mass"] == pytest.approx(0.0572)
        assert (found["metre_seeds"], found["ten_steps_seeds"]) == (22, 165)

    def test_ten_steps_are_the_growers_own(self, programme, crop):
        assert how(programme, crop, BOUGHT | {"grower.step": 0.5})["ten_steps_seeds"] == 110

    @given(grown=st.integers(60, 100), spacing=st.sampled_from(["60x10", "60x5"]))
    def test_all_rows_together_take_no_more_seed_than_was_bought(self, book, programme, crop, grown, spacing):
        """A hectare of rows 60 cm apart is 833 ropes of 20 m (arithmetic); half a seed a rope is rounding."""
        known = BOUGHT | {"lot.test": (grown, 100), "plot.spacing": spacing}
        bought = book.registry.calculation("buy_list").run(known | {"plot.area": 10_000.0}, NOW)["seed"]
        ropes = 10_000 / 0.6 / 20

        assert how(programme, crop, known)["rope_mass"] * ropes <= bought + ropes * 0.5 * 0.13e-3


class TestWhichSeed:
    def test_a_test_under_the_lower_edge_is_not_to_be_sown(self, programme, crop):
        for origin in (BOUGHT, SAVED):
            found = {grown: how(programme, crop, origin | {"lot.test": (grown, 100)}) for grown in (59, 60)}

            assert holds("seed_is_not_to_be_sown", found[59])
            assert not holds("seed_is_not_to_be_sown", found[60])
            assert found[59]["tested"] == (59, 100)

    def test_own_seed_waits_for_its_test_and_bought_seed_does_not(self, programme, crop):
        own, bought = how(programme, crop, SAVED), how(programme, crop, BOUGHT)

        assert own["advice"] is Advice.TEST_FIRST
        assert holds("seed_waits_for_its_test", own)
        assert not holds("seed_waits_for_its_test", bought)


class TestRows:
    @pytest.mark.parametrize(("steps", "expected"), [(4, 5), (85, 106), (40, 50)])
    def test_are_whole_and_keep_the_margin(self, programme, crop, steps, expected):
        """Steps of 0.75 m, less 30 cm on both sides, over 60 cm, and one more (arithmetic)."""
        found = rows(programme, crop, {"row_steps": steps})

        assert found == {"rows": expected, "margin": 0.3}

    def test_follow_the_growers_step(self, programme, crop):
        assert rows(programme, crop, {"row_steps": 60, "grower.step": 0.5})["rows"] == 50

    def test_a_programme_without_a_margin_refuses(self, programme, crop):
        bare = replace(programme, land=replace(programme.land, work=None))

        with pytest.raises(MissingFigure):
            rows(bare, crop, {"row_steps": 85})

    def test_a_crop_whose_file_is_silent_of_depth_refuses(self, programme, crop):
        with pytest.raises(MissingFigure):
            how(programme, replace(crop, land=replace(crop.land, sowing=None)), BOUGHT)


class TestBounds:
    @given(
        sown=st.integers(20, 400),
        part=st.floats(0, 1),
        spacing=st.sampled_from(["60x10", "60x5"]),
        step=st.floats(0.4, 1.2),
        steps=st.integers(4, 999),
        origin=st.sampled_from([BOUGHT, SAVED]),
    )
    def test_every_result_lies_within_its_kind(self, programme, crop, sown, part, spacing, step, steps, origin):
        known = origin | {"lot.test": (round(part * sown), sown), "plot.spacing": spacing, "grower.step": step}
        for calculation in sowing(programme, crop):
            found = calculation.run(known | {"row_steps": steps}, NOW)
            kinds = dict(calculation.gives)

            assert calculation.always <= set(found) <= set(kinds) | set(calculation.also)
            for name, value in found.items():
                if name in kinds:
                    kinds[name].check(value)
