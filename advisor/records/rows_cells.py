"""Cells of a table that a spreadsheet opens: what it would take for a formula is defused, and read back.

Source: OWASP, "CSV Injection": a cell that begins with one of = + - @, a tab or a carriage return is a formula to
a spreadsheet. Numbers of phones, which begin with +, are written as RFC 3966 has them, ``tel:+999…``: that is text
to every spreadsheet, and can still be read and called.
"""

from __future__ import annotations

_FORMULA = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")  # the last four are the wide forms
_TEL = "tel:"
#: Marks of direction and joining that come along when a number or name is copied from a chat.
_UNSEEN = "\u200b\u200c\u200d\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2060\u2066\u2067\u2068\u2069\ufeff"


def safe_cell(text: str) -> str:
    """The text as a cell that no spreadsheet takes for a formula.

    >>> safe_cell("=1+1"), safe_cell("-5"), safe_cell("Dovi")
    ("'=1+1", "'-5", 'Dovi')
    """
    return f"'{text}" if text.startswith(_FORMULA) else text


def number_cell(number: str) -> str:
    """An E.164 number as a cell.

    >>> number_cell("+999001000001")
    'tel:+999001000001'
    """
    return f"{_TEL}{number}"


def plain_cell(cell: str) -> str:
    """What a cell says, without blanks and unseen marks around it and without what defused it.

    >>> plain_cell(" '=1+1 "), plain_cell("'Dovi"), plain_cell("\\u202aDovi\\u202c")
    ('=1+1', "'Dovi", 'Dovi')
    """
    text = cell.strip().strip(_UNSEEN).strip()
    return text[1:] if text.startswith("'") and text[1:].startswith(_FORMULA) else text


def plain_number(cell: str) -> str:
    """What a cell says of a number, as people type it.

    >>> plain_number("tel:+999001000001"), plain_number("'+999001000001"), plain_number("0001000001")
    ('+999001000001', '+999001000001', '0001000001')
    """
    text = plain_cell(cell)
    return text[len(_TEL) :].strip() if text[: len(_TEL)].lower() == _TEL else text
