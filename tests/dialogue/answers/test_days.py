"""Days as people write and say them. Today is Thursday, 4 March 2027; 60 days back and 120 ahead are allowed."""

from datetime import date, timedelta

import pytest
from babel import Locale
from babel.dates import format_date
from hypothesis import given
from hypothesis import strategies as st

from advisor.wording.numbers import day_and_month
from tests.dialogue.answers.typing import LANGUAGES, SEASON, TODAY, date_between, read

TWELFTH = "2027-03-12"


class TestInFigures:
    @pytest.mark.parametrize(
        "typed",
        [
            "12/3", "12-3", "12.3.", "12.3", "12 3", "12 / 3", "12/03", "12/3/27", "12/3/2027", "12/03/2027",
            "12.3.27", "12-3-2027", "12 3 2027", "१२/३", "١٢/٣", "12/3 ", "\ufeff12/3", "12/3!",
        ],
    )  # fmt: skip
    def test_the_day_comes_before_the_month(self, book, typed):
        assert read(book, typed, SEASON) == TWELFTH

    @pytest.mark.parametrize("typed", ["2027-03-12", "2027/3/12", "2027.3.12"])
    def test_a_year_in_front_is_iso_8601(self, book, typed):
        assert read(book, typed, SEASON) == TWELFTH

    def test_what_looks_american_is_read_like_all_else(self, book):
        assert read(book, "3/4", SEASON) == "2027-04-03"
        assert read(book, "3/12", date_between(-60, 300)) == "2027-12-03"

    def test_letters_like_digits_are_digits(self, book):
        assert read(book, "l2/O3", SEASON) == TWELFTH


class TestInWords:
    @pytest.mark.parametrize(
        ("language", "typed"),
        [
            ("en", "12 March"), ("en", "12 Mar"), ("en", "12th March"), ("en", "March 12"), ("en", "12 march 27"),
            ("en", "March 12, 2027"), ("en", "the 12th of March"), ("en", "12-Mar-27"), ("en", "12MARCH"),
            ("en", "twelve march"), ("en", "Friday 12 March"), ("en", "on Friday, 12/3"), ("en", "2027 March 12"),
            ("sw", "12 Machi"), ("sw", "tarehe 12 Machi"), ("sw", "tarehe 12/3"), ("sw", "12 march"),
            ("sw", "tarehe 12 mwezi wa 3"), ("sw", "mwezi wa tatu tarehe 12"), ("sw", "kumi na mbili Machi"),
            ("sw", "Ijumaa 12 Machi"), ("sw", "12 Mac"),
            ("hi", "12 मार्च"), ("hi", "१२ मार्च"), ("hi", "बारह मार्च"), ("hi", "12 march"), ("hi", "12 मार्च को"),
            ("hi", "शुक्रवार 12 मार्च"),
            ("fr", "12 mars"), ("fr", "le 12 mars"), ("fr", "12 MARS 2027"), ("fr", "vendredi 12 mars"),
            ("fr", "ven. 12 mars"), ("fr", "douze mars"),
        ],
    )  # fmt: skip
    def test_twelfth_of_march(self, book, language, typed):
        assert read(book, typed, SEASON, language) == TWELFTH

    @pytest.mark.parametrize(
        ("language", "typed", "day"),
        [
            ("fr", "1er mars", "2027-03-01"),
            ("fr", "1ᵉʳ mars", "2027-03-01"),
            ("fr", "5 févr.", "2027-02-05"),
            ("fr", "5 fevrier", "2027-02-05"),
            ("fr", "mardi 9 mars", "2027-03-09"),
            ("fr", "mar 9 mars", "2027-03-09"),
            ("fr", "sept mars", "2027-03-07"),
            ("hi", "5 फरवरी", "2027-02-05"),
            ("hi", "5 फ़रवरी", "2027-02-05"),
            ("hi", "5 जन॰", "2027-01-05"),
            ("sw", "5 mwezi wa pili", "2027-02-05"),
            ("en", "1st of may", "2027-05-01"),
        ],
    )
    def test_other_days(self, book, language, typed, day):
        assert read(book, typed, SEASON, language) == day

    def test_sept_is_september_where_a_day_stands_beside_it(self, book):
        assert read(book, "12 sept", date_between(-60, 300), "fr") == "2027-09-12"

    @pytest.mark.parametrize(
        ("typed", "month"), [("jan", 1), ("febr", 2), ("apr", 4), ("augu", 8), ("sept", 9), ("dece", 12)]
    )
    def test_a_beginning_of_three_letters_will_do(self, book, typed, month):
        assert read(book, f"7 {typed}", date_between(-60, 300)) == date(2027, month, 7).isoformat()

    @pytest.mark.parametrize(
        ("language", "typed"),
        [
            ("en", "12 Ma"),
            ("en", "12 M"),
            ("en", "12 fe"),
            ("sw", "12 de"),
            ("en", "12 ju"),
            ("fr", "12 jui"),
            ("en", "12 Marchh"),
            ("en", "12 mar apr"),
        ],
    )
    def test_one_that_two_months_have_or_none_is_not_read(self, book, language, typed):
        assert read(book, typed, SEASON, language) == "- not_a_date"


