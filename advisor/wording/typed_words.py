"""From the tables of a glossary with what people type for numbers and days to values to look words up in."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from fractions import Fraction
from types import MappingProxyType

from advisor.wording.day_words import DayWords
from advisor.wording.folding import folded
from advisor.wording.number_words import NumberWords

Words = tuple[tuple[str, tuple[str, ...]], ...]

NEEDED_NUMBERS = (*(str(n) for n in (*range(21), *range(30, 101, 10), 1000)), "and", "point")
NUMBERS = (*map(str, range(101)), "1000", "100000", "and", "point")
NEEDED_FRACTIONS = ("1/4", "1/2", "3/4")
FRACTIONS = (*NEEDED_FRACTIONS, "1/3", "2/3", "5/4", "3/2", "5/2", "+1/4", "+1/2", "-1/4")
#: Forms that hold the number of days or weeks, and how many days one is.
DISTANCES = {"days_ago": -1, "days_ahead": 1, "weeks_ago": -7, "weeks_ahead": 7}
NEAR_DAYS = ("-2", "-1", "0", "1", "2")
NEEDED_DAYS = ("-1", "0", "1", "days_ago", "days_ahead")
DAYS = (*NEAR_DAYS, *DISTANCES, "month_of", "silent")
MONTHS = tuple(map(str, range(1, 13)))
WEEKDAYS = tuple(map(str, range(1, 8)))

#: From the name of a table and its words to (folded word, key); it notes a word with two meanings as a fault.
Meanings = Callable[[str, Words], tuple[tuple[str, str], ...]]


def number_words(numbers: Words, fractions: Words, *, scale_first: bool, meanings: Meanings) -> NumberWords:
    """The number words of ``[numbers]`` and ``[fractions]``.

    Args:
        numbers: keys and words of the one.
        fractions: keys and words of the other.
        scale_first: the count stands behind the hundred or the thousand.
        meanings: looks for words with two meanings.
    """
    counts = meanings("numbers", tuple((key, words) for key, words in numbers if key.isdecimal()))
    values = {word: int(key) for word, key in counts}
    parts = meanings("fractions", tuple((key, words) for key, words in fractions if key[0].isdecimal()))
    shifts = meanings("fractions", tuple((key, words) for key, words in fractions if not key[0].isdecimal()))
    return NumberWords(
        values=MappingProxyType({word: value for word, value in values.items() if value < 100}),
        scales=MappingProxyType({word: value for word, value in values.items() if value >= 100}),
        scale_first=scale_first,
        fractions=MappingProxyType({word: Fraction(key) for word, key in parts}),
        shifts=MappingProxyType({word: Fraction(key) for word, key in shifts}),
        joins=_folded(dict(numbers).get("and", ())),
        points=_folded(dict(numbers).get("point", ())),
    )


def day_words(days: Words, months: Words, weekdays: Words, *, meanings: Meanings) -> DayWords:
    """The words of ``[days]``, ``[months]`` and ``[weekdays]``."""
    named = dict(days)
    near: dict[str, tuple[int, ...]] = {}
    for key in NEAR_DAYS:
        for word in map(folded, named.get(key, ())):
            near[word] = (*near.get(word, ()), int(key))
    distances = [(_form(form), step) for key, step in DISTANCES.items() for form in named.get(key, ())]
    return DayWords(
        near=MappingProxyType(near),
        distances=tuple(distances),
        months=MappingProxyType({word: int(key) for word, key in meanings("months", months)}),
        weekdays=MappingProxyType({word: int(key) for word, key in meanings("weekdays", weekdays)}),
        month_of=tuple(sorted(_folded(named.get("month_of", ())), key=len, reverse=True)),
        silent=_folded(named.get("silent", ())),
    )


def _folded(words: Iterable[str]) -> frozenset[str]:
    return frozenset(map(folded, words))


def _form(form: str) -> re.Pattern[str]:
    """``in {0} days`` as a pattern over folded text."""
    before, _, behind = form.partition("{0}")
    return re.compile(rf"{re.escape(folded(before))} ?([0-9]{{1,3}}) ?{re.escape(folded(behind))}")
