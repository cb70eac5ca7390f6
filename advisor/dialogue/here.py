"""Where a conversation stands while one message is dealt with: the screen, what is known there, what it asks.

It says and works out, and goes nowhere: `Walk` does that.
"""

from __future__ import annotations

from datetime import date, datetime

from advisor.agronomy.labels import Label
from advisor.dialogue import charge
from advisor.dialogue.book import Book
from advisor.dialogue.flows import Ask, AskKind, Screen
from advisor.dialogue.held import Held
from advisor.dialogue.machine import GO, choice_key
from advisor.dialogue.screens import head_text
from advisor.dialogue.several import own_entries
from advisor.dialogue.talk import Desk, Session, Spot, Work
from advisor.dialogue.walk_errors import Missing
from advisor.records.grower import Grower, Value
from advisor.wording.voice import Voice


class Here:
    """See the module.

    Args:
        book: the compiled dialogues.
        known: the record of the grower.
        place: where this message was typed.
        now: the moment.
        session: where the conversation stands, None for a new one.
        work: what is known of a sender who is an agent.
    """

    def __init__(
        self,
        book: Book,
        known: Grower,
        place: str,
        now: datetime,
        session: Session | None,
        work: Work | None = None,
    ) -> None:
        self.book = book
        self.place = place
        self.now = now
        self.held = Held(book, known, now, session, work)
        self.seen = work.seen if work else None
        self.results: dict[str, object] = {}
        self._worked: dict[tuple[str, tuple[object, ...]], dict[str, object]] = {}
        self.ended = False
        self.spots = list(session.spots) if session else []
        self.trail = list(session.trail) if session else []
        self.page = session.page if session else 0
        self.notice = session.notice if session else ""
        self.via = session.via if session else ""
        self.session = session

    @property
    def voice(self) -> Voice:
        """The language of the screen on show."""
        return self.voice_of(self.spots[-1])

    def voice_of(self, spot: Spot) -> Voice:
        """The language that a screen is said in."""
        return self.book.voice(spot, self.held.language)

    @property
    def today(self) -> date:
        return self.book.day_of(self.now)

    @property
    def screen(self) -> Screen:
        return self.book.screens[self.spots[-1]]

    def sight(self) -> dict[str, object]:
        """What is known at this point, by name."""
        return {**self.held.known(), **self.results}

    def sown(self, ask: Ask) -> int | None:
        """How many seeds were sown, where that is known and the question looks at it."""
        # behind the PIN it is about the grower whom the agent has chosen, not about the agent's own seed
        behind = self._is_behind_a_pin()
        value = (
            (charge.known(self.held.answers, ask.sown) if behind else self.held.get(ask.sown))
            if ask.sown
            else None
        )
        return value if isinstance(value, int) else None

    def can_be_found(self) -> bool:
        """Whether the book still has the flow on screen, and each flow further out still calls the next."""
        for outer, inner in zip(self.spots, self.spots[1:], strict=False):
            if not self.book.has(outer) or self.book.screen(outer).call != inner.flow:
                return False
        return self.spots[-1].flow in self.book.flows

    def still_asks_the_kind(self) -> bool:
        """Whether the screen is still there and asks for the same kind of answer."""
        assert self.session is not None
        asked = self.book.questions.get(self.spots[-1])
        return asked is not None and asked.split(":")[0] == self.session.asks.split(":")[0]

    def still_asks_the_same(self) -> bool:
        """Whether the question on screen, with the answers it offers, is the one that the phone shows."""
        assert self.session is not None
        return self.asks() == self.session.asks

    def entries(self, spot: Spot, screen: Screen) -> tuple[tuple[str, Label], ...]:
        """What a screen lists to pick from: entries of the programme, or the grower's own plots or lots."""
        ask = screen.ask
        if ask is None or ask.kind is not AskKind.WHICH:
            return self.book.registry.entries(ask.source) if ask and ask.source else ()
        held, scope = self.held, ask.source
        every = held.numbered(scope)
        context, voice = f"{spot.flow}.{spot.screen}", self.voice_of(spot)
        return own_entries(context, ask, voice, self.book.registry, self.book.kinds, every)

    def count_of_own(self, screen: Screen) -> int:
        """How many of the grower's own a screen lists, 0 where it lists none."""
        is_which = screen.ask is not None and screen.ask.kind is AskKind.WHICH
        return len(self.held.all_of(screen.ask.source)) if screen.ask and is_which else 0

    def head(self, screen: Screen) -> str:
        """The line that names what is in hand above a screen, where the grower has several; else empty."""
        if screen.names and self._is_behind_a_pin():
            told = self.held.get(charge.BAG)  # asked of an agent where the grower has several
            return head_text(screen.names, told, self.voice) if isinstance(told, int) else ""
        has_aside = screen.names and self.held.record.aside
        number = self.held.known().get(f"{screen.names}.number") if has_aside else None
        several = len(self.held.all_of(screen.names)) > 1 if number is not None else False
        return head_text(screen.names, int(str(number)), self.voice) if several else ""

    def asks(self) -> str:
        """What the screen on show asks, with the grower's own that it offers: of others it is another question."""
        asked, screen = self.book.question(self.spots[-1]), self.screen
        if screen.ask is None or screen.ask.kind is not AskKind.WHICH:
            return asked
        return f"{asked}:{','.join(str(place) for place, _ in self.held.all_of(screen.ask.source))}"

    def is_shut(self) -> bool:
        """Whether the flow on screen lies behind a PIN that was not typed, or too long ago."""
        return self._is_behind_a_pin() and self.held.desk != Desk.OPEN

    def _is_behind_a_pin(self) -> bool:
        return bool(self.spots) and self.spots[-1].flow in self.book.behind_a_pin

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
        once = calculation.name, tuple(map(sight.get, (*calculation.needs, *calculation.may_use)))
        results = self._worked.get(once)
        if results is None:
            results = dict(calculation.run(sight, self.now))
            for name, kind in calculation.gives:
                if name in results:
                    kind.check(results[name])
            self._worked[once] = results
        return results

    def work(self, screen: Screen) -> None:
        """Works out what the screen on show needs."""
        self.results = {}
        if screen.work:
            self.results = self.worked_out(screen)

    def _seen(self, name: str) -> object:
        """One of what `sight` holds, None where it does not."""
        return self.results[name] if name in self.results else self.held.get(name)

    def _plain(self, name: str) -> Value:
        value = self._seen(name)
        if not isinstance(value, str | int | float | bool | tuple):
            raise Missing(name)
        return value

    def _answered(self, screen: Screen) -> str | None:
        """The way on from a question whose answer is known and fresh, None when it must be asked."""
        if screen.ask is not None and screen.ask.kind is AskKind.WHICH:
            return GO if self.held.has_chosen(screen.ask.source) else None
        if screen.ask is None or "." not in screen.keep:
            return None
        value = self._seen(screen.keep)
        if value is None:
            return None
        if screen.ask.kind is AskKind.CHOICE:
            for number, choice in enumerate(screen.ask.choices):
                if choice.value == value:
                    return choice_key(number)
            return None
        if screen.ask.kind is AskKind.PICK:
            for key, _ in self.book.registry.entries(screen.ask.source):
                if key == value:
                    return GO
            return None
        return GO
