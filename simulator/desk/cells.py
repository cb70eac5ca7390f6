"""Rows of text for a grid of cells: measured, broken, cut and filled, with marks instead of colours.

Terminals do not agree on how wide the marks of Indic scripts are. A row counts the widest of what they do (each
spacing mark one column), so that whatever a terminal makes of it needs no more room.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass
from enum import Enum, auto

from simulator.screen import columns, printable

_JOINERS = "\u200c\u200d"
_VIRAMA = 9  # canonical combining class of the signs that tie two letters into one


class Mark(Enum):
    """How a piece of a row stands out."""

    PLAIN = auto()
    STRONG = auto()
    REVERSED = auto()
    WARN = auto()
    BAD = auto()


@dataclass(frozen=True, slots=True)
class Span:
    """A piece of a row."""

    text: str
    mark: Mark = Mark.PLAIN


Row = tuple[Span, ...]


def row(*parts: str | Span) -> Row:
    """A row of pieces, without empty ones; control characters show as ``?``.

    >>> width(row("12 of 159", Span(", GSM", Mark.STRONG)))
    14
    """
    spans = (part if isinstance(part, Span) else Span(part) for part in parts)
    return tuple(Span(printable(span.text), span.mark) for span in spans if span.text)


def width(cells: Row) -> int:
    """Columns that a row takes at most."""
    return sum(columns(span.text) for span in cells)


def text_of(cells: Row) -> str:
    """What a row says, without its marks."""
    return "".join(span.text for span in cells)


def is_uncertain(text: str) -> bool:
    """Whether terminals may disagree on how wide a text is.

    >>> is_uncertain("kg 2.5"), is_uncertain("किलो")
    (False, True)
    """
    return not text.isascii() and any(unicodedata.category(char) in ("Mn", "Mc", "Me", "Cf") for char in text)


def letters(text: str) -> Iterator[str]:
    """The pieces between which a text may be broken: a letter with all its marks stays whole.

    >>> list(letters("किलो"))
    ['कि', 'लो']
    >>> list(letters("क्षेत्र"))
    ['क्षे', 'त्र']
    """
    piece = ""
    for char in text:
        is_mark = char in _JOINERS or unicodedata.category(char)[0] == "M"
        is_tied = bool(piece) and (piece[-1] in _JOINERS or unicodedata.combining(piece[-1]) == _VIRAMA)
        if piece and not is_mark and not (is_tied and unicodedata.category(char)[0] == "L"):
            yield piece
            piece = ""
        piece += char
    if piece:
        yield piece


def broken(text: str, most: int) -> tuple[str, ...]:
    """A text as rows of at most so many columns, broken after the last letter that fits, as small phones do.

    >>> broken("How many acres?\\n1 Back", 8)
    ('How many', ' acres?', '1 Back')
    """
    lines = text.replace("\r\n", "\n").split("\n")
    return tuple(piece for line in lines for piece in _broken_line(printable(line), most))


def cut(cells: Row, most: int) -> Row:
    """A row without what lies beyond so many columns."""
    kept: list[Span] = []
    room = most
    for span in cells:
        text = _fitting(span.text, room)
        if text:
            kept.append(Span(text, span.mark))
        room -= columns(text)
        if text != span.text:
            break
    return tuple(kept)


def filled(cells: Row, most: int) -> Row:
    """A row of exactly so many columns: cut, and filled with blanks in the mark of its last piece if reversed.

    >>> text_of(filled(row("kg"), 4))
    'kg  '
    """
    kept = cut(cells, most)
    blanks = " " * (most - width(kept))
    mark = Mark.REVERSED if kept and all(span.mark is Mark.REVERSED for span in kept) else Mark.PLAIN
    return (*kept, Span(blanks, mark)) if blanks else kept


def _fitting(text: str, room: int) -> str:
    kept, taken = "", 0
    for letter in letters(text):
        taken += columns(letter)
        if taken > room:
            break
        kept += letter
    return kept


def _broken_line(line: str, most: int) -> Iterator[str]:
    piece, taken = "", 0
    for letter in letters(line):
        parts = [letter] if columns(letter) <= most else list(letter)
        for part in parts:
            if piece and taken + columns(part) > most:
                yield piece
                piece, taken = "", 0
            piece += part
            taken += columns(part)
    yield piece
