"""Files that are broken, huge, wrongly encoded or meant to do harm: a clear reason, little memory, nothing taken.

What a CSV file is: RFC 4180. What is a formula to a spreadsheet: OWASP, "CSV Injection".
"""

from __future__ import annotations

import contextlib
import io
import tracemalloc
from collections.abc import Iterator

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.records.rows_schema import COLUMNS, REQUIRED
from advisor.service.importing import check
from advisor.service.tables import MOST_BYTES, MOST_LINES, BrokenTable, read_table
from tests.service.importing import ANN, BEN, HEAD, SOUND, TERMS, line, of, reason


class Endless(io.RawIOBase):
    """A file that is made up while it is read: a beginning, then the same piece again and again."""

    def __init__(self, beginning: bytes, piece: bytes, size: int) -> None:
        self.parts: Iterator[bytes] = iter([beginning])
        self.piece, self.left, self.held = piece, size, beginning

    def readable(self) -> bool:
        return True

    def readinto(self, into: bytearray) -> int:  # type: ignore[override]
        while len(self.held) < len(into) and self.left > 0:
            self.held += self.piece
            self.left -= len(self.piece)
        given, self.held = self.held[: len(into)], self.held[len(into) :]
        into[: len(given)] = given
        return len(given)


class TestEncodings:
    @pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig"])
    def test_utf_8_is_read_with_and_without_its_mark(self, encoding: str) -> None:
        text = HEAD + line(village="डोवी")
        assert [fact.value for fact in of(text.encode(encoding)).rows[0].facts] == ["v1"]

    @pytest.mark.parametrize(
        ("encoding", "named"),
        [("utf-16", "UTF-16"), ("utf-16-le", "UTF-16"), ("utf-16-be", "UTF-16"), ("utf-32", "UTF-32")],
    )
    def test_wider_forms_are_refused_by_name(self, encoding: str, named: str) -> None:
        assert named in reason(SOUND.encode(encoding))

    @pytest.mark.parametrize("encoding", ["latin-1", "cp1252", "mac-roman"])
    def test_old_ones_are_refused_at_their_line(self, encoding: str) -> None:
        told = reason((SOUND + line(village="Évu")).encode(encoding))
        assert told.startswith("line 4 is not UTF-8")
        assert "save it as CSV UTF-8" in told

    @pytest.mark.parametrize(
        ("beginning", "named"),
        [(b"PK\x03\x04", "workbook"), (b"\xd0\xcf\x11\xe0", "workbook"), (b"\x1f\x8b", "unpack")],
    )
    def test_files_of_another_kind_are_told_apart(self, beginning: bytes, named: str) -> None:
        assert named in reason(beginning + b"\x00\x01\n" * 99)

    def test_a_surrogate_in_utf_8_is_none(self) -> None:
        assert "line 2 is not UTF-8" in reason(HEAD.encode() + b"\xed\xa0\x80,\n")


