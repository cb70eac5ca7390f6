"""Days as they are written: ``12/3``, ``12.3.2027``, ``2027-03-12``, ``12 March``, ``Monday 12th of March``.

The day comes before the month; only what begins with four digits, a year, has the order of ISO 8601.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import product

from advisor.dialogue.answers.words import in_digits
from advisor.wording.calendar import month_named, weekday_named
from advisor.wording.folding import folded
from advisor.wording.voice import Voice

_SEPARATED = re.compile(r"(?P<a>[0-9]+)\s*(?P<by>[/.-])\s*(?P<b>[0-9]+)(?:\s*(?P=by)\s*(?P<c>[0-9]+))?\s*\.?")
_SPACED = re.compile(r"(?P<a>[0-9]+) (?P<b>[0-9]+)(?: (?P<c>[0-9]+))?")
_PIECE = re.compile(r"[0-9]+|[^\s0-9/.,-]+")
_MOST_PIECES = 8
_MOST_IN_A_NAME = 3


@dataclass(frozen=True, slots=True)
class Written:
    """A day as it was written; it need not exist.

    Args:
        day: day of the month.
        month: the month.
        year: the year with its century, None where none was written.
        weekday: 1 for Monday to 7 for Sunday, None where none was written.
    """

    day: int
    month: int
    year: int | None = None
    weekday: int | None = None


def written(typed: str, voice: Voice) -> Written | None:
    """The day that a tidied answer writes, None where it writes none or could be two.

    Args:
        typed: the answer.
        voice: the language, whose names of months and weekdays are known.
    """
    inner, weekday = _without_edges(typed, voice)
    figures = _SEPARATED.fullmatch(inner) or _SPACED.fullmatch(inner)
    if figures:
        return _of_figures([part for part in (figures["a"], figures["b"], figures["c"]) if part], weekday)
    # The names first: to somebody who writes "12 sept" in French, September is meant and not seven.
    return _with_names(typed, voice) or _with_names(in_digits(typed, voice.glossary), voice)


def _without_edges(typed: str, voice: Voice) -> tuple[str, int | None]:
    """What is left without words in front and behind that say nothing or name the weekday."""
    words, weekday = typed.split(), None
    for place in (0, -1):
        while words and not any(map(str.isdecimal, words[place])):
            named = weekday_named(words[place], voice)
            if named is None and folded(words[place]) not in voice.glossary.day_words.silent:
                break
            weekday = named or weekday
            words.pop(place)
    return " ".join(words), weekday


def _of_figures(parts: list[str], weekday: int | None) -> Written | None:
    if len(parts) == 3 and len(parts[0]) == 4:
        parts = [parts[2], parts[1], parts[0]]
    day, month = parts[:2]
    year = _year(parts[2]) if len(parts) == 3 else None
    if len(day) > 2 or len(month) > 2 or (len(parts) == 3 and year is None):
        return None
    return Written(int(day), int(month), year, weekday)


def _year(digits: str) -> int | None:
    return {2: 2000, 4: 0}[len(digits)] + int(digits) if len(digits) in (2, 4) else None


def _with_names(typed: str, voice: Voice) -> Written | None:
    """A day whose month is named; a word that can be a month or a weekday is taken for what makes one date."""
    pieces = [folded(piece) for piece in _PIECE.findall(typed)]
    if len(pieces) > _MOST_PIECES:
        return None
    meanings = list(_meanings(pieces, voice))
    if any(not meaning for meaning in meanings):
        return None
    found = {day for reading in product(*meanings) if (day := _of_reading(reading)) is not None}
    return found.pop() if len(found) == 1 else None


def _meanings(pieces: list[str], voice: Voice) -> Iterator[list[tuple[str, str]]]:
    """What each piece that says something can be: a number, a month or a weekday; empty for nothing."""
    words = voice.glossary.day_words
    at = 0
    while at < len(pieces):
        for end in range(min(len(pieces), at + _MOST_IN_A_NAME), at, -1):
            phrase = " ".join(pieces[at:end])
            if end > at + 1 and phrase in words.months:
                yield [("month", str(words.months[phrase]))]
                break
            if phrase in words.month_of and end < len(pieces) and pieces[end].isdecimal():
                yield [("month", pieces[end])]
                end += 1
                break
        else:
            end = at + 1
            piece = pieces[at]
            if piece not in words.silent:
                yield _meaning(piece, voice)
        at = end


def _meaning(piece: str, voice: Voice) -> list[tuple[str, str]]:
    if piece.isdecimal():
        return [("number", piece)]
    named = (("month", month_named(piece, voice)), ("weekday", weekday_named(piece, voice)))
    return [(what, str(number)) for what, number in named if number is not None]


def _of_reading(reading: tuple[tuple[str, str], ...]) -> Written | None:
    order = [what for what, _ in reading if what != "weekday"]
    numbers = [value for what, value in reading if what == "number"]
    months = [value for what, value in reading if what == "month"]
    weekdays = [int(value) for what, value in reading if what == "weekday"]
    if len(months) != 1 or len(months[0]) > 2 or len(weekdays) > 1 or len(numbers) not in (1, 2):
        return None
    if order == ["number", "number", "month"]:
        return None
    figures = [numbers[0], months[0], *numbers[1:]]
    if len(numbers) == 2 and len(numbers[0]) == 4:
        figures = [numbers[1], months[0], numbers[0]]
    return _of_figures(figures, weekdays[0] if weekdays else None)
