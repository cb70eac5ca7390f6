"""What is known while one message is dealt with: facts, answers, language, consent, and what must change."""

from __future__ import annotations

from datetime import datetime

from advisor.dialogue.book import Book
from advisor.dialogue.talk import Agree, Effect, Erase, Forget, Keep, Session, Start, Withdraw
from advisor.records.grower import Fact, Grower, Value
from advisor.wording.errors import WordingError

LANGUAGE = "grower.language"
AGREED = "grower.agreed"
STOPPED = "grower.stopped"


class Held:
    """Facts from the record and answers of the conversation; before consent a fact is an answer like any other.

    Args:
        book: how long facts hold, and what kinds they are of.
        known: the record.
        now: the moment.
        session: where the conversation stands, None for a new one.
    """

    def __init__(self, book: Book, known: Grower, now: datetime, session: Session | None) -> None:
        self.agreed = known.agreed is not None
        self.stopped = known.stopped is not None
        self.facts: dict[str, object] = {fact.name: fact.value for fact in known.facts if _holds(book, fact, now)}
        self.answers = dict(session.answers) if session else {}
        self.learnt = session.learnt if session else ()
        self.effects: tuple[Effect, ...] = ()
        told = session.language if session else str(self.facts.get(LANGUAGE, ""))
        self.language = told if told in book.voices else book.default_language

    def known(self) -> dict[str, object]:
        """Facts and answers by name, with consent and stop."""
        return {**self.facts, **self.answers, AGREED: self.agreed, STOPPED: self.stopped}

    def get(self, name: str) -> object:
        """One of what `known` holds, None where it does not."""
        if name in (AGREED, STOPPED):
            return self.agreed if name == AGREED else self.stopped
        return self.answers[name] if name in self.answers else self.facts.get(name)

    def copy(self) -> Held:
        """The same again, which stays as it is while this one goes on."""
        same = Held.__new__(Held)
        vars(same).update(vars(self))
        same.facts, same.answers = dict(self.facts), dict(self.answers)
        return same

    def begin(self) -> None:
        """A new conversation has no answers."""
        self.answers, self.learnt = {}, ()

    def keep(self, name: str, value: Value) -> None:
        """Remembers an answer or a fact; a fact reaches the record only once the grower agreed."""
        if name == LANGUAGE:
            self.language = str(value)
        if "." in name and self.agreed:
            self.effects += (Keep(name, value),)
            self.facts[name] = value
            self.answers.pop(name, None)
            return
        self.answers[name] = value
        if "." in name and name not in self.learnt:
            self.learnt += (name,)

    def do(self, what: str) -> None:
        """What a choice does beside: ``agree``, ``start``, ``withdraw``, ``erase``, or nothing."""
        if what == "agree" and not self.agreed:
            self.agreed = True
            self.effects += (Agree(),)
            learnt, self.learnt = self.learnt, ()
            for name in learnt:
                self.keep(name, self.answers.pop(name))
        if what == "start":
            self.stopped = False
            self.effects += (Start(),)
        if what == "erase" or (what == "withdraw" and self.agreed):
            self.effects += (Erase() if what == "erase" else Withdraw(),)
            self.agreed, self.facts = False, {}
            # the language is not asked for again while the conversation lasts
            self.answers, self.learnt = {LANGUAGE: self.language}, (LANGUAGE,)

    def forget(self, names: tuple[str, ...]) -> None:
        """These facts no longer hold."""
        if not names:
            return
        for name in names:
            self.facts.pop(name, None)
            self.answers.pop(name, None)
        self.learnt = tuple(name for name in self.learnt if name not in names)
        facts = tuple(name for name in names if "." in name)
        if self.agreed and facts:
            self.effects += (Forget(facts),)


def _holds(book: Book, fact: Fact, now: datetime) -> bool:
    """Whether a fact is still fresh, and still something that the programme allows; else it is asked again."""
    if not fact.is_fresh(now, book.fresh_for(fact.name)):
        return False
    kind = book.kinds.get(("", fact.name))
    try:
        if kind is not None:
            kind.check(fact.value)
    except WordingError:
        return False
    return True
