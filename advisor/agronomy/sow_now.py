"""Sow now, or wait: for rain, for the window, or for another season.

Two things are asked and both must be true: the day lies in the sowing window and is safe for the variety, and the
soil is moist from enough rain in the last days. Rain that is not measured is not rain. A window that is about to
close changes nothing: seed in dry soil is lost, and another variety or crop is the answer, not haste.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from advisor.agronomy.errors import OutOfRange
from advisor.agronomy.limits import within
from advisor.agronomy.rain import MOST_MM, Rain
from advisor.agronomy.season_days import CropDays, Variety, ZoneSeason
from advisor.agronomy.sowing_window import Window, last_safe_sowing, window_for


class Sow(StrEnum):
    """What to do today."""

    NOW = "now"
    WAIT_FOR_WINDOW = "wait_for_window"
    WAIT_FOR_RAIN = "wait_for_rain"
    LOOK_AT_SOIL = "look_at_soil"
    NOT_THIS_SEASON = "not_this_season"


@dataclass(frozen=True, slots=True)
class SowingRain:
    """Rain that wets the soil for sowing.

    Args:
        mm: so much [mm], above 0.
        within_days: in so many days, 1 or more.
        moist_days: days after its last rain in which the soil is still moist enough, 0 or more.
    """

    mm: float
    within_days: int
    moist_days: int


@dataclass(frozen=True, slots=True)
class SowNow:
    """Whether to sow today.

    Args:
        sow: what to do. ``look_at_soil`` where days were not measured and it may have rained enough;
            ``not_this_season`` also before a window that opens too late for the variety.
        fallen_mm: the most that was surely measured in so many days on end, closing with one of the last days.
        missing_mm: rain that is still wanted, 0 when it is enough.
        days_left: days to the last safe day of the window, below 0 when it is past.
    """

    sow: Sow
    fallen_mm: float
    missing_mm: float
    days_left: int


def sow_now(rain: Rain, today: date, needed: SowingRain, window: Window, last_safe: date) -> SowNow:
    """Whether to sow today.

    Args:
        rain: daily rain up to today; what is missing is taken as not measured, days after today are ignored.
        today: the day.
        needed: rain that wets the soil.
        window: the sowing window.
        last_safe: last day that is safe for the variety.

    Returns:
        What to do, and how much rain is wanted.

    Raises:
        OutOfRange: an amount or days that cannot be.

    Source:
        Own choice. Amounts are figures of the zone: 20 to 30 mm in southern Africa, 75 to 100 mm in central India.

    >>> window = Window(date(2026, 11, 15), date(2027, 1, 15), date(2027, 4, 15))
    >>> rain, needed = Rain(date(2026, 11, 18), (14.0, 18.0, 0.0)), SowingRain(30, 3, 2)
    >>> sow_now(rain, date(2026, 11, 20), needed, window, date(2027, 1, 10)).sow
    <Sow.NOW: 'now'>
    >>> sow_now(rain, date(2026, 11, 24), needed, window, date(2027, 1, 10)).sow
    <Sow.LOOK_AT_SOIL: 'look_at_soil'>
    """
    if not 0 < needed.mm <= MOST_MM:
        raise OutOfRange("sowing rain", needed.mm, "above 0", MOST_MM, "mm")
    within("days of sowing rain", needed.within_days, 1, 30, "day")
    within("moist days", needed.moist_days, 0, 30, "day")
    fallen = _most(rain, today, needed, 0.0)
    missing = max(0.0, round(needed.mm - fallen, 6))
    last = min(window.closes, last_safe)
    if today > last or last < window.opens:
        sow = Sow.NOT_THIS_SEASON
    elif today < window.opens:
        sow = Sow.WAIT_FOR_WINDOW
    elif missing == 0:
        sow = Sow.NOW
    else:
        enough = _most(rain, today, needed, MOST_MM) >= needed.mm
        sow = Sow.LOOK_AT_SOIL if enough else Sow.WAIT_FOR_RAIN
    return SowNow(sow, fallen, missing, (last - today).days)


def sow_in_zone(season: ZoneSeason, variety: Variety, days: CropDays, rain: Rain, today: date) -> SowNow:
    """Whether to sow a variety today by the figures of its zone.

    Args:
        season: window, rain and end of the rains of the zone.
        variety: the variety.
        days: days of the crop.
        rain: daily rain up to today.
        today: the day.

    Returns:
        What to do. Once the window has closed it is the next one that is waited for.

    Raises:
        OutOfRange: an amount or days that cannot be.

    Source:
        As ``sow_now``; window, rain and days are figures of zone, variety and crop.

    >>> from advisor.agronomy.labels import Label
    >>> season = ZoneSeason("hills", "pea", 319, 10, 105, 1.0, "rule", 30, 3, 3)
    >>> days = CropDays(15, 10, 8, 5, 2, 7, 10, (21, 42), 35, 42, 45, 14, 7, 30, 20)
    >>> usual, rain = Variety("v", "pea", Label("v"), 110, 115), Rain(date(2027, 1, 8), (40.0,))
    >>> told = sow_in_zone(season, usual, days, rain, date(2027, 1, 10))
    >>> told.sow, told.days_left
    (<Sow.NOW: 'now'>, 0)
    """
    window = window_for(season, today)
    needed = SowingRain(season.sowing_mm, season.sowing_days, season.moist_days)
    return sow_now(rain, today, needed, window, last_safe_sowing(window.rains_end, variety, days))


def _most(rain: Rain, today: date, needed: SowingRain, unknown_mm: float) -> float:
    """The largest sum of days on end that closes with a rainy day among the last ones; 0 where there is none."""
    most = 0.0
    last = (today - rain.first).days
    for end in range(last - needed.moist_days, last + 1):
        days = [_fallen(rain, at, unknown_mm) for at in range(end - needed.within_days + 1, end + 1)]
        if days[-1] > 0:
            most = max(most, sum(days))
    return most


def _fallen(rain: Rain, at: int, unknown_mm: float) -> float:
    known = rain.mm[at] if 0 <= at < len(rain.mm) else None
    return unknown_mm if known is None else known
