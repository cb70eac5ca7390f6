"""Puts growers into the due list of a round, bucket by bucket, two days ahead. Any number of processes plan.

A pass over a bucket saves how far it is with every step, so that a crash repeats one step and nothing is left out.
There is a new pass every few hours: it finds who came since, and whose dates have moved. For a round that hangs on
rain there is one as soon as it is noted that the rains have begun or broken off.
"""

from __future__ import annotations

import logging
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta

from advisor.campaign.deciding import Running
from advisor.service.clock import Clock, unix_ms
from advisor.service.damage import Damage
from advisor.service.journal import log_event, place_of
from advisor.service.outlook import Outlook
from advisor.service.speaking import Speech
from advisor.store.api import BUCKETS, Place, Store, Valued
from advisor.store.rounds import END

_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
#: Growers a step: one reading and one script.
STEP = 500
#: Nobody is put into a list sooner than so long before.
AHEAD = timedelta(hours=48)
#: From the beginning of one pass to the next; shorter than `AHEAD`, so that nobody is missed between two.
PASS_MS = 6 * 3_600_000


def look_ms(look_at: datetime | None, now: datetime) -> int | None:
    """The moment for a due list, None where there is nothing to look for or a later pass will find it."""
    return None if look_at is None or look_at - now > AHEAD else unix_ms(look_at)


@dataclass(frozen=True, slots=True)
class Planner:
    """Plans rounds.

    Args:
        store: where growers and lists are.
        clock: what the time is.
        damage: told of damaged keys.
        speech: for how long facts hold.
    """

    store: Store
    clock: Clock
    damage: Damage
    speech: Speech = field(default_factory=Speech)
    _through: dict[str, list[int]] = field(default_factory=dict)
    _outlooks: dict[str, Outlook] = field(default_factory=dict)

    def may_plan(self, running: Running) -> bool:
        """Whether a pass may be due in a bucket; mostly none is, and then no bucket has to be asked.

        Args:
            running: the round.
        """
        through, now_ms = self._through.get(running.round.key, [0]), unix_ms(self.clock.now())
        return any(_is_over(pass_ms, now_ms, running.rains_ms) for pass_ms in (min(through), max(through)))

    def plan(self, running: Running, bucket: int, until_s: float) -> int:
        """Plans a bucket from where planning is, if a pass is due.

        Args:
            running: the round.
            bucket: the bucket.
            until_s: no step begins after this, on the clock that only goes forward.

        Returns:
            How many growers were looked at.
        """
        key, now_ms = running.round.key, unix_ms(self.clock.now())
        through = self._through.get(key) or self._through.setdefault(key, [0] * BUCKETS)
        if not _is_over(through[bucket], now_ms, running.rains_ms):
            return 0
        place = self.store.place(bucket, key)
        if place.after == END:
            if not _is_over(place.pass_ms, now_ms, running.rains_ms):
                through[bucket] = place.pass_ms
                return 0
            before, place = place, Place(now_ms, "")
        else:
            before = place
        left = [grower for grower in self.store.settled(bucket) if grower > place.after]
        looked_at = 0
        while True:
            some, left = left[:STEP], left[STEP:]
            then = Place(place.pass_ms, some[-1] if left else END)
            if not self.store.plan(bucket, key, before, then, self._dues(running, some)):
                return looked_at
            looked_at += len(some)
            before = then
            if not left:
                through[bucket] = place.pass_ms
                return looked_at
            if self.clock.monotonic_s() >= until_s:
                return looked_at

    def looks(self, running: Running, growers: Sequence[str]) -> list[datetime]:
        """When growers are to be looked at next, of those who are within the time that lists reach ahead.

        Args:
            running: the round.
            growers: ids of one bucket.
        """
        return [_EPOCH + timedelta(milliseconds=at_ms) for _, at_ms in self._dues(running, list(growers))]

    def _dues(self, running: Running, growers: list[str]) -> list[tuple[str, int]]:
        found = self.store.values(growers)
        self.damage.met(*found.damaged)
        now, outlook = self.clock.now(), self._outlook(running)
        looks = (
            (valued.grower, self._look_ms(outlook, valued, now)) for valued in outlook.wakeful(found.taken, now)
        )
        return [(grower, at_ms) for grower, at_ms in looks if at_ms is not None]

    def _look_ms(self, outlook: Outlook, valued: Valued, now: datetime) -> int | None:
        try:
            return look_ms(outlook.next_at(valued.grower, valued.value, now), now)
        except Exception as error:
            log_event("plan", level=logging.ERROR, grower=valued.grower, place=place_of(error))
            return None

    def _outlook(self, running: Running) -> Outlook:
        found = self._outlooks.get(running.round.key)
        if found is None or found.running is not running:
            found = self._outlooks[running.round.key] = Outlook(running, self.speech.fresh_for, AHEAD)
        return found


def _is_over(pass_ms: int, now_ms: int, rains_ms: int) -> bool:
    """Whether it is time for another pass; a clock that was set back far begins one too, and so does rain."""
    return abs(now_ms - pass_ms) >= PASS_MS or pass_ms < rains_ms <= now_ms
