"""Sow now or wait: in the window, on moist soil, and never in haste."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.agronomy.errors import OutOfRange
from advisor.agronomy.rain import MOST_MM, Rain
from advisor.agronomy.season_days import variety_of, zone_season
from advisor.agronomy.sow_now import Sow, SowingRain, sow_in_zone, sow_now
from advisor.agronomy.sowing_window import Window, last_safe_sowing, window_for

MAY = date(2026, 5, 1)

WINDOW = Window(date(2026, 11, 15), date(2027, 1, 10), date(2027, 4, 15))
SAFE = date(2027, 1, 5)
NEEDED = SowingRain(30, 3, 2)


class TestSowNow:
    def today(self, mm, today=date(2026, 11, 20)):
        """Rain of the days up to today."""
        return sow_now(Rain(today - timedelta(len(mm) - 1), mm), today, NEEDED, WINDOW, SAFE)

    def test_takes_enough_rain_in_the_window(self):
        assert self.today((0, 0, 15, 15, 0, 0, 0)).sow is Sow.WAIT_FOR_RAIN
        assert self.today((0, 0, 0, 15, 15, 0, 0)).sow is Sow.NOW
        assert self.today((0, 0, 0, 0, 30)).sow is Sow.NOW
        told = self.today((0, 0, 0, 10, 19.5))
        assert (told.sow, told.fallen_mm, told.missing_mm) == (Sow.WAIT_FOR_RAIN, 29.5, 0.5)

    @pytest.mark.parametrize(
        ("today", "sow", "left"),
        [
            (date(2026, 11, 14), Sow.WAIT_FOR_WINDOW, 52),
            (date(2026, 11, 15), Sow.NOW, 51),
            (date(2027, 1, 5), Sow.NOW, 0),
            (date(2027, 1, 6), Sow.NOT_THIS_SEASON, -1),
        ],
    )
    def test_keeps_to_the_window_and_the_last_safe_day(self, today, sow, left):
        told = self.today((0, 0, 0, 0, 30), today)

        assert (told.sow, told.days_left) == (sow, left)

    def test_keeps_to_the_window_where_it_closes_before_the_last_safe_day(self):
        rain = Rain(date(2027, 1, 11), (40.0,))

        assert sow_now(rain, date(2027, 1, 11), NEEDED, WINDOW, date(2027, 2, 1)).sow is Sow.NOT_THIS_SEASON

    @pytest.mark.parametrize(
        ("safe", "sow"),
        [(date(2026, 11, 14), Sow.NOT_THIS_SEASON), (date(2026, 11, 15), Sow.WAIT_FOR_WINDOW)],
    )
    def test_waits_for_no_window_that_opens_when_it_is_too_late_for_the_variety(self, safe, sow):
        today = date(2026, 11, 1)

        assert sow_now(Rain(today, (40.0,)), today, NEEDED, WINDOW, safe).sow is sow

    def test_looks_at_the_soil_where_a_day_was_not_measured(self):
        assert self.today((0, 0, 0, 0, None, 0, 0)).sow is Sow.LOOK_AT_SOIL
        assert self.today((None, 0, 0, 0, 0, 0)).sow is Sow.WAIT_FOR_RAIN
        assert self.today((30, None, 0, 0, 0, 0)).sow is Sow.WAIT_FOR_RAIN
        assert sow_now(Rain(MAY, ()), date(2026, 11, 20), NEEDED, WINDOW, SAFE).sow is Sow.LOOK_AT_SOIL

    def test_counts_the_first_day_of_a_series_and_does_not_know_the_day_after_its_last(self):
        assert self.today((30,)).sow is Sow.NOW
        assert self.today((29,)).sow is Sow.LOOK_AT_SOIL
        yesterday = sow_now(Rain(date(2026, 11, 17), (0, 0, 30)), date(2026, 11, 20), NEEDED, WINDOW, SAFE)
        assert (yesterday.sow, yesterday.fallen_mm) == (Sow.NOW, 30)
        short = sow_now(Rain(date(2026, 11, 15), (0, 0, 0, 0, 0)), date(2026, 11, 20), NEEDED, WINDOW, SAFE)
        assert short.sow is Sow.LOOK_AT_SOIL

    def test_looks_at_the_soil_where_the_unknown_day_could_just_bring_enough(self):
        most = SowingRain(MOST_MM, 1, 0)

        assert sow_now(Rain(MAY, (None,)), date(2026, 11, 20), most, WINDOW, SAFE).sow is Sow.LOOK_AT_SOIL

    def test_knows_nothing_of_tomorrow(self):
        rain = Rain(date(2026, 11, 15), (0, 0, 0, 0, 0, 0, 50))

        assert sow_now(rain, date(2026, 11, 20), NEEDED, WINDOW, SAFE).sow is Sow.WAIT_FOR_RAIN

    @given(st.lists(st.none() | st.floats(0, 40), min_size=8, max_size=8), st.integers(0, 400), st.booleans())
    def test_in_a_zone_rests_on_its_window_its_rain_and_the_end_of_its_rains(
        self, programme, crop, mm, day, hills
    ):
        season = zone_season(programme.seasons, crop.key, "hills" if hills else "valley")
        variety, today = variety_of(programme.varieties, crop.key), date(2026, 11, 1) + timedelta(day)
        rain = Rain(today - timedelta(7), tuple(mm))
        window = window_for(season, today)

        told = sow_in_zone(season, variety, crop.days, rain, today)

        needed = SowingRain(season.sowing_mm, season.sowing_days, season.moist_days)
        last_safe = last_safe_sowing(window.rains_end, variety, crop.days)
        assert told == sow_now(rain, today, needed, window, last_safe)
        assert told.sow is not Sow.NOW or window.opens <= today <= last_safe

    @given(st.lists(st.floats(0, 9.9), min_size=8, max_size=8), st.integers(-30, 90))
    def test_nobody_is_hurried_into_dry_soil_to_keep_a_date(self, mm, day):
        """Below 10 mm a day, three days never bring 30 mm, however close the last safe day is."""
        today = SAFE - timedelta(day)

        told = self.today(tuple(mm), today)

        assert told.sow not in (Sow.NOW, Sow.LOOK_AT_SOIL)
        assert told.missing_mm > 0

    @given(st.lists(st.none() | st.floats(0, 40), min_size=8, max_size=8), st.integers(0, 7), st.floats(0, 40))
    def test_more_rain_never_turns_sow_now_into_wait(self, mm, at, more):
        wetter = [fallen + more if n == at and fallen is not None else fallen for n, fallen in enumerate(mm)]

        if self.today(tuple(mm)).sow is Sow.NOW:
            assert self.today(tuple(wetter)).sow is Sow.NOW

    @pytest.mark.parametrize(
        "needed", [SowingRain(0, 3, 2), SowingRain(30, 0, 2), SowingRain(30, 3, -1), SowingRain(MOST_MM + 1, 3, 2)]
    )
    def test_refuses_a_rule_that_cannot_be(self, needed):
        with pytest.raises(OutOfRange):
            sow_now(Rain(MAY, (1.0,)), MAY, needed, WINDOW, SAFE)
