"""What is known while one message is dealt with: facts, answers, language, consent, and what must change."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime

from advisor.dialogue import charge
from advisor.dialogue.book import Book
from advisor.dialogue.talk import (
    Agree,
    AskAgent,
    AskVisits,
    Begin,
    Desk,
    Drop,
    Effect,
    Erase,
    Forget,
    GiveCode,
    Keep,
    PinTried,
    Seen,
    Session,
    Start,
    Stop,
    TakeUp,
    Tell,
    Withdraw,
    Work,
)
from advisor.records.aside import BAG, MOST, next_bag
from advisor.records.grower import Fact, Grower, Value
from advisor.records.several import all_of, bags_of, begins, drops, place_in_hand, takes_up
from advisor.wording.errors import WordingError
from advisor.wording.kinds import Kind

LANGUAGE = "grower.language"
AGREED = "grower.agreed"
STOPPED = "grower.stopped"
#: How an agent stands to the work behind the PIN; not known of anybody else.
DESK = "grower.desk"
#: What an agent reads off a gauge is of a place, and of no grower.
RAIN = "rain."
#: Seed of which nothing holds any more is sown or eaten; a field is still there.
_USED_UP = "lot"
#: Of several bags of seed those that are not in hand: place, number and facts of each.
OTHER_BAGS = "lot.others"


class Held:
    """Facts from the record and answers of the conversation; before consent a fact is an answer like any other.

    Args:
        book: how long facts hold, and what kinds they are of.
        known: the record.
        now: the moment.
        session: where the conversation stands, None for a new one.
        work: what is known of a sender who is an agent.
    """

    def __init__(
        self, book: Book, known: Grower, now: datetime, session: Session | None, work: Work | None = None
    ) -> None:
        self.book, self.now, self.record = book, now, known
        self.agreed = known.agreed is not None
        self.stopped = known.stopped is not None
        self.desk = str(work.desk) if work else ""
        self.questions = tuple(question.text for question in known.questions)
        self.facts = self._fresh(known.facts)
        self.answers = dict(session.answers) if session else {}
        self.learnt = session.learnt if session else ()
        self.effects: tuple[Effect, ...] = ()
        told = session.language if session else str(self.facts.get(LANGUAGE, ""))
        self.language = told if told in book.voices else book.default_language

    def known(self) -> dict[str, object]:
        """Facts and answers by name, with consent and stop, and of several plots or lots how many there are."""
        told = {**self.facts, **self.answers, AGREED: self.agreed, STOPPED: self.stopped}
        if self.desk:
            told[DESK] = self.desk
        return {**told, **self._counts()} if self.record.aside else told

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
            self.record = self.record.knows(name, value, self.now)
            self.facts[name] = value
            self.answers.pop(name, None)
            return
        self.answers[name] = value
        if "." in name and name not in self.learnt:
            self.learnt += (name,)

    def do(self, what: str) -> None:
        """What a choice does beside: ``agree``, ``stop``, ``start``, ``code``, and so on."""
        if what == "agree" and not self.agreed:
            self.agreed = True
            self.effects += (Agree(),)
            learnt, self.learnt = self.learnt, ()
            for name in learnt:
                self.keep(name, self.answers.pop(name))
        if what == "stop":
            self.stopped = True
            self.effects += (Stop(),)
        if what == "code" and self.agreed:
            self.effects += (GiveCode(self.book.code_text(self.language)),)
        if what == "visits" and self.desk == Desk.OPEN:
            self.effects += (AskVisits(),)
        if what == "start":
            self.stopped = False
            self.effects += (Start(),)
        if what == "erase" or (what == "withdraw" and self.agreed):
            self.effects += (Erase() if what == "erase" else Withdraw(),)
            self.agreed, self.facts, self.record, self.questions = False, {}, Grower(), ()
            # the language is not asked for again while the conversation lasts
            self.answers, self.learnt = {LANGUAGE: self.language}, (LANGUAGE,)

    def ask_agent(self, text: str) -> None:
        """Puts a question to the agent; only once the grower agreed, since it is kept."""
        self.questions += (text,)
        self.effects += (AskAgent(text),)

    def try_pin(self, *, right: bool) -> None:
        """A PIN was typed."""
        if right:
            self.desk = Desk.OPEN
        self.effects += (PinTried(right),)

    def take_charge(self, seen: Seen) -> None:
        """An agent has chosen a grower; what was answered about another one is no answer about this one."""
        kept = {
            name: value for name, value in self.answers.items() if "." in name and not name.startswith(charge.OF)
        }
        self.answers = kept | charge.taken(seen)

    def tell(self, facts: tuple[tuple[str, str], ...], forgets: tuple[str, ...], screen: str) -> None:
        """Records answers as facts of the grower whom an agent has chosen; behind the PIN alone."""
        values = tuple((name, value) for name, value in self.answers.items() if "." not in name)
        known = dict(values)
        if self.desk == Desk.OPEN and all(fact.startswith(RAIN) for fact, _ in facts):
            self.effects += (Tell("", tuple((fact, known[name]) for fact, name in facts), (), "", ()),)
        elif self.desk == Desk.OPEN and charge.WHO in self.answers:
            told = tuple((fact, known[name]) for fact, name in facts if name in known)
            who, bag = str(self.answers[charge.WHO]), charge.bag_meant(self.answers)
            self.effects += (Tell(who, told, forgets, screen, values, bag),)
            self.answers = charge.after(self.answers, told, forgets)

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
            self.record = self.record.forgets(facts)

    def all_of(self, scope: str) -> tuple[tuple[int, dict[str, object]], ...]:
        """Each plot or lot that counts: its place in the record, and what is known of it and fresh."""
        in_hand, found = place_in_hand(self.record, scope), []
        for place, kept in enumerate(all_of(self.record, scope)):
            facts = self._mine(scope) if place == in_hand else self._fresh(kept)
            if facts or place == in_hand or scope != _USED_UP:
                found.append((place, facts))
        return tuple(found)

    def _mine(self, scope: str) -> dict[str, object]:
        """What is known of the one in hand."""
        begins_with, chosen = f"{scope}.", _chosen(scope)
        told = {**self.facts, **self.answers}
        return {name: value for name, value in told.items() if name.startswith(begins_with) and name != chosen}

    def numbered(self, scope: str) -> list[tuple[int, int, dict[str, object]]]:
        """The same with what each is called: of fields where it stands among all, of bags the number they got."""
        every = self.all_of(scope)
        if scope == _USED_UP:
            numbers = bags_of(self.record)
            return [(place, numbers[place], facts) for place, facts in every]
        return [(place, number, facts) for number, (place, facts) in enumerate(every, 1)]

    def has_chosen(self, scope: str) -> bool:
        """Whether the grower said in this conversation which one is meant, or has but one."""
        return _chosen(scope) in self.answers or len(self.all_of(scope)) == 1

    def take(self, scope: str, place: int) -> None:
        """Takes up one of several; what was answered about the one of before is no answer about this one."""
        if place != place_in_hand(self.record, scope):
            self._change(TakeUp(scope, place), takes_up(self.record, scope, place))
        self.answers[_chosen(scope)] = True

    def begin_another(self, scope: str) -> None:
        """Takes a new one in hand. Before consent nothing is kept, so the one of before is forgotten."""
        if not self.agreed:
            self._forget_all_of(scope)
            return
        if scope == _USED_UP and _is_untold(all_of(self.record, scope)[place_in_hand(self.record, scope)]):
            self.answers[_chosen(scope)] = True  # it is a new one still
            return
        if scope == _USED_UP:
            number = next_bag(bags_of(self.record)) if any(all_of(self.record, scope)) else 1
            self._make_room(scope)
        self._change(Begin(scope), begins(self.record, scope))
        self.answers[_chosen(scope)] = True
        if scope == _USED_UP and number > 1:
            # its number says nothing of the seed in it, so it is no fact that a dialogue knows
            self.effects += (Keep(BAG, number),)
            self.record = self.record.knows(BAG, number, self.now)

    def drop(self, scope: str) -> None:
        """Forgets the one in hand, for good."""
        if not self.agreed:
            self._forget_all_of(scope)
            return
        place = place_in_hand(self.record, scope)
        self._change(Drop(scope, place), drops(self.record, scope))
        self.answers.pop(_chosen(scope), None)

    def _make_room(self, scope: str) -> None:
        """Drops what is used up, and where all of it is still fresh what was not heard of for longest."""
        every, in_hand = all_of(self.record, scope), place_in_hand(self.record, scope)
        aside = sorted(
            (place for place in range(len(every)) if place != in_hand),
            key=lambda place: max(fact.learnt for fact in every[place]),
        )
        gone = [place for place in aside if not self._fresh(every[place])]
        if not gone and every[in_hand] and len(every) >= MOST[scope]:
            gone = aside[:1]
        for place in sorted(gone, reverse=True):
            self._change(Drop(scope, place), drops(self.record, scope, place))

    def _change(self, effect: Effect, record: Grower) -> None:
        self.effects += (effect,)
        self.record, self.facts = record, self._fresh(record.facts)
        self.answers = {name: value for name, value in self.answers.items() if "." in name}

    def _forget_all_of(self, scope: str) -> None:
        # what is known before consent are answers; one without a scope is about what was in hand
        self.answers = {
            name: value for name, value in self.answers.items() if "." in name and not _is_of(scope, name)
        }
        self.learnt = tuple(name for name in self.learnt if not _is_of(scope, name))

    def _counts(self) -> dict[str, object]:
        told: dict[str, object] = {}
        for aside in self.record.aside:
            every = self.numbered(aside.scope)
            told[f"{aside.scope}.count"] = len(every)
            told[f"{aside.scope}.number"] = next(number for place, number, _ in every if place == aside.place)
            if aside.scope == _USED_UP:
                told[OTHER_BAGS] = tuple(
                    [
                        (place, number, tuple(sorted(facts.items())))
                        for place, number, facts in every
                        if place != aside.place
                    ]
                )
        return told

    def _fresh(self, facts: Iterable[Fact]) -> dict[str, object]:
        """The facts still fresh, and still something that the programme allows; the others are asked again."""
        fresh_for, kinds, now = self.book.fresh_for, self.book.fact_kinds, self.now
        fresh: dict[str, object] = {}
        for fact in facts:
            name = fact.name
            if fact.is_fresh(now, fresh_for(name)):
                kind = kinds.get(name)
                if kind is None or _is_allowed(kind, fact.value):
                    fresh[name] = fact.value
        return fresh


def _is_untold(facts: tuple[Fact, ...]) -> bool:
    """Whether a bag has its number and nothing else."""
    return {fact.name for fact in facts} == {BAG}


def _chosen(scope: str) -> str:
    return f"{scope}.chosen"


def _is_of(scope: str, name: str) -> bool:
    return name.startswith(f"{scope}.") and name != _chosen(scope)


def _is_allowed(kind: Kind, value: Value) -> bool:
    try:
        kind.check(value)
    except WordingError:
        return False
    return True
