"""Reads a CSV file line by line, or says why it is none: encoding, separators, quotes, columns, sizes.

What is wrong with the file as such refuses all of it, before anything of it is used; what is wrong with one line's
cells is for whoever reads the rows. Nothing here holds more than one record of the file at a time, and a record
has a limit, so that no file can fill the memory.
"""

from __future__ import annotations

import csv
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from typing import BinaryIO

#: A longest record, its line breaks within quotes among them. No row of the schema needs a hundredth of it.
MOST_BYTES = 64 * 1024
#: More growers than this go into several files: all of one are held in memory, since nothing is written before
#: the whole file is known to be sound.
MOST_LINES = 200_000

_MARK = b"\xef\xbb\xbf"
#: What files begin with that are no CSV in UTF-8, and what to do with them.
_OTHERS = (
    (b"\xff\xfe\x00\x00", "the file is UTF-32, not UTF-8: save it as CSV UTF-8"),
    (b"\xff\xfe", "the file is UTF-16, not UTF-8: save it as CSV UTF-8"),
    (b"\xfe\xff", "the file is UTF-16, not UTF-8: save it as CSV UTF-8"),
    (b"PK\x03\x04", "the file is a workbook or an archive: save the sheet as CSV UTF-8"),
    (b"\xd0\xcf\x11\xe0", "the file is a workbook: save the sheet as CSV UTF-8"),
    (b"\x1f\x8b", "the file is compressed: unpack it first"),
)

#: What else parts the cells of files that pass for CSV.
_OTHER_SEPARATORS = (("\t", "tabs"), ("|", "upright strokes"), (":", "colons"), (" ", "blanks"))


class BrokenTable(Exception):  # noqa: N818 - named for what is wrong
    """The file as such cannot be read; the text says where and why, and holds nothing of what stands in it."""


@dataclass(frozen=True, slots=True)
class Line:
    """One record of a table.

    Args:
        number: the line of the file in which it begins, from 1.
        cells: its cells by column; None where it has more or fewer cells than the first line.
        wide: how many cells it has.
    """

    number: int
    cells: dict[str, str] | None
    wide: int


def read_table(
    file: BinaryIO,
    columns: tuple[str, ...],
    required: tuple[str, ...],
    progress: Callable[[int], None] = lambda _: None,
) -> Iterator[Line]:
    """The records of a file, those without anything in them left out.

    Args:
        file: open for reading bytes.
        columns: names that the first line may hold.
        required: names that it must hold.
        progress: told how many bytes are read.

    Raises:
        BrokenTable: the file cannot be read, at whatever place that shows; what came before is to be thrown away.
    """
    lines = _Lines(file, progress)
    first = lines.first()
    reader = csv.reader(lines, delimiter=_separator(first, columns), strict=True)
    header: tuple[str, ...] | None = None
    records, begins = 0, 1
    while True:
        lines.record_begins()
        try:
            cells = next(reader, None)
        except csv.Error as error:
            raise BrokenTable(_quotes(begins, lines.ended, str(error))) from error
        if cells is None:
            break
        if header is None:
            header = _header(cells, columns, required)
        elif records > MOST_LINES:
            raise BrokenTable(f"the file has more than {MOST_LINES:,} lines: split it into several")
        elif "".join(cells).strip():
            is_whole = len(cells) == len(header)
            yield Line(begins, dict(zip(header, cells, strict=True)) if is_whole else None, len(cells))
        begins, records = reader.line_num + 1, records + 1


