"""The simulator's clock: real time until somebody sets it, and running on from there."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import UTC, datetime, timedelta, tzinfo

from simulator.errors import SimulatorError

_STEP = re.compile(r"\+([0-9]{1,6})([mhdw])")
_UNITS = {"m": timedelta(minutes=1), "h": timedelta(hours=1), "d": timedelta(days=1), "w": timedelta(weeks=1)}


class ClockUnreadable(SimulatorError):  # noqa: N818
    """What was said is no moment and no step of time."""

    def __init__(self, said: str) -> None:
        super().__init__(
            f"{said!r} is no time: give a step such as +30m, +2h, +3d or +1w, "
            "or a moment with its offset such as 2027-03-01T08:00+03:00"
        )


class Clock:
    """What time it is for the phones.

    Args:
        read: reads real time, with a time zone.
    """

    def __init__(self, read: Callable[[], datetime] = lambda: datetime.now(UTC)) -> None:
        self._read = read
        self._shift = timedelta(0)
        self._zone: tzinfo | None = None

    def now(self) -> datetime:
        """The moment it is, in the time zone the clock was last set in."""
        return (self._read() + self._shift).astimezone(self._zone or UTC)

    def set_to(self, moment: datetime) -> None:
        """Makes it that moment now; time runs on from there."""
        self._shift = moment - self._read()
        self._zone = moment.tzinfo


def moment(said: str) -> datetime:
    """The moment that a text names.

    Raises:
        ClockUnreadable: for no moment, or one without an offset.

    >>> moment("2027-03-01T08:00+03:00").isoformat()
    '2027-03-01T08:00:00+03:00'
    """
    try:
        found = datetime.fromisoformat(said)
    except ValueError:
        raise ClockUnreadable(said) from None
    if found.utcoffset() is None:
        raise ClockUnreadable(said)
    return found


def later(now: datetime, said: str) -> datetime:
    """The moment after a step of time, or the moment itself where one is named.

    Args:
        now: where the step starts.
        said: ``+30m``, ``+2h``, ``+3d``, ``+1w`` or a moment with its offset.

    >>> later(moment("2027-03-01T08:00+03:00"), "+3d").isoformat()
    '2027-03-04T08:00:00+03:00'
    """
    step = _STEP.fullmatch(said)
    if step is None:
        return moment(said)
    try:
        return now + int(step[1]) * _UNITS[step[2]]
    except OverflowError:
        raise ClockUnreadable(said) from None
