"""What a person typed, made sense of: an answer to the question on screen, or a slip with its reason."""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from decimal import ROUND_DOWN, Decimal
from fractions import Fraction

from advisor.agronomy.units import area_m2
from advisor.dialogue.flows import Ask, AskKind, Choice
from advisor.dialogue.registry import Registry
from advisor.records.grower import Value
from advisor.wording.glossary import Glossary
from advisor.wording.kinds import BeyondScale
from advisor.wording.voice import Voice

#: More than any phone sends on a USSD screen; what comes after is not an answer.
LONGEST = 182
#: More words than a number with its unit takes in any language served.
MOST_WORDS = 8
#: What stands for a longer text; it answers no question.
TOO_LONG = "…" * (LONGEST + 1)

_NUMBER = re.compile(r"(?P<whole>[0-9]{0,9})(?:[.,](?P<part>[0-9]{0,6}))?")
_MIXED = re.compile(r"(?:(?P<whole>[0-9]{1,9})\s+)?(?P<over>[0-9]{1,3})/(?P<under>[1-9][0-9]{0,2})")
_AMOUNT = r"(?P<number>[0-9.](?:[0-9.,/\s]*[0-9.,])?)"
_UNIT_BEHIND = re.compile(_AMOUNT + r"\s*(?P<unit>[^\W\d_].*)?")
_UNIT_BEFORE = re.compile(r"(?P<unit>[^\W\d_][^0-9]*?)\s*" + _AMOUNT)
_COUNT_OF = re.compile(r"(?P<grown>[0-9]{1,6})(?:\s*[/*,;:-]\s*|\s+)(?P<sown>[0-9]{1,6})")
_THOUSANDS = re.compile(r"[0-9]{1,3}(?:[., ][0-9]{3})+")
#: ``2,500`` is two and a half to some and two and a half thousand to others: it is asked again.
_DOUBTFUL = re.compile(r"[0-9]{1,3}(?:,[0-9]{3})+")


@dataclass(frozen=True, slots=True)
class Taken:
    """An answer that was understood.

    Args:
        value: what is kept: areas in m², sums of money as text, a seed test as (grown, sown).
        choice: the choice that was made, None for typed answers.
        number: its place among the choices from 0, None for typed answers.
    """

    value: Value
    choice: Choice | None = None
    number: int | None = None


@dataclass(frozen=True, slots=True)
class Slip:
    """An answer that was not understood or cannot be.

    Args:
        notice: name of the line that says why, with an example.
    """

    notice: str


def tidy(text: str) -> str:
    """What was typed, without what nobody means: control and format characters, stray spaces, other digits.

    >>> tidy(" \\ufeff२.५ ")
    '2.5'
    >>> tidy("½")
    '1/2'
    """
    start = re.sub(r"(?<=[0-9])(?=[¼½¾])", " ", text)
    folded = unicodedata.normalize("NFKC", start).replace("\u2044", "/")
    kept = "".join(_plain(char) for char in folded)
    return " ".join(kept.split())


def _plain(char: str) -> str:
    if char.isdecimal():
        return str(unicodedata.decimal(char))
    category = unicodedata.category(char)
    if category == "Zs" or char in "\t\r\n":
        return " "
    return "" if category in ("Cc", "Cf", "Cs", "Co", "Cn") else char


def understand(typed: str, ask: Ask, voice: Voice, registry: Registry) -> Taken | Slip:
    """Makes sense of an answer.

    Args:
        typed: what was typed, tidied.
        ask: the question on screen.
        voice: the language, with its words for units and for "of".
        registry: lists and bounds.

    Returns:
        The answer, or the slip that names the reason.
    """
    if len(typed) > LONGEST:
        return Slip("too_long")
    if ask.kind is AskKind.CHOICE:
        return _choice(typed, ask, voice)
    if ask.kind is AskKind.PICK:
        return _pick(typed, registry.entries(ask.source), voice)
    typed = in_digits(typed, voice.glossary)
    if ask.kind is AskKind.COUNT_OF:
        return _count_of(typed, ask, voice)
    if ask.kind is AskKind.AREA:
        return _area(typed, voice, registry)
    if ask.kind is AskKind.MONEY:
        return _money(typed, voice, registry)
    return _number(typed, ask)


def in_digits(typed: str, glossary: Glossary) -> str:
    """What was typed with its first number in words as digits: ``two and a half acres`` is ``2 1/2 acres``."""
    words = typed.split()
    if len(words) > MOST_WORDS or not any(map(str.isalpha, typed)):
        return typed
    for first in range(len(words)):
        for end in range(len(words), first, -1):
            digits = _spoken(words[first:end], glossary)
            if digits:
                return " ".join((*words[:first], digits, *words[end:]))
    return typed


def _spoken(words: list[str], glossary: Glossary) -> str:
    """The digits that words stand for, empty when they stand for no number."""
    said = " ".join(words)
    if glossary.is_half(said):
        return "1/2"
    number = glossary.number(said)
    if number is not None:
        return str(number)
    first, last = words[0], words[-1]
    whole = int(first) if first.isascii() and first.isdecimal() else glossary.number(first)
    # What stands between (and, na, aur) says nothing; more than two such words are a sentence.
    if len(words) in (2, 3, 4) and whole is not None and glossary.is_half(last):
        return f"{whole} 1/2"
    return ""


