"""A clock that moves only when the season moves it, or when the service waits."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)


class VirtualClock:
    """A clock for a season.

    Args:
        begins: the first moment, with a time zone.
    """

    def __init__(self, begins: datetime) -> None:
        self._now = begins.astimezone(UTC)
        self._seconds = (self._now - _EPOCH).total_seconds()

    def now(self) -> datetime:
        """The moment, in UTC."""
        return self._now

    def monotonic_s(self) -> float:
        """Seconds on the same clock, which never goes back here."""
        return self._seconds

    def wait(self, seconds: float) -> None:
        """Lets virtual seconds pass."""
        self.move_to(self._now + timedelta(seconds=seconds))

    def move_to(self, at: datetime) -> None:
        """Goes on to a moment; it never goes back."""
        if at > self._now:
            self._now, self._seconds = at, (at - _EPOCH).total_seconds()
