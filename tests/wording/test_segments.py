"""What a text costs and how it is cut, against an independent splitter."""

import pytest
import smsutil
from hypothesis import given
from hypothesis import strategies as st

from advisor.wording.errors import NotInAlphabet
from advisor.wording.gsm import DEFAULT, EXTENSION
from advisor.wording.segments import ROOM, Alphabet, alphabet_of, cost, parts, segments

GSM_TEXT = st.text(alphabet=st.sampled_from(DEFAULT + EXTENSION * 6), min_size=1, max_size=800)
UCS2_TEXT = st.text(
    alphabet=st.one_of(st.sampled_from("एकड़ 2.5"), st.characters(min_codepoint=0x1F300, max_codepoint=0x1F6FF)),
    min_size=1,
    max_size=400,
).map(lambda text: "क" + text)


class TestTheAlphabetOfAText:
    def test_one_character_outside_makes_it_ucs2(self):
        assert alphabet_of("Nunua kilo 50") is Alphabet.GSM7
        assert alphabet_of("Nunua kilo 50 ç") is Alphabet.UCS2

    def test_a_page_is_under_160_septets_or_70_units(self):
        assert ROOM == {Alphabet.GSM7: 159, Alphabet.UCS2: 70}

    @given(st.one_of(GSM_TEXT, UCS2_TEXT).map(lambda text: text[:170]), st.sampled_from(Alphabet))
    def test_what_fits_a_page_is_one_sms(self, text, alphabet):
        if alphabet is Alphabet.UCS2 or alphabet_of(text) is alphabet:
            assert segments(text) == 1 or cost(text, alphabet) > ROOM[alphabet]


class TestTheCostOfAText:
    def test_an_emoji_is_two_units(self):
        assert cost("🌱", Alphabet.UCS2) == 2

    @given(st.text())
    def test_units_are_those_of_utf_16(self, text):
        assert cost(text, Alphabet.UCS2) == len(text.encode("utf-16-be", "surrogatepass")) // 2

    def test_a_text_outside_the_alphabet_has_no_cost_in_it(self):
        with pytest.raises(NotInAlphabet):
            cost("एकड़", Alphabet.GSM7)


class TestCuttingIntoSegments:
    @pytest.mark.parametrize(
        ("text", "lengths"),
        [
            ("", [0]),
            ("a" * 160, [160]),
            ("a" * 161, [153, 8]),
            ("€" * 80, [80]),
            ("€" * 81, [76, 5]),
            ("a" * 152 + "€" + "a" * 152, [152, 152, 1]),
            ("a" * 152 + "€" + "a" * 151, [152, 152]),
            ("क" * 70, [70]),
            ("क" * 71, [67, 4]),
            ("🌱" * 36, [33, 3]),
        ],
    )
    def test_a_pair_is_never_cut(self, text, lengths):
        assert [len(part) for part in parts(text)] == lengths
        assert segments(text) == len(lengths)

    @given(GSM_TEXT)
    def test_gsm_texts_are_cut_as_smsutil_cuts_them(self, text):
        assert list(parts(text)) == [part.content for part in smsutil.split(text).parts]

    @given(UCS2_TEXT)
    def test_other_texts_are_cut_as_smsutil_cuts_them(self, text):
        assert list(parts(text)) == [part.content for part in smsutil.split(text).parts]

    @given(st.one_of(GSM_TEXT, UCS2_TEXT))
    def test_the_parts_together_are_the_text_and_each_fits(self, text):
        alphabet = alphabet_of(text)
        cut = parts(text)

        assert "".join(cut) == text
        each = {Alphabet.GSM7: 153, Alphabet.UCS2: 67}[alphabet]
        assert len(cut) == 1 or all(0 < cost(part, alphabet) <= each for part in cut)
