"""What is known of one grower: consent, plots, seed lots, and when each fact was learnt.

A record is an immutable value. Facts are named ``scope.name`` with the scope ``grower``, ``plot`` or ``lot``
(a lot of seed); each keeps the time it was learnt, since a fact that is no longer fresh is asked again. Of several
plots or lots one is in hand, and its facts are the ``plot.`` and ``lot.`` ones; the others are kept aside, see
`records.aside`.
"""

from __future__ import annotations

from bisect import insort
from dataclasses import dataclass
from datetime import datetime, timedelta
from operator import attrgetter

from msgspec import Struct
from msgspec.structs import replace

from advisor.records.aside import Aside
from advisor.records.facts import Fact, Value

__all__ = ["SCOPES", "Aside", "Code", "Fact", "Grower", "Pin", "Question", "Value"]

SCOPES = ("grower", "plot", "lot")
#: In the mark of a step that was passed over, before the day that it had.
UNSENT = "~"
#: For so long a code for a move to another number is good.
CODE_LASTS = timedelta(days=1)


@dataclass(frozen=True, slots=True)
class Question:
    """A question that waits for the agent.

    Args:
        asked: when it was asked, whole seconds; no two of one grower were asked in the same.
        text: in the grower's own words. It is shown to the agent and to nobody else.
    """

    asked: datetime
    text: str


@dataclass(frozen=True, slots=True)
class Code:
    """A code that was sent to a grower's phone, with which the agent may move the record to another number.

    Args:
        issued: when, whole seconds; what the code is follows from the day of it.
        tries: how often it was tried in vain.
    """

    issued: datetime
    tries: int = 0


#: Wrong tries until a PIN is locked, for how long it then is, and for how long the right one opens.
PIN_TRIES = 5
PIN_LOCKED = timedelta(days=1)
PIN_OPENS = timedelta(minutes=30)


@dataclass(frozen=True, slots=True)
class Pin:
    """The PIN of an agent, as far as it is kept: a slow keyed hash, and how it was used.

    Args:
        mark: salt and hash; the PIN itself is kept nowhere.
        tries: wrong tries since the last right one.
        locked: until when no try counts, None where it is not locked.
        opened: until when the work behind it is open, None where it is not.
    """

    mark: str
    tries: int = 0
    locked: datetime | None = None
    opened: datetime | None = None

    def is_locked(self, now: datetime) -> bool:
        """Whether no try counts now."""
        return self.locked is not None and now < self.locked

    def is_open(self, now: datetime) -> bool:
        """Whether the work behind it is open."""
        return self.opened is not None and now < self.opened

    def tried(self, *, right: bool, now: datetime) -> Pin:
        """After a try; while it is locked it stays as it is.

        >>> from datetime import UTC
        >>> now, pin = datetime(2027, 3, 1, tzinfo=UTC), Pin("…")
        >>> for _ in range(PIN_TRIES):
        ...     pin = pin.tried(right=False, now=now)
        >>> later = now + PIN_LOCKED + timedelta(seconds=1)  # what is kept has whole seconds
        >>> pin.is_locked(now), pin.tried(right=True, now=now).is_open(now), pin.is_locked(later)
        (True, False, False)
        """
        if self.is_locked(now):
            return self
        if right:
            return Pin(self.mark, opened=_whole(now) + PIN_OPENS)
        if self.tries + 1 >= PIN_TRIES:
            return Pin(self.mark, locked=_whole(now) + PIN_LOCKED + timedelta(seconds=1))
        return Pin(self.mark, self.tries + 1)


def _whole(now: datetime) -> datetime:
    return now.replace(microsecond=0)


