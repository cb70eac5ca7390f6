"""What the rain gauges of a zone have shown, by village and day. Pure; a correction takes the place of a reading.

A day of the zone is the mean of the gauges that were read on it; a day that nobody read is not known, and no day
without rain is guessed. Beside the readings stands what was made of them: each beginning of the rains that growers
were told of, since a correction must neither tell it twice nor unsay it.
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
class Begun:
    """A beginning of the rains that was noted; it is the same one whatever is corrected later.

    Args:
        noted: the day on which it was noted, by which it is known.
        day: the last day up to then on which it had rained enough; who sows counts from it.
        doubted: the day on which a correction unmade it, None while the readings bear it out. A correction often
            takes two readings, and nothing is said between them.
        false: the day on which it was noted as a false start, None while it stands.
        counted_to: once it is a false start, the last day whose rain counts for it and for no later beginning.
    """

    noted: date
    day: date
    doubted: date | None = None
    false: date | None = None
    counted_to: date | None = None


@dataclass(frozen=True, slots=True)
class RainBook:
    """All readings of a zone, sorted by day and village, one for each, and what was noted of them.

    Args:
        readings: the readings.
        begun: beginnings of the rains, in their order.
        noted_ms: when one was last noted, or the end of one, Unix milliseconds; 0 for never.

    >>> day = date(2027, 3, 1)
    >>> book = RainBook().reads(Reading("v1", day, 12.0), day).reads(Reading("v2", day, 18.0), day)
    >>> book.series(day).mm
    (15.0,)
    """

    readings: tuple[Reading, ...] = ()
    begun: tuple[Begun, ...] = ()
    noted_ms: int = 0

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
        kept = tuple(one for one in self.readings if (one.village, one.day) != (village, day))
        return replace(self, readings=kept)

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


def rain_to_json(book: RainBook) -> dict[str, Any]:
    """As plain JSON values, without what there is none of.

    >>> rain_to_json(RainBook((Reading("v1", date(2027, 3, 1), 12.5, "a1"),)))
    {'rain': [['v1', '2027-03-01', 12.5, 'a1']]}
    """
    found: dict[str, Any] = {"rain": [[one.village, one.day.isoformat(), one.mm, one.by] for one in book.readings]}
    if book.begun:
        found["begun"] = [[day and day.isoformat() for day in _days(one)] for one in book.begun]
        found["noted"] = book.noted_ms
    return found


def rain_from_json(stored: dict[str, Any]) -> RainBook:
    """As it was stored."""
    return RainBook(
        tuple(Reading(village, date.fromisoformat(day), mm, by) for village, day, mm, by in stored["rain"]),
        tuple(Begun(*(day and date.fromisoformat(day) for day in days)) for days in stored.get("begun", ())),
        stored.get("noted", 0),
    )


def _days(begun: Begun) -> tuple[date | None, ...]:
    return begun.noted, begun.day, begun.doubted, begun.false, begun.counted_to
