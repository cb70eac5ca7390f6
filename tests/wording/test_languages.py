"""Plural forms: the rule of the locale data, and whether a catalog's header agrees with it."""

from decimal import Decimal

import pytest

from advisor.wording.errors import UnknownLanguage
from advisor.wording.languages import header_agrees, locale_of, plural_category, plural_forms, plural_index


class TestWhichFormACountTakes:
    # CLDR 47 plural rules: hi and am take the first form for 0 and 1, en and sw for 1 only, yo has one form.
    @pytest.mark.parametrize(
        ("language", "forms"),
        [
            ("en", [1, 0, 1]),
            ("sw", [1, 0, 1]),
            ("ha", [1, 0, 1]),
            ("ny", [1, 0, 1]),
            ("hi", [0, 0, 1]),
            ("am", [0, 0, 1]),
            ("fr", [0, 0, 1]),
            ("yo", [0, 0, 0]),
        ],
    )
    def test_none_one_and_two(self, language, forms):
        assert [plural_index(count, language) for count in (0, 1, 2)] == forms

    def test_the_millions_of_french_take_the_last_form(self):
        assert plural_category(10**6, "fr") == "many"
        assert plural_index(10**6, "fr") == 1

    def test_a_measure_counts_its_decimals(self):
        assert plural_category(Decimal(1), "en") == "one"
        assert plural_category(Decimal("1.5"), "en") == "other"
        assert plural_category(Decimal("0.5"), "hi") == "one"

    def test_six_forms_of_arabic_in_the_order_of_catalogs(self):
        assert plural_forms("ar") == ("zero", "one", "two", "few", "many", "other")


class TestWhetherAHeaderAgrees:
    @pytest.mark.parametrize(
        ("expression", "nplurals", "language", "agrees"),
        [
            ("(n != 1)", 2, "sw", True),
            ("n > 1", 2, "hi", True),
            ("(n != 1)", 2, "hi", False),
            ("n != 1", 3, "sw", False),
            ("0", 1, "yo", True),
            ("n !! 1", 2, "sw", False),
            ("n / 0", 2, "sw", False),
            ("__import__('os')", 2, "sw", False),
        ],
    )
    def test_header(self, expression, nplurals, language, agrees):
        assert header_agrees(expression, nplurals, language) is agrees


class TestLanguageCodes:
    @pytest.mark.parametrize("language", ["xx", "", "sw/../hi", "english"])
    def test_what_the_locale_data_lack_is_refused(self, language):
        with pytest.raises(UnknownLanguage):
            locale_of(language)

    def test_a_country_may_follow(self):
        assert locale_of("pt_MZ").territory == "MZ"