class TestFromTodayOn:
    @pytest.mark.parametrize(
        ("language", "typed", "days"),
        [
            ("en", "today", 0), ("en", "Yesterday", -1), ("en", "tomorrow", 1), ("en", "in 3 days", 3),
            ("en", "3 days ago", -3), ("en", "three days ago", -3), ("en", "2 weeks ago", -14),
            ("en", "in one week", 7), ("en", "the day after tomorrow", 2),
            ("sw", "leo", 0), ("sw", "jana", -1), ("sw", "kesho", 1), ("sw", "juzi", -2), ("sw", "keshokutwa", 2),
            ("sw", "siku 3 zilizopita", -3), ("sw", "siku tatu zilizopita", -3), ("sw", "baada ya siku 3", 3),
            ("hi", "आज", 0), ("hi", "aaj", 0), ("hi", "3 दिन पहले", -3), ("hi", "तीन दिन बाद", 3),
            ("hi", "२ हफ्ते पहले", -14),
            ("fr", "aujourd'hui", 0), ("fr", "aujourd’hui", 0), ("fr", "hier", -1), ("fr", "demain", 1),
            ("fr", "avant-hier", -2), ("fr", "il y a 3 jours", -3), ("fr", "dans trois jours", 3),
            ("fr", "il y a deux semaines", -14),
        ],
    )  # fmt: skip
    def test_near_days(self, book, language, typed, days):
        assert read(book, typed, SEASON, language) == (TODAY + timedelta(days)).isoformat()

    @pytest.mark.parametrize("typed", ["कल", "kal"])
    def test_a_word_for_yesterday_and_tomorrow_is_what_the_question_allows(self, book, typed):
        assert read(book, typed, date_between(-60, 0), "hi") == "2027-03-03"
        assert read(book, typed, date_between(0, 120), "hi") == "2027-03-05"
        assert read(book, typed, SEASON, "hi") == "- two_days"

    @pytest.mark.parametrize(
        ("language", "typed"),
        [
            ("en", "Monday"),
            ("en", "mon"),
            ("en", "on Monday"),
            ("sw", "Jumatatu"),
            ("hi", "सोमवार"),
            ("hi", "सोम"),
            ("fr", "lundi"),
            ("fr", "lun."),
        ],
    )
    def test_a_weekday_is_the_last_or_the_next(self, book, language, typed):
        assert read(book, typed, date_between(-60, 0), language) == "2027-03-01"
        assert read(book, typed, date_between(0, 120), language) == "2027-03-08"
        assert read(book, typed, SEASON, language) == "- two_days"

    @pytest.mark.parametrize(
        ("language", "typed"), [("en", "Thursday"), ("sw", "Alhamisi"), ("hi", "गुरुवार"), ("fr", "jeudi")]
    )
    def test_todays_weekday_is_today(self, book, language, typed):
        assert read(book, typed, SEASON, language) == TODAY.isoformat()


