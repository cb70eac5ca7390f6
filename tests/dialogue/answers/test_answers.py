"""What people type, and what it is taken for."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.agronomy.units import ACRE_M2
from advisor.dialogue.answers import Slip, Taken, tidy
from advisor.dialogue.answers.picking import in_its_words
from advisor.dialogue.flows import Ask, AskKind
from tests.dialogue.answers.typing import ANY, AREA, COUNT, MONEY, STEPS, TWO, taken


class TestTidy:
    @pytest.mark.parametrize(
        ("typed", "kept"),
        [
            ("  2  ", "2"),
            ("\ufeff2\u200b", "2"),
            ("२.५", "2.5"),
            ("٢", "2"),
            ("２", "2"),
            ("½", "1/2"),
            ("2½", "2 1/2"),
            ("1\n2", "1 2"),
            ("\x00\x07", ""),
        ],
    )
    def test_what_nobody_means_is_left_out(self, typed, kept):
        assert tidy(typed) == kept

    @given(st.text(max_size=300))
    def test_tidying_twice_changes_nothing_more(self, text):
        assert tidy(tidy(text)) == tidy(text)


class TestAreas:
    @pytest.mark.parametrize(
        ("typed", "acres"),
        [
            ("2.5", 2.5),
            ("2,5", 2.5),
            ("2 1/2", 2.5),
            ("2½", 2.5),
            ("½", 0.5),
            ("3 acres", 3),
            ("3acre", 3),
            ("2.", 2),
            (".5", 0.5),
        ],
    )
    def test_a_number_is_in_the_programmes_unit(self, book, typed, acres):
        assert taken(book, typed, AREA).value == pytest.approx(acres * ACRE_M2)

    @pytest.mark.parametrize(
        ("language", "typed", "acres"),
        [
            ("en", "half", 0.5),
            ("en", "half acre", 0.5),
            ("en", "Two acres", 2),
            ("en", "two and a half", 2.5),
            ("en", "2 and a half acres", 2.5),
            ("sw", "nusu ekari", 0.5),
            ("sw", "ekari mbili", 2),
            ("sw", "ekari mbili na nusu", 2.5),
            ("hi", "दो एकड़", 2),
            ("hi", "do ekad", 2),
            ("hi", "आधा", 0.5),
        ],
    )
    def test_numbers_can_be_words(self, book, language, typed, acres):
        answer = taken(book, typed, AREA, language)

        assert isinstance(answer, Taken)
        assert answer.value == pytest.approx(acres * ACRE_M2)

    @pytest.mark.parametrize("typed", ["1 ha", "1ha", "1 hectare", "1 HA"])
    def test_another_unit_can_be_named(self, book, typed):
        assert taken(book, typed, AREA).value == 10_000

    @pytest.mark.parametrize(("language", "typed"), [("sw", "ekari 2"), ("sw", "2 ekari"), ("hi", "2 एकड़")])
    def test_units_are_understood_in_the_language_spoken(self, book, language, typed):
        answer = taken(book, typed, AREA, language)

        assert isinstance(answer, Taken)
        assert answer.value == pytest.approx(2 * ACRE_M2)

    @pytest.mark.parametrize("typed", ["5 kg", "2 bananas", "2 m"])
    def test_what_is_no_area_unit_is_named_as_such(self, book, typed):
        assert taken(book, typed, AREA) == Slip("unknown_unit")

    @pytest.mark.parametrize("typed", ["2,500", "10,000 m2", "1,000,000", ".", "1 2 3"])
    def test_what_could_mean_two_things_is_asked_again(self, book, typed):
        assert taken(book, typed, AREA) == Slip("not_a_number")

    @pytest.mark.parametrize("typed", ["0.0", "0.049", "0 ha"])
    def test_a_plot_below_the_programmes_smallest_is_refused(self, book, typed):
        assert taken(book, typed, AREA) == Slip("too_small")

    @pytest.mark.parametrize("typed", ["20.1", "9 ha", "999999999"])
    def test_a_plot_above_the_programmes_largest_is_refused(self, book, typed):
        assert taken(book, typed, AREA) == Slip("too_big")

    @pytest.mark.parametrize("typed", ["0.05", "20"])
    def test_both_edges_are_taken(self, book, typed):
        assert isinstance(taken(book, typed, AREA), Taken)


class TestCounts:
    @pytest.mark.parametrize("typed", ["45 of 50", "45/50", "45 50", "45*50", "45 OF 50", "45of50", "45 - 50"])
    def test_grown_comes_before_sown(self, book, typed):
        assert taken(book, typed, COUNT) == Taken((45, 50))

    @pytest.mark.parametrize(
        ("language", "typed"), [("sw", "45 kati ya 50"), ("hi", "50 में से 45"), ("hi", "45 of 50")]
    )
    def test_each_language_has_its_own_words_and_order(self, book, language, typed):
        assert taken(book, typed, COUNT, language) == Taken((45, 50))

    def test_nothing_grown_is_a_count(self, book):
        assert taken(book, "0 of 50", COUNT) == Taken((0, 50))

    @pytest.mark.parametrize(
        ("typed", "slip"),
        [
            ("45", "not_a_count"),
            ("most", "not_a_count"),
            ("90 of 50", "more_grown"),
            ("50 45", "more_grown"),
            ("0 of 0", "not_a_count"),
            ("1 of 401", "sown_too_many"),
        ],
    )
    def test_what_cannot_be_is_asked_again(self, book, typed, slip):
        assert taken(book, typed, COUNT) == Slip(slip)


class TestNumbersAndMoney:
    @pytest.mark.parametrize(
        ("typed", "answer"),
        [
            ("60", Taken(60)),
            ("2", Taken(2)),
            ("2000", Taken(2000)),
            ("1,500", Taken(1500)),
            ("1", Slip("too_small")),
            ("2001", Slip("too_big")),
            ("2.5", Slip("not_a_number")),
            ("-5", Slip("not_a_number")),
            ("sixty", Taken(60)),
            ("a few", Slip("not_a_number")),
        ],
    )
    def test_a_whole_number_in_a_range(self, book, typed, answer):
        assert taken(book, typed, STEPS) == answer

    @pytest.mark.parametrize(
        ("language", "typed", "answer"),
        [
            ("en", "20 kg", Taken(20)),
            ("en", "20kg.", Taken(20)),
            ("en", "kg 20", Taken(20)),
            ("en", "twenty kilos", Taken(20)),
            ("sw", "kilo 20", Taken(20)),
            ("hi", "20 किलो", Taken(20)),
            ("fr", "20,5 kilogrammes", Taken(20.5)),
            ("en", "2000 g", Slip("not_a_number")),
            ("en", "20 acres", Slip("not_a_number")),
            ("en", "kg", Slip("not_a_number")),
            ("en", "20 kg 30", Slip("not_a_number")),
        ],
    )
    def test_a_number_may_come_with_the_unit_that_is_asked_for_and_with_no_other(
        self, book, language, typed, answer
    ):
        kilos = Ask(AskKind.NUMBER, low=Decimal(1), high=Decimal(999), decimals=1, unit="kg")

        assert taken(book, typed, kilos, language) == answer

    def test_without_a_unit_in_the_question_none_is_taken(self, book):
        assert taken(book, "60 kg", STEPS) == Slip("not_a_number")

    @pytest.mark.parametrize(
        ("typed", "kept"), [("2000", "2000"), ("2,000", "2000"), ("2 000", "2000"), ("12.000", "12000")]
    )
    def test_money_with_and_without_marks_of_thousands(self, book, typed, kept):
        assert taken(book, typed, MONEY) == Taken(kept)

    @pytest.mark.parametrize("typed", ["Ul 2000", "Ul2000", "2000 ul", "2000/=", "2,000"])
    def test_money_as_the_service_itself_writes_it(self, book, typed):
        assert taken(book, typed, MONEY) == Taken("2000")

    def test_money_is_never_more_than_there_is(self, book):
        assert taken(book, "2000.90", MONEY) == Taken("2000")

    def test_more_money_than_the_programme_allows_is_refused(self, book):
        assert taken(book, "100000", MONEY) == Slip("too_big")


class TestChoices:
    @pytest.mark.parametrize("typed", ["1", "1.", "1)", "१", "yes", "YES"])
    def test_by_number_or_by_a_plain_yes(self, book, typed):
        assert taken(book, typed, TWO).value == "yes"

    @pytest.mark.parametrize("typed", ["3", "0", "12", "", "maybe", "1 2", "01x"])
    def test_anything_else_is_none(self, book, typed):
        assert taken(book, typed, TWO) == Slip("not_a_choice")

    @pytest.mark.parametrize(
        ("typed", "place"),
        [
            ("1 bought", 0),
            ("1. Seed I bought", 0),
            ("2 it is my own", 1),
            ("2 My own.", 1),
            ("1 my own", None),
            ("2 bought it", None),
            ("1 seed", 0),
            ("2 acres", None),
            ("2 own 45", None),
            ("3 bought", None),
            ("bought 1", None),
        ],
    )
    def test_with_words_of_its_own_line_behind_the_number(self, typed, place):
        assert in_its_words(typed, ("Seed I bought", "My own seed")) == place


@given(typed=st.text(max_size=200))
def test_any_text_is_an_answer_or_a_slip(book, typed):
    for ask in ANY:
        assert isinstance(taken(book, typed, ask), Taken | Slip)
