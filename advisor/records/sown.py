"""Whether a field is sown, as far as is known: one fact holds the day that is meant and the day that it was."""

from __future__ import annotations

from datetime import UTC, datetime

SOWING = "plot.sowing"
#: Known beside `SOWING` once it is the day on which the field was sown; it is kept nowhere.
SOWN = "plot.sown"


def sown_on(day: object, learnt_s: float) -> str | None:
    """The day of sowing where it was told on that day or later, None where it was told before and is only meant.

    Args:
        day: the day that is known, ``2027-11-20``; anything else is none.
        learnt_s: when it was told, Unix seconds. Days are those of UTC: who tells it within some hours after
            midnight of the very day is asked again.

    >>> noon = datetime(2027, 11, 20, 12, tzinfo=UTC).timestamp()
    >>> [sown_on(day, noon) for day in ("2027-11-19", "2027-11-20", "2027-11-21")]
    ['2027-11-19', '2027-11-20', None]
    """
    if not isinstance(day, str):
        return None
    return day if day <= datetime.fromtimestamp(learnt_s, UTC).date().isoformat() else None
