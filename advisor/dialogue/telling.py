"""The text that tells a grower what an agent recorded, in the grower's own language."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime

from advisor.dialogue.book import Book
from advisor.dialogue.showing import texts_to_send
from advisor.dialogue.talk import Spot
from advisor.dialogue.walk import Walk
from advisor.records.grower import Grower, Value


def told_text(
    book: Book, screen: str, values: Mapping[str, Value], language: str, now: datetime
) -> tuple[str, ...]:
    """The pages of a screen as messages.

    Args:
        book: the dialogues.
        screen: ``flow.screen``; where the book has it no more nothing is said.
        values: what it may name.
        language: the language of who is told.
        now: the moment.
    """
    flow, _, name = screen.partition(".")
    spot = Spot(flow, name)
    if not book.has(spot) or book.screen(spot).say is None:
        return ()
    walk = Walk(book, Grower(), "sms", now, None)
    walk.spots, walk.held.language, walk.held.answers = [spot], language, dict(values)
    return texts_to_send(walk, name).pages
