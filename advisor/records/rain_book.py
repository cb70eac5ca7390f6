"""What the rain gauges of a zone have shown, by village and day. Pure; a correction takes the place of a reading.

A day of the zone is the mean of the gauges that were read on it; a day that nobody read is not known, and no day
without rain is guessed.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Any

from advisor.agronomy.errors import CannotBe, OutOfRange
from advisor.agronomy.rain import Rain

#: More in a day is a slip of the finger where such gauges stand. Own choice; no rule asks for more than 75 mm.
MOST_READ_MM = 500.0
#: Older days no season rests on.
OLDEST_DAYS = 400


@dataclass(frozen=True, slots=True)
class Reading:
    """What one gauge showed.

    Args:
        village: key of the village that the gauge stands in.
        day: the day that the rain fell on.
        mm: rain of the day [mm], 0 for a day on which the gauge was read and was dry.
        by: key of the agent who read it, empty for the office.
    """

    village: str
    day: date
    mm: float
    by: str = ""


@dataclass(frozen=True, slots=True)
class RainBook:
    """All readings of a zone, sorted by day and village, one for each.

    >>> day = date(2027, 3, 1)
    >>> book = RainBook().reads(Reading("v1", day, 12.0), day).reads(Reading("v2", day, 18.0), day)
    >>> book.series(day).mm
    (15.0,)
    """

    readings: tuple[Reading, ...] = ()

    def reads(self, reading: Reading, today: date) -> RainBook:
        """With one more reading, in place of an earlier one of that village and day.

        Args:
            reading: the reading.
            today: the day, which no reading can be after.

        Raises:
            OutOfRange: less than nothing, or more than falls.
            CannotBe: a day that has not come, or one too long ago.
        """
        if not 0 <= reading.mm <= MOST_READ_MM:
            raise OutOfRange("rain of a day", reading.mm, 0, MOST_READ_MM, "mm")
        if not timedelta(0) <= today - reading.day <= timedelta(days=OLDEST_DAYS):
            raise CannotBe(
                "no_day_of_rain",
                f"{reading.day} is not one of the last {OLDEST_DAYS} days",
                f"give a day from {today - timedelta(days=OLDEST_DAYS)} to {today}",
            )
        others = tuple(one for one in self.readings if (one.village, one.day) != (reading.village, reading.day))
        kept = (one for one in (*others, reading) if today - one.day <= timedelta(days=OLDEST_DAYS))
        return replace(self, readings=tuple(sorted(kept, key=lambda one: (one.day, one.village))))

    def without(self, village: str, day: date) -> RainBook:
        """Without a reading that was none."""
        return RainBook(tuple(one for one in self.readings if (one.village, one.day) != (village, day)))

    def series(self, today: date) -> Rain:
        """Daily rain of the zone, from the first day read to today; empty where nothing was read.

        Args:
            today: the last day of the series.
        """
        if not self.readings:
            return Rain(today, ())
        first = self.readings[0].day
        found: list[float | None] = []
        for at in range((today - first).days + 1):
            of_day = [one.mm for one in self.readings if one.day == first + timedelta(days=at)]
            found.append(sum(of_day) / len(of_day) if of_day else None)
        return Rain(first, tuple(found))


def rain_to_json(book: RainBook) -> list[list[Any]]:
    """As plain JSON values.

    >>> rain_to_json(RainBook((Reading("v1", date(2027, 3, 1), 12.5, "a1"),)))
    [['v1', '2027-03-01', 12.5, 'a1']]
    """
    return [[one.village, one.day.isoformat(), one.mm, one.by] for one in book.readings]


def rain_from_json(stored: list[list[Any]]) -> RainBook:
    """As it was stored."""
    return RainBook(tuple(Reading(village, date.fromisoformat(day), mm, by) for village, day, mm, by in stored))
