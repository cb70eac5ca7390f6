"""The calendar of a season, the seed test before it, windows and slips."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.agronomy.crop import read_crop
from advisor.agronomy.errors import CannotBe, DataFault, MissingFigure, OutOfRange
from advisor.agronomy.labels import Label
from advisor.agronomy.programme_file import read_programme
from advisor.agronomy.season_calendar import Task, When, calendar, day_for_test
from advisor.agronomy.season_days import Variety, variety_of, zone_season
from advisor.agronomy.sowing_window import (
    Held,
    Window,
    day_of_year,
    last_safe_sowing,
    likely_sowing,
    slip,
    window_for,
)
from tests.agronomy.conftest import HOME

USUAL = Variety("usual", "x", Label("usual"), 110, 115)
QUICK = Variety("quick", "x", Label("quick"), 85, 90)
SOWN = date(2026, 11, 20)

dates = st.dates(date(2000, 1, 1), date(2100, 1, 1))
slowness = st.floats(1, 3)


@pytest.fixture(scope="module")
def days(crop):
    return crop.days


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


class TestAWindow:
    @pytest.mark.parametrize(
        ("today", "opens", "closes", "rains_end"),
        [
            (date(2026, 7, 1), date(2026, 11, 15), date(2027, 1, 10), date(2027, 4, 15)),
            (date(2027, 1, 10), date(2026, 11, 15), date(2027, 1, 10), date(2027, 4, 15)),
            (date(2027, 1, 11), date(2027, 11, 15), date(2028, 1, 10), date(2028, 4, 15)),
        ],
    )
    def test_over_new_year_is_the_one_that_is_open_or_the_next(
        self, programme, crop, today, opens, closes, rains_end
    ):
        season = zone_season(programme.seasons, crop.key, "valley")

        assert window_for(season, today) == Window(opens, closes, rains_end)

    @given(dates, st.integers(1, 365), st.integers(1, 365), st.integers(1, 365))
    def test_has_not_closed_and_no_earlier_one_is_open(self, programme, crop, today, opens, closes, rains_end):
        season = replace(
            zone_season(programme.seasons, crop.key, "valley"), opens=opens, closes=closes, rains_end=rains_end
        )

        window = window_for(season, today)

        assert window.opens <= window.closes < window.opens + timedelta(366)
        assert window.opens < window.rains_end <= window.opens + timedelta(366)
        assert today <= window.closes <= today + timedelta(366)
        assert likely_sowing(window, today) in (today, window.opens)
        assert window.opens <= likely_sowing(window, today) <= window.closes

    def test_that_has_closed_gives_no_day_to_plan_with(self):
        with pytest.raises(CannotBe, match="plan for the next window"):
            likely_sowing(Window(date(2026, 11, 15), date(2027, 1, 10), date(2027, 4, 15)), date(2027, 1, 11))

    def test_of_a_leap_year_is_on_the_same_days(self):
        assert [day_of_year(year, 105) for year in (2027, 2028)] == [date(2027, 4, 15), date(2028, 4, 15)]

    @pytest.mark.parametrize(("year", "day"), [(2027, 0), (2027, 366), (1899, 1), (2201, 1)])
    def test_has_no_day_that_no_year_has(self, year, day):
        with pytest.raises(OutOfRange):
            day_of_year(year, day)


class TestTheLastSafeDay:
    def test_is_counted_back_from_the_end_of_the_rains(self, days):
        assert last_safe_sowing(date(2027, 4, 15), USUAL, days) == date(2027, 4, 15) - timedelta(95)

    @given(st.integers(30, 400), st.integers(30, 400), dates)
    def test_is_never_later_for_a_slower_variety(self, days, one, other, end):
        quick, slow = (replace(USUAL, maturity_from=30, maturity_to=ripe) for ripe in sorted((one, other)))

        assert last_safe_sowing(end, slow, days) <= last_safe_sowing(end, quick, days) <= end


class TestASlip:
    END = date(2027, 4, 15)

    def moved(self, days, to, held=Held(), varieties=(USUAL, QUICK)):  # noqa: B008 - an immutable value
        return slip(date(2026, 12, 10), to, days, varieties, self.END, held)

    def test_asks_for_a_new_test_after_30_days_and_not_on_the_30th(self, days):
        held = Held(tested=date(2026, 12, 1))

        assert not self.moved(days, date(2026, 12, 31), held).retest
        assert self.moved(days, date(2027, 1, 1), held).retest
        assert not self.moved(days, date(2027, 1, 1)).retest

    def test_names_the_packs_that_run_out_before_the_last_day_of_sowing(self, days):
        held = Held(packs=(("i1", date(2026, 12, 20)), ("i2", date(2026, 12, 22))), sowing_days=2)

        assert self.moved(days, date(2026, 12, 19), held).expired == ()
        assert self.moved(days, date(2026, 12, 20), held).expired == ("i1",)
        assert self.moved(days, date(2026, 12, 22), held).expired == ("i1", "i2")

    def test_keeps_the_variety_up_to_its_last_safe_day_then_takes_a_quicker_one_then_none(self, days):
        last = last_safe_sowing(self.END, USUAL, days)
        last_quick = last_safe_sowing(self.END, QUICK, days)
        on, after = self.moved(days, last), self.moved(days, last + timedelta(1))
        over = self.moved(days, last_quick + timedelta(1))

        assert (on.variety, on.changed, on.last_safe) == (USUAL, False, last)
        assert (after.variety, after.changed, after.last_safe) == (QUICK, True, last_quick)
        assert after.calendar.step(Task.MATURITY).day == 85
        assert self.moved(days, last_quick).variety == QUICK
        assert (over.variety, over.changed, over.last_safe) == (None, False, last_quick)

    def test_takes_the_slowest_of_the_varieties_that_are_safe(self, days):
        middle = replace(QUICK, key="middle", maturity_to=100)
        day = last_safe_sowing(self.END, middle, days)

        assert self.moved(days, day, varieties=(USUAL, QUICK, middle)).variety == middle

    @given(st.integers(-30, 200))
    def test_moves_the_calendar_and_never_names_a_variety_that_is_not_safe(self, days, by):
        to = date(2026, 12, 10) + timedelta(by)
        moved = self.moved(days, to)

        assert (moved.days, moved.calendar.sowing) == (by, to)
        assert moved.variety is None or to <= last_safe_sowing(self.END, moved.variety, days)

    def test_needs_a_variety_and_a_day_to_sow_on(self, days):
        with pytest.raises(CannotBe, match="add a variety"):
            self.moved(days, SOWN, varieties=())
        with pytest.raises(OutOfRange):
            self.moved(days, SOWN, Held(sowing_days=0))


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


class TestTheFigures:
    def test_of_a_crop_without_a_calendar_are_none(self, crop_text, sources):
        lines = crop_text.split("\n")
        at = lines.index("[calendar]")
        rest = [
            n for n, line in enumerate(lines[at + 1 :], at + 1) if line.startswith("[") and "calendar" not in line
        ]

        short = "\n".join(lines[:at] + (lines[rest[0] :] if rest else []))

        assert read_crop(short, sources).days is None

    @pytest.mark.parametrize(
        ("old", "new", "fault"),
        [
            (
                "test_from = { value = 15",
                "test_from = { value = 12",
                "calendar.buy_by + final_count is 13, more than",
            ),
            ("test_to = { value = 10", "test_to = { value = 16", "calendar.test_to is 16, more than test_from"),
            ("pick_up = { value = 2", "pick_up = { value = 6", "calendar.pick_up is 6, more than buy_by"),
            ("retest_after = { value = 30", "retest_after = { value = 14", "calendar.test_from is 15, more than"),
            ("day = { value = 21", "day = { value = 43", "calendar.weedings[1] is 43, more than weedings[2]"),
            ("nodules_to = { value = 42", "nodules_to = { value = 34", "calendar.nodules_from is 35, more than"),
            (
                "emergence_to = { value = 10",
                "emergence_to = { value = 6",
                "calendar.emergence_from is 7, more than",
            ),
            (
                "flowering = { value = 45",
                "flowering = { value = 0",
                "calendar.flowering is 0 day: give 1 to 365 day",
            ),
        ],
    )
    def test_that_contradict_each_other_are_refused(self, crop_text, sources, old, new, fault):
        assert old in crop_text

        with pytest.raises(DataFault) as raised:
            read_crop(crop_text.replace(old, new, 1), sources)

        assert any(found.startswith(fault) for found in raised.value.faults), raised.value.faults

    @pytest.mark.parametrize(
        ("old", "new", "fault"),
        [
            (
                "maturity_from = { value = 110",
                "maturity_from = { value = 116",
                "varieties[1].maturity_from is 116",
            ),
            ('key = "a2"', 'key = "a1"', "varieties has a1 twice"),
            (
                "opens = { value = 319",
                "opens = { value = 366",
                "seasons[1].opens is 366 day of year: give 1 to 365",
            ),
            (
                "slowed_by = { value = 1.25",
                "slowed_by = { value = 0.9",
                "seasons[2].slowed_by is 0.9 1: give 1 to 3",
            ),
            ('[[seasons]]\nzone = "hills"', '[[seasons]]\nzone = "valley"', "seasons has soybean in valley twice"),
            (
                '[[seasons]]\nzone = "valley"',
                '[[seasons]]\nzone = "coast"',
                "seasons[1].zone is 'coast': give one of",
            ),
        ],
    )
    def test_of_a_programme_that_cannot_be_are_refused(self, programme_text, crop, sources, old, new, fault):
        assert old in programme_text

        with pytest.raises(DataFault) as raised:
            read_programme(programme_text.replace(old, new, 1), (crop,), sources)

        assert any(found.startswith(fault) for found in raised.value.faults), raised.value.faults

    LIMITS = (
        ("varieties", "maturity_from", 30, 400),
        ("varieties", "maturity_to", 30, 400),
        ("seasons", "opens", 1, 365),
        ("seasons", "closes", 1, 365),
        ("seasons", "rains_end", 1, 365),
        ("seasons", "slowed_by", 1, 3),
        ("seasons", "sowing_rain", 1, 500),
        ("seasons", "sowing_rain_within", 1, 30),
        ("seasons", "moist_for", 0, 14),
    )

    @pytest.mark.parametrize(("section", "key", "low", "high"), LIMITS)
    def test_of_a_programme_lie_within_limits(self, programme_text, crop, sources, section, key, low, high):
        def read(value):
            changed = re.sub(rf"(\n{key} = {{ value = )[\d.]+", rf"\g<1>{value}", programme_text)
            # the days of a variety keep their order whichever is changed
            other = {"maturity_from": "maturity_to", "maturity_to": "maturity_from"}.get(key)
            if other is not None:
                changed = re.sub(rf"(\n{other} = {{ value = )\d+", rf"\g<1>{value}", changed)
            return read_programme(changed, (crop,), sources)

        for value in (low, high):
            assert getattr(read(value), section)
        for value in (low - 1, high + 1):
            with pytest.raises(DataFault, match=rf"{section}\[1\]\.{key} is "):
                read(value)

    CROP_LIMITS = (
        ("test_from", 1), ("test_to", 1), ("buy_by", 1), ("pick_up", 0), ("emergence_from", 1),
        ("emergence_to", 1), ("nodules_from", 1), ("nodules_to", 1), ("flowering", 1), ("harvest_within", 0),
        ("drying", 0), ("retest_after", 1), ("dry_down", 0), ("day", 1),
    )  # fmt: skip

    @pytest.mark.parametrize(("key", "low"), CROP_LIMITS)
    def test_of_a_crop_lie_within_limits(self, crop_text, sources, key, low):
        start = crop_text.index("[calendar]")

        def refused(value):
            changed = re.sub(rf"(\n{key} = {{ value = )\d+", rf"\g<1>{value}", crop_text[start:], count=1)
            try:
                read_crop(crop_text[:start] + changed, sources)
            except DataFault as fault:
                return any(re.search(rf"\.{key} is {value} day: give {low} to 365", each) for each in fault.faults)
            return False

        assert [refused(value) for value in (low - 1, low, 365, 366)] == [True, False, False, True]

    def test_that_a_programme_lacks_are_told_when_they_are_needed(self, programme, crop):
        with pytest.raises(MissingFigure, match=r"season of .* in coast"):
            zone_season(programme.seasons, crop.key, "coast")
        with pytest.raises(MissingFigure, match="variety a9"):
            variety_of(programme.varieties, crop.key, "a9")
        assert variety_of(programme.varieties, crop.key).key == "a1"
        assert variety_of(programme.varieties, crop.key, "a2").maturity_to == 95

    def test_of_both_zones_name_a_rule_that_there_is(self, programme, onset_rules):
        assert {season.zone for season in programme.seasons} == {"valley", "hills"}
        assert all(onset_rules.rule(season.onset_rule) for season in programme.seasons)
