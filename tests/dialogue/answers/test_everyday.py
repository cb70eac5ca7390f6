"""Everyday writings on a phone, and what only looks like one. Common usage, no source."""

import pytest

from advisor.agronomy.units import ACRE_M2, HECTARE_M2
from tests.dialogue.answers.typing import AREA, COUNT, LANGUAGES, MONEY, PARTS, SEASON, STEPS, read


class TestAreas:
    @pytest.mark.parametrize(
        ("language", "typed"),
        [
            ("en", "2ac"), ("en", "2 ac."), ("en", "2 acre"), ("en", "2acres"), ("en", "acres 2"),
            ("en", "2 Acres!"),
            ("en", "2."), ("en", "2.0"), ("en", "2,0"), ("en", "02"), ("en", "2 acres."),
            ("en", " 2  acres "),
            ("sw", "2 ekari"), ("sw", "ekari2"), ("sw", "ekari 2"), ("sw", "eka 2"), ("sw", "heka 2"),
            ("hi", "2 एकड़"), ("hi", "एकड़ 2"), ("hi", "२एकड़"), ("hi", "2।"), ("hi", "2 ekad"),
            ("fr", "2 acres"), ("fr", "2acres"), ("fr", "2,0 ac"),
        ],
    )  # fmt: skip
    def test_two_acres(self, book, language, typed):
        assert read(book, typed, AREA, language) == pytest.approx(2 * ACRE_M2)

    @pytest.mark.parametrize("typed", ["2.5 एकड़", "2½", "2½ acres", "2 ½ acres", "२½", "2٫5", "2.5.", "2 1/2ac"])
    def test_two_and_a_half(self, book, typed):
        assert read(book, typed, AREA, "hi" if "एकड़" in typed else "en") == pytest.approx(2.5 * ACRE_M2)

    @pytest.mark.parametrize(
        ("typed", "acres"),
        [("2⅓", 7 / 3), ("⅔", 2 / 3), ("⅛", 1 / 8), ("1O", 10), ("l0", 10), ("0,500", 0.5)],
    )
    def test_other_signs(self, book, typed, acres):
        assert read(book, typed, AREA) == pytest.approx(acres * ACRE_M2)

    @pytest.mark.parametrize(
        ("typed", "m2"),
        [
            ("2ha", 2 * HECTARE_M2),
            ("0.5ha", 5000),
            ("5000 sq m", 5000),
            ("10 000 m2", 10_000),
            ("1,234.5 m2", 1234.5),
        ],
    )
    def test_other_units(self, book, typed, m2):
        assert read(book, typed, AREA) == pytest.approx(m2)


class TestMoney:
    @pytest.mark.parametrize(
        "typed",
        [
            "2000", "2,000", "2.000", "2 000", "2000/=", "2000/-", "2,000/=", "Ul 2,000", "Ul2000",
            "2000 ul", "2000ul",
            "2k", "2K", "2 k", "2.0k", "2O00", "2ooo", "2000.", "2,000.00", "2.000,00", "२०००",
        ],
    )  # fmt: skip
    def test_two_thousand(self, book, typed):
        assert read(book, typed, MONEY) == "2000"

    def test_half_a_thousand_more(self, book):
        assert read(book, "2.5k", MONEY) == read(book, "2,5k", MONEY) == "2500"

    @pytest.mark.parametrize(
        "typed", ["2,500k", "2k5", "k2", "2kk", "2'000", "1,2345", "2,0000", "2000=", "ul", "12,34,5"]
    )
    def test_what_is_none(self, book, typed):
        assert read(book, typed, MONEY) == "- not_a_number"

    def test_a_part_of_one_is_no_thousand(self, book):
        assert [read(book, typed, MONEY) for typed in ("0.500", "0,500")] == ["- too_small"] * 2
        assert [read(book, typed, STEPS) for typed in ("0.500", "0,500")] == ["- not_a_number"] * 2

    @pytest.mark.parametrize(("ask", "slip"), [(AREA, "unknown_unit"), (STEPS, "not_a_number")])
    def test_k_means_thousands_of_money_only(self, book, ask, slip):
        assert read(book, "2k", ask) == f"- {slip}"


class TestCounts:
    @pytest.mark.parametrize(
        ("language", "typed"),
        [
            ("en", "45 of 50"), ("en", "45 out of 50"), ("en", "45/50"), ("en", "45-50"),
            ("en", "45, 50"), ("en", "45/50."),
            ("en", "45 of 5O"), ("en", "forty five of fifty"), ("en", "45 of fifty"),
            ("sw", "45 kati ya 50"), ("sw", "45 katika 50"), ("sw", "45katiya50"),
            ("hi", "50 में से 45"), ("hi", "५० में से ४५"), ("hi", "पचास में से पैंतालीस"),
            ("hi", "50 mein se 45"),
            ("fr", "45 sur 50"), ("fr", "quarante-cinq sur cinquante"),
        ],
    )  # fmt: skip
    def test_45_of_50(self, book, language, typed):
        assert read(book, typed, COUNT, language) == (45, 50)


JUNK = [
    "2 3", "2..5", "--", "1/0", "12/3/", "12/3", "two two", "-2", "−2", "- 2", "∞", "½½", "2²",
    "10⁵", "2^3", "+", "2+2",
    "२x", "2 ٣", "1.5.2", "1,2,3", ",", "/", "1/", "/2", "2//3", "1/2/3", "%", "50%", "$", "#2",
    "*2#", "😀", "2😀",
    "دو", "ΔΔ", "два", "二", "Ⅻ", "N/A", "?2", "(2)", "2=2", "1:2:3", "2e", "1e3", "0x10", "0b1",
    "1_000", "NaN", "inf",
    "1 000 00", "99999999999999999999", "2acresss", "2 acres 3", "2 ha 3 acres", "acre", "acres",
    "2 x 3", "of", "2 of",
]  # fmt: skip


class TestJunk:
    @pytest.mark.parametrize("typed", JUNK)
    @pytest.mark.parametrize("language", LANGUAGES)
    def test_it_is_refused_as_an_area_and_as_a_number(self, book, language, typed):
        for ask in (AREA, STEPS, PARTS):
            assert str(read(book, typed, ask, language)).startswith("- ")

    @pytest.mark.parametrize("typed", [junk for junk in JUNK if junk not in ("12/3", "2 3", "2 ٣")])
    @pytest.mark.parametrize("language", LANGUAGES)
    def test_it_is_refused_as_a_day(self, book, language, typed):
        assert str(read(book, typed, SEASON, language)).startswith("- ")

    @pytest.mark.parametrize(
        ("typed", "slip"),
        [
            ("2acresss", "unknown_unit"),
            ("1e3", "unknown_unit"),
            ("2kg", "unknown_unit"),
            ("-2", "not_a_number"),
            ("about 2", "unknown_unit"),
            ("0", "too_small"),
            ("99", "too_big"),
        ],
    )
    def test_the_reason_fits(self, book, typed, slip):
        assert read(book, typed, AREA) == f"- {slip}"