class TestTheYear:
    def test_the_one_that_the_question_allows_is_taken(self, book):
        assert read(book, "20/12", SEASON, today=date(2027, 1, 10)) == "2026-12-20"
        assert read(book, "10/1", SEASON, today=date(2026, 12, 20)) == "2027-01-10"

    def test_it_is_asked_for_where_two_would_do(self, book):
        assert read(book, "12/3", date_between(-366, 366)) == "- which_year"
        assert read(book, "12/3/26", date_between(-366, 366)) == "2026-03-12"

    def test_the_29th_of_february_is_there_in_leap_years_only(self, book):
        assert read(book, "29/2", SEASON) == "- no_such_day"
        assert read(book, "29/2", SEASON, today=date(2028, 3, 4)) == "2028-02-29"


class TestWhatIsRefused:
    @pytest.mark.parametrize(
        "typed", ["31/2", "31.4.", "12/31", "0/3", "31 June", "31/2/2027", "Monday 12/3", "12/13"]
    )
    def test_a_day_that_does_not_exist(self, book, typed):
        assert read(book, typed, SEASON) == "- no_such_day"

    @pytest.mark.parametrize(
        ("typed", "slip"),
        [
            ("1/1", "too_early"),
            ("12/3/2026", "too_early"),
            ("3/7", "too_late"),
            ("12/3/28", "too_late"),
            ("61 days ago", "too_early"),
            ("in 121 days", "too_late"),
        ],
    )
    def test_a_day_beyond_the_bounds(self, book, typed, slip):
        assert read(book, typed, SEASON) == f"- {slip}"

    def test_both_bounds_are_taken(self, book):
        first, last = (TODAY + timedelta(days) for days in (-60, 120))
        for day in (first, last):
            assert read(book, f"{day.day}/{day.month}", SEASON) == day.isoformat()

    @pytest.mark.parametrize(
        "typed",
        [
            "", "12", "12.", "March", "12/3/", "/12/3", "12//3", "12/3-27", "12/3/7", "12/3/027", "120/3",
            "12/300", "2 1/2", "2.5 March", "12 13 March", "12 Smarch", "12 March 3 April", "soon", "-12/3",
            "12/3 12/3", "1e3", "twelve three", "12 March March", "2027", "20270312",
        ],
    )  # fmt: skip
    def test_what_is_no_date(self, book, typed):
        assert read(book, typed, SEASON) == "- not_a_date"


class TestLaws:
    @given(days=st.integers(-60, 120), today=st.dates(date(2020, 1, 1), date(2040, 1, 1)))
    @pytest.mark.parametrize("language", LANGUAGES)
    def test_a_day_that_the_advisor_says_is_read_back(self, book, language, days, today):
        day = today + timedelta(days)

        said = day_and_month(day, book.voices[language])
        assert read(book, said, SEASON, language, today) == day.isoformat()

    @given(days=st.integers(-60, 120), width=st.sampled_from(["d MMMM", "d MMMM y", "EEEE d MMMM", "d MMM y"]))
    @pytest.mark.parametrize("language", LANGUAGES)
    def test_a_day_in_the_words_of_the_locale_data_is_read(self, book, language, days, width):
        """CLDR as Babel ships it is the source of names in each language."""
        day = TODAY + timedelta(days)

        said = format_date(day, width, Locale.parse(language))
        assert read(book, said, SEASON, language) == day.isoformat()

    @given(days=st.integers(-60, 120), separator=st.sampled_from("/.- "), script=st.sampled_from("0०٠০０"))
    def test_digits_of_any_script_are_read_like_our_own(self, book, days, separator, script):
        day = TODAY + timedelta(days)
        typed = f"{day.day}{separator}{day.month}{separator}{day.year}"

        other = "".join(chr(ord(script) + int(char)) if char.isdecimal() else char for char in typed)
        assert read(book, other, SEASON) == day.isoformat()

    @given(typed=st.text(alphabet="0123456789/.-: marchtodyeslun", max_size=14), low=st.integers(-366, 366))
    def test_what_is_taken_lies_between_the_bounds(self, book, typed, low):
        answer = read(book, typed, date_between(low, 366))

        if not answer.startswith("-"):
            assert TODAY + timedelta(low) <= date.fromisoformat(answer) <= TODAY + timedelta(366)
