"""The rain of a season, drawn by its seed: it begins in each zone, and in one breaks off and begins again."""

from __future__ import annotations

import random
from collections.abc import Iterator, Mapping
from datetime import date

#: Between these days of the season gauges are read for every day: from before the rains can count until it is too
#: late to sow. On other days one reading now and then is enough.
READ_FROM, READ_TO = 44, 116
_DAYS = 200
_BEGINS_FROM, _BEGINS_TO = 58, 63
_DRY = (0.0, 0.0, 0.0, 0.0, 1.2, 3.0)
_WET = (0.0, 0.0, 4.0, 9.0, 14.0, 22.0)
#: A false start: two wet days, and for some weeks too little after them.
_BURST = (16.0, 18.0, 21.0)
_AFTER_BURST = (0.0, 0.0, 0.0, 0.0, 1.4)
_BREAK_FROM, _BREAK_TO = 23, 27
#: One village of a zone is a little drier or wetter than another.
_UNLIKE = (0.9, 1.0, 1.1)


class Weather:
    """Rain that falls.

    Args:
        seed: of the season.
        first_day: of the season.
        zone_of: zone of each village, by their keys.
    """

    def __init__(self, seed: int, first_day: date, zone_of: Mapping[str, str]) -> None:
        self._first_day = first_day
        self._zone_of = {village: (at, zone) for at, (village, zone) in enumerate(sorted(zone_of.items()))}
        zones = sorted(set(zone_of.values()))
        broken = zones[random.Random(f"broken {seed}").randrange(len(zones))]
        self._mm = {
            zone: tuple(_falls(random.Random(f"rain {seed} {zone}"), breaks_off=zone == broken)) for zone in zones
        }

    def mm(self, village: str, day: date) -> float:
        """Rain of a day in a village [mm]."""
        at, zone = self._zone_of[village]
        day_of_season = (day - self._first_day).days
        return round(self._mm[zone][day_of_season] * _UNLIKE[at % len(_UNLIKE)], 1) if day_of_season >= 0 else 0.0


def _falls(chance: random.Random, *, breaks_off: bool) -> Iterator[float]:
    days = chance.randrange(_BEGINS_FROM, _BEGINS_TO)
    yield from (chance.choice(_DRY) for _ in range(days))
    if breaks_off:
        yield from (chance.choice(_BURST) for _ in range(2))
        broken = chance.randrange(_BREAK_FROM, _BREAK_TO)
        yield from (chance.choice(_AFTER_BURST) for _ in range(broken))
        days += 2 + broken
    yield from (chance.choice(_WET) for _ in range(_DAYS - days))
