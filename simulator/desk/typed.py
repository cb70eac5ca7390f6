"""The line that is typed, as a value."""

from __future__ import annotations

from dataclasses import dataclass

from simulator.desk.cells import Mark, Row, Span, filled, letters, row
from simulator.screen import columns


@dataclass(frozen=True, slots=True)
class Typed:
    """What has been typed.

    Args:
        text: all of it.
        at: place of the cursor, 0 to the length of the text.

    >>> Typed().writing("2.5").left().erasing()
    Typed(text='25', at=1)
    """

    text: str = ""
    at: int = 0

    def writing(self, what: str) -> Typed:
        """With more text at the cursor; line ends become blanks."""
        flat = " ".join(what.split("\n")) if "\n" in what else what
        return Typed(self.text[: self.at] + flat + self.text[self.at :], self.at + len(flat))

    def erasing(self) -> Typed:
        """Without the character before the cursor."""
        return Typed(self.text[: max(0, self.at - 1)] + self.text[self.at :], max(0, self.at - 1))

    def deleting(self) -> Typed:
        """Without the character at the cursor."""
        return Typed(self.text[: self.at] + self.text[self.at + 1 :], self.at)

    def left(self) -> Typed:
        """One place to the left."""
        return Typed(self.text, max(0, self.at - 1))

    def right(self) -> Typed:
        """One place to the right."""
        return Typed(self.text, min(len(self.text), self.at + 1))

    def first(self) -> Typed:
        """At the beginning."""
        return Typed(self.text, 0)

    def last(self) -> Typed:
        """At the end."""
        return Typed(self.text, len(self.text))


def line(typed: Typed, most: int) -> Row:
    """The line as it shows: a window of so many columns that has the cursor in it.

    >>> from simulator.desk.cells import text_of
    >>> text_of(line(Typed("2.5", 3), 8)), text_of(line(Typed("0123456789", 10), 8))
    ('> 2.5   ', '> 56789 ')
    """
    before, after = typed.text[: typed.at], typed.text[typed.at :] or " "
    under = next(letters(after))
    room = most - 2 - columns(under)
    shown = ""
    for letter in reversed(list(letters(before))):
        if columns(letter) + columns(shown) > room:
            break
        shown = letter + shown
    return filled(row("> ", shown, Span(under, Mark.REVERSED), after[len(under) :]), most)
