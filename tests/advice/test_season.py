"""The dates of a season on the phone are those of the calculator, and what lacks is refused by one name."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.advice.season import Due, Fits, season
from advisor.agronomy.errors import CannotBe, MissingFigure
from advisor.agronomy.rain import Rain
from advisor.agronomy.season_calendar import Task, calendar
from advisor.agronomy.season_days import variety_of, zone_season
from advisor.agronomy.sow_now import Sow, sow_in_zone
from advisor.dialogue.notices import TEXTS, notice_of
from advisor.loading import load_book, load_figures
from tests.dialogue.talker import Talker

VALLEY, HILLS = "v1", "v4"


@pytest.fixture(scope="module")
def programme():
    return load_book().programme


@pytest.fixture(scope="module")
def crop(programme):
    return next(crop for crop in load_figures()[1] if crop.key == programme.crops[0].crop)


def noon(day):
    return datetime(day.year, day.month, day.day, 9, tzinfo=UTC)


def today(programme, crop, day, village=VALLEY):
    return season(programme, crop)[0].run({"grower.village": village}, noon(day))


def dates(programme, crop, sowing, day, village=VALLEY):
    return season(programme, crop)[1].run({"grower.village": village, "plot.sowing": str(sowing)}, noon(day))


class TestToday:
    """Sown in the valley from 15 November to 10 January, over New Year, by the programme's file."""

    @pytest.mark.parametrize(
        ("day", "fits", "opens"),
        [
            (date(2026, 11, 14), Fits.EARLY, date(2026, 11, 15)),
            (date(2026, 11, 15), Fits.IN_WINDOW, date(2026, 11, 15)),
            (date(2027, 1, 1), Fits.IN_WINDOW, date(2026, 11, 15)),
            (date(2027, 1, 10), Fits.IN_WINDOW, date(2026, 11, 15)),
            (date(2027, 1, 11), Fits.UNSAFE, date(2027, 11, 15)),
            (date(2027, 4, 15), Fits.UNSAFE, date(2027, 11, 15)),
            (date(2027, 4, 16), Fits.EARLY, date(2027, 11, 15)),
            (date(2028, 2, 29), Fits.UNSAFE, date(2028, 11, 15)),
        ],
    )
    def test_is_before_in_or_after_the_window(self, programme, crop, day, fits, opens):
        found = today(programme, crop, day)

        assert (found["fits"], found["opens"]) == (fits, opens)

    def test_after_the_window_and_before_the_last_safe_day_it_is_late_and_no_more(self, programme, crop):
        """The hills close on 31 December; rains to 20 April less 115 days, plus 20 dry ones, is 15 January."""
        fits = [today(programme, crop, date(2027, 1, day), HILLS)["fits"] for day in (1, 15, 16)]

        assert fits == [Fits.LATE, Fits.LATE, Fits.UNSAFE]

    def test_is_the_day_of_the_programme_and_not_of_the_machine(self, programme, crop):
        """22:00 in UTC is one o'clock of the next day three hours east of it."""
        run = season(programme, crop)[0].run

        found = run({"grower.village": VALLEY}, datetime(2026, 11, 14, 22, tzinfo=UTC))
        assert found["fits"] is Fits.IN_WINDOW

    @given(day=st.dates(date(2024, 1, 1), date(2032, 12, 31)), village=st.sampled_from([VALLEY, HILLS]))
    def test_is_never_in_the_window_where_the_calculator_says_wait_or_leave_it(
        self, programme, crop, day, village
    ):
        zone = zone_season(programme.seasons, crop.key, programme.village(village).zone)
        told = sow_in_zone(zone, variety_of(programme.varieties, crop.key), crop.days, Rain(day, ()), day)

        in_window = today(programme, crop, day, village)["fits"] is Fits.IN_WINDOW
        # Without a measured rain the calculator's word for a day of the window is to look at the soil.
        assert in_window == (told.sow is Sow.LOOK_AT_SOIL)


