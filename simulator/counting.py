"""How much room a text takes in a message.

Counted here once more, apart from the service, so that the phone checks the service's own count. The
alphabet and its extension are those of 3GPP TS 23.038, Technical Realization of the Alphabets and
Language-specific Information, clauses 6.2.1 and 6.2.1.1; the room follows from 140 octets of user data
(clause 6.1.2) and a six-octet header on each part of a longer text.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

Alphabet = Literal["gsm7", "ucs2"]

ONE_SEPTET = frozenset(
    "@£$¥èéùìòÇ\nØø\rÅåΔ_ΦΓΛΩΠΨΣΘΞÆæßÉ !\"#¤%&'()*+,-./0123456789:;<=>?"
    "¡ABCDEFGHIJKLMNOPQRSTUVWXYZÄÖÑÜ§¿abcdefghijklmnopqrstuvwxyzäöñüà"
)
TWO_SEPTETS = frozenset("\f^{}\\[~]|€")

#: Units that one message holds, and that each part of a longer one holds.
ROOM: dict[Alphabet, int] = {"gsm7": 160, "ucs2": 70}
PART: dict[Alphabet, int] = {"gsm7": 153, "ucs2": 67}

#: Units that one page of a screen may take: one septet is kept free in the seven-bit alphabet.
PAGE: dict[Alphabet, int] = {"gsm7": 159, "ucs2": 70}


@dataclass(frozen=True, slots=True)
class Size:
    """The room a text takes.

    Args:
        alphabet: ``gsm7`` counts septets, ``ucs2`` counts UTF-16 units.
        units: how many of them the text takes.
        segments: how many messages carry it.
    """

    alphabet: Alphabet
    units: int
    segments: int

    @property
    def fits_page(self) -> bool:
        """Whether the text may stand on one page of a screen."""
        return self.units <= PAGE[self.alphabet]

    def __str__(self) -> str:
        return f"{self.units} of {ROOM[self.alphabet]}"


#: What people of the trade call the alphabets.
NAMES: dict[Alphabet, str] = {"gsm7": "GSM", "ucs2": "UCS-2"}


def on_a_page(counted: Size) -> str:
    """A size against the room of a page.

    >>> on_a_page(size("1 More"))
    '6 of 159, GSM'
    """
    return f"{counted.units} of {PAGE[counted.alphabet]}, {NAMES[counted.alphabet]}"


def in_a_message(counted: Size) -> str:
    """A size against the room of the text messages that carry it.

    >>> in_a_message(size("a" * 170)), in_a_message(size("बीज"))
    ('170 of 306, GSM, 2 SMS', '3 of 70, UCS-2, 1 SMS')
    """
    one, several = ROOM[counted.alphabet], PART[counted.alphabet] * counted.segments
    room = one if counted.segments == 1 else several
    return f"{counted.units} of {room}, {NAMES[counted.alphabet]}, {counted.segments} SMS"


def alphabet_of(text: str) -> Alphabet:
    """The alphabet that a text needs.

    >>> alphabet_of("Mbegu: 32 kg"), alphabet_of("façade")
    ('gsm7', 'ucs2')
    """
    return "gsm7" if all(char in ONE_SEPTET or char in TWO_SEPTETS for char in text) else "ucs2"


def size(text: str, alphabet: Alphabet | None = None) -> Size:
    """The room that a text takes.

    Args:
        text: any text.
        alphabet: count in this one; None counts in the one the text needs.

    Returns:
        alphabet, units and segments; an empty text is one segment of no units.

    Source:
        3GPP TS 23.038, clauses 6.1.2, 6.2.1 and 6.2.1.1.

    >>> str(size("a" * 159 + "€"))
    '161 of 160'
    >>> str(size("बीज")), size("बीज").alphabet
    ('3 of 70', 'ucs2')
    """
    wanted = alphabet or alphabet_of(text)
    costs = tuple(_costs(text, wanted))
    return Size(wanted, sum(costs), _segments(costs, wanted))


def _costs(text: str, alphabet: Alphabet) -> Iterator[int]:
    for char in text:
        if alphabet == "gsm7":
            yield 2 if char in TWO_SEPTETS else 1
        else:
            yield 2 if ord(char) > 0xFFFF else 1


def _segments(costs: tuple[int, ...], alphabet: Alphabet) -> int:
    if sum(costs) <= ROOM[alphabet]:
        return 1
    segments, used = 1, 0
    for cost in costs:
        # A pair (escape and code, or two surrogates) is never cut, so a part may stay one unit short.
        if used + cost > PART[alphabet]:
            segments, used = segments + 1, 0
        used += cost
    return segments
