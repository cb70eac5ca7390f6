"""Quantities with their units as people say them."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.agronomy.units import ACRE_M2
from advisor.wording.measures import area, in_unit, length, mass, measure, steps
from advisor.wording.segments import Alphabet, alphabet_of
from advisor.wording.units import UNITS
from tests.wording.voices import LANGUAGES, glossary, voice


class TestQuantitiesInFourLanguages:
    @pytest.mark.parametrize(
        ("language", "acres", "one", "bags", "grams", "rows", "paced"),
        [
            ("en", "2.5 acres", "1 acre", "50 kg", "250 g", "60 cm", "126 steps"),
            ("sw", "ekari 2.5", "ekari 1", "50 kg", "250 g", "60 cm", "hatua 126"),
            ("hi", "2.5 एकड़", "1 एकड़", "50 किलो", "250 ग्राम", "60 सेमी", "126 कदम"),
            ("fr", "2,5 acres", "1 acre", "50 kg", "250 g", "60 cm", "126 pas"),
        ],
    )
    def test_as_people_say_them(self, language, acres, one, bags, grams, rows, paced):
        speaking = voice(language)

        assert area(2.5 * ACRE_M2, speaking) == acres
        assert area(ACRE_M2, speaking) == one
        assert mass(50, "kg", speaking) == bags
        assert mass(0.25, "g", speaking) == grams
        assert length(0.6, "cm", speaking) == rows
        assert steps(126, speaking) == paced

    def test_the_programme_sets_the_unit_of_area(self):
        assert area(10_000, voice("en", area_unit="hectare")) == "1 hectare"
        assert area(10_000, voice("en", area_unit="m2")) == "10,000 m2"

    @pytest.mark.parametrize("unit", UNITS)
    @pytest.mark.parametrize("language", LANGUAGES)
    def test_every_unit_can_be_sent_in_the_alphabet_of_the_language(self, language, unit):
        said = measure(2, unit, voice(language))

        assert "2" in said
        assert alphabet_of(said) is Alphabet.GSM7 or glossary(language).alphabet is Alphabet.UCS2


class TestTheUnitFollowsTheNumberThatIsShown:
    def test_what_is_rounded_to_one_is_singular(self):
        assert measure(1.004, "acre", voice("en"), 2) == "1 acre"
        assert measure(0.996, "acre", voice("en"), 2) == "1 acre"
        assert measure(1.01, "acre", voice("en"), 2) == "1.01 acres"

    @given(st.integers(1, 40_000))
    def test_what_was_typed_in_hundredths_of_an_acre_comes_back_unchanged(self, hundredths):
        assert in_unit(hundredths / 100 * ACRE_M2, "acre") * 100 == hundredths
