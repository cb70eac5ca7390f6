"""Weeding on the phone: the days are those of the crop, the work is that of the programme's figure."""

from dataclasses import replace
from datetime import UTC, date, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.advice.weeding import conditions, weeding
from advisor.agronomy.errors import CannotBe, MissingFigure
from advisor.agronomy.season_calendar import Task, calendar
from advisor.agronomy.season_days import variety_of
from advisor.agronomy.units import ACRE_M2, HECTARE_M2
from advisor.dialogue.notices import notice_of

DATES = st.dates(date(2024, 1, 1), date(2032, 12, 31))


def noon(day):
    return datetime(day.year, day.month, day.day, 9, tzinfo=UTC)


def days(programme, crop, sowing, day):
    return weeding(programme, crop)[0].run({"plot.sowing": str(sowing)}, noon(day))


def work(programme, crop, area_m2):
    return weeding(programme, crop)[1].run({"plot.area": area_m2}, noon(date(2026, 12, 1)))["days"]


class TestDays:
    """Sown on 20 November: three weeks on is 11 December, three more 1 January (New Vision agronomy column)."""

    @pytest.mark.parametrize(
        ("day", "next_", "left"),
        [
            (date(2026, 11, 1), date(2026, 12, 11), 2),
            (date(2026, 12, 11), date(2026, 12, 11), 2),
            (date(2026, 12, 12), date(2027, 1, 1), 1),
            (date(2027, 1, 1), date(2027, 1, 1), 1),
            (date(2027, 1, 2), date(2027, 1, 1), 0),
        ],
    )
    def test_the_next_weeding_is_the_first_that_is_not_past(self, programme, crop, day, next_, left):
        assert days(programme, crop, date(2026, 11, 20), day) == {
            "next": next_,
            "last": date(2027, 1, 1),
            "left": left,
        }

    @given(sowing=DATES, day=DATES)
    def test_are_those_of_the_calendar(self, programme, crop, sowing, day):
        found = calendar(sowing, crop.days, variety_of(programme.varieties, crop.key), 1.25)
        weedings = [step.first for step in found.steps if step.task is Task.WEEDING]

        told = days(programme, crop, sowing, day)
        assert told["last"] == weedings[-1]
        assert told["next"] == next((each for each in weedings if each >= day), weedings[-1])
        assert told["left"] == sum(each >= day for each in weedings)

    def test_a_day_is_the_programmes_and_not_the_machines(self, programme, crop):
        """22:00 in UTC on the last day is one o'clock of the next three hours east of it."""
        run = weeding(programme, crop)[0].run

        found = run({"plot.sowing": "2026-11-20"}, datetime(2027, 1, 1, 22, tzinfo=UTC))
        assert found["left"] == 0

    def test_a_crop_without_weedings_has_no_dates(self, programme, crop):
        for silent in (replace(crop, days=None), replace(crop, days=replace(crop.days, weedings=()))):
            with pytest.raises(MissingFigure) as refused:
                days(programme, silent, date(2026, 11, 20), date(2026, 12, 1))
            assert notice_of(refused.value) == "no_dates"

    def test_a_text_that_is_no_day_is_refused(self, programme, crop):
        with pytest.raises(CannotBe):
            days(programme, crop, "soon", date(2026, 12, 1))


class TestWork:
    def test_is_the_field_by_what_one_person_weeds_in_a_day(self, programme, crop):
        """85 m² an hour for 6 hours is 510 m² a day: arithmetic on the programme's figures."""
        assert work(programme, crop, 510) == 1
        assert work(programme, crop, 511) == 2
        assert work(programme, crop, ACRE_M2) == 8
        assert work(programme, crop, HECTARE_M2) == 20

    @given(area_m2=st.floats(202.4, 80_900))
    def test_a_day_that_is_begun_counts_and_no_more(self, programme, crop, area_m2):
        found = work(programme, crop, area_m2)

        assert (found - 1) * 510 <= area_m2 * (1 + 1e-9)
        assert area_m2 <= found * 510 * (1 + 1e-9)

    @pytest.mark.parametrize("lacks", ["section", "figure"])
    def test_a_programme_that_says_nothing_has_the_days_and_no_work(self, programme, crop, lacks):
        rows = None if lacks == "section" else replace(programme.land.work, weeded_m2_per_s=None)
        silent = replace(programme, land=replace(programme.land, work=rows))

        assert days(silent, crop, date(2026, 11, 20), date(2026, 12, 1))["left"] == 2
        with pytest.raises(MissingFigure, match="add a \\[row_work\\] section with weeded_by_one"):
            work(silent, crop, 1000)


def test_of_an_unknown_sowing_the_days_of_the_crop_are_told(programme, crop):
    """Three weeks after planting, and again three weeks later (New Vision agronomy column)."""
    found = weeding(programme, crop)[2].run({}, noon(date(2026, 12, 1)))

    assert found == {"after": 3 * 7, "after_last": 6 * 7}


@pytest.mark.parametrize(
    ("left", "holding"), [(0, {"weeding_is_over"}), (1, {"last_weeding_is_left"}), (2, set())]
)
def test_the_conditions_tell_how_many_are_left(left, holding):
    assert {each.name for each in conditions() if each.holds({"left": left})} == holding
