"""Windows of a zone, the last safe day of a variety, and what a slip of sowing changes."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.agronomy.errors import CannotBe, OutOfRange
from advisor.agronomy.labels import Label
from advisor.agronomy.season_calendar import Task
from advisor.agronomy.season_days import Variety, zone_season
from advisor.agronomy.sowing_window import (
    Held,
    Window,
    day_of_year,
    last_safe_sowing,
    likely_sowing,
    slip,
    window_for,
)

USUAL = Variety("usual", "x", Label("usual"), 110, 115)
QUICK = Variety("quick", "x", Label("quick"), 85, 90)
SOWN = date(2026, 11, 20)

dates = st.dates(date(2000, 1, 1), date(2100, 1, 1))


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

    def test_is_the_end_of_the_rains_itself_where_a_crop_needs_none(self, days):
        assert last_safe_sowing(date(2027, 4, 15), USUAL, replace(days, dry_down=200)) == date(2027, 4, 15)


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
