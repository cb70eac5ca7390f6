"""The sowing window of a zone in a given year, the last day on which sowing is safe, and what a slip changes.

A window is kept as days of the year and may run over New Year. The last safe day is counted back from the
expected end of the rains: the crop needs rain until shortly before it is ripe. When sowing slips, everything moves
with it: the dates, the age of the seed test, packs that run out, and at last the variety. A date is never a
reason to sow into dry soil; whether it has rained enough is asked of ``sow_now``.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from functools import lru_cache

from advisor.agronomy.errors import CannotBe
from advisor.agronomy.limits import within
from advisor.agronomy.season_calendar import Calendar, calendar, days_after
from advisor.agronomy.season_days import CropDays, Variety, ZoneSeason

#: A year without a leap day, in which days of the year are counted.
_COMMON_YEAR = 2001


@dataclass(frozen=True, slots=True)
class Window:
    """A sowing window.

    Args:
        opens: its first day.
        closes: its last day.
        rains_end: expected last day of the rains.
    """

    opens: date
    closes: date
    rains_end: date


def day_of_year(year: int, day: int) -> date:
    """The date of a day of the year, counted without leap days, so that it is the same month and day every year.

    Args:
        year: the year.
        day: 1 to 365.

    Returns:
        The date.

    Raises:
        OutOfRange: a day or year that cannot be.

    Source:
        Calendar.

    >>> day_of_year(2028, 60), day_of_year(2027, 365)
    (datetime.date(2028, 3, 1), datetime.date(2027, 12, 31))
    """
    within("day of year", day, 1, 365, "day")
    within("year", year, 1900, 2200, "1")
    return (date(_COMMON_YEAR, 1, 1) + timedelta(day - 1)).replace(year=year)


def window_for(season: ZoneSeason, today: date) -> Window:
    """The window that is open, or else the next.

    Args:
        season: when the crop is sown in the zone.
        today: the day to judge by.

    Returns:
        The first window that has not closed before today.

    Raises:
        OutOfRange: a year that cannot be.

    Source:
        The programme's figures.

    >>> season = ZoneSeason("hills", "pea", 319, 15, 105, 1.0, "rule", 30, 3, 3)
    >>> window = window_for(season, date(2027, 1, 15))
    >>> [str(day) for day in (window.opens, window.closes, window.rains_end)]
    ['2026-11-15', '2027-01-15', '2027-04-15']
    >>> window_for(season, date(2027, 1, 16)).opens
    datetime.date(2027, 11, 15)
    """
    windows = (_window(season, year) for year in (today.year - 1, today.year, today.year + 1))
    return next(window for window in windows if window.closes >= today)


def window_meant(season: ZoneSeason, sowing: date) -> Window:
    """The window that a day of sowing is judged by: who sows late sows for the rains that fall, not for the next.

    Args:
        season: when the crop is sown in the zone.
        sowing: the day of sowing.

    Returns:
        The window that the day lies in, or the one that it missed while the rains of that last, or else the next.

    Raises:
        OutOfRange: a year that cannot be.

    Source:
        The programme's figures.

    >>> season = ZoneSeason("hills", "pea", 319, 15, 105, 1.0, "rule", 30, 3, 3)
    >>> [window_meant(season, date(2027, month, 16)).opens.year for month in (1, 4, 11)]
    [2026, 2027, 2027]
    """
    windows = (_window(season, year) for year in (sowing.year - 1, sowing.year, sowing.year + 1))
    return next(window for window in windows if max(window.closes, window.rains_end) >= sowing)


@lru_cache(maxsize=256)
def _window(season: ZoneSeason, year: int) -> Window:
    """The window of a year; a programme has few zones, and every look at a date asks for up to three years."""
    opens = day_of_year(year, season.opens)
    closes = day_of_year(year if season.closes >= season.opens else year + 1, season.closes)
    rains_end = day_of_year(year if season.rains_end > season.opens else year + 1, season.rains_end)
    return Window(opens, closes, rains_end)


def likely_sowing(window: Window, today: date) -> date:
    """The day of sowing to plan with while none is named: the opening, or today once it is past.

    Args:
        window: a window that has not closed.
        today: the day to judge by.

    Returns:
        The day.

    Raises:
        CannotBe: the window has closed.

    Source:
        Own choice.

    >>> window = Window(date(2026, 11, 15), date(2027, 1, 15), date(2027, 4, 15))
    >>> likely_sowing(window, date(2026, 10, 1)), likely_sowing(window, date(2026, 12, 1))
    (datetime.date(2026, 11, 15), datetime.date(2026, 12, 1))
    """
    if today > window.closes:
        raise CannotBe("window_closed", f"the window closed on {window.closes}", "plan for the next window")
    return max(today, window.opens)


def last_safe_sowing(rains_end: date, variety: Variety, days: CropDays) -> date:
    """The last day on which a variety can be sown and still have rain as long as it needs it.

    Args:
        rains_end: expected last day of the rains.
        variety: the variety; its latest days to maturity count.
        days: days of the crop.

    Returns:
        The day.

    Raises:
        CannotBe: a date outside the calendar's years.

    Source:
        Own choice: the end of the rains less the days to maturity, plus the days before maturity that need none.

    >>> from advisor.agronomy.labels import Label
    >>> days = CropDays(15, 10, 8, 5, 2, 7, 10, (21, 42), 35, 42, 45, 14, 7, 30, 20)
    >>> last_safe_sowing(date(2027, 4, 15), Variety("v", "x", Label("v"), 110, 115), days)
    datetime.date(2027, 1, 10)
    """
    return days_after(rains_end, -max(0, variety.maturity_to - days.dry_down))


@dataclass(frozen=True, slots=True)
class Slipped:
    """A season whose sowing moved.

    Args:
        calendar: the calendar from the new day, with the variety to sow.
        days: days that sowing moved, below 0 where it moved forward.
        retest: whether the seed test is too old on the new day.
        expired: keys of the packs that run out before sowing ends.
        variety: the variety to sow now; None where none ripens on this season's rains any more.
        changed: whether it is another one than was chosen.
        last_safe: last safe day of that variety, or of the quickest where none is safe.
    """

    calendar: Calendar
    days: int
    retest: bool
    expired: tuple[str, ...]
    variety: Variety | None
    changed: bool
    last_safe: date


@dataclass(frozen=True, slots=True)
class Held:
    """What is at hand when sowing slips.

    Args:
        tested: day of the final count of the seed test, None while there is none.
        packs: key and last day of use of each pack.
        sowing_days: days that sowing takes, 1 or more.
    """

    tested: date | None = None
    packs: tuple[tuple[str, date], ...] = ()
    sowing_days: int = 1


def slip(
    planned: date,
    sowing: date,
    days: CropDays,
    varieties: Sequence[Variety],
    rains_end: date,
    held: Held,
    slowed_by: float = 1.0,
) -> Slipped:
    """What changes when sowing moves to another day.

    Args:
        planned: the day that was planned.
        sowing: the new day.
        days: days of the crop.
        varieties: varieties of the crop, the chosen one first.
        rains_end: expected last day of the rains.
        held: test and packs at hand.
        slowed_by: factor by which cool soil stretches the days up to flowering, 1 to 3.

    Returns:
        The new season. Where the chosen variety is no longer safe, the slowest one that is takes its place.

    Raises:
        CannotBe: no variety, or a date outside the calendar's years.
        OutOfRange: days of sowing or a factor that cannot be.

    Source:
        Own choice; the days are figures of crop, variety and zone.

    >>> from advisor.agronomy.labels import Label
    >>> days = CropDays(15, 10, 8, 5, 2, 7, 10, (21, 42), 35, 42, 45, 14, 7, 30, 20)
    >>> slow, quick = Variety("slow", "x", Label("slow"), 110, 115), Variety("quick", "x", Label("quick"), 85, 90)
    >>> held = Held(tested=date(2026, 12, 10), packs=(("i1", date(2027, 1, 12)),))
    >>> moved = slip(date(2026, 12, 20), date(2027, 1, 15), days, [slow, quick], date(2027, 4, 15), held)
    >>> moved.days, moved.retest, moved.expired, moved.variety.key
    (26, True, ('i1',), 'quick')
    """
    if not varieties:
        raise CannotBe("no_variety", "there is no variety to sow", "add a variety to the programme file")
    within("sowing days", held.sowing_days, 1, 365, "day")
    safe = [each for each in varieties if sowing <= last_safe_sowing(rains_end, each, days)]
    chosen = varieties[0]
    if chosen in safe:
        variety: Variety | None = chosen
    else:
        variety = max(safe, key=lambda each: each.maturity_to, default=None)
    told = variety or min(varieties, key=lambda each: each.maturity_to)
    finished = days_after(sowing, held.sowing_days - 1)
    return Slipped(
        calendar=calendar(sowing, days, told, slowed_by),
        days=(sowing - planned).days,
        retest=held.tested is not None and (sowing - held.tested).days > days.retest_after,
        expired=tuple(key for key, last in held.packs if last < finished),
        variety=variety,
        changed=variety is not None and variety != chosen,
        last_safe=last_safe_sowing(rains_end, told, days),
    )
