"""Beginnings of the rains and false starts that growers of a zone are told of, each once, from its gauges. Pure.

What was noted stays noted: a reading that is corrected neither makes the same beginning a second time nor unsays
it. Where a correction leaves nothing of it, that is a false start like any other, from the day after on, since
whoever puts a day's rain to its right day does so in two readings.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

from advisor.agronomy.onset_rules import OnsetRule
from advisor.agronomy.rain import Rain
from advisor.agronomy.rain_starts import Start, starts
from advisor.records.rain_book import Begun

_DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True)
class Sowable:
    """When a zone can be sown on rain.

    Args:
        begin: the first day whose rain counts.
        last: the last day on which sowing is safe.
        moist_days: days after its last rain in which the soil is still moist enough.
    """

    begin: date
    last: date
    moist_days: int


def noted(begun: Sequence[Begun], rain: Rain, rule: OnsetRule, sowable: Sowable, today: date) -> tuple[Begun, ...]:
    """What is noted of a zone now.

    Args:
        begun: what was noted before, in order.
        rain: its daily rain.
        rule: the rule that the programme chose.
        sowable: when it can be sown.
        today: the day.

    Returns:
        The same, with the last one as it stands now or one more behind it. A beginning is noted only while the
        soil is still moist from it and sowing is safe; one of an earlier season is over and stays as it is.

    >>> from advisor.agronomy.onset_rules import DrySpellRule
    >>> rule, first = DrySpellRule("x", 20, 3, longest_dry=7, watched=30, dry_under_mm=1), date(2026, 11, 20)
    >>> sowable = Sowable(date(2026, 11, 15), date(2027, 1, 10), 3)
    >>> once = noted((), Rain(first, (25.0,)), rule, sowable, first)
    >>> once[0].day.isoformat(), noted(once, Rain(first, (30.0,)), rule, sowable, first) == once
    ('2026-11-20', True)
    >>> later = noted(once, Rain(first, (25.0, *[0.0] * 8)), rule, sowable, date(2026, 11, 29))
    >>> later[0].false.isoformat()
    '2026-11-29'
    """
    season = [one for one in begun if one.noted >= sowable.begin]
    last = season[-1] if season else None
    counted = max((one.counted_to + _DAY for one in season if one.counted_to is not None), default=sowable.begin)
    found = starts(rain, rule, max(counted, sowable.begin)) if rain.mm else ()
    if last is not None and last.false is None:
        return (*begun[:-1], _as_it_stands(last, [one for one in found if one.day <= last.noted], today))
    if not found or found[-1].broken_off is not None or (last is not None and last.noted >= today):
        return tuple(begun)
    wet = found[-1].last_wet
    is_moist = today - wet <= timedelta(days=sowable.moist_days)
    return (*begun, Begun(today, wet)) if is_moist and sowable.begin <= today <= sowable.last else tuple(begun)


def _as_it_stands(last: Begun, found: Sequence[Start], today: date) -> Begun:
    if found:
        over = found[-1].broken_off
        return replace(last, doubted=None) if over is None else replace(last, false=today, counted_to=over)
    if last.doubted is None:
        return replace(last, doubted=today)
    return replace(last, false=today, counted_to=last.noted) if today > last.doubted else last


@dataclass(frozen=True, slots=True)
class ZoneDays:
    """What rounds count from in a zone.

    Args:
        zone: key of the zone.
        noted: the day on which the beginning was noted that both are about; it tells one from the next.
        onset: the last day on which it had rained enough, None once that was a false start or while it is doubted.
        false_start: the day on which it was noted as a false start, None while it stands.
    """

    zone: str
    noted: date
    onset: date | None
    false_start: date | None


def zone_days(zone: str, begun: Sequence[Begun]) -> ZoneDays | None:
    """The days of a zone's last beginning of the rains, None where there was none.

    >>> zone_days("valley", (Begun(date(2026, 11, 21), date(2026, 11, 20)),)).onset.isoformat()
    '2026-11-20'
    """
    if not begun:
        return None
    last = begun[-1]
    stands = last.false is None and last.doubted is None
    return ZoneDays(zone, last.noted, last.day if stands else None, last.false)
