"""Numbers in words, in the four languages.

Whole numbers are checked against the rules of Unicode CLDR (spellout.py). Hindi fractions: Kamta Prasad Guru,
Hindi Vyakaran, sections 174 to 176 (Hindi Wikisource). All others: common usage, no source.
"""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.agronomy.units import ACRE_M2, HECTARE_M2
from advisor.dialogue.answers import tidy
from advisor.dialogue.answers.exact import exact
from advisor.dialogue.answers.words import as_digits, in_digits
from tests.dialogue.answers.spellout import spelled
from tests.dialogue.answers.typing import AREA, COUNT, LANGUAGES, MONEY, STEPS, read


class TestWholeNumbers:
    @pytest.mark.parametrize("language", LANGUAGES)
    def test_all_below_a_thousand_are_read_as_the_locale_data_spell_them(self, book, language):
        glossary = book.voices[language].glossary

        wrong = {n: said for n in range(1000) if in_digits(tidy(said := spelled(n, language)), glossary) != str(n)}
        assert wrong == {}

    @given(number=st.integers(1000, 99_999))
    @pytest.mark.parametrize("language", LANGUAGES)
    def test_thousands_are_read_as_the_locale_data_spell_them(self, book, language, number):
        assert in_digits(tidy(spelled(number, language)), book.voices[language].glossary) == str(number)

    @given(grown=st.integers(0, 99), sown=st.integers(0, 300))
    @pytest.mark.parametrize("language", LANGUAGES)
    def test_a_count_out_of_a_count_can_be_words(self, book, language, grown, sown):
        pattern = book.voices[language].glossary.counts_of[-1]

        typed = pattern.format(spelled(grown, language), spelled(sown + grown + 1, language))
        assert read(book, typed, COUNT, language) == (grown, sown + grown + 1)

    @pytest.mark.parametrize(
        ("language", "typed", "kept"),
        [
            ("en", "two thousand", "2000"), ("en", "two thousand five hundred", "2500"),
            ("en", "2 thousand", "2000"),
            ("en", "two hundred and fifty", "250"), ("en", "twenty five hundred", "2500"),
            ("en", "TWO THOUSAND", "2000"),
            ("en", "Ul two thousand", "2000"), ("en", "2.5 thousand", "2500"),
            ("sw", "elfu mbili", "2000"), ("sw", "elfu mbili na mia tano", "2500"),
            ("sw", "elfu 2", "2000"),
            ("sw", "2 elfu", "2000"), ("sw", "elfu", "1000"), ("sw", "mia tano", "500"),
            ("sw", "elfu kumi", "10000"),
            ("sw", "alfu moja", "1000"),
            ("hi", "दो हज़ार", "2000"), ("hi", "दो हजार पाँच सौ", "2500"),
            ("hi", "do hazar", "2000"), ("hi", "सौ", "100"),
            ("fr", "deux mille", "2000"), ("fr", "deux mille cinq cents", "2500"),
            ("fr", "mille", "1000"),
            ("fr", "septante-cinq", "75"), ("fr", "nonante et un", "91"),
        ],
    )  # fmt: skip
    def test_money_in_words(self, book, language, typed, kept):
        assert read(book, typed, MONEY, language) == kept


