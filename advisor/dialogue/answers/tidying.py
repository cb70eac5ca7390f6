"""What was typed, without what nobody means."""

from __future__ import annotations

import re
import unicodedata

#: More than any phone sends on a USSD screen; what comes after is not an answer.
LONGEST = 182
#: What stands for a longer text; it answers no question.
TOO_LONG = "…" * (LONGEST + 1)

_SIGNS = str.maketrans({"\u2044": "/", "٫": ".", "٬": ",", "،": ","})
#: Digits with the letters that look like 0 and 1; a letter beside them that is none of these makes it a word.
_LOOKALIKES = re.compile(r"(?<![^\W_])(?=[OoIl]*[0-9])[0-9OoIl]+(?![^\W_])")
_AS_DIGITS = str.maketrans("OoIl", "0011")


def tidy(text: str) -> str:
    """What was typed, without control and format characters and stray spaces, digits of any script as 0-9.

    >>> tidy(" \\ufeff२.५ ")
    '2.5'
    >>> tidy("½"), tidy("2½"), tidy("2⅓")
    ('1/2', '2 1/2', '2 1/3')
    """
    if text.isascii() and text.isprintable():
        return " ".join(text.split())
    apart = "".join(map(_apart, text))
    kept = "".join(map(_plain, unicodedata.normalize("NFKC", apart).translate(_SIGNS)))
    return " ".join(kept.split())


def in_plain_digits(typed: str) -> str:
    """A tidied answer with the letters O and l as the digits they were typed for, where all else is digits.

    >>> in_plain_digits("1O of 5O"), in_plain_digits("l0 acres"), in_plain_digits("Ol 2lb")
    ('10 of 50', '10 acres', 'Ol 2lb')
    """
    return _LOOKALIKES.sub(lambda found: found[0].translate(_AS_DIGITS), typed)


def _apart(char: str) -> str:
    """A fraction of one sign stands apart from the digits beside it; a small raised digit is no digit."""
    decomposition = unicodedata.decomposition(char)
    if "2044" in decomposition:
        return f" {char} "
    return f"^{char}" if decomposition.startswith(("<super>", "<sub>")) and char.isdigit() else char


def _plain(char: str) -> str:
    if char.isdecimal():
        return str(unicodedata.decimal(char))
    category = unicodedata.category(char)
    if category == "Zs" or char in "\t\r\n":
        return " "
    return "" if category in ("Cc", "Cf", "Cs", "Co", "Cn") else char
