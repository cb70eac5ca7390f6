"""The one reader of the clock; everything else is told the time."""

from __future__ import annotations

import threading
import time
from datetime import UTC, datetime, timedelta
from typing import Protocol

_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
_MILLISECOND = timedelta(milliseconds=1)


class Clock(Protocol):
    """What the shell asks of a clock."""

    def now(self) -> datetime:
        """The moment, in UTC."""

    def monotonic_s(self) -> float:
        """Seconds on a clock that nobody sets, for measuring how long something takes."""

    def wait(self, seconds: float) -> None:
        """Lets that many seconds pass."""


class SystemClock:
    """The clock of the machine."""

    def now(self) -> datetime:
        """The moment, in UTC."""
        return datetime.now(UTC)

    def monotonic_s(self) -> float:
        """Seconds since some fixed moment."""
        return time.monotonic()

    def wait(self, seconds: float) -> None:
        """Sleeps."""
        time.sleep(seconds)


class ShiftedClock:
    """A clock that runs on from the moment it was last set to; for demonstrations only.

    Args:
        beneath: the clock that it shifts.
    """

    def __init__(self, beneath: Clock) -> None:
        self._beneath = beneath
        self._shift = timedelta(0)
        self._lock = threading.Lock()

    def now(self) -> datetime:
        """The shifted moment, in UTC."""
        with self._lock:
            return self._beneath.now() + self._shift

    def move_to(self, at: datetime) -> None:
        """Makes it that moment now; time runs on from there.

        Args:
            at: with a time zone, between the years 2000 and 2199.

        Raises:
            ValueError: outside those years, where other parts of the service could not count on.
        """
        if not 2000 <= at.year <= 2199:
            raise ValueError(f"the clock cannot be moved to the year {at.year}: give one from 2000 to 2199")
        with self._lock:
            self._shift = at.astimezone(UTC) - self._beneath.now()

    def monotonic_s(self) -> float:
        """Seconds since some fixed moment, which no move changes."""
        return self._beneath.monotonic_s()

    def wait(self, seconds: float) -> None:
        """Lets real seconds pass."""
        self._beneath.wait(seconds)


def unix_ms(at: datetime) -> int:
    """Unix milliseconds of a moment.

    >>> unix_ms(datetime(1970, 1, 1, 0, 0, 1, 5999, tzinfo=UTC))
    1005
    """
    return (at - _EPOCH) // _MILLISECOND


def rfc3339(at: datetime) -> str:
    """A moment as RFC 3339 text in UTC.

    >>> rfc3339(datetime(2027, 3, 1, 7, 30, tzinfo=UTC))
    '2027-03-01T07:30:00Z'
    """
    shown = at if at.tzinfo is UTC else at.astimezone(UTC)
    return f"{shown.date()}T{shown.time()}Z"
