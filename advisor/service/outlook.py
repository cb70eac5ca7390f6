"""What a round still has in store for growers, remembered for as long as their values stay as they are.

A planner passes all growers every few hours, and few of them have said anything in between. Of a value only its
hash is kept: whoever is erased leaves neither number nor answers here.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime, timedelta

from advisor.campaign.deciding import Running, Window, next_in
from advisor.service.stored import Glance, glance

#: Growers whose outlook is remembered. Of more than these the rest is read each time.
MOST = 20_000

_NOBODY = Glance({}, ())


@dataclass(frozen=True, slots=True)
class Outlook:
    """Looks at growers for one round.

    Args:
        running: the round.
        fresh_for: for how long facts hold, None for ever; one that is not named holds for ever.
    """

    running: Running
    fresh_for: Mapping[str, timedelta | None]
    _seen: dict[str, tuple[int, float, float, tuple[Window, ...]]] = field(
        init=False, compare=False, repr=False, default_factory=dict
    )

    def next_at(self, grower: str, value: bytes, now: datetime) -> datetime | None:
        """When a grower is to be looked at next, None where nothing is to come.

        Args:
            grower: id of the grower.
            value: the stored value.
            now: the moment.

        Raises:
            NewerSchema: a newer version wrote the value.
        """
        now_s, seen, told = now.timestamp(), self._seen.get(grower), hash(value)
        if seen is not None and seen[0] == told and seen[1] < now_s <= seen[2]:
            return next_in(seen[3], now)
        known = glance(value, self.running.round.key, now_s, self.fresh_for)
        windows = () if known is None else self.running.windows(known.facts, known.passed)
        if seen is not None or len(self._seen) < MOST:
            known = known or _NOBODY
            self._seen[grower] = (told, known.since_s, known.until_s, windows)
        return next_in(windows, now)