@dataclass(slots=True)
class _Lines:
    """The lines of a file as text, each checked before it is read any further."""

    file: BinaryIO
    progress: Callable[[int], None]
    number: int = 0
    read: int = 0
    begun: int = 0
    began: int = 1
    ended: bool = False
    held: list[str] = field(default_factory=list)

    def first(self) -> str:
        """The first line, which is handed out again."""
        text = self._next()
        if text is None or not text.strip():
            raise BrokenTable("the file is empty, or its first line is: it must name the columns")
        if "\r" in text.rstrip("\r\n"):
            raise BrokenTable("the lines end in carriage returns alone: save the file as CSV UTF-8 once more")
        self.held.append(text)
        return text

    def record_begins(self) -> None:
        """What follows is a new record."""
        self.begun, self.began = self.read, self.number + 1

    def __iter__(self) -> Iterator[str]:
        return self

    def __next__(self) -> str:
        text = self.held.pop() if self.held else self._next()
        if text is None:
            self.ended = True
            raise StopIteration
        return text

    def _next(self) -> str | None:
        raw = self.file.readline(MOST_BYTES + 1)
        if not raw:
            return None
        self.number += 1
        if self.number == 1:
            raw = _checked_beginning(raw)
        self.read += len(raw)
        if b"\x00" in raw:
            raise BrokenTable(_nul(raw, self.number))
        if self.read - self.begun > MOST_BYTES:
            raise BrokenTable(_long(self.began, self.number))
        self.progress(self.read)
        try:
            return raw.decode()
        except UnicodeDecodeError as error:
            raise BrokenTable(
                f"line {self.number} is not UTF-8, the file is perhaps Latin-1 or Windows-1252: "
                "save it as CSV UTF-8"
            ) from error


def _checked_beginning(raw: bytes) -> bytes:
    for beginning, reason in _OTHERS:
        if raw.startswith(beginning):
            raise BrokenTable(reason)
    return raw.removeprefix(_MARK)


def _nul(raw: bytes, number: int) -> str:
    if raw.count(0) * 3 > len(raw):
        return "the file is UTF-16 without a mark, not UTF-8: save it as CSV UTF-8"
    return f"line {number} holds a NUL byte, which no text has: the file is damaged or no CSV"


def _long(began: int, number: int) -> str:
    if began == number:
        return f"line {number} is longer than {MOST_BYTES // 1024} KiB: that is no list of growers"
    return (
        f"line {began}: a quote is opened and not closed within {MOST_BYTES // 1024} KiB: close it or take it away"
    )


def _quotes(begins: int, ended: bool, told: str) -> str:
    if ended:
        return f"line {begins}: a quote is opened and never closed: close it or take it away"
    if "new-line" in told:
        return f"line {begins} holds a carriage return that ends no line: save the file as CSV UTF-8 once more"
    return f"line {begins}: text follows a closing quote: double the quotes within a cell, or take them away"


def _separator(first: str, columns: tuple[str, ...]) -> str:
    """The one of comma and semicolon that parts the first line into more known columns."""

    def known(separator: str) -> int:
        return sum(_name(cell) in columns for cell in first.split(separator))

    return max(",;", key=known)


def _no_header(cells: list[str], columns: tuple[str, ...], required: tuple[str, ...]) -> str:
    """Why nothing in the first line is a column."""
    if cells[0].casefold().startswith("sep="):
        return "line 1 says how cells are parted, for one kind of spreadsheet: take that line away"
    for sign, called in _OTHER_SEPARATORS:
        if any(_name(cell) in columns for cell in ",".join(cells).split(sign)):
            return f"line 1: the columns are parted by {called}: save the file parted by commas or semicolons"
    return (
        f"line 1 names no column of the schema: it must name the columns, at least {', '.join(required)}, "
        "parted by commas or semicolons"
    )


def _name(cell: str) -> str:
    return cell.strip().strip('"').strip().casefold()


def _header(cells: list[str], columns: tuple[str, ...], required: tuple[str, ...]) -> tuple[str, ...]:
    names = tuple(_name(cell) for cell in cells)
    if not any(name in columns for name in names):
        raise BrokenTable(_no_header(cells, columns, required))
    faults = []
    wrong = [place for place, name in enumerate(names, 1) if name not in columns]
    if wrong:
        where = ", ".join(map(str, wrong[:5])) + (f" and {len(wrong) - 5} more" if len(wrong) > 5 else "")
        faults.append(
            f"column {where}: not in the schema; take it away, or name it as one of {', '.join(columns)}, "
            "parted by commas or semicolons"
        )
    twice = [name for name in columns if names.count(name) > 1]
    faults += [f"the column {name} is there twice: keep one" for name in twice]
    missing = [name for name in required if name not in names]
    if missing:
        faults.append(f"missing {', '.join(missing)}: every list needs these columns")
    if faults:
        raise BrokenTable("line 1: " + "; ".join(faults))
    return names
