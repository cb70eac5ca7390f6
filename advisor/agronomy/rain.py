"""Whether the rains have begun, from a series of daily rain, by a published rule.

Days that nobody measured, and days that have not come yet, are not known; they are neither dry nor wet. Every rule
holds the more surely the more it rains, so a day is surely the onset if the rule holds with all unknown days dry,
and surely not if it fails with all of them drenched. Between the two the answer is a span, and says so. A false
start is a day that was wet enough and that what followed took back.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from advisor.agronomy.errors import CannotBe
from advisor.agronomy.limits import within
from advisor.agronomy.onset_rules import OnsetRule

#: More than has ever fallen in a day (1,825 mm, Réunion 1966). An unknown day may bring it; no rule asks more.
MOST_MM = 2000.0


@dataclass(frozen=True, slots=True)
class Rain:
    """Rain of consecutive days.

    Args:
        first: the first day.
        mm: rain of each day [mm], 0 or more; None where nobody measured.

    Raises:
        OutOfRange: rain below 0 or beyond what can fall, or a year that no series is of.

    >>> Rain(date(2026, 11, 1), (0.0, 12.5, None)).last
    datetime.date(2026, 11, 3)
    """

    first: date
    mm: tuple[float | None, ...]

    def __post_init__(self) -> None:
        within("year of the first day", self.first.year, 1800, 2200, "1")
        for fallen in self.mm:
            if fallen is not None:
                within("rain", fallen, 0, MOST_MM, "mm")

    @property
    def last(self) -> date:
        """The last day of the series; the day before the first where it holds none."""
        return self.first + timedelta(len(self.mm) - 1)

    def filled(self, unknown_mm: float, ahead: int) -> list[float]:
        """The series with so much on every unknown day, and on so many days after its end."""
        return [unknown_mm if fallen is None else fallen for fallen in self.mm] + [unknown_mm] * ahead


@dataclass(frozen=True, slots=True)
class Onset:
    """When the rains began.

    Args:
        day: the first day on which they surely had; None where there is none yet.
        earliest: the first day on which they may have, as far as is known; None where they surely have not.
        false_starts: days before ``day`` that were surely wet enough and that what followed surely took back.
        unknown_days: days of the series that nobody measured, from the day on which counting began.
    """

    day: date | None
    earliest: date | None
    false_starts: tuple[date, ...]
    unknown_days: int

    @property
    def is_sure(self) -> bool:
        """Whether no unknown day could change the day."""
        return self.day == self.earliest


def onset(rain: Rain, rule: OnsetRule, begin: date) -> Onset:
    """When the rains began by a rule.

    Args:
        rain: daily rain; days before ``begin`` count for nothing.
        rule: the rule.
        begin: first day on which they can begin.

    Returns:
        The day, or the span in which it lies, and false starts.

    Raises:
        CannotBe: the series holds no day from ``begin`` on.

    Source:
        The rule's own.

    >>> from advisor.agronomy.onset_rules import DrySpellRule
    >>> rule = DrySpellRule("sahel", 20, 3, longest_dry=7, watched=30, dry_under_mm=1)
    >>> rain = Rain(date(2026, 5, 1), (0, 25, *[0] * 8, 12, 12, *[0, 0, 0, 5] * 8))
    >>> found = onset(rain, rule, date(2026, 5, 1))
    >>> found.day, found.false_starts, found.is_sure
    (datetime.date(2026, 5, 12), (datetime.date(2026, 5, 2),), True)
    """
    start = max(0, (begin - rain.first).days)
    if start >= len(rain.mm):
        raise CannotBe(
            "no_rain_series", f"there is no rain measured from {begin} on", "give daily rain from that day on"
        )
    dry, drenched = rain.filled(0.0, rule.ahead), rain.filled(MOST_MM, rule.ahead)
    earliest = None
    false_starts: list[date] = []
    for at in range(start, len(rain.mm)):
        day = rain.first + timedelta(at)
        if not rule.is_candidate(day) or not rule.is_wet(drenched, at, start, rain.first):
            continue
        may_last = rule.lasts(drenched, at, rain.first)
        if may_last and earliest is None:
            earliest = day
        if rule.is_wet(dry, at, start, rain.first):
            if rule.lasts(dry, at, rain.first):
                return Onset(day, earliest, tuple(false_starts), rain.mm[start:].count(None))
            if not may_last:
                false_starts.append(day)
    return Onset(None, earliest, tuple(false_starts), rain.mm[start:].count(None))


def false_start_share(seasons: Sequence[tuple[Rain, date]], rule: OnsetRule) -> float:
    """In which part of past seasons the first rain that was enough was followed by none.

    Args:
        seasons: daily rain of each season, and the first day on which the rains can begin; at least one.
        rule: the rule.

    Returns:
        Part of the seasons with a false start, 0 to 1.

    Raises:
        CannotBe: no season, or a season without rain measured.

    Source:
        Counting; Stern et al., Journal of Climatology 1 (1981) 59, judge early sowing by such odds.

    >>> from advisor.agronomy.onset_rules import FollowUpRule
    >>> rule = FollowUpRule("x", 25, 10, 20, 20, 1)
    >>> good, false = (30.0, *[5.0] * 20), (30.0, *[0.0] * 20)
    >>> false_start_share([(Rain(date(2020, 1, 1), mm), date(2020, 1, 1)) for mm in (good, false)], rule)
    0.5
    """
    if not seasons:
        raise CannotBe("no_season", "there is no past season to count", "give daily rain of at least one season")
    return sum(bool(onset(rain, rule, begin).false_starts) for rain, begin in seasons) / len(seasons)
