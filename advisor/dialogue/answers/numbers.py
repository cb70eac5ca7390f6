"""Answers that are one number between two bounds."""

from __future__ import annotations

import re

from advisor.dialogue.answers.exact import exact, without_marks
from advisor.dialogue.answers.results import Slip, Taken
from advisor.dialogue.flows import Ask
from advisor.wording.folding import folded
from advisor.wording.glossary import Glossary

_BEFORE_A_UNIT = re.compile(r"(?<=[0-9])(?=[^\W\d_])")


def without_unit(typed: str, unit: str, glossary: Glossary) -> str:
    """A typed number without the unit that was asked for; any other unit stays, and is then no number.

    Args:
        typed: what was typed, tidied.
        unit: key of the unit, empty for none.
        glossary: the language's words for units.
    """
    if not unit:
        return typed
    words = _BEFORE_A_UNIT.sub(" ", typed).split()
    names = {word for word, key in glossary.units if key == unit}
    for rest, taken in ((words[:-1], words[-1:]), (words[1:], words[:1])):
        if rest and folded("".join(taken).removesuffix(".")) in names:
            return " ".join(rest)
    return typed


def number(typed: str, ask: Ask) -> Taken | Slip:
    """A number with as many decimals as the question takes."""
    found = exact(without_marks(typed) if ask.decimals == 0 else typed)
    if found is None or found != round(found, ask.decimals):
        return Slip("not_a_number")
    if ask.low is not None and found < ask.low:
        return Slip("too_small")
    if ask.high is not None and found > ask.high:
        return Slip("too_big")
    return Taken(int(found) if ask.decimals == 0 else float(found))
