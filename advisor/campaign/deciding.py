"""Who is due when: the next step of a grower in a round that is under way, decided from values alone.

A step that was sent is marked in the grower's record and never comes again, whatever the clock does. A step that
comes too late is passed over for the day that it had; where that day moves, it is to come again. Where several
wait at once, only the last of them is sent; of questions about the same that fall on one day, the first
(`once_a_day`). Days are counted from what is known now, so that all that was not sent moves with the day that it
is counted from.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time, timedelta
from operator import attrgetter

from msgspec import Struct

from advisor.agronomy.limits import whole_up
from advisor.campaign.choosing import VILLAGE
from advisor.campaign.once_a_day import asked_again
from advisor.campaign.onsets import ZoneDays
from advisor.campaign.quiet import Quiet
from advisor.campaign.rounds import (
    FALSE_START,
    ONSET,
    START,
    ZONE_ANCHORS,
    After,
    AgentNote,
    LateStart,
    OnDay,
    Round,
    Step,
    holds,
)
from advisor.campaign.several_bags import bags_in, together
from advisor.campaign.wall import moment_of
from advisor.records.grower import UNSENT

#: Distinct sets of dates and marks whose windows are remembered.
_REMEMBERED = 20_000
_MIDNIGHT, _DAY = time(0), timedelta(days=1)
_since = attrgetter("since")


class Window(Struct, frozen=True):
    """One occurrence of a step, and when it may be sent.

    Args:
        step: the step.
        occurrence: which time it is, from 0; of a step that hangs on rain, the number of the day on which that
            beginning of the rains was noted.
        since: the first moment at which it may be sent, after any quiet hours.
        until: the last moment at which it is of use.
        bags: of several bags of seed those that it is about, the one that is asked about first; else none.
    """

    step: Step
    occurrence: int
    since: datetime
    until: datetime
    bags: tuple[int, ...] = ()

    @property
    def mark(self) -> str:
        """What a record keeps once this is done."""
        return self.step.mark(self.occurrence, *self.bags[:1])

    @property
    def mark_unsent(self) -> str:
        """What a record keeps once this is passed over: it holds for this day alone."""
        return f"{self.mark}{UNSENT}{self.since.date().isoformat()}"


class Decision(Struct, frozen=True):
    """What becomes of a grower in a round now.

    Args:
        send: what is sent now, None for nothing.
        merged: what is left out: what waited as well, and what would ask the same later on this day.
        late: what was not sent in its time.
        closed: steps that put the grower on the agent's list.
        look_at: when to look again, None where nothing more is known to come.
    """

    send: Window | None = None
    merged: tuple[Window, ...] = ()
    late: tuple[Window, ...] = ()
    closed: tuple[Window, ...] = ()
    look_at: datetime | None = None

    @property
    def marks(self) -> tuple[str, ...]:
        """Marks of all that is done with, sent or not."""
        sent = () if self.send is None else (self.send,)
        unsent = tuple([window.mark_unsent for window in (*self.late, *self.merged)])
        return (*unsent, *[window.mark for window in (*self.closed, *sent)])


#: Of a grower or a bag the days that are counted from, and the conditions that hold.
_Looked = tuple[tuple[str | None, ...], frozenset[str]]
#: A bag of seed: its number, all that is known of its grower and of it, and the conditions that hold.
_Lot = tuple[int, Mapping[str, object], frozenset[str]]
_Key = tuple[_Looked, tuple[tuple[int, _Looked], ...], float | None, ZoneDays | None, tuple[str, ...]]


@dataclass(frozen=True, slots=True)
class Running:
    """A round that is under way.

    Args:
        round: the round.
        started: when it was started, with a time zone.
        quiet: when nothing is sent.
        slowed_by: pairs of village and factor, 1 or more, by which its cool soil stretches the days of a test.
        rains: pairs of village and the days that its rains began and broke off on.
        rains_ms: since when ``rains`` is as it is, Unix milliseconds; growers are looked at anew from then on.
    """

    round: Round
    started: datetime
    quiet: Quiet
    slowed_by: tuple[tuple[str, float], ...] = ()
    rains: tuple[tuple[str, ZoneDays], ...] = ()
    rains_ms: int = 0
    _rain_of: Mapping[str, ZoneDays] = field(init=False, compare=False, repr=False)
    _slowed_by: Mapping[str, float] = field(init=False, compare=False, repr=False)
    _started_on: date = field(init=False, compare=False, repr=False)
    _anchors: tuple[str, ...] = field(init=False, compare=False, repr=False)
    _conditions: tuple[str, ...] = field(init=False, compare=False, repr=False)
    _known: dict[_Key, tuple[Window, ...]] = field(init=False, compare=False, repr=False, default_factory=dict)
    _made: dict[tuple[str, int, datetime, tuple[int, ...]], Window] = field(
        init=False, compare=False, repr=False, default_factory=dict
    )

    def __post_init__(self) -> None:
        object.__setattr__(self, "_rain_of", dict(self.rains))
        object.__setattr__(self, "_slowed_by", dict(self.slowed_by))
        object.__setattr__(self, "_started_on", self.started.astimezone(self.quiet.zone).date())
        object.__setattr__(self, "_anchors", self.round.anchors)
        object.__setattr__(self, "_conditions", self.round.conditions)

    def windows(self, facts: Mapping[str, object], passed: tuple[str, ...]) -> tuple[Window, ...]:
        """What is still to come for a grower, or is overdue, in order of time.

        Args:
            facts: what is known of the grower, by name; dates as ``2027-11-20``.
            passed: marks of what is done with.
        """
        if not passed and not self.round.chosen.takes(facts):
            return ()
        facts = self.with_rains(facts)
        bags = bags_in(facts)
        looked = tuple((number, self._looked_at(lot)) for number, lot in bags)
        village = str(facts.get(VILLAGE))
        key = (self._looked_at(facts), looked, self._slowed_by.get(village), self._rain_of.get(village), passed)
        found = self._known.get(key)
        if found is None:
            if len(self._known) >= _REMEMBERED:
                self._known.clear()
            found = self._known[key] = self._windows(facts, bags, frozenset(passed))
        return found

    def told(self, note: AgentNote, zone: str, now: datetime) -> tuple[str, date, datetime] | None:
        """What a note to agents is about now: its mark, its day and until when it is of use; None for nothing.

        Args:
            note: the note.
            zone: the zone whose rain it is about, empty for a note that hangs on none.
            now: the moment, with a time zone.
        """
        if isinstance(note.on, LateStart):
            mark, day, since = note.key, self._started_on, self.started
            good_from = since
        else:
            days = next((days for _, days in self.rains if days.zone == zone), None)
            found = None if days is None else days.onset if note.on == ONSET else days.false_start
            if days is None or found is None:
                return None
            mark, day = f"{note.key}.{zone}.{days.noted.toordinal()}", found
            # an onset is told when it is noted, which may be after its day
            noted = days.noted if note.on == ONSET else found
            since = moment_of(noted, _MIDNIGHT, self.quiet.zone)
            # it may have been noted in the evening before a holiday
            good_from = moment_of(noted + _DAY, _MIDNIGHT, self.quiet.zone)
        until = self.quiet.next_allowed(good_from) + note.good_for
        return (mark, day, until) if since <= now <= until and self.quiet.may_send(now) else None

    def is_about(self, note: AgentNote, zone: str, facts: Mapping[str, object]) -> bool:
        """Whether a note to agents counts a grower."""
        if not self.round.chosen.takes(facts):
            return False
        if any(holds(one, facts) for one in note.unless) or not all(holds(one, facts) for one in note.only):
            return False
        if isinstance(note.on, LateStart):
            return self._started_in(note.on, facts)
        return zone != "" and self.zone_of(facts) == zone

    def zone_of(self, facts: Mapping[str, object]) -> str:
        """The zone of a grower whose rain is known, empty for none."""
        days = self._rain_of.get(str(facts.get(VILLAGE)))
        return "" if days is None else days.zone

    def with_rains(self, facts: Mapping[str, object]) -> Mapping[str, object]:
        """What is known of a grower, with the days of the rains in the grower's zone."""
        days = self._rain_of.get(str(facts.get(VILLAGE)))
        if days is None:
            return facts
        known = {ONSET: days.onset, FALSE_START: days.false_start}
        return {**facts, **{name: day.isoformat() for name, day in known.items() if day is not None}}

    def _first_of(self, step: Step, facts: Mapping[str, object]) -> int:
        """The number of a step's first occurrence: another one for each beginning of the rains."""
        if not isinstance(step.when, OnDay) or step.when.anchor not in ZONE_ANCHORS:
            return 0
        days = self._rain_of.get(str(facts.get(VILLAGE)))
        return 0 if days is None else days.noted.toordinal()

    def _looked_at(self, facts: Mapping[str, object]) -> _Looked:
        days = tuple(day if isinstance(day := facts.get(name), str) else None for name in self._anchors)
        return days, self._held(facts)

    def _held(self, facts: Mapping[str, object]) -> frozenset[str]:
        return frozenset([condition for condition in self._conditions if holds(condition, facts)])

    def _windows(
        self,
        facts: Mapping[str, object],
        bags: Collection[tuple[int, Mapping[str, object]]],
        passed: frozenset[str],
    ) -> tuple[Window, ...]:
        # what is not about one bag looks at all that is known of any
        known = {name: value for _, lot in bags for name, value in lot.items()} | dict(facts)
        held = self._held(known)
        lots = [(number, lot, self._held(lot)) for number, lot in bags]
        found: list[Window] = []
        for step in self.round.steps:
            if not passed.isdisjoint(step.instead_of):
                continue
            if lots and step.is_of_bags:
                for nth in range(step.times):
                    found += [window for window in self._of_bags(step, nth, lots) if window.mark not in passed]
            elif self._is_for(step, known, held):
                found += self._of_one(step, known, passed)
        if unsent := {mark for mark in passed if UNSENT in mark}:
            found = [window for window in found if window.mark_unsent not in unsent]
        # a sort keeps the round's own order where moments are the same
        found.sort(key=_since)
        return tuple(found)

    def _of_one(self, step: Step, facts: Mapping[str, object], passed: frozenset[str]) -> Iterator[Window]:
        first = self._first_of(step, facts)
        for nth in range(step.times):
            if step.mark(first + nth) not in passed and (due := self._due(step, nth, facts)) is not None:
                yield self._window(step, first + nth, due)

    def _of_bags(self, step: Step, nth: int, lots: Collection[_Lot]) -> Iterator[Window]:
        """What is near together is one message, about the first of the bags.

        What does not come for each bag comes for the first such message alone, so that several bags cost no more.
        """
        dues = [
            (due, number)
            for number, lot, held in lots
            if self._is_for(step, lot, held) and (due := self._due(step, nth, lot)) is not None
        ]
        occurrence = nth + max((self._first_of(step, lot) for _, lot, _ in lots), default=0)
        for due, numbers in together(dues):
            if not step.each_bag:
                yield self._window(step, occurrence, due, numbers)
                return
            # the last of those that wait is sent: the first bag
            for number in reversed(numbers):
                yield self._window(step, occurrence, due, (number,))

    def _window(self, step: Step, occurrence: int, due: datetime, bags: tuple[int, ...] = ()) -> Window:
        # growers of a round share few days
        key = (step.key, occurrence, due, bags)
        found = self._made.get(key)
        if found is None:
            if len(self._made) >= _REMEMBERED:
                self._made.clear()
            since = self.quiet.next_allowed(due)
            found = self._made[key] = Window(step, occurrence, since, since + step.good_for, bags)
        return found

    def _is_for(self, step: Step, facts: Mapping[str, object], held: frozenset[str]) -> bool:
        if not (held.isdisjoint(step.unless) and held.issuperset(step.only)):
            return False
        return step.started is None or self._started_in(step.started, facts)

    def _started_in(self, late: LateStart, facts: Mapping[str, object]) -> bool:
        day = _date(facts.get(late.anchor))
        if day is None:
            return False
        first, last = late.days(self._slowed_of(facts))
        return first <= (self._started_on - day).days <= last

    def _slowed_of(self, facts: Mapping[str, object]) -> float:
        """By how much cool soil stretches the days of a test where a grower is."""
        return self._slowed_by.get(str(facts.get(VILLAGE)), 1.0)

    def _due(self, step: Step, nth: int, facts: Mapping[str, object]) -> datetime | None:
        when, later = step.when, nth * step.every_days
        if step.later is not None and step.later.fact in facts:
            later += step.later.days
        if isinstance(when, After):
            return self.started.astimezone(UTC) + timedelta(days=later, minutes=when.minutes)
        day = self._started_on if when.anchor == START else _date(facts.get(when.anchor))
        if day is None:
            return None
        days = when.day
        if when.slowed:
            days = whole_up(days * self._slowed_of(facts))
        try:
            return moment_of(day + timedelta(days=days + later), when.at, self.quiet.zone)
        except OverflowError:
            return None  # a year that no calendar has