class Grower(Struct, frozen=True):
    """The record of one grower.

    Args:
        number: E.164 number the grower writes from; empty before the first contact.
        agreed: when the grower agreed that facts be kept, None while they have not.
        stopped: when the grower asked for no more messages, None while they have not.
        facts: what is known, sorted by name.
        passed: (round, marks) of the steps that this grower is done with, sorted by round; `campaign.deciding`.
        aside: the plots and the lots that are not in hand, by scope; none of a scope where there is but one.
        questions: what waits for the agent's answer, oldest first.
        code: the code for a move to another number, None where none was asked for.
        agreed_how: how consent was given, one of `records.rows.HOWS`; empty for in this service's own dialogue.
        pin: of an agent the PIN, None where none was set.
    """

    number: str = ""
    agreed: datetime | None = None
    stopped: datetime | None = None
    facts: tuple[Fact, ...] = ()
    passed: tuple[tuple[str, tuple[str, ...]], ...] = ()
    aside: tuple[Aside, ...] = ()
    questions: tuple[Question, ...] = ()
    code: Code | None = None
    agreed_how: str = ""
    pin: Pin | None = None

    def fact(self, name: str) -> Fact | None:
        """The fact of that name, or None."""
        for fact in self.facts:
            if fact.name == name:
                return fact
        return None

    def fresh(self, name: str, now: datetime, fresh_for: timedelta | None) -> Value | None:
        """The value of a fact that is still fresh, or None.

        Args:
            name: ``scope.name``.
            now: the moment to judge by.
            fresh_for: how long the fact holds; None holds for ever.

        >>> from datetime import UTC
        >>> day = datetime(2027, 3, 1, tzinfo=UTC)
        >>> ann = Grower().knows("plot.area", 10117.0, day)
        >>> ann.fresh("plot.area", day + timedelta(days=9), timedelta(days=10))
        10117.0
        >>> ann.fresh("plot.area", day + timedelta(days=11), timedelta(days=10)) is None
        True
        """
        found = self.fact(name)
        return found.value if found is not None and found.is_fresh(now, fresh_for) else None

    def knows(self, name: str, value: Value, learnt: datetime) -> Grower:
        """The record with one more fact, in place of an older one of that name."""
        facts = [fact for fact in self.facts if fact.name != name]
        insort(facts, Fact(name, value, learnt), key=_NAME)
        return replace(self, facts=tuple(facts))

    def forgets(self, names: tuple[str, ...]) -> Grower:
        """The record without the facts of those names."""
        return replace(self, facts=tuple([fact for fact in self.facts if fact.name not in names]))

    def passed_in(self, round_key: str) -> tuple[str, ...]:
        """Marks of the steps of a round that this grower is done with."""
        return dict(self.passed).get(round_key, ())

    def passes(self, round_key: str, marks: tuple[str, ...]) -> Grower:
        """The record with further marks in a round.

        What was passed over on one day and is passed over or sent on another keeps but the newest mark.

        >>> Grower().passes("demo", ("one",)).passes("demo", ("two~2027-03-01",)).passed
        (('demo', ('one', 'two~2027-03-01')),)
        >>> Grower().passes("demo", ("one", "two~2027-03-01")).passes("demo", ("two",)).passed
        (('demo', ('one', 'two')),)
        """
        rounds = dict(self.passed)
        steps = tuple([f"{mark.partition(UNSENT)[0]}{UNSENT}" for mark in marks])
        rounds[round_key] = (*[old for old in rounds.get(round_key, ()) if not old.startswith(steps)], *marks)
        return replace(self, passed=tuple(sorted(rounds.items())))

    def asks(self, text: str, now: datetime) -> Grower:
        """The record with one more question, one that waits already left as it is.

        >>> from datetime import UTC
        >>> day = datetime(2027, 3, 1, tzinfo=UTC)
        >>> ann = Grower().asks("Why are my leaves pale?", day).asks("When do you come?", day)
        >>> [(question.asked.second, question.text) for question in ann.questions]
        [(0, 'Why are my leaves pale?'), (1, 'When do you come?')]
        """
        if any(question.text == text for question in self.questions):
            return self
        asked = now.replace(microsecond=0)
        if self.questions:
            asked = max(asked, self.questions[-1].asked + timedelta(seconds=1))
        return replace(self, questions=(*self.questions, Question(asked, text)))

    def without_question(self, asked: datetime) -> Grower:
        """The record without the question that was asked at a moment."""
        return replace(self, questions=tuple(one for one in self.questions if one.asked != asked))

    def with_code(self, now: datetime) -> Grower:
        """The record with a code; one that is still good stays, with the tries that it has seen.

        >>> from datetime import UTC
        >>> day = datetime(2027, 3, 1, tzinfo=UTC)
        >>> ann = Grower().with_code(day)
        >>> ann.with_code(day + timedelta(hours=23)) == ann, ann.with_code(day + timedelta(hours=25)) == ann
        (True, False)
        """
        if self.code is not None and now - self.code.issued <= CODE_LASTS:
            return self
        return replace(self, code=Code(now.replace(microsecond=0)))


_NAME = attrgetter("name")
