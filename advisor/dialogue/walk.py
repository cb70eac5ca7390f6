"""One walk through the screens: from where a session stands, over steps that are not shown, to the next page.

A walk lives for one message. It is the only mutable thing in the room and never outlives its step; what it
found out leaves as an Outcome.
"""

from __future__ import annotations

from collections.abc import Mapping
from copy import copy

from msgspec import Struct

from advisor.agronomy.errors import MissingFigure
from advisor.dialogue.answers import Taken
from advisor.dialogue.flows import MENU, RETURN, AskKind, Choice, Screen
from advisor.dialogue.held import Held
from advisor.dialogue.here import Here
from advisor.dialogue.machine import GO
from advisor.dialogue.notices import notice_of
from advisor.dialogue.talk import Spot
from advisor.dialogue.walk_errors import REFUSED, Missing, Stuck

#: More steps that are not shown than any proven flow can take in a row.
HOPS = 60
TRAIL = 20
#: What the calculation of a step calls the place of the one that it takes up.
PLACE = "place"


class Mark(Struct, frozen=True):
    """All that a refused answer must undo."""

    spots: tuple[Spot, ...]
    trail: tuple[tuple[Spot, ...], ...]
    via: str
    held: Held


class Walk(Here):
    """See the module; made as `Here` is."""

    def start(self) -> None:
        """Begins at the root, with nothing answered."""
        self.spots, self.trail = [self.book.root], []
        self.held.begin()
        try:
            self.arrive()
        except (*REFUSED, Missing):
            self.fall_to_menu("refused")

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
            self.work(screen)
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
        if screen.work and (screen.keep or screen.forgets or screen.has_conditions or (choice and choice.changes)):
            self.work(screen)  # the ways on may look at results that rest on this very answer
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
