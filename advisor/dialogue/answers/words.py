"""Numbers in words, turned into digits."""

from __future__ import annotations

import re
from fractions import Fraction

from advisor.wording.folding import folded
from advisor.wording.glossary import Glossary

#: More words than a number with its unit takes in any language served.
MOST_WORDS = 16
_BETWEEN = " .,"
_WORD = re.compile(r"[0-9]+/[0-9]+|[0-9]+(?:[.,][0-9]+)*|,|[^\s0-9,-]+")


def in_digits(typed: str, glossary: Glossary) -> str:
    """What was typed with its numbers in words as digits: ``two and a half acres`` is ``2.5 acres``.

    Args:
        typed: a tidied answer.
        glossary: the number words of the language.
    """
    if not any(map(str.isalpha, typed)):
        return typed
    found = [(folded(word[0]) or word[0], word.start(), word.end()) for word in _WORD.finditer(typed)]
    words = [word for word, _, _ in found]
    places = [(start, end) for _, start, end in found]
    if len(words) > MOST_WORDS or not glossary.number_words.are_in(words):
        return typed
    said, at, done = "", 0, 0
    while at < len(words):
        number = glossary.number_words.number_at(words, at)
        if number is None:
            at += 1
            continue
        value, behind = number
        said = _beside(_beside(said, typed[done : places[at][0]]), as_digits(value))
        at, done = behind, places[behind - 1][1]
    return _beside(said, typed[done:]) if done else typed


def _beside(before: str, behind: str) -> str:
    """Puts two texts together; two numbers never come to stand like one with marks of thousands."""
    before_figure, figure_behind = (
        before.rstrip(_BETWEEN)[-1:].isdecimal(),
        behind.lstrip(_BETWEEN)[:1].isdecimal(),
    )
    return f"{before} {behind}" if before_figure and figure_behind else before + behind


def as_digits(value: Fraction) -> str:
    """A value as digits that ``exact`` reads as the same number.

    >>> as_digits(Fraction(2)), as_digits(Fraction(9, 4)), as_digits(Fraction(1, 3)), as_digits(Fraction(7, 3))
    ('2', '2.25', '1/3', '2 1/3')
    """
    whole, rest = divmod(value, 1)
    if rest * 100 % 1 == 0:
        return f"{whole}.{int(rest * 100):02d}".rstrip("0").rstrip(".")
    return f"{whole or ''} {rest}".strip()
