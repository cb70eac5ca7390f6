"""One walk through the screens: from where a session stands, over steps that are not shown, to the next page.

A walk lives for one message. It is the only mutable thing in the room and never outlives its step; what it
found out leaves as an Outcome.
"""

from __future__ import annotations

from collections.abc import Mapping
from copy import copy
from dataclasses import dataclass
from datetime import date, datetime

from advisor.agronomy.errors import MissingFigure
from advisor.agronomy.labels import Label
from advisor.dialogue.answers import Taken
from advisor.dialogue.book import Book
from advisor.dialogue.flows import MENU, RETURN, Ask, AskKind, Choice, Screen
from advisor.dialogue.held import CHARGE_KNOWS, Held
from advisor.dialogue.machine import GO, choice_key
from advisor.dialogue.notices import notice_of
from advisor.dialogue.screens import head_text
from advisor.dialogue.several import own_entries
from advisor.dialogue.talk import Desk, Session, Spot, Work
from advisor.dialogue.walk_errors import REFUSED, Missing, Stuck
from advisor.records.grower import Grower, Value
from advisor.wording.voice import Voice

#: More steps that are not shown than any proven flow can take in a row.
HOPS = 60
TRAIL = 20
#: What the calculation of a step calls the place of the one that it takes up.
PLACE = "place"


@dataclass(frozen=True, slots=True)
class Mark:
    """All that a refused answer must undo."""

    spots: tuple[Spot, ...]
    trail: tuple[tuple[Spot, ...], ...]
    via: str
    held: Held


