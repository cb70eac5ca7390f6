"""What a round still has in store for growers, remembered for as long as their values stay as they are.

A planner passes all growers every few hours, and few of them have said anything in between. Of a value only its
hash is kept: whoever is erased leaves neither number nor answers here.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from math import inf
from typing import NamedTuple

from advisor.campaign.deciding import Running, Window, next_in
from advisor.service.stored import Glance, glance
from advisor.store.api import Valued

#: Growers whose outlook is remembered. Of more than these the rest is read each time.
MOST = 20_000
#: Growers of whom it is remembered that they can rest, some 300 bytes each.
MOST_AT_REST = 200_000

_NOBODY = Glance({}, ())


class _Seen(NamedTuple):
    """What was seen of a grower: the hash of the value, and what is to come while facts are as fresh as then."""

    told: int
    since_s: float
    until_s: float
    windows: tuple[Window, ...]


@dataclass(slots=True)
class Outlook:
    """Looks at growers for one round.

    Args:
        running: the round.
        fresh_for: for how long facts hold, None for ever; one that is not named holds for ever.
        ahead: nobody has to be looked at sooner than so long before something is to come.
    """

    running: Running
    fresh_for: Mapping[str, timedelta | None]
    ahead: timedelta
    _seen: dict[str, _Seen] = field(init=False, compare=False, repr=False, default_factory=dict)
    #: By the hash of a value, which is one grower's: until when nothing is to come soon enough.
    _rests: dict[int, float] = field(init=False, compare=False, repr=False, default_factory=dict)
    #: Whose hash that is, so that it goes once there is another value.
    _resting: dict[str, int] = field(init=False, compare=False, repr=False, default_factory=dict)
    #: The last moment of a look; what was found then says nothing of an earlier one.
    _looked_s: float = field(init=False, compare=False, repr=False, default=-inf)

    def wakeful(self, growers: Iterable[Valued], now: datetime) -> list[Valued]:
        """Those for whom something may be to come soon enough.

        Args:
            growers: growers with their stored values.
            now: the moment.
        """
        now_s = now.timestamp()
        if now_s < self._looked_s:
            self._rests.clear()
            self._resting.clear()
        self._looked_s = now_s
        until_s = self._rests.get
        return [one for one in growers if until_s(hash(one.value), now_s) <= now_s]

    def next_at(self, grower: str, value: bytes, now: datetime) -> datetime | None:
        """When a grower is to be looked at next, None where nothing is to come.

        Args:
            grower: id of the grower.
            value: the stored value.
            now: the moment.

        Raises:
            NewerSchema: a newer version wrote the value.
        """
        now_s, told, seen = now.timestamp(), hash(value), self._seen.get(grower)
        if seen is None or seen.told != told or not seen.since_s < now_s <= seen.until_s:
            known = glance(value, self.running.round.key, now_s, self.fresh_for)
            windows = () if known is None else self.running.windows(known.facts, known.passed)
            known = known or _NOBODY
            is_new, seen = seen is None, _Seen(told, known.since_s, known.until_s, windows)
            if is_new and len(self._seen) >= MOST:
                return next_in(windows, now)
            self._seen[grower] = seen
        at = next_in(seen.windows, now)
        if at is None or at - now > self.ahead:
            until_s = seen.until_s if at is None else min(seen.until_s, (at - self.ahead).timestamp())
            self._rest(grower, told, now_s, until_s)
        return at

    def _rest(self, grower: str, told: int, now_s: float, until_s: float) -> None:
        before = self._resting.get(grower)
        if before is None and len(self._resting) >= MOST_AT_REST:
            return
        if before is not None and before != told:
            self._rests.pop(before, None)
        self._resting[grower], self._rests[told] = told, until_s
        self._looked_s = max(self._looked_s, now_s)
