"""Months and weekdays by the names that people type: those of the locale data, and the glossary's own."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import lru_cache

from advisor.wording.folding import folded
from advisor.wording.languages import locale_of
from advisor.wording.voice import Voice

#: A beginning of a name that is long enough to stand for it.
_SHORTEST = 3
#: The sign of abbreviation of Devanagari.
_SHORTENED = "\u0970"


def month_named(word: str, voice: Voice) -> int | None:
    """The month that a word names, in full or by a beginning of three letters or more that only one month has.

    Args:
        word: what was typed, in any case, with or without accents.
        voice: the language.

    Returns:
        1 to 12, None where it names no month.
    """
    return _named(word, (_months(voice.language), voice.glossary.day_words.months))


def weekday_named(word: str, voice: Voice) -> int | None:
    """The weekday that a word names, 1 for Monday to 7 for Sunday as ISO 8601 has them, or None."""
    return _named(word, (_weekdays(voice.language), voice.glossary.day_words.weekdays))


def _named(word: str, tables: Iterable[Mapping[str, int]]) -> int | None:
    typed = folded(word.replace(_SHORTENED, " "))
    for table in tables:
        if typed in table:
            return table[typed]
    if len(typed) < _SHORTEST:
        return None
    begun = {number for table in tables for name, number in table.items() if name.startswith(typed)}
    return begun.pop() if len(begun) == 1 else None


@lru_cache(maxsize=64)
def _months(language: str) -> Mapping[str, int]:
    return _table(locale_of(language).months, 0)


@lru_cache(maxsize=64)
def _weekdays(language: str) -> Mapping[str, int]:
    return _table(locale_of(language).days, 1)


def _table(names: Mapping[str, Mapping[str, Mapping[int, str]]], shift: int) -> Mapping[str, int]:
    """Folded name to number; a name of two is left out."""
    found: dict[str, int] = {}
    twice = set()
    for context in ("format", "stand-alone"):
        for width in ("wide", "abbreviated"):
            for number, name in names[context][width].items():
                word = folded(name.replace(_SHORTENED, " "))
                if found.setdefault(word, number + shift) != number + shift:
                    twice.add(word)
    return {word: number for word, number in found.items() if word not in twice}