def _ordinal(typed: str, most: int) -> int | None:
    """The place of a typed choice from 0: ``2`` and ``2.`` are the second."""
    digits = typed.rstrip(".)")
    if digits.isascii() and digits.isdecimal() and len(digits) <= 2 and 1 <= int(digits) <= most:
        return int(digits) - 1
    return None


def _choice(typed: str, ask: Ask, voice: Voice) -> Taken | Slip:
    number = _ordinal(typed, len(ask.choices))
    if number is None and len(ask.choices) == 2:
        # A bare yes or no answers a question whose two choices are that.
        word = voice.glossary.key_word(typed)
        values = [choice.value for choice in ask.choices]
        number = values.index(word) if word in ("yes", "no") and word in values else None
    if number is None:
        return Slip("not_a_choice")
    choice = ask.choices[number]
    return Taken(choice.value, choice, number)


def _pick(typed: str, entries: tuple[tuple[str, object], ...], voice: Voice) -> Taken | Slip:
    number = _ordinal(typed, len(entries))
    return Slip("not_a_choice") if number is None else Taken(entries[number][0])


def _exact(typed: str) -> Decimal | None:
    """A number as people write it: ``2``, ``2.5``, ``2,5``, ``.5``, ``2 1/2``, ``1/2``."""
    found = _NUMBER.fullmatch(typed)
    if found and (found["whole"] or found["part"]):
        return Decimal(f"{found['whole'] or '0'}.{found['part'] or '0'}")
    mixed = _MIXED.fullmatch(typed)
    if mixed:
        amount = Fraction(int(mixed["whole"] or 0)) + Fraction(int(mixed["over"]), int(mixed["under"]))
        return Decimal(amount.numerator) / Decimal(amount.denominator)
    return None


def _whole(typed: str) -> str:
    """Digits without marks of thousands, where no decimals can be meant."""
    return re.sub("[., ]", "", typed) if _THOUSANDS.fullmatch(typed) else typed


def _number(typed: str, ask: Ask) -> Taken | Slip:
    number = _exact(_whole(typed) if ask.decimals == 0 else typed)
    if number is None or number != round(number, ask.decimals):
        return Slip("not_a_number")
    if ask.low is not None and number < ask.low:
        return Slip("too_small")
    if ask.high is not None and number > ask.high:
        return Slip("too_big")
    return Taken(int(number) if ask.decimals == 0 else float(number))


def _area(typed: str, voice: Voice, registry: Registry) -> Taken | Slip:
    found = _UNIT_BEHIND.fullmatch(typed) or _UNIT_BEFORE.fullmatch(typed)
    number = _exact(found["number"].strip()) if found else None
    if found is None or number is None or _DOUBTFUL.fullmatch(found["number"].strip()):
        return Slip("not_a_number")
    unit = voice.glossary.unit(found["unit"], "area") if found["unit"] else voice.area_unit
    if unit is None:
        return Slip("unknown_unit")
    if number <= 0:
        return Slip("too_small")
    area = area_m2(float(number), unit)
    try:
        registry.area.check(area)
    except BeyondScale as beyond:
        return Slip("too_small" if area < float(str(beyond.low)) else "too_big")
    return Taken(area)


def _money(typed: str, voice: Voice, registry: Registry) -> Taken | Slip:
    bare = re.sub(re.escape(voice.currency.symbol), "", typed, flags=re.IGNORECASE).strip()
    number = _exact(_whole(bare.removesuffix("/=").removesuffix("/-")))
    if number is None:
        return Slip("not_a_number")
    # Never more than there is: what the currency has no coin for does not count.
    number = number.quantize(Decimal(1).scaleb(-voice.currency.decimals), rounding=ROUND_DOWN)
    try:
        registry.money.check(number)
    except BeyondScale as beyond:
        return Slip("too_small" if number < Decimal(str(beyond.low)) else "too_big")
    return Taken(str(number))


def _in_words(typed: str, patterns: tuple[str, ...]) -> re.Match[str] | None:
    """A count out of a count in the language's own order: ``45 of 50``, and the other way round where said so."""
    for said in (*patterns, "{0} of {1}"):
        escaped = re.escape(tidy(said)).replace(r"\ ", r"\s*")
        grown = escaped.replace(r"\{0\}", "(?P<grown>[0-9]{1,6})").replace(r"\{1\}", "(?P<sown>[0-9]{1,6})")
        found = re.fullmatch(grown, typed, re.IGNORECASE)
        if found:
            return found
    return None


def _count_of(typed: str, ask: Ask, voice: Voice) -> Taken | Slip:
    found = _COUNT_OF.fullmatch(typed) or _in_words(typed, voice.glossary.counts_of)
    if found is None:
        return Slip("not_a_count")
    grown, sown = int(found["grown"]), int(found["sown"])
    if grown > sown:
        return Slip("more_grown")
    if sown == 0 or (ask.high is not None and sown > ask.high):
        return Slip("sown_too_many" if sown else "not_a_count")
    return Taken((grown, sown))
