"""Numbers, money, percentages and dates: rounded as people round, and in signs that can be sent."""

from datetime import date, timedelta
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction

import pytest
from babel.numbers import format_decimal
from hypothesis import given
from hypothesis import strategies as st

from advisor.wording.gsm import is_gsm
from advisor.wording.numbers import day_and_month, exact, fixed, money, number, percent, trimmed
from tests.wording.voices import LANGUAGES, voice

AMOUNTS = st.decimals(min_value=-(10**9), max_value=10**9, allow_nan=False, allow_infinity=False, places=6)


class TestRounding:
    @pytest.mark.parametrize(
        ("value", "decimals", "shown"),
        [
            (2.675, 2, "2.68"),
            (1.005, 2, "1.01"),
            (0.285 * 100, 0, "29"),
            (1.1 + 2.2, 2, "3.3"),
            (0.5, 0, "1"),
            (1.5, 0, "2"),
            (2.5, 0, "3"),
            (-2.5, 0, "-3"),
            (-0.004, 2, "0"),
            (2.0, 2, "2"),
            (2.50, 2, "2.5"),
            (100, 0, "100"),
            (1e9, 2, "1000000000"),
            (Decimal("0.30"), 2, "0.3"),
        ],
    )
    def test_half_goes_up_and_trailing_zeros_go(self, value, decimals, shown):
        assert str(trimmed(value, decimals)) == shown

    @given(AMOUNTS, st.integers(0, 4))
    def test_decimals_are_rounded_exactly(self, value, decimals):
        assert fixed(value, decimals) == value.quantize(Decimal(1).scaleb(-decimals), ROUND_HALF_UP)

    @given(st.floats(0, 1e6), st.integers(0, 3))
    def test_a_quantity_to_buy_is_never_shown_lower_by_more_than_half_a_unit(self, needed, decimals):
        half = Fraction(1, 2 * 10**decimals)
        # Twelve digits are what a float here can be believed to.
        unsure = Fraction(needed) / 10**11

        assert Fraction(trimmed(needed, decimals)) >= Fraction(needed) - half - unsure

    @given(st.floats(-1e6, 1e6))
    def test_a_float_means_its_first_twelve_digits(self, value):
        assert float(exact(value)) == pytest.approx(value, rel=1e-11)


class TestNumbersInALanguage:
    @pytest.mark.parametrize(
        ("language", "shown"),
        [("en", "1,234,567.5"), ("sw", "1,234,567.5"), ("hi", "12,34,567.5"), ("fr", "1 234 567,5")],
    )
    def test_grouping(self, language, shown):
        assert number(1234567.5, voice(language), 2) == shown

    @given(AMOUNTS, st.integers(0, 3))
    @pytest.mark.parametrize("language", LANGUAGES)
    def test_it_is_what_the_locale_data_say_once_it_can_be_sent(self, language, value, decimals):
        speaking = voice(language)
        pattern = {"hi": "#,##,##0"}.get(language, "#,##0") + ("." + "#" * decimals if decimals else "")
        by_babel = format_decimal(trimmed(value, decimals), format=pattern, locale=language)

        assert number(value, speaking, decimals) == speaking.out(by_babel)

    @given(AMOUNTS)
    @pytest.mark.parametrize("language", LANGUAGES)
    def test_digits_are_latin_and_nothing_needs_ucs2(self, language, value):
        shown = number(value, voice(language), 3)

        assert is_gsm(shown)
        assert sum(c.isdecimal() for c in shown) == sum(c in "0123456789" for c in shown) > 0


class TestMoney:
    @pytest.mark.parametrize(
        ("language", "decimals", "amount", "shown"),
        [
            ("en", 0, 12500, "Ul 12,500"),
            ("sw", 0, Decimal("12500.5"), "Ul 12,501"),
            ("hi", 0, Decimal(1250000), "Ul 12,50,000"),
            ("fr", 2, Decimal("12500.5"), "Ul 12 500,50"),
            ("en", 2, 3, "Ul 3.00"),
            ("en", 0, -500, "-Ul 500"),
            ("en", 0, Decimal("-0.4"), "Ul 0"),
        ],
    )
    def test_sign_grouping_and_all_decimals_of_the_currency(self, language, decimals, amount, shown):
        assert money(amount, voice(language, decimals=decimals)) == shown


class TestPercentages:
    @pytest.mark.parametrize(
        ("fraction", "shown"),
        [(0.85, "85%"), (0.285, "29%"), (0.995, "100%"), (0, "0%"), (1, "100%"), (0.004, "0%")],
    )
    def test_whole_and_half_up(self, fraction, shown):
        assert percent(fraction, voice("en")) == shown

    def test_french_sets_a_space_that_can_be_sent(self):
        assert percent(0.5, voice("fr")) == "50 %"


class TestDates:
    @pytest.mark.parametrize(
        ("language", "shown"), [("en", "3 Aug"), ("sw", "3 Ago"), ("hi", "3 अग॰"), ("fr", "3 aout")]
    )
    def test_day_and_short_month(self, language, shown):
        assert day_and_month(date(2027, 8, 3), voice(language)) == shown

    @pytest.mark.parametrize("language", ["en", "sw", "fr"])
    def test_every_day_of_a_year_can_be_sent_in_septets(self, language):
        year = [date(2028, 1, 1) + timedelta(days=day) for day in range(366)]
        shown = [day_and_month(day, voice(language)) for day in year]

        assert len(set(shown)) == 366
        assert all(map(is_gsm, shown))
