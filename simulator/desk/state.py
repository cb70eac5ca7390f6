"""Everything that the screen of the terminal follows from, as one value."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime
from enum import Enum, auto

from simulator.desk.typed import Typed
from simulator.phone import Phone, Sms

_NOTICES_KEPT = 50


class Asked(Enum):
    """What the typed line is for."""

    ANSWER = auto()
    SMS = auto()
    CLOCK = auto()
    ROUND = auto()
    NUMBER = auto()
    LANGUAGE = auto()
    FILE = auto()


class Pane(Enum):
    """Where the arrow keys go; on a small terminal the only part that shows."""

    PHONE = auto()
    MESSAGES = auto()
    AUTHOR = auto()


@dataclass(frozen=True, slots=True)
class Letter:
    """A text message on a phone.

    Args:
        sms: the message.
        came: when it came, by the service's clock.
        is_read: whether it was opened.
    """

    sms: Sms
    came: datetime
    is_read: bool = False


@dataclass(frozen=True, slots=True)
class Held:
    """One of the phones.

    Args:
        phone: the phone.
        language: the language it is set to, which networks may pass on; empty for none.
        letters: its text messages, newest first.
        waits: whether it waits for an answer of the service.
        top: first row of its screen that shows.
        chosen: place of the chosen message.
        is_opened: whether the chosen message is shown whole.
        letter_top: first row of it that shows.
        session: what the service last said of its conversation.
    """

    phone: Phone
    language: str = ""
    letters: tuple[Letter, ...] = ()
    waits: bool = False
    top: int = 0
    chosen: int = 0
    is_opened: bool = False
    letter_top: int = 0
    session: Mapping[str, object] = field(default_factory=dict)

    @property
    def unread(self) -> int:
        """How many messages were not opened yet."""
        return sum(not letter.is_read for letter in self.letters)

    @property
    def spoken(self) -> str:
        """Code of the language that the session is in, empty where that is not known."""
        session = self.session.get("session")
        return str(session.get("language") or "") if isinstance(session, Mapping) else ""

    def receiving(self, sms: Sms, came: datetime) -> Held:
        """With one more message, on top; the chosen one stays chosen."""
        is_chosen = self.is_opened or self.chosen > 0
        return replace(self, letters=(Letter(sms, came), *self.letters), chosen=self.chosen + is_chosen)

    def choosing(self, steps: int) -> Held:
        """With another message chosen, so many further down."""
        return replace(self, chosen=max(0, min(len(self.letters) - 1, self.chosen + steps)))

    def opening(self) -> Held:
        """With the chosen message open and read, or closed again."""
        if not self.letters or self.is_opened:
            return replace(self, is_opened=False)
        letters = list(self.letters)
        letters[self.chosen] = replace(letters[self.chosen], is_read=True)
        return replace(self, letters=tuple(letters), is_opened=True, letter_top=0)


@dataclass(frozen=True, slots=True)
class Desk:
    """All phones, and what is on the screen beside them.

    Args:
        phones: the phones, at least one.
        now: what time it is for them.
        in_hand: place of the phone in hand.
        asked: what the typed line is for.
        typed: the typed line.
        kept: what was typed as an answer when the line was wanted for something else.
        is_armed: whether the next key is a command.
        front: where the arrow keys go.
        has_author: whether the pane for authors shows.
        author_top: first row of it that shows.
        is_connected: whether there is a service to talk to.
        service: empty when it answers, else what is to be said of it.
        moves: whether the clock is being moved, which keeps all phones waiting.
        book: what the service last said of its book.
        notices: what was said, oldest first.
    """

    phones: tuple[Held, ...]
    now: datetime
    in_hand: int = 0
    asked: Asked = Asked.ANSWER
    typed: Typed = field(default_factory=Typed)
    kept: Typed = field(default_factory=Typed)
    is_armed: bool = False
    front: Pane = Pane.PHONE
    has_author: bool = False
    author_top: int = 0
    is_connected: bool = False
    service: str = ""
    moves: bool = False
    book: Mapping[str, object] = field(default_factory=dict)
    notices: tuple[str, ...] = ()

    @property
    def held(self) -> Held:
        """The phone in hand."""
        return self.phones[self.in_hand]

    def found(self, number: str) -> Held | None:
        """The phone of a number, None where there is none."""
        return next((held for held in self.phones if held.phone.number == number), None)

    def holding(self, changed: Held) -> Desk:
        """With the phone of that number changed."""
        number = changed.phone.number
        phones = tuple(changed if held.phone.number == number else held for held in self.phones)
        return replace(self, phones=phones)

    def taking(self, place: int) -> Desk:
        """With another phone in hand; what was typed for the one before is dropped."""
        if place == self.in_hand or not 0 <= place < len(self.phones):
            return self
        return replace(self, in_hand=place, asked=Asked.ANSWER, typed=Typed(), kept=Typed(), author_top=0)

    def saying(self, what: str) -> Desk:
        """With one more notice."""
        return replace(self, notices=(*self.notices, what)[-_NOTICES_KEPT:])

    def asking(self, what: Asked, typed: str = "") -> Desk:
        """With the typed line wanted for something; what was typed as an answer comes back afterwards."""
        kept = self.typed if self.asked is Asked.ANSWER else self.kept
        return replace(self, asked=what, typed=Typed(typed, len(typed)), kept=kept, front=Pane.PHONE)

    def asked_enough(self) -> Desk:
        """With the typed line for answers again."""
        if self.asked is Asked.ANSWER:
            return self
        return replace(self, asked=Asked.ANSWER, typed=self.kept, kept=Typed())

    def next_pane(self) -> Desk:
        """With the next pane in front."""
        panes = [Pane.PHONE, Pane.MESSAGES, *([Pane.AUTHOR] if self.has_author else [])]
        return replace(self, front=panes[(panes.index(self.front) + 1) % len(panes)])
