"""The calendar of a season, and the day of the seed test before it."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.agronomy.crop import read_crop
from advisor.agronomy.errors import CannotBe, OutOfRange
from advisor.agronomy.labels import Label
from advisor.agronomy.season_calendar import Task, When, calendar, day_for_test
from advisor.agronomy.season_days import Variety
from tests.agronomy.conftest import HOME

USUAL = Variety("usual", "x", Label("usual"), 110, 115)
SOWN = date(2026, 11, 20)

dates = st.dates(date(2000, 1, 1), date(2100, 1, 1))
slowness = st.floats(1, 3)


class TestACalendar:
    def test_counts_every_day_from_sowing_as_the_figures_say(self, days):
        """Common practice, no source: test 15 to 10 days before, ripe 110 to 115 days from sowing."""
        steps = {
            step.task: ((step.first - SOWN).days, (step.last - SOWN).days)
            for step in calendar(SOWN, days, USUAL).steps
            if step.task is not Task.WEEDING
        }

        assert steps == {
            Task.SEED_TEST: (-15, -10),
            Task.BUY: (-7, -5),
            Task.PICK_UP_INOCULANT: (-2, 0),
            Task.SOWING: (0, 0),
            Task.EMERGENCE_CHECK: (7, 10),
            Task.NODULE_CHECK: (35, 42),
            Task.FLOWERING: (45, 45),
            Task.MATURITY: (110, 115),
            Task.HARVEST: (110, 129),
            Task.DRYING: (110, 136),
            Task.KEEP_SEED: (117, 136),
        }

    def test_weeds_three_and_six_weeks_after_sowing(self, days):
        """Uganda, New Vision: three weeks after planting, and again three weeks later."""
        weedings = [step.day for step in calendar(SOWN, days, USUAL).steps if step.task is Task.WEEDING]

        assert weedings == [21, 42]

    @given(dates, slowness)
    def test_is_in_order_with_one_step_of_each_task(self, days, sown, slow):
        season = calendar(sown, days, USUAL, slow)

        assert [step.day for step in season.steps] == sorted(step.day for step in season.steps)
        assert {step.task for step in season.steps} == set(Task)
        assert all(step.first <= step.last for step in season.steps)
        assert all(step.first == sown + timedelta(step.day) for step in season.steps)

    @given(dates, st.integers(-60, 60))
    def test_moves_as_a_whole_with_sowing(self, days, sown, moved):
        was, now = calendar(sown, days, USUAL), calendar(sown + timedelta(moved), days, USUAL)

        assert [step.day for step in was.steps] == [step.day for step in now.steps]
        assert {new.first - old.first for old, new in zip(was.steps, now.steps, strict=True)} == {timedelta(moved)}

    @given(slowness, slowness)
    def test_of_cooler_soil_is_never_earlier_after_sowing_nor_later_before_it(self, days, one, other):
        warm, cool = (calendar(SOWN, days, USUAL, slow) for slow in sorted((one, other)))

        for task in (Task.EMERGENCE_CHECK, Task.NODULE_CHECK, Task.FLOWERING):
            assert warm.step(task).first <= cool.step(task).first
        assert cool.step(Task.SEED_TEST).first <= warm.step(Task.SEED_TEST).first
        assert warm.step(Task.MATURITY) == cool.step(Task.MATURITY)

    def test_does_not_add_emergence_to_the_days_to_maturity(self, days):
        late = replace(days, emergence_from=20, emergence_to=25)

        assert calendar(SOWN, late, USUAL).step(Task.MATURITY) == calendar(SOWN, days, USUAL).step(Task.MATURITY)

    @pytest.mark.parametrize("slow", [0.99, 3.01, float("nan")])
    def test_refuses_a_factor_that_cannot_be(self, days, slow):
        with pytest.raises(OutOfRange):
            calendar(SOWN, days, USUAL, slow)
        with pytest.raises(OutOfRange):
            day_for_test(SOWN, SOWN, days, slow)

    @pytest.mark.parametrize("sown", [date.min, date.max])
    def test_refuses_a_date_that_it_cannot_count_from(self, days, sown):
        with pytest.raises(CannotBe, match="give a date of this season"):
            calendar(sown, days, USUAL)


class TestTheDayOfTheSeedTest:
    @pytest.mark.parametrize(
        ("left", "when"),
        [
            (16, When.EARLY), (15, When.NOW), (13, When.NOW), (12, When.LATE), (10, When.LATE), (8, When.LATE),
            (7, When.TOO_LATE), (0, When.TOO_LATE),
        ],
    )  # fmt: skip
    def test_is_now_from_day_15_with_a_warning_later_than_day_13(self, days, left, when):
        told = day_for_test(SOWN - timedelta(left), SOWN, days)

        assert (told.when, told.day) == (when, left)
        assert told.final_count == SOWN - timedelta(left - 8)

    @given(st.integers(0, 60), slowness)
    def test_is_called_now_only_while_the_final_count_leaves_time_to_buy(self, days, left, slow):
        told = day_for_test(SOWN - timedelta(left), SOWN, days, slow)

        before_buying = (SOWN - told.final_count).days >= days.buy_by
        assert (told.when in (When.EARLY, When.NOW)) == before_buying
        assert (told.when is When.TOO_LATE) == (told.final_count > SOWN)

    def test_is_earlier_by_the_longer_count_where_soil_is_cool(self, days):
        assert day_for_test(SOWN - timedelta(17), SOWN, days, 1.25).when is When.NOW
        assert day_for_test(SOWN - timedelta(18), SOWN, days, 1.25).when is When.EARLY
        assert day_for_test(SOWN - timedelta(14), SOWN, days, 1.25).when is When.LATE

    def test_cannot_come_after_sowing(self, days):
        with pytest.raises(OutOfRange):
            day_for_test(SOWN + timedelta(1), SOWN, days)
        with pytest.raises(OutOfRange):
            day_for_test(SOWN - timedelta(733), SOWN, days)
        assert day_for_test(SOWN - timedelta(732), SOWN, days).when is When.EARLY


class TestOtherCrops:
    """A crop comes by its data file alone."""

    def test_have_a_calendar_of_their_own(self, sources):
        files = sorted((HOME / "agronomy/data/crops").glob("*.toml"))
        crops = [read_crop(file.read_text("utf-8"), sources) for file in files]
        legumes = [crop for crop in crops if crop.days is not None]

        assert len(legumes) >= 4
        for crop in legumes:
            season = calendar(SOWN, crop.days, USUAL)
            assert season.step(Task.SEED_TEST).day == -crop.days.test_from
            assert season.step(Task.NODULE_CHECK).day == crop.days.nodules_from
            assert day_for_test(SOWN - timedelta(crop.days.test_warning), SOWN, crop.days).when is When.NOW
            assert day_for_test(SOWN - timedelta(crop.days.test_warning - 1), SOWN, crop.days).when is When.LATE
            assert crop.soil is not None
