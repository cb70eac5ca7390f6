"""Tables for spreadsheets: text of others in a cell must never be taken for a formula.

A spreadsheet computes what begins with ``=``, ``+``, ``-`` or ``@``, also behind blanks, tabs or in the wide
letters of East Asian keyboards. Such a cell gets an apostrophe in front, which spreadsheets take as the sign of
plain text; numbers of ours stay numbers.
"""

from __future__ import annotations

import csv
import unicodedata
from collections.abc import Iterable, Sequence
from decimal import Decimal
from io import StringIO

#: What a cell can hold; None is an empty one.
Cell = str | int | float | Decimal | None

_FORMULA = ("=", "+", "-", "@")
_BREAKS = ("\t", "\r", "\n")
#: Blanks, controls and marks without a width, by their categories in Unicode: what stands behind them comes first.
_UNSEEN = ("Z", "C")


def safe_cell(cell: Cell) -> str:
    """A cell as it is written.

    >>> [safe_cell(cell) for cell in ("=1+1", " +999", "Dovi", -4, None, "＝A1", "\\tx")]
    ["'=1+1", "' +999", 'Dovi', '-4', '', "'＝A1", "'\\tx"]
    """
    if cell is None:
        return ""
    if not isinstance(cell, str):
        return str(cell)
    seen = next((letter for letter in cell if unicodedata.category(letter)[0] not in _UNSEEN), "")
    is_formula = unicodedata.normalize("NFKC", seen).startswith(_FORMULA)
    return f"'{cell}" if is_formula or cell.startswith(_BREAKS) else cell


def sheet(head: Sequence[str], rows: Iterable[Sequence[Cell]]) -> str:
    """A table as comma-separated values, RFC 4180.

    Args:
        head: names of the columns.
        rows: the rows, each as long as the head.

    >>> sheet(("village", "note"), [("Dovi", '=say "x", 1')]).splitlines()[1]
    'Dovi,"\\'=say ""x"", 1"'
    """
    text = StringIO()
    writer = csv.writer(text, lineterminator="\r\n")
    writer.writerow(head)
    writer.writerows([safe_cell(cell) for cell in row] for row in rows)
    return text.getvalue()
