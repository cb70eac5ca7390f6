"""Rain gauges: readings kept in the store by zone, and what the programme's rule says of them.

A zone's readings are one value beside those of the growers, under an id derived from the zone; it holds no record,
so nobody who looks for growers finds one there.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from datetime import date, timedelta

import msgspec

from advisor.agronomy.crop import Crop
from advisor.agronomy.errors import AgronomyError
from advisor.agronomy.onset_rules import OnsetRules
from advisor.agronomy.programme import Programme
from advisor.agronomy.rain import Onset, onset
from advisor.agronomy.season_days import ZoneSeason
from advisor.agronomy.sow_now import SowNow, sow_in_zone
from advisor.agronomy.sowing_window import window_for
from advisor.records.rain_book import Begun, RainBook, Reading, rain_from_json, rain_to_json
from advisor.service.clock import Clock, unix_ms
from advisor.service.errors import Busy
from advisor.service.identity import Ids
from advisor.service.journal import log_event
from advisor.store.api import Change, Committed, Store

#: A zone of which nothing was read for so long is forgotten.
KEPT = timedelta(days=730)
#: Against whoever writes to the same zone meanwhile.
TRIES = 10


@dataclass(frozen=True, slots=True)
class Gauges:
    """Reads and writes the readings of zones.

    Args:
        store: where they are.
        clock: what the time is.
        ids: derives the ids of zones.
    """

    store: Store
    clock: Clock
    ids: Ids

    def of(self, zone: str) -> RainBook:
        """What was read in a zone."""
        return _read(self.store.value(self._id(zone))[1])

    def reads(self, zone: str, reading: Reading, today: date) -> None:
        """Keeps a reading, in place of an earlier one of that village and day.

        Raises:
            OutOfRange, CannotBe: as of ``RainBook.reads``; nothing is changed.
            Busy: others kept writing; nothing is changed.
        """
        self._change(zone, lambda book: book.reads(reading, today))
        log_event("rain", outcome="read", zone=zone)

    def takes_out(self, zone: str, village: str, day: date) -> None:
        """Takes out a reading that was none. Raises Busy."""
        self._change(zone, lambda book: book.without(village, day))
        log_event("rain", outcome="taken_out", zone=zone)

    def notes(
        self, zone: str, noting: Callable[[RainBook], tuple[Begun, ...]], at_ms: int
    ) -> tuple[RainBook, bool]:
        """Keeps what is to be noted of a zone, and says how its book stands and whether anything was new.

        Args:
            zone: key of the zone.
            noting: from what was read and noted to what is noted now.
            at_ms: the moment, Unix milliseconds.

        Where somebody else wrote meanwhile nothing is kept, and the next look finds it.
        """
        version, value = self.store.value(self._id(zone))
        before = _read(value)
        begun = noting(before)
        if begun == before.begun:
            return before, False
        after = replace(before, begun=begun, noted_ms=at_ms)
        idle_ms = unix_ms(self.clock.now() + KEPT)
        change = Change(self._id(zone), version, _written(after), at_ms, idle_ms=idle_ms, heard=False)
        is_kept = isinstance(self.store.commit(change), Committed)
        return (after if is_kept else before), is_kept

    def _id(self, zone: str) -> str:
        return rain_id(self.ids, zone)

    def _change(self, zone: str, changed: Callable[[RainBook], RainBook]) -> None:
        for _ in range(TRIES):
            version, value = self.store.value(self._id(zone))
            held = _written(changed(_read(value)))
            now = self.clock.now()
            change = Change(self._id(zone), version, held, unix_ms(now), idle_ms=unix_ms(now + KEPT))
            if isinstance(self.store.commit(change), Committed):
                return
        raise Busy(1)


def rain_id(ids: Ids, zone: str) -> str:
    """The id that a zone's readings stand under."""
    return ids.number(f"rain of {zone}")


def with_reading(value: bytes | None, facts: Mapping[str, object], by: str) -> bytes | None:
    """A zone's value with what an agent read, None where that cannot be.

    Args:
        value: the value before.
        facts: ``rain.village``, ``rain.day`` and ``rain.mm``.
        by: key of the agent.
    """
    try:
        day = date.fromisoformat(str(facts["rain.day"]))
        reading = Reading(str(facts["rain.village"]), day, float(str(facts["rain.mm"])), by)
        return _written(_read(value).reads(reading, day))
    except (AgronomyError, ValueError, KeyError):
        return None


def _written(book: RainBook) -> bytes:
    return msgspec.json.encode({"v": 1, **rain_to_json(book)})


def _read(value: bytes | None) -> RainBook:
    return RainBook() if value is None else rain_from_json(msgspec.json.decode(value))


@dataclass(frozen=True, slots=True)
class ZoneRain:
    """What the readings of a zone say.

    Args:
        season: the season of the main crop there.
        counted_from: first day on which the rains can begin.
        onset: when they began; None where nothing was read since then.
        now: whether the usual variety can be sown today; None where the programme does not say.
    """

    season: ZoneSeason
    counted_from: date
    onset: Onset | None
    now: SowNow | None


def judged(
    programme: Programme, crop: Crop, rules: OnsetRules, zone: str, book: RainBook, today: date
) -> ZoneRain | None:
    """The onset in a zone by the rule that the programme names for it.

    Args:
        programme: its seasons and varieties.
        crop: the main crop.
        rules: the published rules.
        zone: key of the zone.
        book: what was read there.
        today: the day.

    Returns:
        None where the programme has no season there. Counting begins on the day that the rule was published with;
        where it has none, on the day on which the sowing window opens (own choice: earlier rain is no rain to
        sow on).
    """
    season = next((one for one in programme.seasons if (one.zone, one.crop) == (zone, crop.key)), None)
    if season is None:
        return None
    opens = window_for(season, today).opens
    fixed = dict(rules.begins).get(season.onset_rule)
    begin = opens if fixed is None else _last_such_day(fixed, today)
    rain = book.series(today)
    has_rain = bool(rain.mm) and rain.last >= begin
    found = onset(rain, rules.rule(season.onset_rule), begin) if has_rain else None
    variety = next((one for one in programme.varieties if one.crop == crop.key), None)
    now = sow_in_zone(season, variety, crop.days, rain, today) if variety and crop.days and rain.mm else None
    return ZoneRain(season, begin, found, now)


def _last_such_day(day_of_year: int, today: date) -> date:
    """The last day of that number in a year without a leap day, today or before."""
    found = date(today.year, 1, 1) + timedelta(days=day_of_year - 1)
    return found if found <= today else date(today.year - 1, 1, 1) + timedelta(days=day_of_year - 1)
