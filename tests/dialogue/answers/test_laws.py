"""What holds of any text that anybody can type, in every language."""

import sys
import unicodedata
from decimal import Decimal

import pytest
from hypothesis import assume, example, given
from hypothesis import strategies as st

from advisor.agronomy.units import ACRE_M2, area_m2
from advisor.dialogue.answers import Slip, Taken
from advisor.dialogue.flows import Screen
from advisor.dialogue.notices import notices_of
from advisor.wording.folding import folded
from advisor.wording.kinds import Area, CountOf, Money
from advisor.wording.numbers import number
from advisor.wording.units import UNITS
from tests.dialogue.answers.typing import ANY, AREA, COUNT, LANGUAGES, MONEY, PARTS, STEPS, read, taken

#: The zero of every script that Unicode has digits for.
ZEROS = [
    chr(code)
    for code in range(128, sys.maxunicode)
    if unicodedata.category(chr(code)) == "Nd" and unicodedata.decimal(chr(code)) == 0
]
#: Signs and words that mean something to one question or another, to be thrown together.
WORDS = "of and half acres ha March elfu mbili na nusu et demi sept cent mardi th Ul /= सवा दो हज़ार एकड़ कल"
PIECES = st.sampled_from([*"0123456789 .,/-½kOl", *WORDS.split()])
TEXTS = st.one_of(st.text(max_size=60), st.lists(PIECES, max_size=9).map("".join), st.lists(PIECES).map(" ".join))
ASKS = st.sampled_from(ANY)


@pytest.mark.parametrize("language", LANGUAGES)
class TestAnyText:
    @given(typed=TEXTS, ask=ASKS)
    @example(typed="२/٣", ask=AREA)
    def test_it_is_taken_or_there_is_a_reason_that_can_be_said(self, book, language, typed, ask):
        answer = taken(book, typed, ask, language)

        assert isinstance(answer, Taken | Slip)
        if isinstance(answer, Slip):
            assert answer.notice in notices_of(Screen("any", 1, ask=ask))

    @given(typed=TEXTS, ask=ASKS, before=st.sampled_from(["", " ", "\ufeff", "\u200e ", "\t"]))
    def test_spaces_and_invisible_signs_around_it_change_nothing(self, book, language, typed, ask, before):
        assert read(book, f"{before}{typed}{before}\n", ask, language) == read(book, typed, ask, language)

    @given(typed=TEXTS, ask=ASKS)
    def test_one_space_is_like_many(self, book, language, typed, ask):
        assert read(book, typed.replace(" ", "  "), ask, language) == read(book, typed, ask, language)

    @given(typed=TEXTS, ask=ASKS, zero=st.sampled_from(ZEROS))
    def test_digits_of_any_script_are_digits(self, book, language, typed, ask, zero):
        ours = typed.translate({ord(str(n)): chr(ord(zero) + n) for n in range(10)})

        assert read(book, ours, ask, language) == read(book, typed, ask, language)

    @given(typed=TEXTS, ask=ASKS)
    def test_capitals_change_nothing(self, book, language, typed, ask):
        # "ı" and its like change more than their size; l and I are digits where they stand among digits.
        assume(typed.upper().casefold() == typed.casefold() and not set("lLiI") & set(typed))

        assert read(book, typed.upper(), ask, language) == read(book, typed, ask, language)


@pytest.mark.parametrize("language", LANGUAGES)
class TestWhatTheAdvisorSays:
    @given(value=st.decimals(0, 10**6, places=2), decimals=st.sampled_from([0, 2]))
    def test_a_number_is_read_back_or_asked_again_but_never_another(self, book, language, value, decimals):
        shown = round(value, decimals)
        said = number(shown, book.voices[language], decimals)

        answer = read(book, said, PARTS, language)
        if answer == "- not_a_number":
            _, comma, part = said.partition(",")
            assert comma, "only what could be two and a half as well is asked again"
            assert len(part) == 3 or "," in part
            assert "." not in said
        else:
            assert answer == pytest.approx(float(shown))

    @given(value=st.integers(2, 2000))
    def test_a_whole_number_is_read_back(self, book, language, value):
        assert read(book, number(value, book.voices[language]), STEPS, language) == value

    @given(value=st.integers(1, 99_999))
    def test_a_sum_of_money_is_read_back(self, book, language, value):
        said = Money(Decimal(1), Decimal(99_999)).words(Decimal(value), book.voices[language])

        assert read(book, said, MONEY, language) == str(value)

    @given(hundredths=st.integers(5, 2000))
    def test_an_area_is_read_back(self, book, language, hundredths):
        area = hundredths * ACRE_M2 / 100

        said = Area(0, 21 * ACRE_M2).words(area, book.voices[language])
        assert read(book, said, AREA, language) == pytest.approx(area)

    @given(pair=st.integers(1, 400).flatmap(lambda sown: st.tuples(st.integers(0, sown), st.just(sown))))
    def test_a_count_out_of_a_count_is_read_back(self, book, language, pair):
        assert read(book, CountOf(400).words(pair, book.voices[language]), COUNT, language) == pair


@pytest.mark.parametrize("language", LANGUAGES)
class TestUnits:
    @given(
        place=st.integers(0, 99), amount=st.integers(1, 9), gap=st.sampled_from(["", " "]), behind=st.booleans()
    )
    def test_a_number_with_a_unit_is_in_that_unit_or_refused(self, book, language, place, amount, gap, behind):
        units = book.voices[language].glossary.units
        word, unit = units[place % len(units)]

        answer = read(book, f"{amount}{gap}{word}" if behind else f"{word}{gap}{amount}", AREA, language)
        if isinstance(answer, float):
            assert UNITS[unit].measures == "area"
            assert answer == pytest.approx(area_m2(amount, unit))
        elif behind:
            assert answer in (
                ("- too_small", "- too_big") if UNITS[unit].measures == "area" else ("- unknown_unit",)
            )

    @given(amount=st.integers(1, 9), word=st.text(alphabet="acrehktmsqéekarिएकड़ ", min_size=1, max_size=9))
    def test_no_word_that_is_no_unit_is_passed_over(self, book, language, amount, word):
        assume(folded(word))

        answer = taken(book, f"{amount} {word}", AREA, language)
        if isinstance(answer, Taken):
            assert answer.value == pytest.approx(
                area_m2(amount, dict(book.voices[language].glossary.units)[folded(word)])
            )
