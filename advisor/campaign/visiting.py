"""Who needs a visit, why, and what to bring or do: the one list that terminal, sheet and phone show.

What is wrong with seed is told of the grower's own lots, while it is not sown yet. A visit is one line a grower,
with every reason, since when each holds and what helps; the most pressing comes first.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime, timedelta, tzinfo
from enum import StrEnum
from math import inf
from types import MappingProxyType

from advisor.agronomy.buylist import Origin
from advisor.agronomy.crop import Crop
from advisor.agronomy.visits import Lacks, Standing, lacks
from advisor.campaign.bringing import Bringing
from advisor.campaign.deciding import Running
from advisor.campaign.seen import Seen, SeenLot, SeenPlot

#: A count is overdue so many days after its day: by then it was asked for twice more.
OVERDUE_AFTER_DAYS = 2
#: So many questions of a round in a row without a word make a grower silent.
SILENT_AFTER = 2
#: Nobody is silent who was asked less than so long ago.
ANSWERED_WITHIN = timedelta(days=1)


class Why(StrEnum):
    """Why a grower is visited, the most pressing first.

    ``untested``: a round gave the seed up before a test began. ``broken_off``: a test was begun, and there is
    neither count nor anybody to be asked for it. ``no_final``: the same, with the early count as a lower bound.
    """

    BAD_SEED = "bad_seed"
    UNTESTED = "untested"
    BROKEN_OFF = "broken_off"
    NO_FINAL = "no_final"
    SILENT = "silent"
    ASKED = "asked"


class Help(StrEnum):
    """What to bring or to do."""

    OTHER_SEED = "other_seed"
    KEEP_BACK = "keep_back"
    COUNT = "count"
    TEST = "test"
    ASK = "ask"
    ANSWER = "answer"


@dataclass(frozen=True, slots=True)
class Reason:
    """A reason, since when it holds, and what helps.

    Args:
        why: the reason.
        since: the day since which.
        help: what to bring or to do.
        kg: of seed to bring, or of grain to keep back, how much [kg, to a tenth]; None where it is not known, or
            needs none.
        by: the last day on which a count or the beginning of a test is of use, None where that is not known.
        bag: of several bags of seed the number of the one that it is about; None else.
        test: seedlings and seeds of a test that failed; of a test without its final count those of the early one,
            which is a lower bound.
    """

    why: Why
    since: date
    help: Help
    kg: float | None = None
    by: date | None = None
    bag: int | None = None
    test: tuple[int, int] | None = None


@dataclass(frozen=True, slots=True)
class Visit:
    """A grower to visit.

    Args:
        grower: id of the grower.
        village: key of the village, empty where it is not known.
        number: E.164 number; shown only where somebody asks for it.
        reasons: why, the most pressing first, of one kind the longest first.
        sowing: the first day on which a field that is not sown yet is, or was, meant to be; where all are sown or
            given up the last of their days; None where none is known.
        days_left: days to it, below 0 once it is past and nobody told that it was sown; None where nothing is to
            be sown any more, or no day is known.
    """

    grower: str
    village: str
    number: str
    reasons: tuple[Reason, ...]
    sowing: date | None
    days_left: int | None


@dataclass(frozen=True, slots=True)
class Terms:
    """What visits are judged by.

    Args:
        crop: edges of good and poor seed, and the days before sowing until which a test may begin.
        zone: time zone of the programme.
        now: the moment.
        final_days: days from putting out a test to its final count, by village; the entry of the empty key is for
            a village that is not known. Empty where the crop has no days of a test.
        rounds: the rounds that are under way.
        late_days: days after the final count from which a count is too late.
        brings: reckons seed and grain, None where nobody can.
    """

    crop: Crop
    zone: tzinfo
    now: datetime
    final_days: Mapping[str, int] = field(default_factory=lambda: MappingProxyType({}))
    rounds: Sequence[Running] = ()
    late_days: int = 1
    brings: Bringing | None = None

    @property
    def today(self) -> date:
        """The day in the programme's zone."""
        return self.now.astimezone(self.zone).date()

    def day(self, moment: datetime) -> date:
        """The day of a moment in the programme's zone."""
        return moment.astimezone(self.zone).date()

    def counted_in(self, seen: Seen) -> int | None:
        """Days from putting out a test to its final count where a grower is."""
        return self.final_days.get(seen.village, self.final_days.get(""))

    def count_on(self, seen: Seen, lot: SeenLot) -> date | None:
        """The day of the final count of a test that is open, None where none is."""
        days = self.counted_in(seen)
        if lot.begun is None or lot.test is not None or days is None:
            return None
        return lot.begun + timedelta(days)

    def last_to_test(self, seen: Seen, sowing: date | None) -> date | None:
        """The last good day to begin a test before a sowing, None where that is not known."""
        days, counted_in = self.crop.days, self.counted_in(seen)
        if days is None or counted_in is None or sowing is None:
            return None
        return sowing - timedelta(days.test_to + max(0, counted_in - days.final_count))


