"""Cells of a table: what is taken, what is refused with which reason, and that a spreadsheet runs none of them."""

from __future__ import annotations

import csv
import io
from datetime import date

import jsonschema
import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.records.rows import Row
from advisor.records.rows_cells import number_cell, plain_cell, plain_number, safe_cell
from advisor.records.rows_reading import RowReader, Terms
from advisor.records.rows_schema import COLUMNS, table_schema

TODAY = date(2027, 3, 1)


def e164(typed: str) -> str:
    if not typed.startswith("+"):
        raise ValueError("not a phone number")
    return typed


TERMS = Terms(
    today=TODAY,
    oldest=date(2025, 3, 2),
    languages=("en", "sw"),
    villages={"dovi": "v1", "v1": "v1"},
    agents={"asha": "a1", "a1": "a1"},
    units={"acre": 4046.8564224, "ha": 10_000.0},
    area_low_m2=200.0,
    area_high_m2=80_000.0,
    fold=str.casefold,
    e164=e164,
)


def read(**cells: str) -> Row | tuple[object, ...]:
    told = {"number": "+1", "consent_how": "paper", "consent_on": "2027-02-01", **cells}
    return RowReader(TERMS).row(7, told)


class TestConsent:
    @pytest.mark.parametrize("column", ["consent_how", "consent_on"])
    @pytest.mark.parametrize("cell", ["", "  ", "\u200b"])
    def test_without_it_a_line_is_refused(self, column: str, cell: str) -> None:
        (remark,) = read(**{column: cell})
        assert (remark.line, remark.column, remark.outcome) == (7, column, "refused")
        assert "without consent nothing is kept" in remark.reason

    @pytest.mark.parametrize(
        ("day", "reason"),
        [
            ("2027-03-02", "still to come"),
            ("2025-03-01", "older than the programme keeps"),
            ("2027-02-30", "no day of the calendar"),
            ("01/02/2027", "mixed up"),
            ("2027-2-1", "mixed up"),
            ("20270201", "mixed up"),
            ("२०२७-०२-०१", "mixed up"),
        ],
    )
    def test_is_of_a_day_that_can_be(self, day: str, reason: str) -> None:
        (remark,) = read(consent_on=day)
        assert reason in remark.reason

    @pytest.mark.parametrize("day", ["2027-03-01", "2025-03-02"])
    def test_is_taken_from_both_edges(self, day: str) -> None:
        assert isinstance(read(consent_on=day), Row)


class TestCells:
    @pytest.mark.parametrize(
        ("cells", "column", "reason"),
        [
            ({"language": "xx"}, "language", "not one of en, sw"),
            ({"village": "=HYPERLINK()"}, "village", "not a village"),
            ({"agent": "nobody"}, "agent", "not an agent"),
            ({"seed_origin": "borrowed"}, "seed_origin", "not one of bought, saved"),
            ({"field_area": "2"}, "field_unit", "empty beside field_area"),
            ({"field_unit": "acre"}, "field_area", "empty beside field_unit"),
            ({"field_area": "2", "field_unit": "rod"}, "field_unit", "not a unit of area"),
            ({"field_area": "1e3", "field_unit": "acre"}, "field_area", "not a number"),
            ({"field_area": "-1", "field_unit": "acre"}, "field_area", "not a number"),
            ({"field_area": "0", "field_unit": "acre"}, "field_area", "not a number above 0"),
            ({"field_area": "0,00", "field_unit": "acre"}, "field_area", "not a number above 0"),
            ({"field_area": "1,500", "field_unit": "acre"}, "field_area", "thousands"),
            ({"field_area": "0.01", "field_unit": "acre"}, "field_area", "not a field of this programme"),
            ({"field_area": "2000", "field_unit": "acre"}, "field_area", "not a field of this programme"),
            ({"sowing_date": "2029-01-01"}, "sowing_date", "look at the year"),
            ({"village": "Do\x07vi"}, "village", "cannot be seen"),
            ({"village": "d" * 101}, "village", "longer than 100"),
            ({"number": ""}, "number", "without a number"),
            ({"number": "@SUM(1)"}, "number", "not a phone number"),
        ],
    )
    def test_each_mistake_is_told_at_its_column(self, cells: dict[str, str], column: str, reason: str) -> None:
        (remark,) = read(**cells)
        assert (remark.column, remark.outcome) == (column, "refused")
        assert reason in remark.reason

    def test_all_mistakes_of_a_line_are_told_at_once_and_hold_nothing_of_it(self) -> None:
        told = read(village="Xanadu", language="qq", consent_how="")
        assert {remark.column for remark in told} == {"village", "language", "consent_how"}
        assert not any("Xanadu" in remark.reason or "qq" in remark.reason for remark in told)

    @pytest.mark.parametrize("cell", ["2.5", "2,5", " 2.50 "])
    def test_an_area_has_a_point_or_a_comma(self, cell: str) -> None:
        row = read(field_area=cell, field_unit="ACRE")
        assert isinstance(row, Row)
        assert row.facts[0].value == pytest.approx(10117.141056)


