"""Answers that are an area, with or without a unit."""

from __future__ import annotations

import re

from advisor.agronomy.units import area_m2
from advisor.dialogue.answers.exact import exact
from advisor.dialogue.answers.results import Slip, Taken
from advisor.dialogue.answers.words import in_digits
from advisor.dialogue.registry import Registry
from advisor.wording.folding import folded
from advisor.wording.glossary import Glossary
from advisor.wording.kinds import BeyondScale
from advisor.wording.voice import Voice

_AMOUNT = r"(?P<number>[0-9.](?:[0-9.,/\s]*[0-9.,])?)"
_UNIT_BEHIND = re.compile(_AMOUNT + r"\s*(?P<unit>[^\W\d_].*)?")
_UNIT_BEFORE = re.compile(r"(?P<unit>[^\W\d_][^0-9]*?)\s*" + _AMOUNT)


def area(typed: str, voice: Voice, registry: Registry) -> Taken | Slip:
    """An area in the unit that was typed, a local one of the programme among them, else in the programme's."""
    said = in_digits(_unit_last(typed, voice.glossary), voice.glossary)
    found = _UNIT_BEHIND.fullmatch(said) or _UNIT_BEFORE.fullmatch(said)
    number = exact(found["number"].strip()) if found else None
    if found is None or number is None:
        return Slip("not_a_number")
    unit = voice.glossary.unit(found["unit"], "area") if found["unit"] else voice.area_unit
    local_m2 = registry.local_area_m2(folded(found["unit"])) if unit is None else None
    if unit is None and local_m2 is None:
        return Slip("unknown_unit")
    if number <= 0:
        return Slip("too_small")
    size = area_m2(float(number), unit or "m2") * (local_m2 or 1.0)
    try:
        registry.area.check(size)
    except BeyondScale as beyond:
        return Slip("too_small" if size < float(str(beyond.low)) else "too_big")
    return Taken(size)


def _unit_last(typed: str, glossary: Glossary) -> str:
    """``two acres and a half`` is ``two and a half acres``; ``ekari na nusu`` has a one that is not said."""
    words = typed.split()
    known = glossary.number_words
    for place, word in enumerate(words[:-2]):
        behind = place + 1
        fraction = folded(" ".join(words[behind + 1 :]))
        if folded(words[behind]) in known.joins and fraction in known.fractions and glossary.unit(word, "area"):
            return " ".join((*(words[:place] or ["1"]), *words[behind:], word))
    return typed