def is_poor(lot: SeenLot, crop: Crop) -> bool:
    """Whether the test of a lot failed, by the crop's edges."""
    return lot.test is not None and Lacks.GOOD_SEED in lacks(Standing("", "", test=lot.test), crop)


def reasons_for(seen: Seen, terms: Terms) -> tuple[Reason, ...]:
    """Why a grower is to be visited, none where there is no reason.

    >>> from zoneinfo import ZoneInfo
    >>> from advisor.agronomy.germination import SeedTest
    >>> crop = Crop("x", 130, 0.85, 0.95, 80, 60, 50, 50, 20, 400, 4, ())
    >>> monday = datetime(2027, 3, 1, 9, tzinfo=ZoneInfo("UTC"))
    >>> terms = Terms(crop, ZoneInfo("UTC"), monday, {"": 8})
    >>> bad = SeenLot("saved", SeedTest(40, 100), monday)
    >>> begun = SeenLot("saved", begun=date(2027, 2, 18), number=2)
    >>> [(str(one.why), str(one.help), one.bag) for one in reasons_for(Seen("a", lots=(begun, bad)), terms)]
    [('bad_seed', 'other_seed', 1), ('broken_off', 'test', 2)]
    """
    found = [Reason(Why.ASKED, terms.day(seen.asked[0]), Help.ANSWER)] if seen.asked else []
    if any(plot.waits(terms.today) for plot in seen.plots):
        found += _of_seed(seen, terms)
    silent = _silent_since(seen, terms)
    if silent is not None:
        found.append(_silent(seen, terms, silent))
    order = tuple(Why)
    return tuple(sorted(found, key=lambda reason: (order.index(reason.why), reason.since, reason.bag or 0)))


def visit_for(seen: Seen, terms: Terms) -> Visit | None:
    """The visit to a grower, None where none is needed."""
    reasons = reasons_for(seen, terms)
    if not reasons:
        return None
    sowing = _next_sowing(seen.plots, terms.today)
    left = None if sowing is None else (sowing - terms.today).days
    past = max((plot.sowing for plot in seen.plots if plot.sowing is not None), default=None)
    return Visit(seen.grower, seen.village, seen.number, reasons, sowing or past, left)


def in_order(visits: Iterable[Visit]) -> tuple[Visit, ...]:
    """The most pressing reason first, then who sows soonest, then who waits longest."""
    order = tuple(Why)

    def place(visit: Visit) -> tuple[object, ...]:
        first = visit.reasons[0]
        left = inf if visit.days_left is None else visit.days_left
        return (order.index(first.why), left, first.since, visit.grower)

    return tuple(sorted(visits, key=place))


def _next_sowing(plots: Iterable[SeenPlot], today: date) -> date | None:
    """The first day of fields that wait to be sown; one that is past counts, since it is waited for."""
    return min((plot.sowing for plot in plots if plot.sowing is not None and plot.waits(today)), default=None)


def _of_seed(seen: Seen, terms: Terms) -> Iterator[Reason]:
    of_plots = seen.lots_of_plots()
    for place, lot in enumerate(seen.lots):
        plots = [
            plot for plot, of in zip(seen.plots, of_plots, strict=True) if of == place and plot.waits(terms.today)
        ]
        found = _of_lot(seen, terms, lot, plots)
        if found is not None:
            yield replace(found, bag=lot.number if len(seen.lots) > 1 else None)


