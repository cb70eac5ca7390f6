"""What a round of messages is: steps, each with its day, how long it is of use, and its text."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import time, timedelta

#: The anchor of a step that counts from the day on which the round was started.
START = "start"


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
        anchor: ``start``, or the name of a fact that holds a date, for example ``plot.sowing_day``.
        day: whole days after that day, negative before it.
        at: time of day in the programme's zone.
    """

    anchor: str
    day: int
    at: time


@dataclass(frozen=True, slots=True)
class Step:
    """One message of a round.

    Args:
        key: short key, never changed: it says that a grower had this step.
        when: when it is due; quiet hours put it off.
        good_for: for how long it is of use once it may be sent; after that it is passed over.
        texts: pairs of language code and text, each one page.
        unless: names of facts; whoever has one of them known does not get the step.
        times: how often it comes, 1 or more; each time is an occurrence, counted from 0.
        every_days: whole days from one occurrence to the next, 1 or more where ``times`` is more than 1.
    """

    key: str
    when: After | OnDay
    good_for: timedelta
    texts: tuple[tuple[str, str], ...]
    unless: tuple[str, ...] = ()
    times: int = 1
    every_days: int = 0

    def mark(self, occurrence: int) -> str:
        """What a record keeps once this is done.

        >>> step = Step("sort", After(0), timedelta(hours=1), ())
        >>> step.mark(0), step.mark(2)
        ('sort', 'sort.2')
        """
        return f"{self.key}.{occurrence}" if occurrence else self.key

    def text(self, language: str) -> str:
        """The text in a language, in the round's first one where it has none."""
        return dict(self.texts).get(language, self.texts[0][1])


@dataclass(frozen=True, slots=True)
class Round:
    """A series of messages.

    Args:
        key: name of the round; a grower gets each of its steps once, whatever happens.
        steps: its steps, in the order in which they are meant.
    """

    key: str
    steps: tuple[Step, ...]

    @property
    def anchors(self) -> tuple[str, ...]:
        """Names of the facts that days are counted from."""
        named = (step.when.anchor for step in self.steps if isinstance(step.when, OnDay))
        return tuple(dict.fromkeys(name for name in named if name != START))

    @property
    def conditions(self) -> tuple[str, ...]:
        """Names of the facts that steps are left out for."""
        return tuple(dict.fromkeys(name for step in self.steps for name in step.unless))
