"""The word for erasing: it leads to the screen that asks whether it is meant, since it cannot be undone."""

from __future__ import annotations

from advisor.dialogue.book import Book
from advisor.dialogue.talk import Spot
from advisor.dialogue.walk import Walk


def go_by(walk: Walk, way: tuple[Spot, ...]) -> None:
    """Shows the screen that a way ends in; going back leads to where the conversation was.

    Args:
        walk: where the conversation stands.
        way: as `way_to_erasing` gives it.
    """
    if walk.session is None or not walk.can_be_found():
        walk.start()
    walk.go_aside(way)


def way_to_erasing(book: Book) -> tuple[Spot, ...]:
    """The screen with a choice that erases, behind the screens that call its flow; empty where there is none."""
    for spot, screen in book.screens.items():
        if screen.ask and any(choice.does == "erase" for choice in screen.ask.choices):
            return called_by(book, (spot,))
    return ()


def called_by(book: Book, way: tuple[Spot, ...]) -> tuple[Spot, ...]:
    """A way behind the screens that call its flow, the outermost first."""
    caller = book.callers.get(way[0].flow)
    return way if caller is None or way[0].flow == book.root.flow else called_by(book, (caller, *way))
