"""Whether a seed test is counted before the field is sown, for every list that asks for one or waits for one."""

from __future__ import annotations

from datetime import date, timedelta

from advisor.advice.counting_days import days_of_test
from advisor.advice.season import day_of
from advisor.agronomy.crop import Crop
from advisor.agronomy.programme import Programme
from advisor.dialogue.registry import Sight


def no_time_to_test(programme: Programme, crop: Crop, sight: Sight, today: date) -> bool:
    """Whether a test that is put out today is counted only after the field is sown.

    Args:
        programme: its villages, and the seasons of their zones.
        crop: the crop.
        sight: ``plot.sowing``, and ``grower.village``, whose cool soil stretches the days; both where known.
        today: the day on which seeds would be put out.

    Returns:
        False as well where no day of sowing is known, or it is past: a test is then for another one. A count on
        the day of sowing itself comes before it.

    >>> from datetime import date
    >>> sight = {"plot.sowing": "2026-12-01", "grower.village": "v1"}
    >>> [no_time_to_test(programme, crop, sight, date(2026, 11, day)) for day in (23, 24)]
    [False, True]
    """
    days = days_of_test(programme, crop, sight.get("grower.village"))
    return days is not None and is_after_sowing(today + timedelta(days[1]), sight, today)


def is_after_sowing(count: date, sight: Sight, today: date) -> bool:
    """Whether a count comes too late for the day of sowing.

    Args:
        count: the day of the final count.
        sight: ``plot.sowing`` where it is known.
        today: what is past by then is another sowing's.

    Returns:
        False where no day of sowing is known or to come. A count on that very day comes before the sowing.

    >>> from datetime import date
    >>> today, sight = date(2026, 11, 24), {"plot.sowing": "2026-12-01"}
    >>> [is_after_sowing(date(2026, 12, day), sight, today) for day in (1, 2)]
    [False, True]
    """
    told = sight.get("plot.sowing")
    return told is not None and today <= day_of(told) < count