def next_at(
    running: Running, facts: Mapping[str, object], passed: tuple[str, ...], now: datetime
) -> datetime | None:
    """When a grower is to be looked at next, None where nothing is to come.

    Args:
        running: the round.
        facts: what is known of the grower, by name.
        passed: marks of what is done with.
        now: the moment.

    Returns:
        A moment from ``now`` on.
    """
    return next_in(running.windows(facts, passed), now)


def next_in(windows: tuple[Window, ...], now: datetime) -> datetime | None:
    """When to look next of all that is still to come, None where nothing is.

    Args:
        windows: as `Running.windows` gives them.
        now: the moment.

    Returns:
        A moment from ``now`` on.
    """
    for window in windows:
        if now <= window.until:
            return max(window.since, now)
    return None


def next_step(running: Running, facts: Mapping[str, object], passed: tuple[str, ...], now: datetime) -> Decision:
    """What is sent to a grower now, what is passed over, and when to look again.

    Args:
        running: the round.
        facts: what is known of the grower, by name.
        passed: marks of what is done with.
        now: the moment, with a time zone.

    >>> from datetime import time
    >>> from zoneinfo import ZoneInfo
    >>> start = datetime(2027, 3, 1, 9, tzinfo=UTC)
    >>> step = Step("sort", After(5), timedelta(hours=1), (("en", "Sort your seed"),))
    >>> running = Running(Round("demo", (step,)), start, Quiet(ZoneInfo("UTC"), time(20), time(6)))
    >>> next_step(running, {}, (), start).look_at.minute
    5
    >>> next_step(running, {}, (), start + timedelta(minutes=6)).send.step.key
    'sort'
    >>> next_step(running, {}, ("sort",), start + timedelta(minutes=6))
    Decision(send=None, merged=(), late=(), closed=(), look_at=None)
    """
    windows = running.windows(facts, passed)
    late = tuple(window for window in windows if window.until < now)
    ready = [window for window in windows if window.since <= now <= window.until]
    to_come = [window for window in windows if window.since > now]
    coming = next((window.since for window in to_come), None)
    if ready and not running.quiet.may_send(now):
        return Decision(late=late, look_at=running.quiet.next_allowed(now))
    closed = tuple(window for window in ready if window.step.closes)
    messages = [window for window in ready if not window.step.closes]
    if not messages:
        return Decision(late=late, closed=closed, look_at=coming)
    *merged, send = messages
    again = asked_again(send, now, ((window.since, window) for window in to_come), running.quiet.zone)
    coming = next((window.since for window in to_come if window not in again), None)
    return Decision(send, (*merged, *again), late, closed, coming)


def _date(value: object) -> date | None:
    try:
        return date.fromisoformat(value) if isinstance(value, str) else None
    except ValueError:
        return None
