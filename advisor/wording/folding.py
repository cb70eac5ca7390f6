"""One form for all the ways people type a word: case, accents and punctuation folded away."""

from __future__ import annotations

import re
from unicodedata import normalize

# Only the accents of alphabets that also do without them. A Devanagari vowel sign makes another word, so of
# that script only the nukta goes (often left out), and the two signs for a nasal are one.
_ACCENTS = re.compile("[\u0300-\u036f\u093c]")
_ONE_NASAL = str.maketrans({"\u0901": "\u0902"})
_APOSTROPHES = re.compile("['’‘ʼʻ`´\u200b-\u200f\ufeff]")
# A sign between two digits belongs to the number: 2.5, 45/50.
_SIGN = r"[^\w\s\u0300-\u036f\u0900-\u097f]"
_PUNCTUATION = re.compile(rf"(?<!\d){_SIGN}|{_SIGN}(?!\d)|[_।॥]")


def folded(text: str) -> str:
    """What was typed, in the form that words are compared in.

    >>> folded("  Arrêté! "), folded("Ng'ombe"), folded("Twenty-one"), folded("2.5  Acres.")
    ('arrete', 'ngombe', 'twenty one', '2.5 acres')
    >>> folded("एकड़") == folded("एकड"), folded("हाँ") == folded("हां"), folded("दो") == folded("दू")
    (True, True, False)
    """
    if text.isascii():
        if text.isalnum():
            return text.casefold()
        if text.replace(" ", "").isalnum():
            return " ".join(text.casefold().split())
    plain = _ACCENTS.sub("", normalize("NFD", text).translate(_ONE_NASAL))
    plain = _PUNCTUATION.sub(" ", _APOSTROPHES.sub("", plain))
    return normalize("NFC", " ".join(plain.casefold().split()))
