"""Answers of which only a verdict reaches the step: an agent's PIN, and the number of a grower in their care.

Whoever serves the messages looks first what a session waits for (`waits_for`), judges what was typed, and hands
the step an event without it. So neither a session nor an effect, and nothing that is kept, ever holds it.
"""

from __future__ import annotations

from datetime import datetime

from advisor.dialogue.answers import tidy
from advisor.dialogue.book import Book
from advisor.dialogue.erasing import called_by
from advisor.dialogue.flows import VEILED, AskKind
from advisor.dialogue.keys import key_of
from advisor.dialogue.talk import Event, EventKind, Session, Spot


def waits_for(book: Book, session: Session | None, event: Event, now: datetime) -> AskKind | None:
    """The kind of the veiled question that an event answers, None where it answers none.

    Args:
        book: the dialogues.
        session: where the conversation stands.
        event: what came; keys such as 0 and words such as STOP are no answers.
        now: the moment.
    """
    if session is None or session.until <= now or event.kind not in (EventKind.ANSWER, EventKind.SMS):
        return None
    spot = session.spots[-1]
    screen = book.screens.get(spot)
    if session.place != event.place or screen is None or screen.ask is None or screen.ask.kind not in VEILED:
        return None
    typed = tidy(event.text.strip())
    if session.asks.split(":")[0] != screen.ask.kind or key_of(typed, screen.ask, book.voices[session.language]):
        return None
    return None if book.is_command(typed) or book.is_work_word(typed) else screen.ask.kind


def way_to_work(book: Book) -> tuple[Spot, ...]:
    """The first screen of the flow behind the PIN, behind the screens that call it; empty where there is none."""
    for spot, screen in book.screens.items():
        if screen.ask and screen.ask.kind is AskKind.GROWER:
            return called_by(book, (Spot(spot.flow, book.flows[spot.flow].start),))
    return ()


def lies_before_the_pin(book: Book, spot: Spot) -> bool:
    """Whether a screen may be shown before the PIN is typed: it asks for it, or leads nowhere but to the menu."""
    screen = book.screen(spot)
    if screen.ask is None or screen.ask.kind is AskKind.SECRET:
        return screen.ask is not None
    return all(edge.to in ("menu", "return") for choice in screen.ask.choices for edge in choice.to) and bool(
        screen.ask.choices
    )
