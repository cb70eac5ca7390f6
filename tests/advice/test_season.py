"""The dates of a season on the phone are those of the calculator, and what lacks is refused by one name."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.advice.season import Due, Fits, conditions, season, varieties
from advisor.agronomy.errors import CannotBe, MissingFigure
from advisor.agronomy.rain import Rain
from advisor.agronomy.season_calendar import Task, calendar
from advisor.agronomy.season_days import variety_of, zone_season
from advisor.agronomy.sow_now import Sow, sow_in_zone
from advisor.dialogue.notices import TEXTS, notice_of
from advisor.loading import load_book, load_figures
from tests.dialogue.talker import Talker

VALLEY, HILLS = "v1", "v4"


def noon(day):
    return datetime(day.year, day.month, day.day, 9, tzinfo=UTC)


def run(programme, crop, name, day, village, **known):
    calculation = next(each for each in season(programme, crop) if each.name == name)
    return calculation.run({"grower.village": village, **known}, noon(day))


def today(programme, crop, day, village=VALLEY, **known):
    return run(programme, crop, "sow_today", day, village, **known)


def dates(programme, crop, sowing, day, village=VALLEY, **known):
    return run(programme, crop, "season_dates", day, village, **{"plot.sowing": str(sowing), **known})


def rain(programme, crop, fallen, day, village=VALLEY):
    return run(programme, crop, "rain_so_far", day, village, rain_mm=fallen)


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
        found = season(programme, crop)[0].run({"grower.village": VALLEY}, datetime(2026, 11, 14, 22, tzinfo=UTC))
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


class TestAnotherVariety:
    """Ripe after 95 days at the latest where the usual one takes 115, by the programme's file."""

    def test_moves_the_last_safe_day_by_what_it_is_quicker(self, programme, crop):
        usual, early = (
            today(programme, crop, date(2026, 11, 20), **known) for known in ({}, {"plot.variety": "a2"})
        )

        assert (usual["last"], early["last"]) == (date(2027, 1, 10), date(2027, 1, 30))
        assert usual["closes"] == early["closes"]

    @pytest.mark.parametrize(("known", "key", "ripe"), [({}, "a1", 110), ({"plot.variety": "a2"}, "a2", 90)])
    def test_is_harvested_by_its_own_days(self, programme, crop, known, key, ripe):
        found = dates(programme, crop, date(2026, 11, 20), date(2026, 10, 1), **known)

        assert (found["variety"], found["harvest_from"]) == (key, date(2026, 11, 20) + timedelta(ripe))

    def test_makes_a_day_late_that_the_usual_one_makes_unsafe(self, programme, crop):
        fits = [
            dates(programme, crop, date(2027, 1, 15), date(2026, 10, 1), **known)["fits"]
            for known in ({}, {"plot.variety": "a2"})
        ]

        assert fits == [Fits.UNSAFE, Fits.LATE]

    def test_that_the_programme_has_dropped_is_told_as_having_no_dates(self, programme, crop):
        with pytest.raises(MissingFigure) as refused:
            today(programme, crop, date(2026, 11, 20), **{"plot.variety": "a9"})

        assert notice_of(refused.value) == "no_dates"

    def test_the_list_names_those_of_the_crop_and_is_never_empty(self, programme, crop):
        assert [key for key, _ in varieties(programme, crop)] == ["a1", "a2"]
        assert len(varieties(replace(programme, varieties=()), crop)) == 1


class TestRainForSowing:
    """30 mm in three days, good for three days more: the programme's figures for both zones."""

    def test_what_is_enough_is_told_with_the_day(self, programme, crop):
        found = today(programme, crop, date(2026, 11, 20))

        assert (found["rain"], found["within"], found["moist"]) == (30, 3, 3)

    @pytest.mark.parametrize(("fallen", "missing"), [(0, 30), (20, 10), (29, 1), (30, 0), (500, 0)])
    def test_what_is_missing_is_the_difference(self, programme, crop, fallen, missing):
        found = rain(programme, crop, fallen, date(2026, 11, 20))

        assert found == {"fallen": fallen, "missing": missing}
        enough = next(each for each in conditions() if each.name == "rain_is_enough")
        assert enough.holds(found) == (missing == 0)

    @given(
        day=st.dates(date(2024, 1, 1), date(2032, 12, 31)),
        fallen=st.integers(0, 500),
        village=st.sampled_from([VALLEY, HILLS]),
    )
    def test_is_enough_in_the_window_exactly_where_the_calculator_says_sow(
        self, programme, crop, day, fallen, village
    ):
        """With every day before it measured as dry."""
        zone = zone_season(programme.seasons, crop.key, programme.village(village).zone)
        measured = Rain(day - timedelta(9), (*[0.0] * 9, float(fallen)))
        told = sow_in_zone(zone, variety_of(programme.varieties, crop.key), crop.days, measured, day).sow

        if today(programme, crop, day, village)["fits"] is Fits.IN_WINDOW:
            enough = rain(programme, crop, fallen, day, village)["missing"] == 0
            assert told is (Sow.NOW if enough else Sow.WAIT_FOR_RAIN)


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


class TestTheDayThatIsMeant:
    """A test can wait until the crop's last good day, `test_to` days before the sowing, on whatever soil."""

    @pytest.mark.parametrize(("ahead", "must"), [(11, False), (10, True), (0, True)])
    def test_a_test_can_wait_until_the_last_good_day(self, programme, crop, ahead, must):
        day = date(2026, 12, 1)
        found = run(programme, crop, "meant_day", day - timedelta(ahead), "", **{"plot.sowing": str(day)})

        assert crop.days.test_to == 10
        assert (found["sowing"], found["test_must_begin"]) == (day, must)
