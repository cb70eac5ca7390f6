"""The calendar of a season: every date from the seed test to the seed kept for next year, counted from sowing.

What must be done before sowing is counted back from it, what grows is counted on. Days to maturity are counted
from sowing, so emergence is never added to them. Cool soil stretches the days up to flowering and the days that
a seed test takes; maturity is the variety's own. The test comes first: its final count must leave time to buy.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum

from advisor.agronomy.errors import CannotBe
from advisor.agronomy.limits import whole_up, within
from advisor.agronomy.season_days import CropDays, Variety


class Task(StrEnum):
    """What is done in a season, in its usual order."""

    SEED_TEST = "seed_test"
    BUY = "buy"
    PICK_UP_INOCULANT = "pick_up_inoculant"
    SOWING = "sowing"
    EMERGENCE_CHECK = "emergence_check"
    WEEDING = "weeding"
    NODULE_CHECK = "nodule_check"
    FLOWERING = "flowering"
    MATURITY = "maturity"
    HARVEST = "harvest"
    DRYING = "drying"
    KEEP_SEED = "keep_seed"


class When(StrEnum):
    """How a day suits for putting out the seed test."""

    EARLY = "early"
    NOW = "now"
    LATE = "late"
    TOO_LATE = "too_late"


@dataclass(frozen=True, slots=True)
class TestDay:
    """A day on which the seed test might be put out.

    Args:
        when: how it suits; ``late`` leaves no time to buy by the proper day, ``too_late`` has no final count
            before sowing.
        day: days that are left to sowing.
        final_count: day of the final count.
    """

    __test__ = False  # no class of tests, whatever its name

    when: When
    day: int
    final_count: date


@dataclass(frozen=True, slots=True)
class Step:
    """One task of a season.

    Args:
        task: what is done.
        first: first day for it.
        last: last day for it, the same where it is one day.
        day: days from sowing to the first day, below 0 before it.
    """

    task: Task
    first: date
    last: date
    day: int


@dataclass(frozen=True, slots=True)
class Calendar:
    """A season.

    Args:
        sowing: the day of sowing.
        steps: the tasks by their first days.
    """

    sowing: date
    steps: tuple[Step, ...]

    def step(self, task: Task) -> Step:
        """The first step of a task; every calendar has one of each, and of weeding as many as the crop takes."""
        return next(step for step in self.steps if step.task is task)


def calendar(sowing: date, days: CropDays, variety: Variety, slowed_by: float = 1.0) -> Calendar:
    """Every date of a season.

    Args:
        sowing: the day of sowing.
        days: days of the crop.
        variety: the variety that is sown.
        slowed_by: factor by which cool soil stretches the days up to flowering, 1 to 3.

    Returns:
        The calendar.

    Raises:
        OutOfRange: a factor that cannot be.
        CannotBe: a date outside the calendar's years.

    Source:
        Own choice of tasks; the days are figures of crop, variety and zone.

    >>> from advisor.agronomy.labels import Label
    >>> days = CropDays(15, 10, 8, 5, 2, 7, 10, (21, 42), 35, 42, 45, 14, 7, 30, 20)
    >>> season = calendar(date(2026, 11, 20), days, Variety("v", "x", Label("v"), 110, 115))
    >>> [(str(step.task), step.day) for step in season.steps][:4]
    [('seed_test', -15), ('buy', -7), ('pick_up_inoculant', -2), ('sowing', 0)]
    >>> season.step(Task.MATURITY).first
    datetime.date(2027, 3, 10)
    """
    within("slowed by", slowed_by, 1, 3, "1")

    def slow(day: int) -> int:
        return whole_up(day * slowed_by)

    earlier = slow(days.final_count) - days.final_count
    ripe, cut = variety.maturity_from, variety.maturity_to + days.harvest_within
    named = [
        (Task.SEED_TEST, -days.test_from - earlier, -days.test_to - earlier),
        # From the day on which a test put out in time has its final count.
        (Task.BUY, min(days.final_count - days.test_from, -days.buy_by), -days.buy_by),
        (Task.PICK_UP_INOCULANT, -days.pick_up, 0),
        (Task.SOWING, 0, 0),
        (Task.EMERGENCE_CHECK, slow(days.emergence_from), slow(days.emergence_to)),
        *((Task.WEEDING, day, day) for day in days.weedings),
        (Task.NODULE_CHECK, slow(days.nodules_from), slow(days.nodules_to)),
        (Task.FLOWERING, slow(days.flowering), slow(days.flowering)),
        (Task.MATURITY, ripe, variety.maturity_to),
        (Task.HARVEST, ripe, cut),
        (Task.DRYING, ripe, cut + days.drying),
        (Task.KEEP_SEED, ripe + days.drying, cut + days.drying),
    ]
    steps = [Step(task, days_after(sowing, first), days_after(sowing, last), first) for task, first, last in named]
    return Calendar(sowing, tuple(sorted(steps, key=lambda step: step.day)))


def day_for_test(today: date, sowing: date, days: CropDays, slowed_by: float = 1.0) -> TestDay:
    """How today suits for putting out the seed test.

    Args:
        today: the day on which the test would be put out.
        sowing: the day of sowing.
        days: days of the crop.
        slowed_by: factor by which cool soil stretches the test, 1 to 3.

    Returns:
        Early, now, late or too late, with the days left and the day of the final count.

    Raises:
        OutOfRange: a factor that cannot be, or a sowing day that is past or over two years ahead.
        CannotBe: a date outside the calendar's years.

    Source:
        Common practice: the test is put out 15 to 10 days before sowing. Own choice of the warning: the final
        count must come by the day by which seed is bought.

    >>> days = CropDays(15, 10, 8, 5, 2, 7, 10, (21, 42), 35, 42, 45, 14, 7, 30, 20)
    >>> [str(day_for_test(date(2026, 11, day), date(2026, 11, 30), days).when) for day in (14, 15, 17, 18, 22, 23)]
    ['early', 'now', 'now', 'late', 'late', 'too_late']
    """
    left = (sowing - today).days
    within("days to sowing", left, 0, 366 * 2, "day")
    counted = whole_up(days.final_count * within("slowed by", slowed_by, 1, 3, "1"))
    if left > days.test_from + counted - days.final_count:
        when = When.EARLY
    elif left >= days.buy_by + counted:
        when = When.NOW
    else:
        when = When.LATE if left >= counted else When.TOO_LATE
    return TestDay(when, left, days_after(today, counted))


def days_after(day: date, number: int) -> date:
    """The day so many days after another, or before it.

    Args:
        day: the day to count from.
        number: days, below 0 to count back.

    Returns:
        The day.

    Raises:
        CannotBe: the day lies outside the calendar's years.

    Source:
        Calendar.

    >>> days_after(date(2028, 2, 28), 2), days_after(date(2027, 1, 1), -1)
    (datetime.date(2028, 3, 1), datetime.date(2026, 12, 31))
    """
    try:
        return day + timedelta(number)
    except OverflowError as beyond:
        raise CannotBe("date", f"a season cannot be counted from {day}", "give a date of this season") from beyond
