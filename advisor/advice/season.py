"""The dates of a season for a dialogue: is today a day to sow, and what follows from the day that is meant.

The variety that the grower named is taken, else the crop's usual one, and the window of the zone in which the
village lies. A day counts as late while the rains of its window still last, and as early once they have ended: the
next one is meant then.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from enum import StrEnum

from advisor.advice.days import day_in
from advisor.agronomy.crop import Crop
from advisor.agronomy.errors import CannotBe, MissingFigure
from advisor.agronomy.labels import Label
from advisor.agronomy.programme import Programme
from advisor.agronomy.rain import Rain
from advisor.agronomy.season_calendar import Calendar, Task, When, calendar, day_for_test
from advisor.agronomy.season_days import CropDays, Variety, ZoneSeason, variety_of, zone_season
from advisor.agronomy.sow_now import sow_in_zone
from advisor.agronomy.sowing_window import Window, last_safe_sowing, window_for
from advisor.dialogue.registry import Calculation, Condition, Sight, Takes
from advisor.wording.kinds import Day, Kind, Number, OneOf, Whole

#: The most rain that may be typed [mm]; flows ask within it.
MOST_RAIN_MM = 500
_ONE_DAY = timedelta(1)
_ONE_YEAR = timedelta(365)
_OF_WINDOW = ("opens", "closes", "last")
#: Each date by the task that it belongs to: its first day, and its last where a text names that too.
_OF_TASKS = {
    Task.SEED_TEST: ("test_from", "test_to"),
    Task.BUY: ("", "buy_by"),
    Task.PICK_UP_INOCULANT: ("pick_up", ""),
    Task.EMERGENCE_CHECK: ("check_from", "check_to"),
    Task.NODULE_CHECK: ("nodules_from", "nodules_to"),
    Task.FLOWERING: ("flowers", ""),
    Task.HARVEST: ("harvest_from", "harvest_to"),
}


class Fits(StrEnum):
    """How a day lies to the sowing window."""

    EARLY = "early"
    IN_WINDOW = "in_window"
    LATE = "late"
    UNSAFE = "unsafe"


class Due(StrEnum):
    """What is to be done first."""

    TEST = "test"
    TEST_LATE = "test_late"
    BUY = "buy"
    SOW = "sow"
    CHECK = "check"
    WEED = "weed"
    NODULES = "nodules"
    HARVEST = "harvest"
    OVER = "over"


def season(programme: Programme, crop: Crop) -> tuple[Calculation, ...]:
    """The calculations of a season's dates.

    Args:
        programme: windows of its zones, and its varieties.
        crop: the crop that is sown.
    """
    runs = SeasonDates(programme, crop)
    village, kind = Takes("grower.village", (OneOf,)), Takes("plot.variety", (OneOf,))
    kept = Takes("plot.sowing", (Day,))
    used = ("plot.variety",)
    rain = _rain_kinds(programme, crop)
    dates = (name for names in _OF_TASKS.values() for name in names if name)

    def days(*names: str) -> tuple[tuple[str, Day], ...]:
        return tuple((name, Day()) for name in names)

    return (
        Calculation(
            "sow_today",
            ("grower.village",),
            used,
            (*days(*_OF_WINDOW), *((name, rain[name]) for name in ("rain", "within", "moist"))),
            runs.today,
            also=("fits",),
            takes=(village, kind),
        ),
        Calculation(
            "meant_day", ("plot.sowing",), (), days("sowing"), runs.meant, also=("test_must_begin",), takes=(kept,)
        ),
        Calculation(
            "rain_so_far",
            ("grower.village", "rain_mm"),
            used,
            tuple((name, rain[name]) for name in ("fallen", "missing")),
            runs.rain,
            takes=(village, Takes("rain_mm", (Whole,)), kind),
        ),
        Calculation(
            "season_dates",
            ("grower.village", "plot.sowing"),
            used,
            (
                *days(*_OF_WINDOW, "sowing", *dates, "weed", "weed_last", "count"),
                ("variety", OneOf(varieties(programme, crop))),
            ),
            runs.dates,
            also=("fits", "due"),
            sometimes=("count",),
            takes=(village, kept, kind),
        ),
    )


def varieties(programme: Programme, crop: Crop) -> tuple[tuple[str, Label], ...]:
    """Key and name of each variety of the crop, the usual one first; a programme without any has no dates."""
    named = tuple((each.key, each.label) for each in programme.varieties if each.crop == crop.key)
    return named or (("usual", Label("usual")),)


def conditions() -> tuple[Condition, ...]:
    """The conditions on dates that flows may name."""

    def fits(name: str, fits: Fits) -> Condition:
        return Condition(name, ("fits",), lambda sight: sight["fits"] is fits)

    def due(name: str, due: Due, *shows: str) -> Condition:
        return Condition(name, ("due",), lambda sight: sight["due"] is due, shows)

    return (
        fits("day_is_early", Fits.EARLY),
        fits("day_is_late", Fits.LATE),
        fits("day_is_unsafe", Fits.UNSAFE),
        due("test_is_due", Due.TEST),
        due("test_is_late", Due.TEST_LATE, "count"),
        due("buying_is_due", Due.BUY),
        due("sowing_is_due", Due.SOW),
        due("check_is_due", Due.CHECK),
        due("weeding_is_due", Due.WEED),
        due("nodules_are_due", Due.NODULES),
        due("harvest_is_due", Due.HARVEST),
        Condition("test_must_begin", ("test_must_begin",), lambda sight: sight["test_must_begin"] is True),
        Condition("rain_is_enough", ("missing",), lambda sight: sight["missing"] == 0),
    )


@dataclass(frozen=True, slots=True)
class SeasonDates:
    """The calculations themselves, bound to a programme.

    Args:
        programme: windows of its zones, and its varieties.
        crop: the crop that is sown.
    """

    programme: Programme
    crop: Crop

    def today(self, sight: Sight, now: datetime) -> Mapping[str, object]:
        """Before, in or after the window, with the window that is open or else the next."""
        zone, days, variety = self.figures(sight)
        today = self.day_in_zone(now)
        window = window_for(zone, today)
        fits = _fits(zone, days, variety, today)
        if fits in (Fits.LATE, Fits.UNSAFE) and today >= window.opens:
            window = window_for(zone, window.closes + _ONE_DAY)
        rain = {"rain": zone.sowing_mm, "within": zone.sowing_days, "moist": zone.moist_days}
        return {**_window_results(window, days, variety), **rain, "fits": fits}

    def rain(self, sight: Sight, now: datetime) -> Mapping[str, object]:
        """Whether the rain of the last days wets the soil for sowing, and how much is still wanted."""
        zone, days, variety = self.figures(sight)
        today, fallen = self.day_in_zone(now), float(str(sight["rain_mm"]))
        # Whoever names a sum has measured all of its days; the last of them stands for all.
        dry = (0.0,) * (zone.sowing_days + zone.moist_days)
        found = sow_in_zone(zone, variety, days, Rain(today - len(dry) * _ONE_DAY, (*dry, fallen)), today)
        return {"fallen": fallen, "missing": found.missing_mm}

    def meant(self, sight: Sight, now: datetime) -> Mapping[str, object]:
        """The day of sowing, and whether a seed test can wait no longer, on whatever soil."""
        sowing, days = day_of(sight["plot.sowing"]), self.crop.days
        last = days.test_to if days is not None else 0
        return {"sowing": sowing, "test_must_begin": (sowing - self.day_in_zone(now)).days <= last}

    def dates(self, sight: Sight, now: datetime) -> Mapping[str, object]:
        """Every date that follows from the day of sowing, and what is due first."""
        zone, days, variety = self.figures(sight)
        sowing, today = day_of(sight["plot.sowing"]), self.day_in_zone(now)
        found = calendar(sowing, days, variety, zone.slowed_by)
        fits = _fits(zone, days, variety, sowing)
        # What is said of a late day is said of the window that it missed.
        window = window_for(zone, sowing if fits in (Fits.EARLY, Fits.IN_WINDOW) else _missed(zone, sowing))
        weedings = [step.first for step in found.steps if step.task is Task.WEEDING]
        if not weedings:
            raise _no_dates("add [[calendar.weedings]] to the file of the crop")
        due, count = self._due(found, days, zone, today)
        results: dict[str, object] = {
            **_window_results(window, days, variety),
            "sowing": sowing,
            "weed": next((day for day in weedings if day >= today), weedings[-1]),
            "weed_last": weedings[-1],
            "fits": fits,
            "due": due,
            "variety": variety.key,
        }
        for task, (first, last) in _OF_TASKS.items():
            step = found.step(task)
            results |= {first: step.first} if first else {}
            results |= {last: step.last} if last else {}
        return results if count is None else results | {"count": count}

    def _due(self, found: Calendar, days: CropDays, zone: ZoneSeason, today: date) -> tuple[Due, date | None]:
        """What is due first, and the day of the final count of a test that is put out late."""
        if today <= found.sowing:
            test = day_for_test(today, found.sowing, days, zone.slowed_by)
            if test.when in (When.EARLY, When.NOW):
                return Due.TEST, None
            if test.when is When.LATE:
                return Due.TEST_LATE, test.final_count
            return (Due.BUY if today <= found.step(Task.BUY).last else Due.SOW), None
        last_weeding = max(step.last for step in found.steps if step.task is Task.WEEDING)
        lasts = (
            (Due.CHECK, found.step(Task.EMERGENCE_CHECK).last),
            (Due.WEED, last_weeding),
            (Due.NODULES, max(found.step(Task.NODULE_CHECK).last, found.step(Task.FLOWERING).last)),
            (Due.HARVEST, found.step(Task.HARVEST).last),
        )
        return next((due for due, last in lasts if today <= last), Due.OVER), None

    def figures(self, sight: Sight) -> tuple[ZoneSeason, CropDays, Variety]:
        """Season of the village's zone, days of the crop and the usual variety."""
        village = self.programme.village(str(sight["grower.village"]))
        if village is None:
            raise _no_dates("choose one of the programme's villages")
        if self.crop.days is None:
            raise _no_dates("add a [calendar] section to the file of the crop")
        try:
            zone = zone_season(self.programme.seasons, self.crop.key, village.zone)
            key = sight.get("plot.variety")
            variety = variety_of(self.programme.varieties, self.crop.key, None if key is None else str(key))
            return zone, self.crop.days, variety
        except MissingFigure as missing:
            raise _no_dates(missing.instead) from missing

    def day_in_zone(self, now: datetime) -> date:
        """The day at a moment in the programme's time zone."""
        return day_in(self.programme, now)


