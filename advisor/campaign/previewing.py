"""What a round would send, reckoned before anything leaves: to how many, on which days, in how many segments.

It is reckoned as if nobody answered, on what is known now. Steps that are counted from a day which nobody has told
yet come to those alone who tell it.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import date, datetime
from decimal import Decimal

from advisor.campaign.deciding import Running, Window
from advisor.campaign.once_a_day import to_the_silent
from advisor.campaign.onsets import ZoneDays
from advisor.campaign.rounds import FALSE_START, ONSET, START, AgentNote, OnDay, Step


@dataclass(frozen=True, slots=True)
class StepPreview:
    """What one step would send.

    Args:
        step: the step.
        messages: how many.
        segments: how many segments they take.
        by_language: pairs of language code and messages, empty code for who has chosen none.
        first: the first day on which it falls, None where it comes to nobody yet.
        last: the last day.
    """

    step: Step
    messages: int
    segments: int
    by_language: tuple[tuple[str, int], ...]
    first: date | None
    last: date | None


@dataclass(frozen=True, slots=True)
class Preview:
    """What a round would send.

    Args:
        growers: to how many it would send something.
        steps: its messages, in the order of the round.
        most: most messages to one grower.
        most_segments: most segments to one grower.
        notes: what agents are told, and of how many growers together.
        late: steps for whom it would be started late, and for how many growers.
    """

    growers: int
    steps: tuple[StepPreview, ...]
    most: int
    notes: tuple[tuple[AgentNote, int], ...] = ()
    late: tuple[tuple[Step, int], ...] = ()
    most_segments: int = 0

    @property
    def messages(self) -> int:
        """All messages."""
        return sum(step.messages for step in self.steps)

    @property
    def segments(self) -> int:
        """All segments, which is what the network is paid for."""
        return sum(step.segments for step in self.steps)

    def cost(self, segment: Decimal) -> Decimal:
        """What all of them cost at a price for a segment."""
        return segment * self.segments


def preview(
    running: Running,
    growers: Iterable[tuple[Mapping[str, object], Callable[[Window], int]]],
    now: datetime,
) -> Preview:
    """What a round would send from a moment on.

    Args:
        running: the round, as if it were started at ``now``.
        growers: what is known and fresh of each grower who may be written to, and how many segments a message to
            that grower takes.
        now: the moment, with a time zone.

    >>> from datetime import UTC, time, timedelta
    >>> from zoneinfo import ZoneInfo
    >>> from advisor.campaign.quiet import Quiet
    >>> from advisor.campaign.rounds import Round
    >>> step = Step("sort", OnDay("plot.sowing", -16, time(17)), timedelta(hours=20), (("en", "Sort"),))
    >>> start = datetime(2027, 11, 1, tzinfo=UTC)
    >>> round_ = Running(Round("demo", (step,)), start, Quiet(ZoneInfo("UTC"), time(20), time(6)))
    >>> known = ({"plot.sowing": day} for day in ("2027-12-01", "2027-11-02"))
    >>> found = preview(round_, ((facts, lambda window: 2) for facts in known), start)
    >>> found.messages, found.segments, found.steps[0].first.isoformat(), found.cost(Decimal("0.5"))
    (1, 2, '2027-11-15', Decimal('1.0'))
    """
    sums = {step.key: _Sum() for step in running.round.steps}
    most = most_segments = reached = 0
    about = dict.fromkeys(range(len(running.round.notes)), 0)
    late: Counter[str] = Counter()
    for facts, segments_of in growers:
        for place, note in enumerate(running.round.notes):
            about[place] += running.is_about(note, running.zone_of(facts), facts)
        windows, language = running.windows(facts, ()), str(facts.get("grower.language", ""))
        late.update({window.step.key for window in windows if window.step.started is not None})
        sent = to_the_silent(windows, now, running.quiet.zone)
        together = 0
        for moment, window in sent:
            segments = segments_of(window)
            sums[window.step.key].add(moment.astimezone(running.quiet.zone).date(), language, segments)
            together += segments
        most, most_segments, reached = max(most, len(sent)), max(most_segments, together), reached + bool(sent)
    return Preview(
        reached,
        tuple(sums[step.key].of(step) for step in running.round.steps if not step.closes),
        most,
        tuple((note, about[place]) for place, note in enumerate(running.round.notes)),
        tuple((step, late[step.key]) for step in running.round.steps if late[step.key]),
        most_segments,
    )


def as_if_it_rained(running: Running, zone_of: Mapping[str, str], today: date) -> Running:
    """A round as if the rains had begun today in each zone, and had proved a false start as well.

    Args:
        running: the round.
        zone_of: zone of each village, by their keys.
        today: the day.
    """
    days = {zone: ZoneDays(zone, today, today, today) for zone in zone_of.values()}
    return replace(running, rains=tuple((village, days[zone]) for village, zone in sorted(zone_of.items())))


@dataclass(slots=True)
class _Sum:
    """A step as it is added up."""

    languages: Counter[str] = field(default_factory=Counter)
    days: set[date] = field(default_factory=set)
    segments: int = 0

    def add(self, day: date, language: str, segments: int) -> None:
        self.languages[language] += 1
        self.days.add(day)
        self.segments += segments

    def of(self, step: Step) -> StepPreview:
        first, last = min(self.days, default=None), max(self.days, default=None)
        by_language = tuple(sorted(self.languages.items()))
        return StepPreview(step, self.languages.total(), self.segments, by_language, first, last)


#: What a day that steps are counted from is called to a reader.
_CALLED = {
    "plot.sowing": "sowing",
    "lot.test_day": "the sowing of the test",
    START: "the start",
    ONSET: "the beginning of the rains",
    FALSE_START: "the false start",
}


def counted_from(step: Step) -> str:
    """The day of a step for a reader, as it is counted from another day.

    >>> from datetime import time, timedelta
    >>> days = [OnDay("plot.sowing", day, time(8)) for day in (-16, -1, 0, 8)]
    >>> [counted_from(Step("sort", when, timedelta(hours=1), ())) for when in days]
    ['16 days before sowing', '1 day before sowing', 'on the day of sowing', '8 days after sowing']
    >>> from advisor.campaign.rounds import After
    >>> counted_from(Step("hello", After(0), timedelta(hours=1), ()))
    'at the start'
    """
    if not isinstance(step.when, OnDay):
        return f"{some(step.when.minutes, 'minute')} after the start" if step.when.minutes else "at the start"
    anchor, day = step.when.anchor, step.when.day
    called = _CALLED.get(anchor, anchor)
    if not day:
        return f"on the day of {called}"
    return f"{some(abs(day), 'day')} {'before' if day < 0 else 'after'} {called}"


def warning(step: Step, growers: int) -> str:
    """That a round is started late for some growers, and what it means, in one line; empty for nothing.

    Args:
        step: a step for whom it is started late.
        growers: for how many it is.

    >>> from datetime import timedelta
    >>> from advisor.campaign.rounds import After, LateStart
    >>> late = LateStart("plot.sowing", -15, -10, "little time is left")
    >>> warning(Step("late", After(0), timedelta(hours=1), (), started=late), 3)
    'late for 3 growers, 15 to 10 days before sowing: little time is left'
    """
    late = step.started
    if late is None or not late.warns:
        return ""
    when = f"{abs(late.first)} to {abs(late.last)} days {'before' if late.first < 0 else 'after'}"
    called = _CALLED.get(late.anchor, late.anchor)
    cool = ", sooner in cool soil" if late.slowed else ""
    return f"late for {some(growers, 'grower')}, {when} {called}{cool}: {late.warns}"


def some(count: int, what: str) -> str:
    """So many of something, in words.

    >>> some(1, "grower"), some(0, "message")
    ('1 grower', '0 messages')
    """
    return f"{count} {what}" if count == 1 else f"{count} {what}s"
