"""Where the rains began and broke off, one beginning after the other, as far as gauges surely show it.

``rain.onset`` looks back and names the one day that lasted. Whoever must say "sow now" cannot wait for three weeks
of rain to follow: a beginning stands from the day on which it had surely rained enough until what follows has
surely taken it back. Days that nobody measured neither begin nor end anything.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

from advisor.agronomy.onset_rules import OnsetRule
from advisor.agronomy.rain import MOST_MM, Rain


@dataclass(frozen=True, slots=True)
class Start:
    """A beginning of the rains.

    Args:
        day: the day on which it had surely rained enough.
        last_wet: the last day, up to its end, on which that was so again.
        broken_off: the day on which what followed had surely taken it back, None while it stands.
    """

    day: date
    last_wet: date
    broken_off: date | None


def starts(rain: Rain, rule: OnsetRule, begin: date) -> tuple[Start, ...]:
    """Every beginning of the rains by a rule, in order; of all but the last it is known that it broke off.

    Args:
        rain: daily rain; days before ``begin`` count for nothing.
        rule: the rule.
        begin: first day on which they can begin.

    Returns:
        The beginnings. Rain up to the day on which one broke off counts for no later one.

    Source:
        The rule's own. That counting begins anew behind a false start is own choice: rain on which seed was lost
        is none to sow on.

    >>> from advisor.agronomy.onset_rules import DrySpellRule
    >>> rule = DrySpellRule("sahel", 20, 3, longest_dry=7, watched=30, dry_under_mm=1)
    >>> rain = Rain(date(2026, 5, 1), (0, 25, *[0] * 8, 12, 12))
    >>> [(str(found.day), found.broken_off and str(found.broken_off)) for found in starts(rain, rule, rain.first)]
    [('2026-05-02', '2026-05-10'), ('2026-05-12', None)]
    """
    dry = rain.filled(0.0, rule.ahead)
    found: list[Start] = []
    at = counted = max(0, (begin - rain.first).days)
    while at < len(rain.mm):
        if not rule.is_candidate(rain.first + timedelta(at)) or not rule.is_wet(dry, at, counted, rain.first):
            at += 1
            continue
        over = _broken_off(rain, rule, at)
        ends = len(rain.mm) if over is None else over + 1
        wet = [
            _met(rain, rule, day, counted)
            for day in range(at, ends)
            if rule.is_candidate(rain.first + timedelta(day)) and rule.is_wet(dry, day, counted, rain.first)
        ]
        found.append(
            Start(
                rain.first + timedelta(wet[0]),
                rain.first + timedelta(max(day for day in wet if day < ends)),
                None if over is None else rain.first + timedelta(over),
            )
        )
        if over is None:
            break
        at = counted = over + 1
    return tuple(found)


def _met(rain: Rain, rule: OnsetRule, at: int, counted: int) -> int:
    """The day by whose end it had rained enough for the day ``at``; later where a rule looks at what follows."""
    for day in range(at, len(rain.mm)):
        until = Rain(rain.first, rain.mm[: day + 1]).filled(0.0, len(rain.mm) + rule.ahead)
        if rule.is_wet(until, at, counted, rain.first):
            return day
    return len(rain.mm) - 1


def _broken_off(rain: Rain, rule: OnsetRule, at: int) -> int | None:
    """The day on which the day ``at`` was surely none on which the rains began, None where it still may be."""
    if rule.lasts(rain.filled(MOST_MM, rule.ahead), at, rain.first):
        return None
    for day in range(at, len(rain.mm)):
        known = Rain(rain.first, rain.mm[: day + 1]).filled(MOST_MM, len(rain.mm) + rule.ahead)
        if not rule.lasts(known, at, rain.first):
            return day
    return len(rain.mm) - 1