def _of_lot(seen: Seen, terms: Terms, lot: SeenLot, plots: Sequence[SeenPlot]) -> Reason | None:
    if lot.test is not None:
        if lot.tested is None or not is_poor(lot, terms.crop):
            return None
        kg = terms.brings.seed_kg(lot.test, plots) if terms.brings else None
        return Reason(
            Why.BAD_SEED, terms.day(lot.tested), Help.OTHER_SEED, kg, test=(lot.test.grown, lot.test.sown)
        )
    if lot.begun is not None:
        return _of_open_test(seen, terms, lot, plots)
    if lot.closed_at is None:
        return None
    return _without_count(seen, terms, lot, plots, Why.UNTESTED, terms.day(lot.closed_at))


def _of_open_test(seen: Seen, terms: Terms, lot: SeenLot, plots: Sequence[SeenPlot]) -> Reason | None:
    """A test whose count does not come: nobody asks for it any more, or nobody has answered in time.

    Who wants no messages is not reminded, so somebody should come before the day of the count.
    """
    count_on, closed_at = terms.count_on(seen, lot), lot.closed_at
    overdue = count_on is not None and (terms.today - count_on).days > OVERDUE_AFTER_DAYS
    if overdue and count_on is not None:
        since = count_on
    elif closed_at is not None:
        since = terms.day(closed_at)
    elif seen.stopped is not None:
        since = terms.day(seen.stopped)
    else:
        return None
    counts = None if lot.early is None or lot.sown is None else (lot.early, lot.sown)
    why = Why.BROKEN_OFF if counts is None else Why.NO_FINAL
    last = None if count_on is None else count_on + timedelta(terms.late_days - 1)
    if last is not None and terms.today <= last:
        return Reason(why, since, Help.COUNT, by=last, test=counts)
    return replace(_without_count(seen, terms, lot, plots, why, since), test=counts)


def _without_count(
    seen: Seen, terms: Terms, lot: SeenLot, plots: Sequence[SeenPlot], why: Why, since: date
) -> Reason:
    """Seed of which no count will come: while there is time a test is begun, then more grain is kept back."""
    if lot.origin == Origin.BOUGHT:
        return Reason(why, since, Help.ASK)  # the dealer's label stands behind it
    sowing = _next_sowing(plots or seen.plots, terms.today)
    last = terms.last_to_test(seen, sowing)
    if sowing is None or (last is not None and terms.today <= last):
        return Reason(why, since, Help.TEST, by=last)
    return Reason(why, since, Help.KEEP_BACK, terms.brings.grain_kg(plots) if terms.brings else None)


def _silent(seen: Seen, terms: Terms, since: datetime) -> Reason:
    """Who says nothing: what helps is that of the first lot that nobody has tested, unless all is sown."""
    of_plots = seen.lots_of_plots()
    sows = any(plot.waits(terms.today) for plot in seen.plots)
    for place, lot in enumerate(seen.lots):
        if sows and lot.test is None and lot.begun is None and lot.closed_at is None:
            plots = [
                plot
                for plot, of in zip(seen.plots, of_plots, strict=True)
                if of == place and plot.waits(terms.today)
            ]
            return _without_count(seen, terms, lot, plots, Why.SILENT, terms.day(since))
    return Reason(Why.SILENT, terms.day(since), Help.ASK)


def _silent_since(seen: Seen, terms: Terms) -> datetime | None:
    """When the first of the questions came after which nothing was heard, in the round where that is longest ago.

    A mark says that a step was sent; which day it had follows from the round. What left within a day may still be
    answered. Whoever stopped our messages, or is in no round, is not silent.
    """
    if seen.stopped is not None or not seen.passed:
        return None
    facts, marks = dict(seen.facts), dict(seen.passed)
    found = []
    for running in terms.rounds:
        passed = marks.get(running.round.key)
        if not passed:
            continue
        unheard = [
            window.since
            for window in running.windows(facts, ())
            if window.step.asks
            and window.mark in passed
            and window.since + ANSWERED_WITHIN <= terms.now
            and (seen.told is None or window.since > seen.told)
        ]
        if len(unheard) >= SILENT_AFTER:
            found.append(min(unheard))
    return min(found, default=None)
