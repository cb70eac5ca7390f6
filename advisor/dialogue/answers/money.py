"""Answers that are a sum of money."""

from __future__ import annotations

import re
from decimal import ROUND_DOWN, Decimal

from advisor.dialogue.answers.exact import exact, without_marks
from advisor.dialogue.answers.results import Slip, Taken
from advisor.dialogue.registry import Registry
from advisor.wording.kinds import BeyondScale
from advisor.wording.voice import Voice

_MOST_DECIMALS = 2
_MORE_DECIMALS = re.compile(rf"[.,][0-9]{{{_MOST_DECIMALS + 2},}}")
#: ``2k`` and ``2.5k`` for thousands, as in messages; what could have marks of thousands before it is not read.
_IN_THOUSANDS = re.compile(r"(?P<number>[0-9]{1,5}(?:[.,][0-9]{1,2})?)\s?[kK]")


def money(typed: str, voice: Voice, registry: Registry) -> Taken | Slip:
    """A sum in the programme's currency, with or without its sign, ``/=`` or marks of thousands."""
    bare = re.sub(re.escape(voice.currency.symbol), "", typed, flags=re.IGNORECASE).strip()
    bare = bare.removesuffix("/=").removesuffix("/-").strip()
    thousands = _IN_THOUSANDS.fullmatch(bare)
    number = exact(thousands["number"] if thousands else without_marks(bare))
    # No coin is a tenth of a hundredth: 1,2345 has lost a digit, and 2,0000 has one too many.
    if number is None or number != round(number, _MOST_DECIMALS) or _MORE_DECIMALS.search(bare):
        return Slip("not_a_number")
    if thousands:
        number *= 1000
    # Never more than there is: what the currency has no coin for does not count.
    number = number.quantize(Decimal(1).scaleb(-voice.currency.decimals), rounding=ROUND_DOWN)
    try:
        registry.money.check(number)
    except BeyondScale as beyond:
        return Slip("too_small" if number < Decimal(str(beyond.low)) else "too_big")
    return Taken(str(number))