class TestFractions:
    @pytest.mark.parametrize(
        ("language", "typed", "acres"),
        [
            ("en", "half", 0.5), ("en", "a half", 0.5), ("en", "half an acre", 0.5),
            ("en", "quarter", 0.25),
            ("en", "a quarter of an acre", 0.25), ("en", "three quarters", 0.75),
            ("en", "3 quarters", 0.75),
            ("en", "one and a half acres", 1.5), ("en", "2 and a half", 2.5),
            ("en", "two acres and a half", 2.5),
            ("en", "acre and a half", 1.5), ("en", "2 and 1/2", 2.5),
            ("en", "two and three quarters", 2.75),
            ("en", "two point five", 2.5), ("en", "two point two five acres", 2.25),
            ("en", "a third", 1 / 3),
            ("en", "2 and a third", 7 / 3), ("en", "two half", 2.5),
            ("sw", "nusu", 0.5), ("sw", "nusu ekari", 0.5), ("sw", "robo", 0.25),
            ("sw", "robo tatu", 0.75),
            ("sw", "ekari na nusu", 1.5), ("sw", "ekari mbili na nusu", 2.5),
            ("sw", "moja na nusu", 1.5),
            ("sw", "ekari moja na robo", 1.25), ("sw", "2 na nusu", 2.5),
            ("sw", "mbili nukta tano", 2.5),
            ("sw", "nusu ya ekari", 0.5), ("sw", "mbili na robo tatu", 2.75),
            ("fr", "un et demi", 1.5), ("fr", "deux acres et demi", 2.5),
            ("fr", "une demie", 0.5), ("fr", "demi", 0.5),
            ("fr", "trois quarts", 0.75), ("fr", "un quart d'acre", 0.25), ("fr", "deux et quart", 2.25),
            ("fr", "deux virgule cinq", 2.5), ("fr", "la moitié", 0.5), ("fr", "un demi acre", 0.5),
            ("hi", "do aur aadha", 2.5), ("hi", "दो दशमलव पाँच", 2.5), ("hi", "तीन चौथाई", 0.75),
            ("hi", "dhai ekad", 2.5),
        ],
    )  # fmt: skip
    def test_common_usage(self, book, language, typed, acres):
        assert read(book, typed, AREA, language) == pytest.approx(acres * ACRE_M2)

    @pytest.mark.parametrize(
        ("typed", "acres"),
        [
            ("पाव", 0.25), ("आधा", 0.5), ("पौन", 0.75), ("सवा", 1.25), ("डेढ़", 1.5),
            ("ढाई", 2.5), ("अढ़ाई", 2.5),
            ("सवा दो", 2.25), ("पौने तीन", 2.75), ("पौने दो", 1.75), ("साढ़े तीन", 3.5),
            ("साढे चार", 4.5), ("साढ़े दस", 10.5),
            ("डेढ़ एकड़", 1.5), ("सवा दो एकड़", 2.25), ("साढ़े 3", 3.5),
        ],
    )  # fmt: skip
    def test_hindi_by_the_grammar(self, book, typed, acres):
        assert read(book, typed, AREA, "hi") == pytest.approx(acres * ACRE_M2)

    @pytest.mark.parametrize(
        ("typed", "kept"),
        [
            ("सवा सौ", "125"),
            ("ढाई सौ", "250"),
            ("साढे तीन हजार", "3500"),
            ("डेढ़ सौ", "150"),
            ("पौने दो हज़ार", "1750"),
        ],
    )
    def test_hindi_hundreds_and_thousands_by_the_grammar(self, book, typed, kept):
        assert read(book, typed, MONEY, "hi") == kept

    @pytest.mark.parametrize("typed", ["पौने", "साढ़े", "पौने एकड़"])
    def test_hindi_words_that_the_grammar_never_lets_stand_alone(self, book, typed):
        assert str(read(book, typed, AREA, "hi")).startswith("- ")

    @pytest.mark.parametrize(
        ("language", "point"), [("en", "point"), ("sw", "nukta"), ("hi", "दशमलव"), ("fr", "virgule")]
    )
    def test_hundredths_behind_the_point_are_read_as_the_locale_data_spell_them(self, book, language, point):
        glossary = book.voices[language].glossary
        said = {part: f"{spelled(2, language)} {point} {spelled(part, language)}" for part in range(10, 100)}

        read_as = {part: in_digits(tidy(typed), glossary) for part, typed in said.items()}
        assert read_as == {part: f"2.{part}".rstrip("0") for part in said}

    def test_hundredths_behind_a_zero(self, book):
        assert read(book, "un virgule zéro cinq", AREA, "fr") == pytest.approx(1.05 * ACRE_M2)
        assert read(book, "two point five twenty", AREA) == "- not_a_number"

    def test_another_unit_keeps_its_half(self, book):
        assert read(book, "deux hectares et demi", AREA, "fr") == pytest.approx(2.5 * HECTARE_M2)

    @given(st.fractions(0, 999, max_denominator=99))
    def test_a_fraction_turned_into_digits_is_read_as_the_same(self, value):
        found = exact(as_digits(value))

        assert found is not None
        assert abs(Fraction(found) - value) < Fraction(1, 10**20)


class TestWhatCouldBeTwoThings:
    @pytest.mark.parametrize(
        ("language", "typed", "ask"),
        [
            ("en", "two two", STEPS), ("en", "two three", AREA), ("en", "half two", AREA),
            ("en", "half half", AREA),
            ("en", "two quarters", AREA), ("en", "two 500", MONEY), ("en", "200 three hundred", MONEY),
            ("en", "two hundred three hundred", MONEY), ("en", "two,five hundred", MONEY),
            ("en", "two, five", AREA),
            ("en", "2 point", AREA), ("en", "one and 3/2", AREA),
            ("en", "two thousand and a half", MONEY),
            ("sw", "mbili elfu tatu", MONEY), ("sw", "elfu mia tano", MONEY),
            ("sw", "elfu mbili na nusu", MONEY),
            ("hi", "दो पाव", AREA), ("hi", "सवा डेढ़", AREA), ("fr", "deux quarts", AREA),
            ("fr", "mille mille", MONEY),
        ],
    )  # fmt: skip
    def test_it_is_asked_again(self, book, language, typed, ask):
        assert str(read(book, typed, ask, language)).startswith("- ")

    @given(numbers=st.lists(st.integers(1, 9999), min_size=2, max_size=3), between=st.sampled_from([" ", ", "]))
    @pytest.mark.parametrize("language", LANGUAGES)
    def test_numbers_side_by_side_never_run_together(self, book, language, numbers, between):
        said = between.join(spelled(number, language) for number in numbers)

        assert read(book, said, MONEY, language) != "".join(map(str, numbers))
