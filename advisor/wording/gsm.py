"""The GSM 7-bit default alphabet, and the one function that makes a text fit for it.

Source: 3GPP TS 23.038, clauses 6.2.1 (default alphabet) and 6.2.1.1 (extension table). Where the Unicode
Consortium's mapping file differs (it "corrects" 0x09 to the small ç), the standard holds: 0x09 is Ç.
"""

from __future__ import annotations

import re
from unicodedata import normalize

from advisor.wording.errors import NotInAlphabet

#: Clause 6.2.1 column by column, 0x00 to 0x7F, without the escape at 0x1B. One septet each.
DEFAULT = (
    "@£$¥èéùìòÇ\nØø\rÅå"
    "Δ_ΦΓΛΩΠΨΣΘΞÆæßÉ"
    " !\"#¤%&'()*+,-./"
    "0123456789:;<=>?"
    "¡ABCDEFGHIJKLMNO"
    "PQRSTUVWXYZÄÖÑÜ§"
    "¿abcdefghijklmno"
    "pqrstuvwxyzäöñüà"
)
#: Clause 6.2.1.1: an escape in front, so two septets each.
EXTENSION = "\f^{}\\[~]|€"

_ALL = frozenset(DEFAULT + EXTENSION)
# What a message may hold: a phone does not show a carriage return or a form feed as anything useful.
_PLAIN = _ALL - {"\r", "\f"}

#: What ends a line somewhere in the world; here only the line feed does.
LINE_ENDS = re.compile("\r\n|[\r\v\f\x85\u2028\u2029]")
_INVISIBLE = re.compile("[\x00-\x08\x0e-\x1f\x7f-\x84\x86-\x9f\xad\u200b-\u200f\u202a-\u202e\u2060-\u2069\ufeff]")

#: Signs, never letters: what a typewriter would have put there.
TYPOGRAPHY = str.maketrans(
    {
        "\t": " ",
        **dict.fromkeys("‘’‚‛ʹʻʼʽˈ′`´", "'"),
        **dict.fromkeys("“”„‟«»″", '"'),
        **dict.fromkeys("‹", "<"),
        **dict.fromkeys("›", ">"),
        **dict.fromkeys("‐‑‒–—―−•‣◦", "-"),
        **dict.fromkeys("⁄∕", "/"),
        "×": "x",
        "₦": "N",
        "₹": "Rs.",
    }
)
_FRACTIONS = frozenset("½⅓⅔¼¾⅕⅖⅗⅘⅙⅚⅛⅜⅝⅞")


def outside(text: str) -> str:
    """The characters that the alphabet lacks, each once, in the order met.

    >>> outside("ça coûte 5 €, ça va")
    'çû'
    """
    if _ALL.issuperset(text):
        return ""
    return "".join(dict.fromkeys(character for character in text if character not in _ALL))


def is_gsm(text: str) -> bool:
    """Whether every character is in the default alphabet or its extension.

    >>> is_gsm("Ç é €"), is_gsm("ç")
    (True, False)
    """
    return _ALL.issuperset(text)


def septets(text: str) -> int:
    """How many septets a text takes.

    Raises:
        NotInAlphabet: it holds other characters.

    >>> septets("10 €")
    5
    """
    foreign = outside(text)
    if foreign:
        raise NotInAlphabet(text, foreign)
    return len(text) + sum(map(text.count, EXTENSION))


def gsm_safe(text: str) -> str:
    """A text with its signs in the alphabet: all outgoing GSM text passes here.

    Accents are composed, typographic signs and odd spaces become plain ones, control and invisible characters go,
    a compatibility character (… ² ½ ™) becomes what it stands for where that cannot be read as another number.
    Letters that the alphabet lacks (ç, ê, ɗ) stay: they are the author's to settle, and the check finds them.

    >>> gsm_safe("12\\u202f500\\u00a0F – l’eau…")
    "12 500 F - l'eau..."
    >>> gsm_safe("2½ acres"), gsm_safe("5 m²"), gsm_safe("10²"), gsm_safe("ça")
    ('2 1/2 acres', '5 m2', '10²', 'ça')
    """
    if _PLAIN.issuperset(text):
        return text
    text = _INVISIBLE.sub("", LINE_ENDS.sub("\n", normalize("NFC", text))).translate(TYPOGRAPHY)
    if not _PLAIN.issuperset(text):
        text = normalize("NFC", _plain(text))
    return text


def _plain(text: str) -> str:
    """The text with each compatibility character replaced where the result is in the alphabet and as clear."""
    out = ""
    for at, character in enumerate(text):
        if character not in _PLAIN:
            character = _stands_for(character, out[-1:], text[at + 1 : at + 2])
        out += character
    return out


def _stands_for(character: str, before: str, after: str) -> str:
    plain = normalize("NFKC", character).translate(TYPOGRAPHY)
    if not plain or not _PLAIN.issuperset(plain):
        return character
    if character in _FRACTIONS and before.isdecimal():
        plain = " " + plain
    runs_together = (before.isdecimal() and plain[0].isdecimal()) or (after.isdecimal() and plain[-1].isdecimal())
    return character if runs_together else plain