class TestSpreadsheets:
    # OWASP, "CSV Injection": = + - @, tab and carriage return begin a formula, in some countries their wide forms
    @pytest.mark.parametrize("first", ["=", "+", "-", "@", "\t", "\r", "＝", "＋", "－", "＠"])
    def test_no_cell_begins_with_a_sign_of_a_formula(self, first: str) -> None:
        assert safe_cell(f"{first}cmd|' /C calc'!A0")[0] == "'"

    @given(st.text(max_size=12))
    def test_no_text_at_all_begins_a_formula(self, text: str) -> None:
        assert not safe_cell(text).startswith(("=", "+", "-", "@", "\t", "\r"))

    @given(st.text(alphabet="=+-@'ab1 ", max_size=8))
    def test_what_was_defused_is_read_back(self, text: str) -> None:
        # a name cannot begin with ' and a sign; that is what defused cells look like
        if not text.strip().startswith(("'=", "'+", "'-", "'@")):
            assert plain_cell(safe_cell(text.strip())) == text.strip()

    def test_a_number_stays_readable_and_is_read_back(self) -> None:
        # RFC 3966, section 6: tel:+ and digits
        assert number_cell("+999001000001") == "tel:+999001000001"
        assert plain_number(" TEL:+999001000001\u202c") == "+999001000001"

    def test_cells_with_separators_quotes_and_line_breaks_survive_the_file(self) -> None:
        cells = ['a,"b"\n;c', safe_cell('="x"')]
        text = io.StringIO()
        csv.writer(text).writerow(cells)
        assert next(csv.reader(io.StringIO(text.getvalue()))) == cells


#: Table Schema 1.0, "Field Descriptors", "Types and Formats" and "Constraints" (specs.frictionlessdata.io), as far
#: as the table uses them; written from memory of the standard, not its own profile.
STANDARD = {
    "type": "object",
    "required": ["fields"],
    "properties": {
        "missingValues": {"type": "array", "items": {"type": "string"}},
        "fields": {
            "type": "array",
            "minItems": 1,
            "items": {
                "type": "object",
                "required": ["name"],
                "additionalProperties": False,
                "properties": {
                    "name": {"type": "string"},
                    "title": {"type": "string"},
                    "description": {"type": "string"},
                    "type": {"enum": ["string", "number", "integer", "boolean", "date", "time", "datetime"]},
                    "format": {"type": "string"},
                    "constraints": {
                        "type": "object",
                        "additionalProperties": False,
                        "properties": {
                            "required": {"type": "boolean"},
                            "unique": {"type": "boolean"},
                            "enum": {"type": "array", "minItems": 1, "uniqueItems": True},
                        },
                    },
                },
            },
        },
    },
}


def test_the_schema_is_as_the_standard_has_it_and_names_what_is_needed() -> None:
    schema = table_schema("9 digits", ["en", "sw"], ["Dovi", "v1"], [], ["acre"])

    jsonschema.validate(schema, STANDARD)
    needed = [one["name"] for one in schema["fields"] if one.get("constraints", {}).get("required")]
    assert needed == ["number", "consent_how", "consent_on"]
    assert [one["name"] for one in schema["fields"]] == list(COLUMNS)
