"""A terminal of the plainest kind: what bytes make of a grid of cells.

It knows what the phone sends and nothing else: moving the cursor, saving and restoring it, and marks, which it
drops; anything else fails the test. How many cells a letter takes is a parameter, since terminals do not agree.

Source:
    ECMA-48, Control Functions for Coded Character Sets, 5th edition, 1991: CUP, CUB, SGR and modes; from memory,
    DECSC and DECRC as xterm has them.
"""

import re
import unicodedata

_TITLES = re.compile(r"\x1b\][^\x07]*\x07")
_PIECES = re.compile(r"\x1b\[([<?>]?[0-9;]*\$?)([A-Za-z])|\x1b([78])|([\r\n])|([^\x1b\r\n])", re.DOTALL)


def marks_take_none(char):
    """As terminals have it that shape letters: no mark takes a cell of its own."""
    return 0 if unicodedata.category(char) in ("Mn", "Mc", "Me", "Cf") else 1


def marks_take_one(char):
    """As terminals have it that go by the C library: spacing marks take a cell."""
    return 0 if unicodedata.category(char) in ("Mn", "Me", "Cf") else 1


class Grid:
    """The cells after some bytes: ``cells``, row by row, and the ``marks`` that were used.

    Args:
        sent: what was sent.
        taken: how many cells a character takes.
    """

    def __init__(self, sent, taken, columns=80, rows=24):
        self._taken = taken
        self._columns = columns
        self.cells = [[" "] * columns for _ in range(rows)]
        self._x = self._y = 0
        self._saved = (0, 0)
        self.marks = set()
        at = 0
        text = _TITLES.sub("", sent.decode())  # commands to the window, which write nothing
        while at < len(text):
            piece = _PIECES.match(text, at)
            assert piece, f"the phone sent {text[at : at + 20]!r}"
            self._take(*piece.groups())
            at = piece.end()

    @property
    def lines(self):
        return ["".join(row).rstrip() for row in self.cells]

    def _take(self, numbers, control, keeps, moves, char):
        if char:
            self._write(char)
        elif control == "m":
            self.marks.update(numbers.split(";"))
        elif control == "H":
            y, x = (int(number) for number in (numbers or "1;1").split(";"))
            self._x, self._y = x - 1, y - 1
        elif control == "D":
            self._x = max(0, min(self._x, self._columns - 1) - int(numbers))
        elif keeps == "7":
            self._saved = (self._x, self._y)
        elif keeps == "8":
            self._x, self._y = self._saved
        elif moves == "\r":
            self._x = 0
        elif moves == "\n":
            self._y += 1
        else:
            assert control in ("h", "l", "u", "p"), f"the phone sent ESC [ {numbers} {control}"

    def _write(self, char):
        taken = self._taken(char)
        if taken and self._x < self._columns:
            self.cells[self._y][self._x] = char
            self._x += taken
        elif not taken and self._x:
            self.cells[self._y][min(self._x, self._columns) - 1] += char
