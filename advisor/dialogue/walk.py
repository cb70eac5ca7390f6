"""One walk through the screens: from where a session stands, over steps that are not shown, to the next page.

A walk lives for one message. It is the only mutable thing in the room and never outlives its step; what it
found out leaves as an Outcome.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from advisor.agronomy.errors import AgronomyError
from advisor.dialogue.answers import Taken
from advisor.dialogue.book import Book
from advisor.dialogue.flows import MENU, RETURN, AskKind, Choice, Screen
from advisor.dialogue.machine import GO, choice_key
from advisor.dialogue.notices import notice_of
from advisor.dialogue.talk import Agree, Effect, Forget, Keep, Session, Spot
from advisor.records.grower import Grower, Value
from advisor.wording.errors import WordingError
from advisor.wording.voice import Voice

#: What a calculation, or the bounds it declares, may refuse.
REFUSED = (AgronomyError, WordingError)

#: More steps that are not shown than any proven flow can take in a row.
HOPS = 60
TRAIL = 20
LANGUAGE = "grower.language"
AGREED = "grower.agreed"


class Missing(Exception):  # noqa: N818 - it is caught by the step, which asks for the value
    """A value that a calculation or a text needs is not known.

    Args:
        name: the value.
    """

    def __init__(self, name: str) -> None:
        super().__init__(f"'{name}' is not known: ask for it on an earlier screen")
        self.name = name


class Stuck(Exception):  # noqa: N818
    """No way leads on; a checked book never gets here.

    Args:
        spot: where the walk stands.
    """

    def __init__(self, spot: Spot) -> None:
        super().__init__(f"no way leads on from {spot.flow}.{spot.screen}: give it a last way without a condition")
        self.spot = spot


@dataclass(frozen=True, slots=True)
class _Mark:
    """All that a refused answer must undo."""

    spots: tuple[Spot, ...]
    trail: tuple[tuple[Spot, ...], ...]
    answers: tuple[tuple[str, Value], ...]
    learnt: tuple[str, ...]
    facts: tuple[tuple[str, object], ...]
    effects: tuple[Effect, ...]
    agreed: bool
    language: str


class Walk:
    """See the module.

    Args:
        book: the compiled dialogues.
        known: the record of the grower.
        place: where this message was typed.
        now: the moment.
        session: where the conversation stands, None for a new one.
    """

    def __init__(self, book: Book, known: Grower, place: str, now: datetime, session: Session | None) -> None:
        self.book = book
        self.place = place
        self.now = now
        self.agreed = known.agreed is not None
        self.effects: list[Effect] = []
        self.facts: dict[str, object] = {
            fact.name: fact.value
            for fact in known.facts
            if known.fresh(fact.name, now, book.fresh_for(fact.name)) is not None
        }
        self.results: dict[str, object] = {}
        self._worked: dict[tuple[str, tuple[object, ...]], dict[str, object]] = {}
        self.ended = False
        self.spots = list(session.spots) if session else []
        self.trail = list(session.trail) if session else []
        self.answers = dict(session.answers) if session else {}
        self.learnt = list(session.learnt) if session else []
        self.page = session.page if session else 0
        self.notice = session.notice if session else ""
        self.session = session
        told = session.language if session else str(self.facts.get(LANGUAGE, ""))
        self.language = told if told in book.voices else book.default_language

    @property
    def voice(self) -> Voice:
        return self.book.voices[self.language]

    @property
    def screen(self) -> Screen:
        return self.book.screen(self.spots[-1])

    def sight(self) -> dict[str, object]:
        """What is known at this point, by name."""
        agreed = {AGREED: True} if self.agreed else {}
        return {**self.facts, **self.answers, **agreed, **self.results}

    def can_be_found(self) -> bool:
        """Whether the book still has every flow and screen of the session, at least the flow on screen."""
        *outer, last = self.spots
        return all(self.book.has(spot) for spot in outer) and last.flow in self.book.flows

    def has_changed(self) -> bool:
        """Whether the flow on screen is another now and no longer asks there what the session was asked."""
        assert self.session is not None
        spot = self.spots[-1]
        if self.book.flows[spot.flow].fingerprint == self.session.fingerprint:
            return False
        return not self.book.has(spot) or self.screen.say is None or self.screen.asks != self.session.asks

    def start(self) -> None:
        """Begins at the root, with nothing answered."""
        self.spots, self.trail, self.answers, self.learnt = [self.book.root], [], {}, []
        self.arrive()

    def start_flow_again(self) -> None:
        """Begins the flow on screen once more and says why; what is known is not asked again."""
        flow = self.spots[-1].flow
        self.spots[-1] = Spot(flow, self.book.flows[flow].start)
        self.trail = [spots for spots in self.trail if all(self.book.has(spot) for spot in spots)]
        try:
            self.arrive()
        except (*REFUSED, Missing):
            self.go_to_menu()
        self.notice = "changed"

    def arrive(self, *, again: bool = False) -> None:
        """Goes on until a screen must be shown.

        Args:
            again: show the next question even when its answer is known.
        """
        for _ in range(HOPS):
            screen = self.screen
            self.work()
            for fact, name in screen.keeps:
                self.keep(fact, self._plain(name))
            if screen.call:
                self.spots.append(Spot(screen.call, self.book.flows[screen.call].start))
                continue
            key = GO if screen.say is None else None if again else self._answered(screen)
            if key is None:
                self.page, self.notice, self.ended = 0, "", screen.ends
                return
            self.go(key)
        raise Stuck(self.spots[-1])

    def worked_out(self, screen: Screen) -> dict[str, object]:
        """Results of a screen's calculation, none when it names none.

        Raises:
            Missing: something it needs is not known.
            AgronomyError: it refuses, or a result is beyond the scale it declares.
        """
        calculation = self.book.registry.calculation(screen.work) if screen.work else None
        if calculation is None:
            return {}
        sight = self.sight()
        for need in calculation.needs:
            if need not in sight:
                raise Missing(need)
        # A branching step and the screen it leads to often name the same calculation: it runs once a message.
        inputs = tuple(sight.get(name) for name in (*calculation.needs, *calculation.may_use))
        if (calculation.name, inputs) not in self._worked:
            results = dict(calculation.run(sight, self.now))
            for name, kind in calculation.gives:
                if name in results:
                    kind.check(results[name])
            self._worked[calculation.name, inputs] = results
        return self._worked[calculation.name, inputs]

    def work(self) -> None:
        """Works out what the screen on show needs."""
        self.results = {}
        self.results = self.worked_out(self.screen)

    def _plain(self, name: str) -> Value:
        value = self.sight().get(name)
        if not isinstance(value, str | int | float | bool | tuple):
            raise Missing(name)
        return value

    def _answered(self, screen: Screen) -> str | None:
        """The way on from a question whose answer is known and fresh, None when it must be asked."""
        if screen.ask is None or "." not in screen.keep:
            return None
        value = self.sight().get(screen.keep)
        if value is None:
            return None
        if screen.ask.kind is AskKind.CHOICE:
            values = [choice.value for choice in screen.ask.choices]
            return choice_key(values.index(str(value))) if value in values else None
        if screen.ask.kind is AskKind.PICK:
            return GO if value in dict(self.book.registry.entries(screen.ask.source)) else None
        return GO

    def go(self, key: str) -> None:
        """Leaves the screen by one of its ways."""
        spot = self.spots[-1]
        target = self.book.routers[spot.flow].way(spot.screen, key, self.sight())
        if target is None:
            raise Stuck(spot)
        if target == MENU:
            self.spots = [self.book.menu]
        elif target == RETURN:
            self.spots.pop()
            if self.spots:
                self.results = {}
                self.go(GO)
            else:
                self.spots = [self.book.menu]
        else:
            self.spots[-1] = Spot(spot.flow, target)

    def leave(self, key: str, choice: Choice | None, answer: Taken | None) -> None:
        """Goes on from an answered screen."""
        screen = self.screen
        self.work()
        self.trail = [*self.trail, tuple(self.spots)][-TRAIL:]
        if choice and choice.agrees:
            self.agree()
        if choice and choice.forgets:
            self.forget(choice.forgets)
        if answer and screen.keep:
            self.keep(screen.keep, answer.value)
        self.go(key)
        self.arrive(again=choice.again if choice else False)

    def keep(self, name: str, value: Value) -> None:
        """Remembers an answer or a fact; a fact reaches the record only once the grower agreed."""
        if name == LANGUAGE:
            self.language = str(value)
        if "." in name and self.agreed:
            self.effects.append(Keep(name, value))
            self.facts[name] = value
            self.answers.pop(name, None)
            return
        self.answers[name] = value
        if "." in name and name not in self.learnt:
            self.learnt.append(name)

    def agree(self) -> None:
        """The grower agrees: what was learnt so far becomes part of the record."""
        if self.agreed:
            return
        self.agreed = True
        self.effects.append(Agree())
        learnt, self.learnt = self.learnt, []
        for name in learnt:
            self.keep(name, self.answers.pop(name))

    def forget(self, names: tuple[str, ...]) -> None:
        """These facts no longer hold."""
        for name in names:
            self.facts.pop(name, None)
            self.answers.pop(name, None)
        self.learnt = [name for name in self.learnt if name not in names]
        facts = tuple(name for name in names if "." in name)
        if self.agreed and facts:
            self.effects.append(Forget(facts))

    def mark(self) -> _Mark:
        """Remembers everything, for undoing a refused answer."""
        return _Mark(
            tuple(self.spots),
            tuple(self.trail),
            tuple(self.answers.items()),
            tuple(self.learnt),
            tuple(self.facts.items()),
            tuple(self.effects),
            self.agreed,
            self.language,
        )

    def return_to(self, mark: _Mark) -> None:
        """Undoes everything since the mark."""
        self.spots, self.trail = list(mark.spots), list(mark.trail)
        self.answers, self.learnt = dict(mark.answers), list(mark.learnt)
        self.facts, self.effects = dict(mark.facts), list(mark.effects)
        self.agreed, self.language = mark.agreed, mark.language

    def back(self) -> None:
        """Shows the screen that was shown before; effects stay."""
        while self.trail:
            spots = self.trail.pop()
            if all(self.book.has(spot) for spot in spots) and self.book.screen(spots[-1]).say is not None:
                self.spots = list(spots)
                self.show_again()
                return
        self.show_again()

    def go_to_menu(self) -> None:
        """Leaves whatever is open for the main menu, from which one can come back."""
        self.trail = [*self.trail, tuple(self.spots)][-TRAIL:]
        self.spots = [self.book.menu]
        self.arrive(again=True)

    def ask_for(self, name: str) -> None:
        """Goes to the screen that asks for a value, or else to the menu."""
        flow = self.spots[-1].flow
        asking = next((screen for screen in self.book.flows[flow].screens if screen.keep == name), None)
        if asking is None:
            self.go_to_menu()
            return
        self.spots[-1] = Spot(flow, asking.name)
        self.show_again()

    def show_again(self, notice: str = "") -> None:
        """Shows the screen once more, from its first page, with a line above."""
        try:
            self.arrive(again=True)
        except REFUSED as error:
            self.go_to_menu()
            notice = notice_of(error)
        except Missing as missing:
            if self.spots[-1] == self.book.menu:
                raise
            self.ask_for(missing.name)
        self.notice = notice
