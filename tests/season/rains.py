"""When the rains began and broke off by the published rule, reckoned anew, and who must have been told of it.

The rule of the programme's zones: 25 mm in ten days on end, the last of them wet; a false start where the twenty
days after it surely brought less than 20 mm (southern Africa, common practice, no source). Rain counts from the
opening of the sowing window, and behind a false start from the day after it was one. Nothing of the service is
asked: readings are those that agents know to have told, days and windows stand here.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta

_DAY = timedelta(days=1)
#: A day with less is dry.
_WET_MM = 1.0
_ENOUGH_MM, _WITHIN = 25.0, 10
_MORE_MM, _WATCHED = 20.0, 20
#: So many days after its last rain the soil is moist, and the beginning is told.
_MOIST = 3
#: Sums of tenths fall a hair short at times.
_HAIR = 1e-6
#: The sowing windows of the demonstration programme in the season of 2027: what rain counts from, and the last day
#: on which who sows has rain to the end.
WINDOWS = {
    "hills": (date(2027, 11, 6), date(2027, 12, 31)),
    "valley": (date(2027, 11, 15), date(2028, 1, 10)),
}


@dataclass(frozen=True, slots=True)
class Wet:
    """A wet time.

    Args:
        first: the day on which it had rained enough.
        last: the last day of it on which that was so.
        broke_off: the day on which it surely was a false start, None while it may last.
    """

    first: date
    last: date
    broke_off: date | None


def wet_times(rain: Mapping[date, float], counted: date, today: date) -> list[Wet]:
    """The wet times of a zone up to today, the last of which may last.

    Args:
        rain: of each day that was read [mm].
        counted: the first day whose rain counts.
        today: the day.
    """
    found: list[Wet] = []
    day = counted
    while day <= today:
        if not _is_enough(rain, day, counted):
            day += _DAY
            continue
        after = [rain.get(day + n * _DAY) for n in range(1, _WATCHED + 1)]
        over = day + _WATCHED * _DAY
        known = [mm for mm in after if mm is not None]
        is_over = over <= today and len(known) == _WATCHED and sum(known) < _MORE_MM - _HAIR
        ends = over if is_over else today
        wet = [one for one in _days(day, ends) if _is_enough(rain, one, counted)]
        found.append(Wet(day, wet[-1], over if is_over else None))
        if not is_over:
            break
        day = counted = over + _DAY
    return found


def _is_enough(rain: Mapping[date, float], day: date, counted: date) -> bool:
    since = max(counted, day - (_WITHIN - 1) * _DAY)
    fallen = sum(rain.get(one, 0.0) for one in _days(since, day))
    return rain.get(day, 0.0) >= _WET_MM and fallen >= _ENOUGH_MM - _HAIR


def _days(first: date, last: date) -> Iterator[date]:
    return (first + n * _DAY for n in range((last - first).days + 1))


@dataclass(slots=True)
class Told:
    """A beginning of the rains, or its end, that growers are to be told of.

    Args:
        zone: where.
        noted: the day on which the beginning was noted; it stands for both.
        since: the first moment, on the clocks of the place, at which it may be told.
        day: the day that its message counts from.
        ended: whether it does not hold any more.
    """

    zone: str
    noted: date
    since: datetime
    day: date
    ended: bool = False


@dataclass(slots=True)
class Zone:
    """What is noted of a zone: one beginning after the other.

    Args:
        key: of the zone.
        counted: the first day whose rain counts.
        last: the last day on which a beginning is told.
        begun: the beginning that was told last, None before the first.
        false: its end, None while it stands.
        doubted: since when a correction has left nothing of it.
    """

    key: str
    counted: date
    last: date
    begun: Told | None = None
    false: Told | None = None
    doubted: date | None = None
    news: list[tuple[str, Told]] = field(default_factory=list)

    def look(self, rain: Mapping[date, float], now: datetime) -> None:
        """Notes what is new.

        Args:
            rain: of each day that was read [mm], the mean of its gauges.
            now: on the clocks of the place.
        """
        today = now.date()
        found = wet_times(rain, self.counted, today)
        begun = self.begun
        if begun is not None and self.false is None:
            mine = [one for one in found if one.first <= begun.noted]
            if mine and mine[-1].broke_off is None:
                self.doubted, begun.ended = None, False
            elif mine and mine[-1].broke_off is not None:
                self._breaks_off(begun, mine[-1].broke_off, now)
            elif self.doubted is None:
                # who puts a day's rain to its right day does so in two readings
                self.doubted, begun.ended = today, True
            elif today > self.doubted:
                self._breaks_off(begun, begun.noted, now)
            return
        if not found or found[-1].broke_off is not None or (begun is not None and begun.noted >= today):
            return
        wet = found[-1].last
        if (today - wet).days <= _MOIST and today <= self.last:
            if self.false is not None:
                self.false.ended = True
            self.begun, self.false = Told(self.key, today, now, wet), None
            self.news.append(("zone.onset", self.begun))

    def _breaks_off(self, begun: Told, over: date, now: datetime) -> None:
        begun.ended, self.doubted = True, None
        self.counted = over + _DAY
        self.false = Told(self.key, begun.noted, now, now.date())
        self.news.append(("zone.false_start", self.false))