class TestStructure:
    @pytest.mark.parametrize("separator", [",", ";"])
    @pytest.mark.parametrize("end", ["\n", "\r\n"])
    def test_commas_and_semicolons_and_both_ends_of_lines_are_read(self, separator: str, end: str) -> None:
        raw = SOUND.replace(",", separator).replace("\n", end).encode()
        assert [row.number for row in of(raw).rows] == [ANN, BEN]

    def test_columns_stand_in_any_order_and_quotes_are_taken_off(self) -> None:
        raw = f'"Consent_On";number;"consent_how"\n2027-02-01;"{ANN}";paper\n'.encode()
        assert of(raw).rows[0].number == ANN

    def test_lines_are_counted_as_an_editor_counts_them(self) -> None:
        raw = (HEAD + line(village='"Do\nvi"') + "\n,,,\n" + line(seed_origin="x")).encode()
        assert [(remark.line, remark.column) for remark in of(raw).remarks] == [(2, "village"), (6, "seed_origin")]

    def test_a_line_of_another_width_is_refused_alone(self) -> None:
        found = of((SOUND + "0001000003,en\n").encode())
        assert (len(found.rows), [(one.line, one.outcome) for one in found.remarks]) == (2, [(4, "refused")])

    @pytest.mark.parametrize(
        ("raw", "told"),
        [
            (b"", "empty"),
            (b"\n", "empty"),
            (b"\xef\xbb\xbf", "empty"),
            (SOUND.replace("\n", "\r").encode(), "carriage returns alone"),
            ((HEAD + line() + "0001\r0002,\n").encode(), "line 3 holds a carriage return"),
            (SOUND.encode() + b'"0001000003,en\n', "line 4: a quote is opened and never closed"),
            (SOUND.encode() + b'"0001"000003,en\n', "line 4: text follows a closing quote"),
            (SOUND.encode() + b"0001\x00000003,en\n", "line 4 holds a NUL byte"),
            (b"number\tconsent_how\tconsent_on\n", "parted by tabs: save the file parted by commas or semicolons"),
            (b"number|consent_how|consent_on\n", "parted by upright strokes"),
            (b"sep=;\nnumber;consent_how;consent_on\n", "take that line away"),
            (line().encode(), "line 1 names no column of the schema: it must name the columns, at least number"),
            (b"number,consent_how\n", "missing consent_on"),
            (b"number,number,consent_how,consent_on\n", "the column number is there twice"),
            (HEAD.replace("village", "=cmd|'/C calc'!A0").encode(), "column 3: not in the schema"),
            (b"number," + b",".join(b"c%d" % place for place in range(9_999)) + b"\n", "5, 6 and 9994 more"),
        ],
    )
    def test_a_broken_file_is_refused_whole_with_the_reason(self, raw: bytes, told: str) -> None:
        assert told in reason(raw)

    def test_nothing_of_a_hostile_file_stands_in_the_reason(self) -> None:
        assert "calc" not in reason(HEAD.replace("village", "=cmd|'/C calc'!A0").encode())
        assert "\x1b" not in reason(HEAD.replace("village", "\x1b[2J").encode())


class TestFilesThatAreTooLarge:
    @pytest.mark.parametrize(
        ("piece", "told"),
        [
            (b"9" * 4096, "line 2 is longer than 64 KiB"),
            (b"\n" * 4096, "more than 200,000 lines"),
            (b'""' * 2048, "line 2 is longer than 64 KiB"),
            (b"x\n" * 2048, "line 2: a quote is opened and not closed within 64 KiB"),
        ],
        ids=["a line of a gigabyte", "a billion lines", "quotes alone", "a quote over all lines"],
    )
    def test_a_gigabyte_is_refused_early_and_in_little_memory(self, piece: bytes, told: str) -> None:
        endless = Endless(HEAD.encode() + (b'"' if piece[:1] in b'"x' else b""), piece, 2**30)
        tracemalloc.start()
        try:
            with pytest.raises(BrokenTable, match=told):
                check(io.BufferedReader(endless), TERMS)  # type: ignore[type-var]
            peak = tracemalloc.get_traced_memory()[1]
        finally:
            tracemalloc.stop()
        assert peak < 16 * 2**20
        assert endless.left > 2**29

    def test_one_line_too_many_is_refused_and_one_less_is_not(self) -> None:
        raw = HEAD.encode() + b"0,\n" * MOST_LINES

        def count(raw: bytes) -> int:
            return sum(1 for _ in read_table(io.BytesIO(raw), tuple(COLUMNS), REQUIRED))

        assert count(raw) == MOST_LINES
        with pytest.raises(BrokenTable, match="split it"):
            count(raw + b"0,\n")

    def test_long_cells_that_all_differ_are_not_remembered(self) -> None:
        def lines() -> bytes:
            return b"".join(line(language=f"{place:05}" + "x" * 30_000).encode() for place in range(300))

        raw = io.BytesIO(HEAD.encode() + lines())
        tracemalloc.start()
        checked = check(raw, TERMS)
        most = tracemalloc.get_traced_memory()[1]
        tracemalloc.stop()
        assert len(checked.remarks) == 300
        assert most < 2_000_000

    def test_a_record_of_just_the_limit_is_read(self) -> None:
        fits = b"9" * (MOST_BYTES - 1) + b"\n"
        assert [remark.line for remark in of(HEAD.encode() + fits).remarks] == [2]
        assert "longer" in reason(HEAD.encode() + b"9" + fits)


@given(st.binary(max_size=400) | st.text(alphabet=',;"\n\r=\x00+-@a0é', max_size=200).map(str.encode))
def test_whatever_bytes_come_a_file_is_read_or_refused_in_words(raw: bytes) -> None:
    for whole in (raw, SOUND.encode() + raw):
        with contextlib.suppress(BrokenTable):
            found = of(whole)
            assert all(remark.reason and remark.line >= 1 for remark in found.remarks)
