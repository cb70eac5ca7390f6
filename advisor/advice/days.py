"""The day of a moment, as a programme counts it."""

from __future__ import annotations

from datetime import date, datetime
from zoneinfo import ZoneInfo

from advisor.agronomy.programme import Programme


def day_in(programme: Programme, now: datetime) -> date:
    """The day of a moment where the programme is, which may be another one than where the machine is."""
    return now.astimezone(ZoneInfo(programme.time_zone)).date()
