"""On which line of a TOML file a value stands, so that what is wrong with it can be mended there."""

from __future__ import annotations

import re
from collections.abc import Mapping

_HEADER = re.compile(r"\s*(\[\[?)\s*([\w.-]+)\s*\]\]?\s*(?:#.*)?")
_KEY = re.compile(r'\s*"?([\w-]+)"?\s*=\s*(.*)')
_ROW = re.compile(r"\s*\{")
_PLACE = re.compile(r"[\w-]+(?:\[\d+\])?(?:\.[\w-]+(?:\[\d+\])?)*")
_QUOTED = re.compile(r"'([^']+)'")


def toml_lines(text: str) -> dict[str, int]:
    """Line of each key and table, by its place: rows of a list of tables are counted from 1.

    >>> toml_lines('a = 1\\n[[b]]\\nc = [\\n  {d = 1},\\n]\\n[[b]]\\nc = 2')
    {'a': 1, 'b': 2, 'b[1]': 2, 'b[1].c': 3, 'b[1].c[1]': 4, 'b[2]': 6, 'b[2].c': 7}
    """
    found: dict[str, int] = {}
    rows: dict[str, int] = {}
    table, listed = "", ""
    for number, line in enumerate(text.splitlines(), 1):
        header, key = _HEADER.fullmatch(line), _KEY.match(line)
        if header:
            *outer, last = header[2].split(".")
            table, listed = ".".join((*_counted(outer, rows), last)), ""
            found.setdefault(table, number)
            if header[1] == "[[":
                rows[table] = rows.get(table, 0) + 1
                table = f"{table}[{rows[table]}]"
                found[table] = number
        elif key and not listed:
            place = f"{table}.{key[1]}" if table else key[1]
            found.setdefault(place, number)
            listed = place if key[2].startswith("[") and "]" not in key[2] else ""
        elif listed:
            if _ROW.match(line):
                rows[listed] = rows.get(listed, 0) + 1
                found[f"{listed}[{rows[listed]}]"] = number
            listed = "" if line.strip().startswith("]") else listed
    return found


def _counted(outer: list[str], rows: Mapping[str, int]) -> list[str]:
    path: list[str] = []
    for name in outer:
        place = ".".join((*path, name))
        path.append(f"{name}[{rows[place]}]" if place in rows else name)
    return path


def line_of(text: str, said: str) -> int:
    """The line that a fault of a TOML file speaks of; of a key that is missing, the table it is missing in.

    Args:
        text: the text of the file.
        said: the fault, with the place as the reader of the file names it.

    >>> line_of('a = 1\\n[b]\\nc = 2', "b.c is 2: give 3"), line_of('a = 1\\n[b]\\nc = 2', "b.d is missing")
    (3, 2)
    """
    lines = toml_lines(text)
    places = _PLACE.findall(said)
    # A word of the sentence may be the name of some key as well; a place with a dot in it is surely meant.
    for place in sorted(places, key=lambda found: "." not in found):
        line = _nearest(lines, place)
        if line:
            return _row_that_names(text, line, said) if f"{place}[1]" in lines else line
    return 1


def _nearest(lines: Mapping[str, int], place: str) -> int:
    """The line of a place, or else of the closest table around it; 0 where there is neither."""
    while place:
        for named in (place, re.sub(r"\[\d+\]$", "", place)):
            if named in lines:
                return lines[named]
        place = place.rpartition(".")[0]
    return 0


def _row_that_names(text: str, first: int, said: str) -> int:
    """Of a list of rows, the line that holds what the fault quotes; the last one, since the first may be right."""
    for quoted in _QUOTED.findall(said):
        held = [
            number for number, line in enumerate(text.splitlines(), 1) if number >= first and f'"{quoted}"' in line
        ]
        if held:
            return held[-1]
    return first
