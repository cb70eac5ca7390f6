"""Days as records keep them and as a programme counts them."""

from __future__ import annotations

from datetime import date, datetime
from zoneinfo import ZoneInfo

from advisor.agronomy.errors import CannotBe
from advisor.agronomy.programme import Programme


def day_of(value: object) -> date:
    """The day that a fact or an answer keeps as text.

    Raises:
        CannotBe: it is no day.

    >>> day_of("2027-03-12")
    datetime.date(2027, 3, 12)
    """
    try:
        return date.fromisoformat(str(value))
    except ValueError:
        raise CannotBe("date", f"'{value}' is no day", "give a day as in 2027-03-12") from None


def day_in(programme: Programme, now: datetime) -> date:
    """The day of a moment where the programme is, which may be another one than where the machine is."""
    return now.astimezone(ZoneInfo(programme.time_zone)).date()
