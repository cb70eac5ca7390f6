"""On what terms rounds leave at a moment: the programme's quiet hours, holidays and most messages a day.

Answers and alerts are not held by them. An answer goes to somebody who has just written, and a grower who asks at
night is awake; an alert is sent because waiting does harm. What an agent answers to a question comes later, and
keeps to the terms of rounds.
"""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from functools import lru_cache

from advisor.campaign.quiet import Quiet
from advisor.campaign.wall import moment_of
from advisor.service.clock import unix_ms
from advisor.store.api import Terms

#: What is claimed begins within a second, and terms hold for one; so rounds rest that much before quiet hours.
AHEAD = timedelta(seconds=2)
_DAY = timedelta(days=1)


@lru_cache(maxsize=4)
def terms_at(quiet: Quiet, per_day: int, now: datetime) -> Terms:
    """The terms at a moment.

    Args:
        quiet: quiet hours and holidays, by the programme's clocks.
        per_day: most messages of rounds that a grower gets a day, 0 for no limit.
        now: the moment, a whole second: what was worked out is kept for the next claims.

    >>> from datetime import time
    >>> from zoneinfo import ZoneInfo
    >>> nights = Quiet(ZoneInfo("Etc/GMT-3"), time(20), time(6, 30))
    >>> noon, night = (datetime(2027, 3, 1, hour, tzinfo=UTC) for hour in (12, 22))
    >>> terms_at(nights, 3, noon).until_ms > unix_ms(noon), terms_at(nights, 3, night).until_ms > unix_ms(night)
    (True, False)
    >>> terms_at(nights, 3, night).day
    '20270302'
    """
    now_ms, ahead = unix_ms(now), now + AHEAD
    is_open = quiet.may_send(now) and quiet.may_send(ahead)
    today = now.astimezone(quiet.zone).date()
    tomorrow = moment_of(today + _DAY, datetime.min.time(), quiet.zone).astimezone(UTC)
    return Terms(
        day=f"{today:%Y%m%d}",
        per_day=per_day,
        until_ms=unix_ms(ahead) if is_open else now_ms,
        again_ms=unix_ms(quiet.next_allowed(ahead)),
        tomorrow_ms=unix_ms(quiet.next_allowed(max(tomorrow, ahead))),
    )
