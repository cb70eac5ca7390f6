"""Quiet hours and holidays of a programme, by the wall clocks of its own time zone."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from advisor.campaign.wall import changes, moment_of

_DAY = timedelta(days=1)
_MIDNIGHT = time(0)
#: Longer than any row of holidays; a programme that never sends is a mistake and not a long rest.
_DAYS_MOST = 366


@dataclass(frozen=True, slots=True)
class Quiet:
    """When nobody is written to who has not just written.

    Args:
        zone: time zone of the programme.
        since: wall-clock time from which nothing is sent; equal to ``until`` where there are no quiet hours.
        until: wall-clock time from which sending goes on, on the same day or the next.
        holidays: whole days on which nothing is sent.

    >>> nights = Quiet(ZoneInfo("Etc/GMT-3"), time(20), time(6, 30))
    >>> nights.may_send(datetime(2027, 3, 1, 16, 59, tzinfo=UTC))
    True
    >>> nights.may_send(datetime(2027, 3, 1, 17, tzinfo=UTC))
    False
    """

    zone: ZoneInfo
    since: time
    until: time
    holidays: frozenset[date] = frozenset()

    def may_send(self, at: datetime) -> bool:
        """Whether a message may leave at a moment.

        Args:
            at: with a time zone.
        """
        shown = at.astimezone(self.zone)
        if shown.date() in self.holidays:
            return False
        clock = shown.time().replace(fold=0)
        if self.since <= self.until:
            return not self.since <= clock < self.until
        return not (clock >= self.since or clock < self.until)

    def next_allowed(self, at: datetime) -> datetime:
        """The first moment from ``at`` on at which a message may leave.

        Args:
            at: with a time zone.

        Returns:
            The moment in UTC; ``at`` itself where a message may leave then.

        Raises:
            ValueError: a year of holidays without a break.

        >>> nights = Quiet(ZoneInfo("Etc/GMT-3"), time(20), time(6, 30))
        >>> nights.next_allowed(datetime(2027, 3, 1, 20, tzinfo=UTC)).isoformat()
        '2027-03-02T03:30:00+00:00'
        """
        at = at.astimezone(UTC)
        if self.may_send(at):
            return at
        day = at.astimezone(self.zone).date()
        for _ in range(_DAYS_MOST):
            found = [moment for moment in self._ends(day) if moment >= at and self.may_send(moment)]
            if found:
                return min(found)
            day += _DAY
        raise ValueError("nothing may be sent for a year: leave days between the holidays")

    def _ends(self, day: date) -> tuple[datetime, ...]:
        """Moments around a day at which a rest may end: its own end, the end of a holiday, a change of clocks."""
        ends = [moment_of(day, self.until, self.zone, fold) for fold in (0, 1)]
        ends += [moment_of(day + _DAY, _MIDNIGHT, self.zone, fold) for fold in (0, 1)]
        return *ends, *changes(min(ends) - _DAY, max(ends), self.zone)
