"""Times of day as a wall clock shows them, in zones whose clocks are put forward and back."""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta
from functools import lru_cache
from zoneinfo import ZoneInfo

_SECOND = timedelta(seconds=1)
#: Zones have never changed their clocks twice within so little.
_LOOK = timedelta(hours=6)
#: Growers of a round share few days and times of day.
_REMEMBERED = 4096


@lru_cache(maxsize=_REMEMBERED)
def moment_of(day: date, at: time, zone: ZoneInfo, fold: int = 0) -> datetime:
    """The moment at which a wall clock shows a time.

    Where the clock was put forward over that time, it is the moment at which it was put forward. Where it shows
    the time twice, it is the first of the two.

    Args:
        day: the day.
        at: the time of day, to the second.
        zone: where the clock hangs.
        fold: 1 for the second of two.

    Returns:
        The moment, in UTC.

    >>> moment_of(date(2027, 3, 28), time(1, 30), ZoneInfo("Europe/London"))
    datetime.datetime(2027, 3, 28, 1, 0, tzinfo=datetime.timezone.utc)
    """
    shown = datetime.combine(day, at.replace(tzinfo=None, fold=fold), zone)
    there = shown.astimezone(UTC)
    if there.astimezone(zone).replace(tzinfo=None, fold=0) == shown.replace(tzinfo=None, fold=0):
        return there
    around = [shown.replace(fold=fold).astimezone(UTC) for fold in (0, 1)]
    return _change_in(min(around), max(around), zone)


@lru_cache(maxsize=_REMEMBERED)
def changes(since: datetime, until: datetime, zone: ZoneInfo) -> tuple[datetime, ...]:
    """The moments at which clocks are put forward or back, after one moment and up to another.

    >>> saturday = datetime(2027, 3, 27, tzinfo=UTC)
    >>> [at.hour for at in changes(saturday, saturday + timedelta(days=2), ZoneInfo("Europe/London"))]
    [1]
    """
    found, at = [], since
    while at < until:
        then = min(at + _LOOK, until)
        if _offset(at, zone) != _offset(then, zone):
            found.append(_change_in(at, then, zone))
        at = then
    return tuple(found)


def _offset(at: datetime, zone: ZoneInfo) -> timedelta:
    return at.astimezone(zone).utcoffset() or timedelta(0)


def _change_in(before: datetime, after: datetime, zone: ZoneInfo) -> datetime:
    """The first second with the clock of ``after``, between two moments with one change."""
    new = _offset(after, zone)
    while after - before > _SECOND:
        middle = (before + (after - before) / 2).replace(microsecond=0)
        middle = middle if middle > before else after - _SECOND
        if _offset(middle, zone) == new:
            after = middle
        else:
            before = middle
    return after
