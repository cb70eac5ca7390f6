"""Answers that are one of the choices on screen."""

from __future__ import annotations

from advisor.agronomy.labels import Label
from advisor.dialogue.answers.results import Slip, Taken
from advisor.dialogue.flows import Ask
from advisor.wording.voice import Voice


def choice(typed: str, ask: Ask, voice: Voice) -> Taken | Slip:
    """One of the numbered choices; a bare yes or no where the two choices are that."""
    number = _ordinal(typed, len(ask.choices))
    if number is None and len(ask.choices) == 2:
        word = voice.glossary.key_word(typed)
        values = [choice.value for choice in ask.choices]
        number = values.index(word) if word in ("yes", "no") and word in values else None
    if number is None:
        return Slip("not_a_choice")
    made = ask.choices[number]
    return Taken(made.value, made, number)


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
