"""Kinds of values: what each says, what each refuses."""

from datetime import date, datetime
from decimal import Decimal

import pytest

from advisor.agronomy.labels import Label
from advisor.agronomy.units import ACRE_M2
from advisor.wording.errors import NotInAlphabet, WordingError
from advisor.wording.kinds import (
    Area,
    BeyondScale,
    CountOf,
    Day,
    Length,
    Mass,
    Money,
    NotOfKind,
    Number,
    OneOf,
    Packs,
    Percent,
    UnfitKind,
    Whole,
)
from tests.wording.voices import voice

BAGS = Packs("kg", ((25, 40), (5, 4), (2.5, 1)), 2)
VILLAGES = OneOf((("v1", Label("Dovi")), ("v2", Label("Kesu", (("hi", "केसू"),)))))
FIELD = Area(100, 100 * ACRE_M2)


class TestWhatAKindSays:
    @pytest.mark.parametrize(
        ("kind", "value", "en", "sw", "hi"),
        [
            (Whole(0, 2_000_000), 1_234_567, "1,234,567", "1,234,567", "12,34,567"),
            (Number(0, 10, 1), 2.55, "2.6", "2.6", "2.6"),
            (FIELD, 2.5 * ACRE_M2, "2.5 acres", "ekari 2.5", "2.5 एकड़"),
            (Mass(0, 500, "kg", 1), 50.04, "50 kg", "50 kg", "50 किलो"),
            (Mass(0, 5, "g"), 0.25, "250 g", "250 g", "250 ग्राम"),
            (Length(0, 3, "cm"), 0.6, "60 cm", "60 cm", "60 सेमी"),
            (Length(0, 300, "m", 1), 12.5, "12.5 m", "mita 12.5", "12.5 मीटर"),
            (Money(Decimal(0), Decimal(10**7)), Decimal(125000), "Ul 125,000", "Ul 125,000", "Ul 1,25,000"),
            (Money(Decimal(0), Decimal(10**7)), "12500", "Ul 12,500", "Ul 12,500", "Ul 12,500"),
            (Percent(), 0.855, "86%", "86%", "86%"),
            (CountOf(100), (45, 50), "45 of 50", "45 kati ya 50", "45/50"),
            (Day(), date(2027, 3, 9), "9 Mar", "9 Mac", "9 मार्च"),
            (VILLAGES, "v2", "Kesu", "Kesu", "केसू"),
            (BAGS, ((25, 2), (5, 1)), "2x25 + 1x5 kg", "2x25 + 1x5 kg", "2x25 + 1x5 किलो"),
            (BAGS, ((2.5, 1),), "1x2.5 kg", "1x2.5 kg", "1x2.5 किलो"),
            (BAGS, (), "0 kg", "0 kg", "0 किलो"),
            (Packs("g", ((0.25, 9),), 1), ((0.25, 3),), "3x250 g", "3x250 g", "3x250 ग्राम"),
        ],
    )
    def test_in_three_languages(self, kind, value, en, sw, hi):
        assert [kind.words(value, voice(language)) for language in ("en", "sw", "hi")] == [en, sw, hi]


