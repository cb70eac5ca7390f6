"""One form for all the ways people type a word."""

import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.wording.folding import folded


class TestOneFormForOneWord:
    @pytest.mark.parametrize(
        "typed", ["STOP", "stop", " Stop. ", "“stop!”", "stóp", "\ufeffstop", "stop\u00a0", "Stop?", "*stop*"]
    )
    def test_case_accents_and_punctuation_go(self, typed):
        assert folded(typed) == "stop"

    @pytest.mark.parametrize(("one", "other"), [("एकड़", "एकड"), ("हाँ", "हां"), ("एकड\u093c", "एक\u095c")])
    def test_devanagari_spellings_that_people_mix_are_one(self, one, other):
        assert folded(one) == folded(other)

    @pytest.mark.parametrize(("one", "other"), [("दो", "दे"), ("सात", "साठ"), ("में", "मे")])
    def test_devanagari_vowel_signs_still_make_another_word(self, one, other):
        assert folded(one) != folded(other)

    def test_apostrophes_join_and_hyphens_part(self):
        assert folded("Ng'ombe") == folded("ng’ombe") == "ngombe"
        assert folded("twenty-one") == "twenty one"

    def test_a_sign_inside_a_number_stays(self):
        assert folded("2.5 Acres.") == "2.5 acres"
        assert folded("45/50") == "45/50"

    def test_a_word_in_a_sentence_is_not_the_word(self):
        assert folded("bus stop price") != folded("stop")


class TestFoldingSettles:
    @given(st.text(alphabet=st.characters(codec="utf-8", max_codepoint=0x97F)))
    def test_folded_twice_is_folded_once(self, text):
        assert folded(folded(text)) == folded(text)

    @given(st.text(alphabet="abcdefghij éèç", max_size=12))
    def test_composed_or_not_makes_no_difference(self, text):
        assert folded(unicodedata.normalize("NFD", text)) == folded(text)
