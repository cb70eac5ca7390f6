"""Answers that are a count out of a count."""

from __future__ import annotations

import re

from advisor.dialogue.answers.results import Slip, Taken
from advisor.dialogue.answers.tidying import tidy
from advisor.dialogue.flows import Ask
from advisor.wording.voice import Voice

_COUNT_OF = re.compile(r"(?P<grown>[0-9]{1,6})(?:\s*[/*,;:-]\s*|\s+)(?P<sown>[0-9]{1,6})")


def count_of(typed: str, ask: Ask, voice: Voice) -> Taken | Slip:
    """``45 of 50``, ``45/50``, ``45 50``, and as the language says it."""
    found = _COUNT_OF.fullmatch(typed) or _in_words(typed, voice.glossary.counts_of)
    if found is None:
        return Slip("not_a_count")
    grown, sown = int(found["grown"]), int(found["sown"])
    if grown > sown:
        return Slip("more_grown")
    if sown == 0 or (ask.high is not None and sown > ask.high):
        return Slip("sown_too_many" if sown else "not_a_count")
    return Taken((grown, sown))


def _in_words(typed: str, patterns: tuple[str, ...]) -> re.Match[str] | None:
    """A count out of a count in the language's own order: ``45 of 50``, and the other way round where said so."""
    for said in (*patterns, "{0} of {1}"):
        escaped = re.escape(tidy(said)).replace(r"\ ", r"\s*")
        grown = escaped.replace(r"\{0\}", "(?P<grown>[0-9]{1,6})").replace(r"\{1\}", "(?P<sown>[0-9]{1,6})")
        found = re.fullmatch(grown, typed, re.IGNORECASE)
        if found:
            return found
    return None
