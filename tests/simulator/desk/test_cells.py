import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from simulator.desk.cells import Mark, Span, broken, cut, filled, is_uncertain, letters, row, text_of, width
from simulator.screen import columns, wrapped

HINDI = "2.5 एकड़, खर्च Ul 5,550\n50 किलो बीज लें: 2x25 किलो"
TEXTS = st.text(
    st.sampled_from("ab 1\n़किीोक्षत्र्ँزкé漢\u200d") | st.characters(exclude_categories=["Cs"]), max_size=60
)


class TestBreaking:
    def test_rows_break_after_the_last_letter_that_fits(self):
        assert broken("How many acres is your field?", 24) == ("How many acres is your f", "ield?")

    def test_a_letter_keeps_its_marks(self):
        """Hindi: the vowel signs stay with their consonants, and consonants that are tied stay together."""
        assert broken("किलोक्षेत्र", 3) == ("कि", "लो", "क्षे", "त्र")

    def test_an_empty_line_stays_a_row(self):
        assert broken("a\n\nb", 5) == ("a", "", "b")

    @given(TEXTS, st.integers(2, 30))
    def test_no_row_is_wider_than_allowed_and_nothing_is_lost(self, text, most):
        rows = broken(text, most)

        assert all(columns(piece) <= most for piece in rows)
        shown = "".join("?" if unicodedata.category(char) == "Cc" else char for char in text if char not in "\n")
        assert "".join(rows).replace("?", "") == shown.replace("?", "")

    @given(TEXTS)
    def test_letters_make_up_the_text(self, text):
        assert "".join(letters(text)) == text


class TestFilling:
    @given(st.lists(st.tuples(TEXTS, st.sampled_from(Mark)), max_size=4), st.integers(2, 30))
    def test_a_filled_row_has_exactly_the_columns_wanted(self, pieces, most):
        cells = filled(row(*(Span(text, mark) for text, mark in pieces)), most)

        assert width(cells) == most

    def test_a_reversed_row_is_filled_in_reverse(self):
        assert filled((Span("a", Mark.REVERSED),), 3)[-1].mark is Mark.REVERSED

    def test_what_lies_beyond_is_cut(self):
        assert text_of(cut(row("abc", "def"), 4)) == "abcd"

    def test_a_control_character_never_reaches_the_terminal(self):
        assert text_of(row("a\x1b[2J")) == "a?[2J"

    @pytest.mark.parametrize(
        "char", ["\x1b", "\x9b", "\x85", "\u2028", "\u2029", "\u202e", "\u2066", "\ud800", "\x07", "\r", "\t"]
    )
    def test_nothing_that_moves_turns_or_breaks_the_output_is_shown(self, char):
        # Unicode, UAX #9 (marks of direction) and UAX #14 (other ends of lines)
        for shown in (*broken(f"a{char}b", 24), *wrapped(f"a{char}b"), text_of(row(f"a{char}b"))):
            assert shown == "a?b"
            shown.encode()


@pytest.mark.parametrize(
    ("text", "is_so"), [("2.5 acres", False), ("façade", False), (HINDI, True), ("漢", False)]
)
def test_rows_whose_width_terminals_dispute_are_known(text, is_so):
    assert is_uncertain(text) is is_so