def _no_dates(instead: str) -> MissingFigure:
    """Whatever lacks, the phone says one thing: that there are no dates for the place."""
    return MissingFigure("season", instead)


def day_of(value: object) -> date:
    """A day from what is known of it, text such as 2027-03-12.

    Raises:
        CannotBe: it is no day.
    """
    try:
        return date.fromisoformat(str(value))
    except ValueError:
        raise CannotBe("date", f"'{value}' is no day", "give a day as in 2027-03-12") from None


def _missed(zone: ZoneSeason, day: date) -> date:
    """A day of the window that a late day missed: the day itself, or the one a year before."""
    return day if window_for(zone, day).opens <= day else day - _ONE_YEAR


def _fits(zone: ZoneSeason, days: CropDays, variety: Variety, day: date) -> Fits:
    """How a day lies to the window that it is in, or to the one whose rains still last, or else to the next."""
    window = window_for(zone, _missed(zone, day))
    if day > window.rains_end:
        return Fits.EARLY
    if day > last_safe_sowing(window.rains_end, variety, days):
        return Fits.UNSAFE
    return Fits.LATE if day > window.closes else Fits.IN_WINDOW


def _window_results(window: Window, days: CropDays, variety: Variety) -> dict[str, object]:
    last = last_safe_sowing(window.rains_end, variety, days)
    if last < window.opens:
        raise _no_dates("name a quicker variety first: this one is never ripe before the rains end")
    return {"opens": window.opens, "closes": window.closes, "last": last}


def _rain_kinds(programme: Programme, crop: Crop) -> dict[str, Kind]:
    zones = [zone for zone in programme.seasons if zone.crop == crop.key]
    mm = max((zone.sowing_mm for zone in zones), default=0)
    return {
        "rain": Number(0, mm, 0),
        "within": Whole(0, max((zone.sowing_days for zone in zones), default=0)),
        "moist": Whole(0, max((zone.moist_days for zone in zones), default=0)),
        "fallen": Number(0, MOST_RAIN_MM, 0),
        "missing": Number(0, mm, 0),
    }
