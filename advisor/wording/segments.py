"""How many septets or UTF-16 units a text costs, and how many SMS it takes.

Source: 3GPP TS 23.038 clauses 6.1.2 and 6.2; room beside a six-octet concatenation header as in TS 23.040.
"""

from __future__ import annotations

from collections.abc import Callable
from enum import StrEnum
from functools import lru_cache

from advisor.wording.gsm import EXTENSION, is_gsm, septets


class Alphabet(StrEnum):
    """How a text travels."""

    GSM7 = "gsm7"
    UCS2 = "ucs2"


#: What a page may cost: under 160 septets in the GSM alphabet, 70 UTF-16 units where a script needs UCS-2.
ROOM: dict[Alphabet, int] = {Alphabet.GSM7: 159, Alphabet.UCS2: 70}

#: What the answer to an SMS in one line may cost and take: one segment, in UCS-2 two segments of 67 units.
ROOM_IN_ONE_LINE: dict[Alphabet, int] = {Alphabet.GSM7: 159, Alphabet.UCS2: 134}
SEGMENTS_IN_ONE_LINE: dict[Alphabet, int] = {Alphabet.GSM7: 1, Alphabet.UCS2: 2}

_ONE = {Alphabet.GSM7: 160, Alphabet.UCS2: 70}
_EACH = {Alphabet.GSM7: 153, Alphabet.UCS2: 67}


def answer_segments(alphabet: Alphabet, asked: int) -> int:
    """How many segments the answer to an SMS in one line may take where a programme pays for so many GSM ones.

    >>> answer_segments(Alphabet.GSM7, 1), answer_segments(Alphabet.UCS2, 2)
    (1, 3)
    """
    return SEGMENTS_IN_ONE_LINE[alphabet] + asked - 1


def answer_room(alphabet: Alphabet, asked: int) -> int:
    """What such an answer may cost, whatever pair must not be cut between two segments.

    >>> answer_room(Alphabet.GSM7, 1), answer_room(Alphabet.GSM7, 2), answer_room(Alphabet.UCS2, 2)
    (159, 305, 199)
    """
    if asked == 1:
        return ROOM_IN_ONE_LINE[alphabet]
    count = answer_segments(alphabet, asked)
    return count * _EACH[alphabet] - (count - 1)


def alphabet_of(text: str) -> Alphabet:
    """The alphabet a text needs.

    >>> alphabet_of("Ekari 2.5"), alphabet_of("एकड़")
    (<Alphabet.GSM7: 'gsm7'>, <Alphabet.UCS2: 'ucs2'>)
    """
    return Alphabet.GSM7 if is_gsm(text) else Alphabet.UCS2


@lru_cache(maxsize=16384)
def cost(text: str, alphabet: Alphabet) -> int:
    """What a text costs: septets, or UTF-16 units.

    Raises:
        NotInAlphabet: the alphabet is GSM and the text holds other characters.

    >>> cost("[1]", Alphabet.GSM7), cost("[1]", Alphabet.UCS2)
    (5, 3)
    """
    if alphabet is Alphabet.GSM7:
        return septets(text)
    return len(text) + sum(character > "\uffff" for character in text)


def parts(text: str) -> tuple[str, ...]:
    """The text cut into the SMS that carry it; an escape pair and a surrogate pair are never cut.

    >>> [len(part) for part in parts("a" * 152 + "€" + "a" * 152)]
    [152, 152, 1]
    """
    return _cut(text, alphabet_of(text))


def _cut(text: str, alphabet: Alphabet) -> tuple[str, ...]:
    if cost(text, alphabet) <= _ONE[alphabet]:
        return (text,)
    return _filled(text, _EACH[alphabet], _units if alphabet is Alphabet.UCS2 else _septets)


def segments(text: str) -> int:
    """How many SMS a text takes; an empty one takes one.

    >>> segments("a" * 160), segments("a" * 161), segments("क" * 71)
    (1, 2, 2)
    """
    return len(parts(text))


def alphabet_and_segments(text: str) -> tuple[Alphabet, int]:
    """The alphabet that a text needs, and how many SMS it takes in it.

    >>> alphabet_and_segments("क" * 71)
    (<Alphabet.UCS2: 'ucs2'>, 2)
    """
    alphabet = alphabet_of(text)
    return alphabet, len(_cut(text, alphabet))


def _filled(text: str, room: int, weight: Callable[[str], int]) -> tuple[str, ...]:
    cuts = [0]
    filled = 0
    for at, character in enumerate(text):
        filled += weight(character)
        if filled > room:
            cuts.append(at)
            filled = weight(character)
    return tuple(text[start:end] for start, end in zip(cuts, [*cuts[1:], len(text)], strict=True))


def _septets(character: str) -> int:
    return 2 if character in EXTENSION else 1


def _units(character: str) -> int:
    return 2 if character > "\uffff" else 1
