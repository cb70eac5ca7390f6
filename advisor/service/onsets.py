"""Notes in each zone when the rains have begun or proved a false start, for the rounds that hang on them.

It is noted beside the readings, on their version: of several processes that look, one notes it. From then on it
stands, whatever is corrected (`campaign.onsets`).
"""

from __future__ import annotations

import logging
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import datetime, timedelta

from advisor.agronomy.crop import Crop
from advisor.agronomy.onset_rules import OnsetRules
from advisor.agronomy.programme import Programme
from advisor.agronomy.sowing_window import last_safe_sowing, window_meant
from advisor.campaign.onsets import Sowable, ZoneDays, noted, zone_days
from advisor.records.rain_book import Begun, RainBook
from advisor.service.clock import Clock, unix_ms
from advisor.service.damage import Damage
from advisor.service.gauging import Gauges
from advisor.service.journal import log_event, place_of
from advisor.store.api import StoreDamaged, StoreUnavailable

#: From the beginning of one look at the gauges to the next.
LOOK = timedelta(minutes=1)

#: From a zone, what was read in it and a moment to what is noted of it.
Noting = Callable[[str, RainBook, datetime], tuple[Begun, ...]]
#: Pairs of village and the days of its rain, and since when they are so, Unix milliseconds.
Rains = tuple[tuple[tuple[str, ZoneDays], ...], int]


@dataclass(slots=True)
class Onsets:
    """Looks at the gauges of all zones, once a minute at most.

    Args:
        gauges: where the readings are.
        clock: what the time is.
        noting: what is noted of a zone.
        zone_of: zone of each village, by their keys.
        damage: told of damaged keys.
    """

    gauges: Gauges
    clock: Clock
    noting: Noting
    zone_of: Mapping[str, str]
    damage: Damage
    _looked: datetime | None = None
    _rains: Rains = field(default=((), 0))

    def rains(self) -> Rains:
        """The days of the rains by village, as they are noted now."""
        now = self.clock.now()
        if self._looked is None or abs(now - self._looked) >= LOOK:
            zones = sorted(set(self.zone_of.values()))
            self._rains = self._of({zone: self._noted(zone, now) for zone in zones})
            self._looked = now
        return self._rains

    def _noted(self, zone: str, now: datetime) -> RainBook:
        """The book of a zone; one that cannot be read says nothing, and holds up neither zones nor rounds."""
        try:
            book, told = self.gauges.notes(zone, lambda book: self.noting(zone, book, now), unix_ms(now))
        except StoreUnavailable:
            raise
        except StoreDamaged as error:
            self.damage.met(error.key)
            return RainBook()
        except Exception as error:
            log_event("rain", level=logging.ERROR, outcome="unreadable", zone=zone, place=place_of(error))
            return RainBook()
        if told:
            log_event("rain", outcome="noted", zone=zone)
        return book

    def _of(self, books: Mapping[str, RainBook]) -> Rains:
        days = {zone: zone_days(zone, book.begun) for zone, book in books.items()}
        found = ((village, days[zone]) for village, zone in sorted(self.zone_of.items()))
        known = tuple((village, of_zone) for village, of_zone in found if of_zone is not None)
        return known, max((book.noted_ms for book in books.values()), default=0)


def noted_in(
    programme: Programme, crop: Crop, rules: OnsetRules, zone: str, book: RainBook, now: datetime
) -> tuple[Begun, ...]:
    """What is noted of a zone by the rule that the programme names for it.

    Args:
        programme: its seasons and varieties.
        crop: the main crop.
        rules: the published rules.
        zone: key of the zone.
        book: what was read and noted there.
        now: the moment, in the programme's time zone.

    Returns:
        What was noted before where the programme has no season, variety or days there. Counting begins when the
        sowing window opens: earlier rain is none to sow on.
    """
    season = next((one for one in programme.seasons if (one.zone, one.crop) == (zone, crop.key)), None)
    variety = next((one for one in programme.varieties if one.crop == crop.key), None)
    if season is None or variety is None or crop.days is None:
        return book.begun
    today = now.date()
    window = window_meant(season, today)
    last = min(window.closes, last_safe_sowing(window.rains_end, variety, crop.days))
    sowable = Sowable(window.opens, last, season.moist_days)
    return noted(book.begun, book.series(today), rules.rule(season.onset_rule), sowable, today)
