"""How a phone looks as plain text, one block of lines after another: no colours, no moving cursor."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator
from datetime import datetime
from itertools import zip_longest

from simulator.counting import size
from simulator.phone import Phone, Sms

COLUMNS = 24
_DIRECTIONS = "\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069"


def columns(text: str) -> int:
    """Columns that a text takes in a terminal: marks take none, wide characters two.

    >>> columns("mbegu"), columns("कि")
    (5, 2)
    """
    return sum(_width(char) for char in text)


def wrapped(text: str, most: int = COLUMNS) -> tuple[str, ...]:
    """A text as lines of at most so many columns, broken at blanks where there are any.

    Args:
        text: any text; control characters other than line ends show as ``?``.
        most: columns of a line, at least 2.

    >>> wrapped("How many acres is your field?", 16)
    ('How many acres', 'is your field?')
    """
    lines = text.replace("\r\n", "\n").split("\n")
    return tuple(row for line in lines for row in _rows(printable(line), most))


def phone_drawn(phone: Phone, now: datetime) -> str:
    """The phone with its last screen, and beside it what a practitioner counts."""
    rows = ["", *wrapped(phone.screen or ""), ""]
    head = f"{phone.number:<18}{now:%H:%M}" if len(phone.number) < 18 else phone.number
    edge = "=" * (COLUMNS + 4)
    frame = [f" .{edge}.", f" |{_filled(head)}|", f" |{'-' * (COLUMNS + 4)}|"]
    frame += [f" |{_filled(row)}|" for row in rows]
    frame += [f" |{_filled('[ answer ]' if phone.open else '[ ended ]', centred=True)}|", f" '{edge}'"]
    lines = zip_longest(frame, ["", *_notes(phone, now)], fillvalue="")
    return "\n".join(f"{left}   {right}".rstrip() for left, right in lines)


def message_drawn(message: Sms) -> str:
    """A text message as it comes in."""
    parts = f" in {message.segments} segments" if message.segments > 1 else ""
    head = f" SMS from {message.sender} to {message.number}, {size(message.text)}{parts}"
    return "\n".join([head, *(f" :  {row}" for row in wrapped(message.text, 40))])


def _notes(phone: Phone, now: datetime) -> Iterator[str]:
    counted = size(phone.screen or "")
    yield f"{now:%a %d %b %Y}"
    yield ""
    yield f"{counted}{'' if counted.fits_page else '   TOO LONG FOR A PAGE'}"
    yield f"screens     {phone.screens}"
    yield f"key presses {phone.keys}"
    yield f"SMS         {len(phone.inbox)}"


def _filled(row: str, centred: bool = False) -> str:
    room = COLUMNS - columns(row)
    left = room // 2 if centred else 0
    return "  " + " " * left + row + " " * (room - left) + "  "


def _rows(line: str, most: int) -> Iterator[str]:
    row = ""
    for word in line.split(" "):
        for piece in _pieces(word, most):
            if row and columns(row) + 1 + columns(piece) > most:
                yield row
                row = piece
            else:
                row = f"{row} {piece}" if row else piece
    yield row


def _pieces(word: str, most: int) -> Iterator[str]:
    piece = ""
    for char in word:
        if columns(piece) + _width(char) > most:
            yield piece
            piece = ""
        piece += char
    yield piece


def _width(char: str) -> int:
    if unicodedata.category(char) in ("Mn", "Me", "Cf"):
        return 0
    return 2 if unicodedata.east_asian_width(char) in "WF" else 1


def printable(line: str) -> str:
    r"""A line with ``?`` for what could move the cursor of the terminal, turn its text round or end the line.

    >>> printable("a\x1b[2Jb"), printable("a\u202eb"), printable("a\u2028b"), printable("\ud800")
    ('a?[2Jb', 'a?b', 'a?b', '?')
    """
    return "".join("?" if _does_harm(char) else char for char in line)


def _does_harm(char: str) -> bool:
    # controls, halves of a letter that cannot be written, other ends of lines, and marks of direction
    return unicodedata.category(char) in ("Cc", "Cs", "Zl", "Zp") or char in _DIRECTIONS