class Walk:
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
        return self.book.screen(self.spots[-1])

    def sight(self) -> dict[str, object]:
        """What is known at this point, by name."""
        return {**self.held.known(), **self.results}

    def sown(self, ask: Ask) -> int | None:
        """How many seeds were sown, where that is known and the question looks at it."""
        # behind the PIN it is about the grower whom the agent has chosen, not about the agent's own seed
        name = f"{CHARGE_KNOWS}{ask.sown}" if self._is_behind_a_pin() else ask.sown
        value = self.held.get(name) if ask.sown else None
        return value if isinstance(value, int) else None

    def can_be_found(self) -> bool:
        """Whether the book still has the flow on screen, and each flow further out still calls the next."""
        calls = zip(self.spots, self.spots[1:], strict=False)
        called = all(self.book.has(outer) and self.book.screen(outer).call == inner.flow for outer, inner in calls)
        return called and self.spots[-1].flow in self.book.flows

    def still_asks_the_kind(self) -> bool:
        """Whether the screen is still there and asks for the same kind of answer."""
        assert self.session is not None
        spot = self.spots[-1]
        if not self.book.has(spot) or self.screen.say is None:
            return False
        return self.book.question(spot).split(":")[0] == self.session.asks.split(":")[0]

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
        every = [(place, held.number_of(scope, place), facts) for place, facts in held.all_of(scope)]
        context, voice = f"{spot.flow}.{spot.screen}", self.voice_of(spot)
        return own_entries(context, ask, voice, self.book.registry, self.book.kinds, every)

    def count_of_own(self, screen: Screen) -> int:
        """How many of the grower's own a screen lists, 0 where it lists none."""
        is_which = screen.ask is not None and screen.ask.kind is AskKind.WHICH
        return len(self.held.all_of(screen.ask.source)) if screen.ask and is_which else 0

    def head(self, screen: Screen) -> str:
        """The line that names what is in hand above a screen, where the grower has several; else empty."""
        number = self.held.known().get(f"{screen.names}.number") if screen.names else None
        several = len(self.held.all_of(screen.names)) > 1 if number is not None else False
        return head_text(screen.names, int(str(number)), self.voice) if several else ""

    def asks(self) -> str:
        """What the screen on show asks, with the grower's own that it offers: of others it is another question."""
        asked, screen = self.book.question(self.spots[-1]), self.screen
        if screen.ask is None or screen.ask.kind is not AskKind.WHICH:
            return asked
        return f"{asked}:{','.join(str(place) for place, _ in self.held.all_of(screen.ask.source))}"

    def start(self) -> None:
        """Begins at the root, with nothing answered."""
        self.spots, self.trail = [self.book.root], []
        self.held.begin()
        try:
            self.arrive()
        except (*REFUSED, Missing):
            self.fall_to_menu("refused")

    def is_shut(self) -> bool:
        """Whether the flow on screen lies behind a PIN that was not typed, or too long ago."""
        return self._is_behind_a_pin() and self.held.desk != Desk.OPEN

    def _is_behind_a_pin(self) -> bool:
        return bool(self.spots) and self.spots[-1].flow in self.book.behind_a_pin

    def start_flow_again(self) -> None:
        """Begins the flow on screen once more and says why; what is known is not asked again."""
        flow = self.spots[-1].flow
        self.spots[-1] = Spot(flow, self.book.flows[flow].start)
        try:
            self.arrive()
        except (*REFUSED, Missing):
            self.fall_to_menu("changed")
        self.notice = "changed"

    def aside(self, spot: Spot, facts: Mapping[str, object], language: str) -> Walk:
        """A walk beside this one that knows other things and keeps nothing.

        Args:
            spot: where it stands.
            facts: what it knows.
            language: what it speaks.
        """
        other = copy(self)
        other.spots, other.trail, other._worked = [spot], [], {}
        other.held = self.held.copy()
        other.held.facts, other.held.answers, other.held.language = dict(facts), {}, language
        return other

    def arrive(self, *, again: bool = False) -> None:
        """Goes on until a screen must be shown.

        Args:
            again: show the next question even when its answer is known.
        """
        via: tuple[Spot, ...] = ()
        for _ in range(HOPS):
            screen = self.screen
            self.work()
            for fact, name in screen.keeps:
                self.held.keep(fact, self._plain(name))
            if screen.takes:
                self.held.take(screen.takes, int(str(self._seen(PLACE))))
                via = ()  # nobody goes back, or is shown a screen again, through a step that takes another one up
            if screen.call:
                self.spots.append(Spot(screen.call, self.book.flows[screen.call].start))
                continue
            key = GO if screen.say is None else None if again else self._answered(screen)
            if key is None:
                self._check_that_it_has_answers(screen)
                same_flow = len(via) == len(self.spots) and via[-1].flow == self.spots[-1].flow
                self.via = via[-1].screen if same_flow else ""
                self.page, self.notice, self.ended = 0, "", screen.ends
                return
            # The first of several branches; one before a question that was passed over does not lead here alone.
            via = () if screen.say else via or (tuple(self.spots) if screen.is_branch else ())
            self.go(key)
        raise Stuck(self.spots[-1])

    def _check_that_it_has_answers(self, screen: Screen) -> None:
        """Raises MissingFigure for a question out of a list that the programme leaves empty: it is never shown."""
        if screen.ask and screen.ask.kind is AskKind.PICK and not self.book.registry.entries(screen.ask.source):
            raise MissingFigure(screen.ask.source, "fill the list in the programme file")

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

    def work(self) -> None:
        """Works out what the screen on show needs."""
        self.results = {}
        self.results = self.worked_out(self.screen)

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
            values = [choice.value for choice in screen.ask.choices]
            return choice_key(values.index(str(value))) if value in values else None
        if screen.ask.kind is AskKind.PICK:
            return GO if value in dict(self.book.registry.entries(screen.ask.source)) else None
        return GO

    def go(self, key: str) -> None:
        """Leaves the screen by one of its ways."""
        spot = self.spots[-1]
        router = self.book.routers[spot.flow]
        target = router.certain(spot.screen, key) or router.way(spot.screen, key, self.sight())
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
        self.trail = [*self.trail, self._here()][-TRAIL:]
        if choice:
            self.held.do(choice.does)
            if not choice.tells:
                self.held.forget(choice.forgets)
            if choice.drops:
                self.held.drop(choice.drops)
            if choice.begins:
                self.held.begin_another(choice.begins)
        if answer and screen.ask and screen.ask.kind is AskKind.WHICH:
            self.held.take(screen.ask.source, int(str(answer.value)))
        if answer:
            self.held.forget(screen.forgets)
        if answer and screen.keep:
            self.held.keep(screen.keep, answer.value)
        self.results = {}
        if screen.keep or screen.forgets or screen.has_conditions or (choice and choice.changes):
            self.work()  # the ways on may look at results that rest on this very answer
        self.go(key)
        self.arrive(again=choice.again if choice else False)

    def _here(self) -> tuple[Spot, ...]:
        """What going back leads to: the step that chose this screen where one did, else the screen."""
        *outer, last = self.spots
        return (*outer, Spot(last.flow, self.via or last.screen))

    def mark(self) -> Mark:
        """Remembers everything, for undoing a refused answer."""
        return Mark(tuple(self.spots), tuple(self.trail), self.via, self.held.copy())

    def return_to(self, mark: Mark) -> None:
        """Undoes everything since the mark."""
        self.spots, self.trail, self.via, self.held = list(mark.spots), list(mark.trail), mark.via, mark.held

    def back(self) -> None:
        """Shows the screen that was shown before; effects stay, and consent is not asked for twice.

        Where a step chose that screen by what was answered since, it chooses the one that is on show; then it is
        the screen before.
        """
        here = list(self.spots)
        while self.trail:
            spots = self.trail.pop()
            if all(self.book.has(spot) for spot in spots) and self._can_go_back_to(self.book.screen(spots[-1])):
                mark = self.mark()
                try:
                    self.spots = list(spots)
                    self.arrive(again=True)
                except (*REFUSED, Missing):
                    self.return_to(mark)
                    continue
                if self.spots != here:
                    return
        self.show_again()

    def _can_go_back_to(self, screen: Screen) -> bool:
        if screen.say is None:
            return screen.is_branch
        agreed, stopped = self.held.agreed, self.held.stopped
        done = {"agree": agreed, "stop": stopped, "start": not stopped, "withdraw": not agreed}
        return not any(done.get(choice.does, False) for choice in (screen.ask.choices if screen.ask else ()))

    def go_aside(self, spots: tuple[Spot, ...]) -> None:
        """Shows a screen that was not on the way; going back leads to where the conversation was."""
        if self.spots != list(spots):
            self.trail = [*self.trail, self._here()][-TRAIL:]
        self.spots = list(spots)
        self.arrive(again=True)

    def go_to_menu(self) -> None:
        """Leaves whatever is open for the main menu, from which one can come back.

        On the way to the first menu (language, consent, place) there is no menu yet to go to.
        """
        if self.is_before_the_menu():
            self.show_again()
            return
        if self.spots != [self.book.menu]:
            self.trail = [*self.trail, self._here()][-TRAIL:]
        self.fall_to_menu("")

    def is_before_the_menu(self) -> bool:
        """Whether the menu was not shown yet in this conversation."""
        in_root = len(self.spots) == 1 and self.spots[0].flow == self.book.root.flow
        return in_root and self.spots != [self.book.menu] and (self.book.menu,) not in self.trail

    def fall_to_menu(self, notice: str) -> None:
        """Shows the main menu, with a line above; there is no way back to what could not be shown."""
        self.spots = [self.book.menu]
        self.arrive(again=True)
        self.notice = notice

    def ask_for(self, name: str) -> None:
        """Goes to the screen that asks for a value or the step that works it out, or else to the menu."""
        here = self.spots[-1]
        for depth in range(len(self.spots), 0, -1):
            flow = self.spots[depth - 1].flow
            for screen in self.book.flows[flow].screens:
                spot = Spot(flow, screen.name)
                if spot == here or (screen.keep != name and name not in dict(screen.keeps)):
                    continue
                try:
                    self.spots = [*self.spots[: depth - 1], spot]
                    self.arrive(again=True)
                except (*REFUSED, Missing):
                    self.fall_to_menu("refused")
                return
        self.fall_to_menu("refused")

    def show_again(self, notice: str = "") -> None:
        """Shows the screen once more, from its first page, with a line above."""
        self.spots = list(self._here())
        try:
            self.arrive(again=True)
        except REFUSED as error:
            self.fall_to_menu(notice_of(error))
        except Missing as missing:
            self.ask_for(missing.name)
        else:
            self.notice = notice
