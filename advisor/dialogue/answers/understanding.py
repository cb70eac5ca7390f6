"""From a tidied answer and its question to what was meant."""

from __future__ import annotations

from datetime import date

from advisor.agronomy.labels import Label
from advisor.dialogue.answers.areas import area
from advisor.dialogue.answers.counts import count_of
from advisor.dialogue.answers.days import day
from advisor.dialogue.answers.money import money
from advisor.dialogue.answers.numbers import number, without_unit
from advisor.dialogue.answers.picking import choice, pick
from advisor.dialogue.answers.results import Slip, Taken
from advisor.dialogue.answers.tidying import LONGEST, in_plain_digits
from advisor.dialogue.answers.words import in_digits
from advisor.dialogue.flows import Ask, AskKind
from advisor.dialogue.registry import Registry
from advisor.wording.voice import Voice


def understand(
    typed: str,
    ask: Ask,
    voice: Voice,
    registry: Registry,
    today: date | None = None,
    own: tuple[tuple[str, Label], ...] = (),
    sown: int | None = None,
) -> Taken | Slip:
    """Makes sense of an answer.

    Args:
        typed: what was typed, tidied.
        ask: the question on screen.
        voice: the language, with its words for numbers, units, days and "of".
        registry: lists and bounds.
        today: the day in the programme's time zone; only a question for a date needs it.
        own: the grower's own plots or lots on the screen; only a question which of them is meant needs it.
        sown: how many seeds were sown, where that is known and the question looks at it.

    Returns:
        The answer, or the slip that names the reason.

    Raises:
        ValueError: a question for a date without today.
    """
    if len(typed) > LONGEST:
        return Slip("too_long")
    if ask.kind is AskKind.TEXT:
        return Taken(typed)
    if ask.kind is AskKind.CHOICE:
        return choice(typed, ask, voice)
    if ask.kind is AskKind.WHICH:
        return pick(typed, own)
    if ask.kind is AskKind.PICK:
        return pick(typed, registry.entries(ask.source))
    typed = in_plain_digits(typed.rstrip("!।॥").removesuffix("."))
    if ask.kind is AskKind.DATE:
        if today is None:
            raise ValueError("a question for a date: hand in today")
        return day(typed, ask, voice, today)
    if ask.kind is AskKind.AREA:
        return area(typed, voice, registry)
    typed = in_digits(without_unit(typed, ask.unit, voice.glossary), voice.glossary)
    if ask.kind is AskKind.COUNT_OF:
        return count_of(typed, ask, voice, sown)
    if ask.kind is AskKind.MONEY:
        return money(typed, voice, registry)
    return number(typed, ask)
