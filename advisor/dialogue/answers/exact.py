"""Numbers in digits, as people write them."""

from __future__ import annotations

import re
from decimal import Decimal
from fractions import Fraction

_PLAIN = re.compile(r"(?P<whole>[0-9]{0,9})(?:[.,](?P<part>[0-9]{0,6}))?")
_MIXED = re.compile(r"(?:(?P<whole>[0-9]{1,9})\s+)?(?P<over>[0-9]{1,3})/(?P<under>[1-9][0-9]{0,2})")
#: Marks of thousands and then of decimals, so that neither can be taken for the other; India groups by two.
_MARKED = re.compile(
    r"(?P<whole>[0-9]{1,3}(?:,[0-9]{2,3})*,[0-9]{3})\.(?P<part>[0-9]{1,6})"
    r"|(?P<points>[0-9]{1,3}(?:\.[0-9]{3})+),(?P<behind>[0-9]{1,6})"
    r"|(?P<spaces>[0-9]{1,3}(?: [0-9]{3})+)(?:[.,](?P<after>[0-9]{1,6}))?"
)
_THOUSANDS = re.compile(
    r"[1-9][0-9]{0,2}(?P<mark>[., ])[0-9]{3}(?:(?P=mark)[0-9]{3})*|[1-9][0-9]?(?:,[0-9]{2})+,[0-9]{3}"
)
#: ``2,500`` is two and a half to some and two and a half thousand to others: it is asked again.
_DOUBTFUL = re.compile(r"[1-9][0-9]{0,2}(?:,[0-9]{3})+")


def exact(typed: str) -> Decimal | None:
    """A number that may have decimals, None where it is none or could be two.

    >>> [str(exact(typed)) for typed in ("2", "2.5", "2,5", ".5", "2.", "2 1/2", "1/2", "1,234.5", "1 234,5")]
    ['2', '2.5', '2.5', '0.5', '2', '2.5', '0.5', '1234.5', '1234.5']
    >>> [exact(typed) for typed in ("2,500", "2 3", "2..5", "12/3", "1/0", "-2", "1e3", ".")]
    [None, None, None, None, None, None, None, None]
    """
    if _DOUBTFUL.fullmatch(typed):
        return None
    found = _PLAIN.fullmatch(typed)
    if found and (found["whole"] or found["part"]):
        return _decimal(found["whole"], found["part"])
    mixed = _MIXED.fullmatch(typed)
    # "12/3" is a date or a slip of the finger, nobody's way to write 4.
    if mixed and int(mixed["over"]) < int(mixed["under"]):
        amount = Fraction(int(mixed["whole"] or 0)) + Fraction(int(mixed["over"]), int(mixed["under"]))
        return Decimal(amount.numerator) / Decimal(amount.denominator)
    marked = _MARKED.fullmatch(typed)
    if marked:
        whole = marked["whole"] or marked["points"] or marked["spaces"]
        return _decimal(re.sub("[., ]", "", whole), marked["part"] or marked["behind"] or marked["after"])
    return None


def without_marks(typed: str) -> str:
    """Digits without marks of thousands, where no decimals can be meant by them.

    >>> [without_marks(typed) for typed in ("2,500", "12,34,567", "2.5", "0.500", "1,234.500")]
    ['2500', '1234567', '2.5', '0.500', '1,234.500']
    """
    return re.sub("[., ]", "", typed) if _THOUSANDS.fullmatch(typed) else typed


def _decimal(whole: str, part: str | None) -> Decimal:
    return Decimal(f"{whole or '0'}.{part}" if part else whole or "0")