class TestWhatLiesBeyondIsRefusedAndNeverSaid:
    @pytest.mark.parametrize(
        ("kind", "value", "low", "high"),
        [
            (Whole(1, 400), 401, 1, 400),
            (Whole(1, 400), 0, 1, 400),
            (Number(0, 10, 1), float("nan"), 0, 10),
            (Number(0, 10, 1), float("inf"), 0, 10),
            (FIELD, 99.9, 100, 100 * ACRE_M2),
            (FIELD, 101 * ACRE_M2, 100, 100 * ACRE_M2),
            (Mass(0, 500), -1, 0, 500),
            (Length(0, 3), 3.01, 0, 3),
            (Money(Decimal(0), Decimal(100)), Decimal("100.01"), 0, 100),
            (Money(Decimal(0), Decimal(100)), "101", 0, 100),
            (Money(Decimal(0), Decimal(100)), Decimal("NaN"), 0, 100),
            (Percent(), 1.01, 0, 1),
            (CountOf(100), (51, 50), (0, 1), (100, 100)),
            (CountOf(100), (0, 0), (0, 1), (100, 100)),
            (CountOf(100), (5, 101), (0, 1), (100, 100)),
            (BAGS, ((25, 41),), 1, 40),
            (BAGS, ((25, 0),), 1, 40),
            (BAGS, ((10, 1),), 1, 0),
            (BAGS, ((25, 1), (5, 1), (2.5, 1)), "no line", "2 lines of different sizes"),
            (BAGS, ((5, 1), (5, 1)), "no line", "2 lines of different sizes"),
        ],
    )
    def test_with_the_value_and_the_bounds(self, kind, value, low, high):
        with pytest.raises(BeyondScale) as caught:
            kind.words(value, voice("en"))

        assert (caught.value.low, caught.value.high) == (low, high)
        assert caught.value.reason == "beyond_scale"
        assert isinstance(caught.value, WordingError)

    def test_the_bounds_themselves_are_allowed(self):
        assert FIELD.words(100 * ACRE_M2, voice("en")) == "100 acres"
        assert Number(0.1, 0.3, 1).words(0.1 + 0.2, voice("en")) == "0.3"

    @pytest.mark.parametrize(
        ("kind", "value"),
        [
            (Whole(0, 9), 2.0),
            (Whole(0, 9), True),
            (Whole(0, 9), "2"),
            (Number(0, 9, 1), None),
            (FIELD, "big"),
            (Money(Decimal(0), Decimal(9)), 2.5),
            (Money(Decimal(0), Decimal(9)), "2 000"),
            (CountOf(9), 5),
            (CountOf(9), (1, 2, 3)),
            (CountOf(9), (1.0, 2)),
            (Day(), "2027-02-30"),
            (Day(), "9 March"),
            (Day(), datetime(2027, 3, 9)),  # noqa: DTZ001 - it is refused whatever its zone
            (VILLAGES, "v9"),
            (BAGS, ((25,),)),
            (BAGS, "25 kg"),
        ],
    )
    def test_another_sort_of_value_is_named(self, kind, value):
        with pytest.raises(NotOfKind) as caught:
            kind.check(value)

        assert caught.value.value == value


class TestAKindThatMakesNoSense:
    @pytest.mark.parametrize(
        "declare",
        [
            lambda: Whole(5, 4),
            lambda: Number(0, 1, -1),
            lambda: Number(0, 1, 7),
            lambda: Number(0, float("inf"), 1),
            lambda: Mass(0, 1, "acre"),
            lambda: Length(0, 1, "kg"),
            lambda: CountOf(0),
            lambda: OneOf(()),
            lambda: OneOf((("a", Label("A")), ("a", Label("B")))),
            lambda: Packs("cm", ((25, 1),), 1),
            lambda: Packs("kg", ((25, 1), (25.0, 2)), 1),
            lambda: Packs("kg", ((0, 1),), 1),
        ],
    )
    def test_is_refused_where_it_is_declared(self, declare):
        with pytest.raises(UnfitKind):
            declare()


class TestWordsThatCannotBeSent:
    def test_a_month_in_letters_outside_is_found_by_the_proof(self):
        with pytest.raises(NotInAlphabet) as caught:
            Day().widest(voice("el"))

        assert caught.value.characters == "Ιαν"

    def test_a_month_goes_without_an_accent_that_the_alphabet_lacks(self):
        assert Day().words(date(2027, 8, 1), voice("fr")) == "1 aout"

    def test_a_name_with_a_letter_outside_is_found_by_the_proof(self):
        with pytest.raises(NotInAlphabet):
            OneOf((("v1", Label("Façade")),)).widest(voice("en"))
