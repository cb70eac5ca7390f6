from hypothesis import given
from hypothesis import strategies as st

from simulator.desk.cells import Mark, text_of, width
from simulator.desk.typed import Typed, line

WAYS = [
    Typed.erasing,
    Typed.deleting,
    Typed.left,
    Typed.right,
    Typed.first,
    Typed.last,
    lambda typed: typed.writing("7"),
    lambda typed: typed.writing("कि"),
]


class TestTyping:
    def test_text_goes_in_at_the_cursor(self):
        assert Typed("25", 1).writing(".") == Typed("2.5", 2)

    def test_erasing_takes_the_character_before_and_deleting_the_one_at_the_cursor(self):
        assert Typed("2x5", 2).erasing() == Typed("25", 1)
        assert Typed("2x5", 1).deleting() == Typed("25", 1)

    def test_a_pasted_line_end_becomes_a_blank(self):
        assert Typed().writing("a\nb").text == "a b"

    @given(st.lists(st.sampled_from(WAYS), max_size=30))
    def test_the_cursor_never_leaves_the_text(self, ways):
        typed = Typed()
        for way in ways:
            typed = way(typed)

            assert 0 <= typed.at <= len(typed.text)


class TestLine:
    @given(st.text(st.sampled_from("ab1 किीक्ष漢"), max_size=40), st.data(), st.integers(6, 30))
    def test_the_line_fits_and_the_cursor_shows(self, text, data, most):
        shown = line(Typed(text, data.draw(st.integers(0, len(text)))), most)

        assert width(shown) == most
        assert any(span.mark is Mark.REVERSED for span in shown)

    def test_a_short_line_shows_whole(self):
        assert text_of(line(Typed("2.5", 3), 10)) == "> 2.5     "
