"""Answers that are a count out of a count."""

from __future__ import annotations

import re

from advisor.dialogue.answers.results import Slip, Taken
from advisor.dialogue.answers.tidying import tidy
from advisor.dialogue.flows import Ask
from advisor.wording.folding import folded
from advisor.wording.voice import Voice

_COUNT_OF = re.compile(r"(?P<grown>[0-9]{1,6})(?:\s*[/*,;:-]\s*|\s+)(?P<sown>[0-9]{1,6})")
_COUNT = re.compile(r"[0-9]{1,6}")


def count_of(typed: str, ask: Ask, voice: Voice, sown: int | None = None) -> Taken | Slip:
    """``45 of 50``, ``45/50``, ``45 50``, as the language says it; ``45`` where the seeds sown are known.

    Args:
        typed: what was typed, tidied, its numbers as digits.
        ask: the question, with its largest sample.
        voice: the language.
        sown: how many seeds were sown, None where that is not known.
    """
    typed = _without_words(typed, voice.glossary.grew)
    found = _COUNT_OF.fullmatch(typed) or _in_words(typed, voice.glossary.counts_of)
    if found is not None:
        return _of(int(found["grown"]), int(found["sown"]), ask)
    if sown is None or not _COUNT.fullmatch(typed):
        return Slip("not_a_count")
    return _of(int(typed), sown, ask)


def _of(grown: int, sown: int, ask: Ask) -> Taken | Slip:
    # Never turned round, and never taken for a percent: of two numbers nobody knows which one is wrong.
    if grown > sown:
        return Slip("more_grown")
    if sown == 0 or (ask.high is not None and sown > ask.high):
        return Slip("sown_too_many" if sown else "not_a_count")
    return Taken((grown, sown))


def _without_words(typed: str, silent: tuple[str, ...]) -> str:
    """Without the words that say only what is counted: ``nothing grew`` has become ``0 grew`` and is ``0``."""
    if not any(map(str.isalpha, typed)):
        return typed
    words = typed.split()
    for phrase in silent:
        length = len(phrase.split())
        if len(words) > length and folded(" ".join(words[-length:])) == phrase:
            return " ".join(words[:-length])
    return typed


def _in_words(typed: str, patterns: tuple[str, ...]) -> re.Match[str] | None:
    """A count out of a count in the language's own order: ``45 of 50``, and the other way round where said so."""
    for said in (*patterns, "{0} of {1}"):
        escaped = re.escape(tidy(said)).replace(r"\ ", r"\s*")
        grown = escaped.replace(r"\{0\}", "(?P<grown>[0-9]{1,6})").replace(r"\{1\}", "(?P<sown>[0-9]{1,6})")
        found = re.fullmatch(grown, typed, re.IGNORECASE)
        if found:
            return found
    return None