class TestDates:
    @given(
        sowing=st.dates(date(2024, 1, 1), date(2032, 12, 31)),
        after=st.integers(-300, 200),
        village=st.sampled_from([VALLEY, HILLS]),
    )
    def test_are_those_of_the_calculator(self, programme, crop, sowing, after, village):
        zone = zone_season(programme.seasons, crop.key, programme.village(village).zone)
        expected = calendar(sowing, crop.days, variety_of(programme.varieties, crop.key), zone.slowed_by)
        day = sowing + timedelta(after)

        found = dates(programme, crop, sowing, day, village)

        for name, task in (("test", Task.SEED_TEST), ("check", Task.EMERGENCE_CHECK), ("harvest", Task.HARVEST)):
            step = expected.step(task)
            assert (found[f"{name}_from"], found[f"{name}_to"]) == (step.first, step.last)
        assert found["buy_by"] == expected.step(Task.BUY).last
        assert found["pick_up"] == expected.step(Task.PICK_UP_INOCULANT).first
        assert found["nodules_from"] == expected.step(Task.NODULE_CHECK).first
        assert found["nodules_to"] == expected.step(Task.NODULE_CHECK).last
        assert found["flowers"] == expected.step(Task.FLOWERING).first
        weedings = [step.first for step in expected.steps if step.task is Task.WEEDING]
        assert found["weed"] == next((each for each in weedings if each >= day), weedings[-1])
        assert found["weed_last"] == weedings[-1]
        assert ("count" in found) == (found["due"] is Due.TEST_LATE)

    @pytest.mark.parametrize(
        ("day", "due"),
        [
            (date(2026, 11, 7), Due.TEST),
            (date(2026, 11, 8), Due.TEST_LATE),
            (date(2026, 11, 12), Due.TEST_LATE),
            (date(2026, 11, 13), Due.BUY),
            (date(2026, 11, 15), Due.BUY),
            (date(2026, 11, 16), Due.SOW),
            (date(2026, 11, 20), Due.SOW),
            (date(2026, 11, 21), Due.CHECK),
            (date(2026, 11, 30), Due.CHECK),
            (date(2026, 12, 1), Due.WEED),
            (date(2027, 1, 1), Due.WEED),
            (date(2027, 1, 2), Due.NODULES),
            (date(2027, 1, 4), Due.NODULES),
            (date(2027, 1, 5), Due.HARVEST),
            (date(2027, 3, 29), Due.HARVEST),
            (date(2027, 3, 30), Due.OVER),
        ],
    )
    def test_what_is_due_first_follows_the_day(self, programme, crop, day, due):
        """Sown on 20 November: 8 days to the count, 5 to buy, 10, 42 and 45 days on, 115 + 14 to the last cut."""
        assert dates(programme, crop, date(2026, 11, 20), day)["due"] is due

    def test_a_late_test_names_the_day_of_its_count(self, programme, crop):
        found = dates(programme, crop, date(2026, 11, 20), date(2026, 11, 10))

        assert found["count"] == date(2026, 11, 18)
        assert found["count"] > found["buy_by"]

    @pytest.mark.parametrize(
        ("sowing", "fits", "closes"),
        [
            (date(2026, 11, 1), Fits.EARLY, date(2026, 12, 31)),
            (date(2027, 1, 10), Fits.LATE, date(2026, 12, 31)),
            (date(2028, 2, 29), Fits.UNSAFE, date(2027, 12, 31)),
        ],
    )
    def test_a_day_outside_is_told_of_the_window_that_it_misses(self, programme, crop, sowing, fits, closes):
        found = dates(programme, crop, sowing, date(2026, 10, 1), HILLS)

        assert (found["fits"], found["closes"]) == (fits, closes)


class TestRefusals:
    @pytest.mark.parametrize("lacks", ["seasons", "varieties", "village", "days"])
    def test_whatever_lacks_is_phrased_as_having_no_dates(self, programme, crop, lacks):
        village = "v99" if lacks == "village" else VALLEY
        poorer = replace(programme, **({lacks: ()} if lacks in ("seasons", "varieties") else {}))
        silent = replace(crop, days=None) if lacks == "days" else crop

        with pytest.raises(MissingFigure) as refused:
            today(poorer, silent, date(2026, 11, 20), village)
        assert TEXTS[notice_of(refused.value)] == "We have no dates for your place. Ask your agent."

    def test_so_is_a_crop_without_weedings(self, programme, crop):
        silent = replace(crop, days=replace(crop.days, weedings=()))

        with pytest.raises(MissingFigure) as refused:
            dates(programme, silent, date(2026, 11, 20), date(2026, 10, 1))
        assert notice_of(refused.value) == "no_dates"

    def test_and_a_variety_that_no_rains_are_long_enough_for(self, programme, crop):
        slow = replace(programme.varieties[0], maturity_from=300, maturity_to=330)

        with pytest.raises(MissingFigure) as refused:
            today(replace(programme, varieties=(slow,)), crop, date(2026, 11, 20))
        assert notice_of(refused.value) == "no_dates"

    def test_a_text_that_is_no_day_is_refused(self, programme, crop):
        with pytest.raises(CannotBe):
            dates(programme, crop, "2027-02-30", date(2026, 10, 1))

    def test_a_programme_without_a_calendar_says_so_above_the_menu(self, programme):
        book = load_book()
        bare = season(replace(programme, seasons=()), next(iter(load_figures()[1])))
        others = tuple(each for each in book.registry.calculations if each.name not in {c.name for c in bare})
        talker = Talker(replace(book, registry=replace(book.registry, calculations=(*others, *bare))))
        talker.dial()
        talker.type("1", "1", "2")

        assert "no dates for your place" in talker.type("4", "1")
        assert talker.spot == "welcome.about_sowing"
