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
_NO_REST = (0, inf, -inf)


class _Seen(NamedTuple):
    """What was seen of a grower: the hash of the value, and what is to come while facts are as fresh as then."""

    told: int
    since_s: float
    until_s: float
    windows: tuple[Window, ...]


@dataclass(frozen=True, slots=True)
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
    #: Hash of a value, and from when to when nothing is to come soon enough.
    _rests: dict[str, tuple[int, float, float]] = field(
        init=False, compare=False, repr=False, default_factory=dict
    )

    def wakeful(self, growers: Iterable[Valued], now: datetime) -> list[Valued]:
        """Those for whom something may be to come soon enough.

        Args:
            growers: growers with their stored values.
            now: the moment.
        """
        rest_of, now_s = self._rests.get, now.timestamp()
        return [
            one
            for one in growers
            if (rest := rest_of(one.grower, _NO_REST))[0] != hash(one.value) or not rest[1] <= now_s < rest[2]
        ]

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
        has_room = len(self._rests) < MOST_AT_REST or grower in self._rests
        if has_room and (at is None or at - now > self.ahead):
            rests_to_s = seen.until_s if at is None else min(seen.until_s, (at - self.ahead).timestamp())
            self._rests[grower] = (told, now_s, rests_to_s)
        return at
