"""Answers that are one number between two bounds."""

from __future__ import annotations

from advisor.dialogue.answers.exact import exact, without_marks
from advisor.dialogue.answers.results import Slip, Taken
from advisor.dialogue.flows import Ask


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
