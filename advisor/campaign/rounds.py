"""What a round of messages is: steps, each with its day, how long it is of use, and its text."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import time, timedelta
from functools import lru_cache

from advisor.agronomy.limits import whole_up
from advisor.campaign.choosing import EVERYBODY, Chosen

#: The anchor of a step that counts from the day on which the round was started.
START = "start"
#: Anchors that hang on the rain of the grower's zone: its beginning, and the day on which that was found to be a
#: false start (`campaign.onsets`). A step that counts from them comes once for each beginning.
ONSET, FALSE_START = "zone.onset", "zone.false_start"
ZONE_ANCHORS = (ONSET, FALSE_START)
#: Where a grower has several bags of seed: of each its number and its facts, in one value under this name.
BAGS = "lot.bags"
#: Stands in a text for the number of the bag that is asked about.
BAG = "%(bag)s"


@dataclass(frozen=True, slots=True)
class After:
    """So long after the round was started, whatever the day.

    Args:
        minutes: whole minutes, 0 or more.
    """

    minutes: int


@dataclass(frozen=True, slots=True)
class OnDay:
    """At a wall-clock time on a day that is counted from another.

    Args:
        anchor: ``start``, one of `ZONE_ANCHORS`, or the name of a fact that holds a date, such as ``plot.sowing``.
        day: whole days after that day, negative before it.
        at: time of day in the programme's zone.
        slowed: whether cool soil of the grower's zone stretches the days, as it does those of a seed test.
    """

    anchor: str
    day: int
    at: time
    slowed: bool = False


@dataclass(frozen=True, slots=True)
class LateStart:
    """A round that was started late for a grower: on the days from ``first`` to ``last``, counted from another.

    Args:
        anchor: the name of a fact that holds a date.
        first: whole days after that day, negative before it.
        last: the same, not before ``first``.
        warns: what whoever starts the round is told of it, in a few words; empty for nothing.
        slowed: which of the two, ``first`` or ``last``, cool soil of the grower's zone stretches, as it does the
            days of a seed test; empty for none.
    """

    anchor: str
    first: int
    last: int
    warns: str = ""
    slowed: str = ""

    def days(self, slowed_by: float) -> tuple[int, int]:
        """The first and the last day where cool soil slows by a factor.

        >>> LateStart("plot.sowing", -15, -10, slowed="last").days(1.25)
        (-15, -12)
        """
        first, last = (
            whole_up(day * slowed_by) if self.slowed == edge else day
            for edge, day in (("first", self.first), ("last", self.last))
        )
        return first, last


@dataclass(frozen=True, slots=True)
class Later:
    """How far a step moves for who asked for it; it moves once, however often that is said.

    Args:
        fact: known of who said "later".
        days: whole days, 1 or more.
    """

    fact: str
    days: int


def holds(condition: str, facts: Mapping[str, object]) -> bool:
    """Whether a condition holds: ``lot.test`` where it is known, ``lot.origin = bought`` where it is just that.

    Args:
        condition: a name, or a name and a value with an equals sign between them.
        facts: what is known and fresh, by name.

    >>> holds("lot.test", {"lot.test": (45, 50)}), holds("lot.origin = bought", {"lot.origin": "saved"})
    (True, False)
    """
    name, value = _parts(condition)
    return name in facts if value is None else str(facts.get(name)) == value


@lru_cache(maxsize=1024)
def _parts(condition: str) -> tuple[str, str | None]:
    """Name and value of a condition, None where it has no value; rounds have few, and ask them of everybody."""
    name, equals, value = (part.strip() for part in condition.partition("="))
    return name, value if equals else None


@dataclass(frozen=True, slots=True)
class Step:
    """One message of a round.

    Args:
        key: short key, never changed: it says that a grower had this step.
        when: when it is due; quiet hours put it off.
        good_for: for how long it is of use once it may be sent; after that it is passed over.
        texts: pairs of language code and text, each one page.
        unless: conditions, see `holds`; whoever meets one of them does not get the step.
        times: how often it comes, 1 or more; each time is an occurrence, counted from 0.
        every_days: whole days from one occurrence to the next, 1 or more where ``times`` is more than 1.
        only: conditions; whoever misses one of them does not get the step.
        closes: the reason for which a grower is put on the agent's list; such a step sends nothing. Empty for a
            message.
        asks: the screen that takes the answer, ``flow.screen``; empty where nothing is asked.
        says: the keyword whose answer for this grower is sent, where enough is known; else the text is.
        started: for whom the round was started too late, so that they alone get the step; None for everybody.
        later: how it moves for who asked for that, None where it does not.
        of_bag: pairs of language code and text for whoever has several bags of seed, with `BAG` in it; none where
            the step is not about one bag.
        each_bag: whether it comes for each of several bags; else once a grower, to the first that it is for.
        instead_of: keys of steps that this one stands in for: who is done with one of them does not get it too.
    """

    key: str
    when: After | OnDay
    good_for: timedelta
    texts: tuple[tuple[str, str], ...]
    unless: tuple[str, ...] = ()
    times: int = 1
    every_days: int = 0
    only: tuple[str, ...] = ()
    closes: str = ""
    asks: str = ""
    says: str = ""
    started: LateStart | None = None
    later: Later | None = None
    of_bag: tuple[tuple[str, str], ...] = ()
    each_bag: bool = False
    instead_of: tuple[str, ...] = ()

    @property
    def is_of_bags(self) -> bool:
        """Whether it looks at one bag of seed after the other where there are several."""
        return self.each_bag or bool(self.of_bag)

    def mark(self, occurrence: int, bag: int = 1) -> str:
        """What a record keeps once this is done, of each bag where it comes for each.

        >>> step = Step("sort", After(0), timedelta(hours=1), (), each_bag=True)
        >>> step.mark(0), step.mark(2), step.mark(0, bag=2)
        ('sort', 'sort.2', 'sort/2')
        """
        mark = f"{self.key}.{occurrence}" if occurrence else self.key
        return f"{mark}/{bag}" if self.each_bag and bag > 1 else mark

    def text(self, language: str, bag: int = 0) -> str:
        """The text in a language, in the round's first one where it has none.

        Args:
            language: its code.
            bag: the bag that it is about, of several; 0 where there is but one.
        """
        if bag and self.of_bag:
            return dict(self.of_bag).get(language, self.of_bag[0][1]).replace(BAG, str(bag))
        return dict(self.texts).get(language, self.texts[0][1])


@dataclass(frozen=True, slots=True)
class AgentNote:
    """What the agent of some growers is told of a round, in one SMS that says how many they are, once.

    Args:
        key: short key, never changed: it says that an agent was told.
        on: one of `ZONE_ANCHORS`, or for whom the round was started late.
        good_for: for how long it is of use.
        texts: pairs of language code and text, each one page.
        unless: conditions; a grower who meets one of them is not counted.
        only: conditions; a grower who misses one of them is not counted.
    """

    key: str
    on: str | LateStart
    good_for: timedelta
    texts: tuple[tuple[str, str], ...]
    unless: tuple[str, ...] = ()
    only: tuple[str, ...] = ()

    def text(self, language: str) -> str:
        """The text in a language, in the first one where it has none."""
        return dict(self.texts).get(language, self.texts[0][1])


@dataclass(frozen=True, slots=True)
class Round:
    """A series of messages.

    Args:
        key: name of the round; a grower gets each of its steps once, whatever happens.
        steps: its steps, in the order in which they are meant.
        chosen: which growers it is for; whoever had a step of it stays in it.
        notes: what agents are told of it.
    """

    key: str
    steps: tuple[Step, ...]
    chosen: Chosen = EVERYBODY
    notes: tuple[AgentNote, ...] = ()

    @property
    def anchors(self) -> tuple[str, ...]:
        """Names of the facts that days are counted from."""
        named = [step.when.anchor for step in self.steps if isinstance(step.when, OnDay)]
        named += [step.started.anchor for step in self.steps if step.started is not None]
        return tuple(dict.fromkeys(name for name in named if name != START))

    @property
    def hangs_on_rain(self) -> bool:
        """Whether a step, or what agents are told, counts from the rain of a zone."""
        return any(name in ZONE_ANCHORS for name in (*self.anchors, *(note.on for note in self.notes)))

    @property
    def conditions(self) -> tuple[str, ...]:
        """Conditions that steps look at, see `holds`."""
        found = [name for step in self.steps for name in (*step.unless, *step.only)]
        found += [step.later.fact for step in self.steps if step.later is not None]
        return tuple(dict.fromkeys(found))
