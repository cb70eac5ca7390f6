"""Who needs a visit, and why: seed that failed, a test given up or overdue, no word in the round, a question.

What is wrong with seed is told of the grower's own lots, while it is not sown yet. A visit is one line a grower,
with every reason and since when each holds; the most pressing reason comes first.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta, tzinfo
from enum import StrEnum

from advisor.agronomy.crop import Crop
from advisor.agronomy.visits import Lacks, Standing, lacks
from advisor.campaign.deciding import Running
from advisor.campaign.seen import Seen, SeenLot

#: A count is overdue so many days after its day: by then it was asked for twice more.
OVERDUE_AFTER_DAYS = 2
#: So many questions of a round in a row without a word make a grower silent.
SILENT_AFTER = 2


class Why(StrEnum):
    """Why a grower is visited, the most pressing first; ``closed`` where a round gave the test up."""

    BAD_SEED = "bad_seed"
    CLOSED = "closed"
    COUNT_OVERDUE = "count_overdue"
    SILENT = "silent"
    ASKED = "asked"


@dataclass(frozen=True, slots=True)
class Reason:
    """A reason, and since when it holds.

    Args:
        why: the reason.
        since: the day since which.
        lot: which of the grower's lots it is about, from 0; None where it is about none.
        test: seedlings and seeds of the test that failed, None for any other reason.
        closed: as what a round gave the test up, such as ``untested``; empty for any other reason.
    """

    why: Why
    since: date
    lot: int | None = None
    test: tuple[int, int] | None = None
    closed: str = ""


@dataclass(frozen=True, slots=True)
class Visit:
    """A grower to visit.

    Args:
        grower: id of the grower.
        village: key of the village, empty where it is not known.
        number: E.164 number; shown only where somebody asks for it.
        reasons: why, the most pressing first, of one kind the longest first.
        sowing: the next day on which the grower means to sow, None where none is known.
    """

    grower: str
    village: str
    number: str
    reasons: tuple[Reason, ...]
    sowing: date | None


@dataclass(frozen=True, slots=True)
class Terms:
    """What visits are judged by.

    Args:
        crop: edges of good and poor seed.
        zone: time zone of the programme.
        now: the moment.
        final_days: days from putting out a test to its final count, by village; the entry of the empty key is for
            a village that is not known. Empty where the crop has no days of a test.
        rounds: the rounds that are under way.
    """

    crop: Crop
    zone: tzinfo
    now: datetime
    final_days: Mapping[str, int]
    rounds: Sequence[Running] = ()

    @property
    def today(self) -> date:
        """The day in the programme's zone."""
        return self.now.astimezone(self.zone).date()

    def day(self, moment: datetime) -> date:
        """The day of a moment in the programme's zone."""
        return moment.astimezone(self.zone).date()

    def count_on(self, seen: Seen, lot: SeenLot) -> date | None:
        """The day of the final count of a test that is open, None where none is."""
        days = self.final_days.get(seen.village, self.final_days.get(""))
        if lot.begun is None or lot.test is not None or days is None:
            return None
        return lot.begun + timedelta(days)


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
    >>> begun = SeenLot("saved", begun=date(2027, 2, 18))
    >>> [(str(found.why), found.since.isoformat()) for found in reasons_for(Seen("a", lots=(begun, bad)), terms)]
    [('bad_seed', '2027-03-01'), ('count_overdue', '2027-02-26')]
    """
    found = [Reason(Why.ASKED, terms.day(seen.asked[0]))] if seen.asked else []
    sowings = [plot.sowing for plot in seen.plots if plot.sowing is not None]
    if not sowings or len(sowings) < len(seen.plots) or max(sowings) >= terms.today:
        found += _of_seed(seen, terms)
    silent = _silent_since(seen, terms)
    if silent is not None:
        found.append(Reason(Why.SILENT, terms.day(silent)))
    order = tuple(Why)
    return tuple(sorted(found, key=lambda reason: (order.index(reason.why), reason.since, reason.lot or 0)))


def visit_for(seen: Seen, terms: Terms) -> Visit | None:
    """The visit to a grower, None where none is needed."""
    reasons = reasons_for(seen, terms)
    if not reasons:
        return None
    coming = [plot.sowing for plot in seen.plots if plot.sowing is not None and plot.sowing >= terms.today]
    return Visit(seen.grower, seen.village, seen.number, reasons, min(coming, default=None))


def in_order(visits: Iterable[Visit]) -> tuple[Visit, ...]:
    """By village; in it the most pressing reason first, then who sows soonest, then who waits longest."""
    order = tuple(Why)

    def place(visit: Visit) -> tuple[object, ...]:
        first = visit.reasons[0]
        return (visit.village, order.index(first.why), visit.sowing or date.max, first.since, visit.grower)

    return tuple(sorted(visits, key=place))


def _of_seed(seen: Seen, terms: Terms) -> list[Reason]:
    found = []
    for place, lot in enumerate(seen.lots):
        if lot.test is not None and lot.tested is not None and is_poor(lot, terms.crop):
            counts = lot.test.grown, lot.test.sown
            found.append(Reason(Why.BAD_SEED, terms.day(lot.tested), place, counts))
        if lot.closed_at is not None:
            found.append(Reason(Why.CLOSED, terms.day(lot.closed_at), place, closed=lot.closed))
            continue
        count_on = terms.count_on(seen, lot)
        if count_on is not None and (terms.today - count_on).days > OVERDUE_AFTER_DAYS:
            found.append(Reason(Why.COUNT_OVERDUE, count_on, place))
    return found


def _silent_since(seen: Seen, terms: Terms) -> datetime | None:
    """When the first of the questions came after which nothing was heard, in the round where that is longest ago.

    A mark says that a step is done with; which day it had follows from the round. Whoever stopped our messages, or
    is in no round, is not silent.
    """
    if not seen.hears or not seen.passed:
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
            and window.since <= terms.now
            and (seen.told is None or window.since > seen.told)
        ]
        if len(unheard) >= SILENT_AFTER:
            found.append(min(unheard))
    return min(found, default=None)
