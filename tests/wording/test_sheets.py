"""Tables for spreadsheets: no cell is a formula, and everything else comes through as it was."""

from __future__ import annotations

import csv
from decimal import Decimal
from io import StringIO

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.wording.sheets import safe_cell, sheet


@pytest.mark.parametrize(
    "first", ["=", "+", "-", "@", " =", "\u00a0=", "＝", "＋", "－", "＠", "\t", "\r", "\n", "\ufeff="]
)
def test_what_a_spreadsheet_would_compute_is_plain_text(first: str) -> None:
    """The signs are those that OWASP names for CSV injection: equals, plus, minus, at, tab, carriage return."""
    assert safe_cell(f"{first}HYPERLINK(1)").startswith("'")


@given(st.text())
def test_only_an_apostrophe_is_ever_added(text: str) -> None:
    assert safe_cell(text) in (text, f"'{text}")
    assert not safe_cell(text).lstrip().startswith(("=", "+", "-", "@"))


@pytest.mark.parametrize(
    ("cell", "written"), [(-4, "-4"), (Decimal("-1.50"), "-1.50"), (None, ""), (0.25, "0.25")]
)
def test_numbers_stay_numbers(cell: object, written: str) -> None:
    assert safe_cell(cell) == written


# a reader takes any break within a quoted cell for what it is; a bare null no reader takes
cells = st.text(st.characters(exclude_characters="\0", exclude_categories=["Cs"]), max_size=20)


@given(st.lists(st.tuples(cells, cells), max_size=5))
def test_a_reader_of_the_standard_gets_every_cell_back(rows: list[tuple[str, str]]) -> None:
    read = list(csv.reader(StringIO(sheet(("one", "two"), rows), newline="")))

    assert read == [["one", "two"], *([safe_cell(cell) for cell in row] for row in rows)]
