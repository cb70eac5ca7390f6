"""Two crops in one field for a dialogue: what its screens name, reckoned by hand from the programme's figures."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.advice.two_crops import two_crops
from advisor.agronomy.errors import CannotBe, MissingFigure
from advisor.agronomy.units import ACRE_M2
from advisor.dialogue.notices import notice_of
from advisor.loading import load_figures
from tests.laws import examples

NOW = datetime(2027, 3, 1, tzinfo=UTC)


@pytest.fixture(scope="module")
def run(book):
    return lambda name, sight: book.registry.calculation(name).run(sight, NOW)


def strips(steps=40, partner="maize", acres=1.0):
    return {"plot.area": acres * ACRE_M2, "partner": partner, "row_steps": steps}


def between(weeks=3, gap=100, acres=1.0):
    return {"plot.area": acres * ACRE_M2, "young": "cassava", "young_weeks": weeks, "young_gap": gap}


class TestStrips:
    def test_of_30_m_hold_seven_repeats_and_seed_follows_the_metres_of_row(self, run):
        """Four rows of 60 cm and two of 75 cm are 3.9 m; 7 x 2.4 m of 30 m are 56 % of the field."""
        found = run("strips", strips())

        assert (found["rows"], found["partner_rows"], found["repeats"]) == (4, 2, 7)
        assert found["gap"] == pytest.approx(0.675)
        assert (found["share"], found["soy"]) == pytest.approx((0.56, 0.56 * ACRE_M2))
        assert (found["seed"], found["whole"]) == pytest.approx((11.2, 20))
        # 14 rows of 134.9 m, a seed of 0.3 g every 25 cm
        assert found["partner_seed"] == pytest.approx(14 * ACRE_M2 / 30 / 0.25 * 0.0003)
        # 13 of 28 rows have maize beside them, and give a fifth less
        assert found["lost"] == pytest.approx(13 / 28 * 0.2)

    def test_a_step_of_ones_own_makes_another_field_of_it(self, run):
        assert run("strips", strips() | {"grower.step": 1.2})["repeats"] == 12

    def test_a_field_that_holds_no_repeat_is_told_to_be_too_narrow(self, run):
        """3.9 m are 5.2 steps of 75 cm."""
        with pytest.raises(CannotBe) as refused:
            run("strips", strips(5))

        assert notice_of(refused.value) == "too_narrow"
        assert run("strips", strips(6))["repeats"] == 1

    def test_a_partner_that_is_none_is_refused(self, run):
        with pytest.raises(MissingFigure):
            run("strips", strips(partner="cowpea"))


class TestBetweenAYoungCrop:
    @pytest.mark.parametrize(("gap", "rows"), [(59, 0), (60, 1), (119, 1), (120, 2), (180, 3)])
    def test_rows_keep_30_cm_from_it_and_60_from_each_other(self, run, gap, rows):
        found = run("between", between(gap=gap))

        assert found["between_rows"] == rows
        assert found["between"] == ("fits" if rows else "too_tight")
        assert found["seed"] == pytest.approx(20 * rows * 60 / gap)

    @pytest.mark.parametrize(("weeks", "said"), [(0, "fits"), (5, "fits"), (6, "too_old"), (99, "too_old")])
    def test_it_is_too_old_after_five_weeks(self, run, weeks, said):
        assert run("between", between(weeks))["between"] == said

    def test_another_crop_than_the_programmes_is_refused(self, run):
        with pytest.raises(MissingFigure):
            run("between", between() | {"young": "rubber"})


class TestEveryNumberCanBeSaid:
    @examples(60)
    @given(
        acres=st.floats(0.05, 20),
        steps=st.integers(6, 999),
        partner=st.sampled_from(["maize", "sorghum"]),
        step_m=st.floats(0.65, 1.2),
        gap=st.integers(20, 500),
    )
    def test_within_the_kinds_that_texts_are_proven_with(self, book, acres, steps, partner, step_m, gap):
        sights = {
            "strips": strips(steps, partner, acres) | {"grower.step": step_m},
            "between": between(gap=gap, acres=acres),
        }
        for name, sight in sights.items():
            calculation = book.registry.calculation(name)
            found = calculation.run(sight, NOW)
            for result, kind in calculation.gives:
                kind.check(found[result])


def test_a_programme_without_partners_says_so_and_can_still_be_read(book):
    crops = load_figures()[1]
    crop = next(each for each in crops if each.key == "soybean")
    bare = replace(book.programme, land=replace(book.programme.land, partners=(), young=()))

    in_strips, between_young, beside = two_crops(bare, crop, tuple(crops))
    for calculation, sight in ((in_strips, strips()), (between_young, between()), (beside, {})):
        with pytest.raises(MissingFigure):
            calculation.run(sight, NOW)
