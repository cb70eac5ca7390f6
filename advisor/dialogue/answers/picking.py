"""Answers that are one of the choices on screen."""

from __future__ import annotations

from collections.abc import Sequence

from advisor.agronomy.labels import Label
from advisor.dialogue.answers.results import Slip, Taken
from advisor.dialogue.flows import Ask
from advisor.wording.folding import folded
from advisor.wording.voice import Voice


def choice(typed: str, ask: Ask, voice: Voice) -> Taken | Slip:
    """One of the numbered choices; a bare yes or no where the two choices are that."""
    number = _ordinal(typed, len(ask.choices))
    if number is None and len(ask.choices) == 2:
        word = voice.glossary.key_word(typed)
        values = [choice.value for choice in ask.choices]
        number = values.index(word) if word in ("yes", "no") and word in values else None
    return Slip("not_a_choice") if number is None else chosen(ask, number)


def chosen(ask: Ask, number: int) -> Taken:
    """The choice at a place from 0."""
    made = ask.choices[number]
    return Taken(made.value, made, number)


def in_its_words(typed: str, lines: Sequence[str]) -> int | None:
    """The place from 0 of a line that was typed with words of its own behind its number, None where none was.

    A word that stands in another line alone makes it none, and so does a digit: that may be an answer to something
    else.

    Args:
        typed: what was typed, tidied.
        lines: what stands behind the numbers on screen.

    >>> lines = ("Seed I bought", "My own seed")
    >>> in_its_words("1 bought", lines), in_its_words("2. It is my own", lines), in_its_words("1 my own", lines)
    (0, 1, None)
    """
    first, _, rest = typed.partition(" ")
    place, words = _ordinal(first, len(lines)), set(folded(rest).split())
    if place is None or any(letter.isdigit() for letter in rest):
        return None
    each = [set(folded(line).split()) for line in lines]
    own, others = each[place], set().union(*each[:place], *each[place + 1 :])
    return place if words & own and not words & (others - own) else None


def pick(typed: str, entries: tuple[tuple[str, Label], ...]) -> Taken | Slip:
    """One entry of a list, by its number."""
    number = _ordinal(typed, len(entries))
    return Slip("not_a_choice") if number is None else Taken(entries[number][0])


def _ordinal(typed: str, most: int) -> int | None:
    """The place of a typed choice from 0: ``2`` and ``2.`` are the second."""
    digits = typed.rstrip(".)")
    if digits.isascii() and digits.isdecimal() and len(digits) <= 2 and 1 <= int(digits) <= most:
        return int(digits) - 1
    return None
