"""The proof behind every message: no value of a kind takes more room than the widest, and the widest is real."""

import random
from datetime import date, timedelta
from decimal import Decimal
from math import inf, nextafter

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.agronomy.labels import Currency, Label
from advisor.agronomy.units import ACRE_M2
from advisor.wording.catalogs import Catalog
from advisor.wording.errors import GlossaryFaults
from advisor.wording.glossary import read_glossary
from advisor.wording.kinds import Area, CountOf, Day, Length, Mass, Money, Number, OneOf, Packs, Percent, Whole
from advisor.wording.kinds.spans import representatives
from advisor.wording.languages import plural_category, plural_index
from advisor.wording.segments import cost
from advisor.wording.voice import Voice
from tests.wording.voices import LANGUAGES, glossary_text, voice

RANDOM_VALUES = 10_000
ROUND_THE_YEAR = date(2024, 1, 1)

VILLAGES = OneOf(tuple((f"v{n}", Label(name)) for n, name in enumerate(("Dovi", "Kesu", "Mbek", "Nuvu[1]"))))
SIZES = ((50, 99), (25, 120), (10, 4), (2.5, 3), (0.5, 1))


def packs(draw, sizes, most_lines):
    chosen = draw.sample(sizes, draw.randint(0, most_lines))
    return tuple((size, draw.randint(1, most)) for size, most in chosen)


def count_of(draw, most):
    sown = draw.randint(1, most)
    return draw.randint(0, sown), sown


# Kind, and a random legal value of it.
KINDS = {
    "whole": (Whole(0, 134_900), lambda draw: draw.randint(0, 134_900)),
    "whole around 1": (Whole(0, 1), lambda draw: draw.randint(0, 1)),
    "whole below 0": (Whole(-400, 99), lambda draw: draw.randint(-400, 99)),
    "number": (Number(0, 10, 3), lambda draw: draw.uniform(0, 10)),
    "area": (Area(20.0, 50 * ACRE_M2), lambda draw: draw.uniform(20.0, 50 * ACRE_M2)),
    "small area": (Area(0.9 * ACRE_M2, 1.1 * ACRE_M2, 1), lambda draw: draw.uniform(0.9, 1.1) * ACRE_M2),
    "mass": (Mass(0, 1000, "kg", 1), lambda draw: draw.uniform(0, 1000)),
    "grams": (Mass(0, 2.5, "g", 2), lambda draw: draw.uniform(0, 2.5)),
    "length": (Length(0.02, 3, "cm"), lambda draw: draw.uniform(0.02, 3)),
    "metres": (Length(0, 1200, "m", 2), lambda draw: draw.uniform(0, 1200)),
    "money": (Money(Decimal(0), Decimal(2_500_000)), lambda draw: Decimal(draw.randint(0, 250_000_000)) / 100),
    "margin": (
        Money(Decimal(-99_999), Decimal(120_000)),
        lambda draw: Decimal(draw.randint(-9_999_900, 12_000_000)) / 100,
    ),
    "percent": (Percent(), lambda draw: draw.random()),
    "count of": (CountOf(400), lambda draw: count_of(draw, 400)),
    "one of": (VILLAGES, lambda draw: draw.choice(VILLAGES.labels)[0]),
    "packs": (Packs("kg", SIZES, 3), lambda draw: packs(draw, SIZES, 3)),
    "no packs": (Packs("kg", (), 0), lambda draw: ()),
    "day": (Day(), lambda draw: ROUND_THE_YEAR + timedelta(days=draw.randrange(366))),
}
CASES = [(name, language) for name in KINDS for language in LANGUAGES]


class TestNoValueTakesMoreRoomThanTheWidest:
    @pytest.mark.parametrize(("name", "language"), CASES)
    def test_ten_thousand_random_values(self, name, language):
        kind, value = KINDS[name]
        speaking = voice(language)
        draw = random.Random(f"{name} {language}")
        room = kind.room(speaking)

        over = [
            said
            for said in (kind.words(value(draw), speaking) for _ in range(RANDOM_VALUES))
            if cost(said, speaking.alphabet) > room
        ]

        assert over == []

    @pytest.mark.parametrize(("name", "language"), CASES)
    def test_the_widest_is_the_words_of_a_legal_value(self, name, language):
        kind, _ = KINDS[name]
        speaking = voice(language)
        witness = kind.witness(speaking)

        kind.check(witness)
        assert kind.words(witness, speaking) == kind.widest(speaking)


class TestTheWidestIsExact:
    """Against every member of small spans, so that neither too little nor too much room is claimed."""

    @settings(max_examples=60)
    @given(st.integers(-30, 1200), st.integers(0, 300), st.integers(0, 2))
    @pytest.mark.parametrize("language", LANGUAGES)
    def test_of_numbers(self, language, low, length, decimals):
        speaking = voice(language)
        scale = 10**decimals
        members = [Decimal(units) / scale for units in range(low, low + length + 1)]
        kind = Number(members[0], members[-1], decimals)

        assert kind.room(speaking) == max(
            cost(kind.words(member, speaking), speaking.alphabet) for member in members
        )

    @settings(max_examples=60)
    @given(st.integers(0, 1200), st.integers(0, 300), st.integers(0, 2))
    @pytest.mark.parametrize("language", LANGUAGES)
    def test_of_areas_whose_unit_has_a_plural(self, language, low, length, decimals):
        speaking = voice(language)
        scale = 10**decimals
        members = [float(Decimal(units) / scale) * ACRE_M2 for units in range(low, low + length + 1)]
        kind = Area(members[0], members[-1], decimals)

        assert kind.room(speaking) == max(
            cost(kind.words(member, speaking), speaking.alphabet) for member in members
        )

    @settings(max_examples=60)
    @given(st.floats(0, 30), st.floats(0, 30), st.integers(0, 2))
    def test_of_spans_that_begin_and_end_anywhere(self, one, other, decimals):
        speaking = voice("en")
        kind = Mass(min(one, other), max(one, other), "kg", decimals)
        inner = [low + (high - low) * n / 400 for low, high in [(kind.low_kg, kind.high_kg)] for n in range(401)]
        shown = {kind.words(min(max(value, kind.low_kg), kind.high_kg), speaking) for value in inner}

        assert kind.room(speaking) >= max(cost(said, speaking.alphabet) for said in shown)
        assert kind.words(kind.witness(speaking), speaking) == kind.widest(speaking)

    def test_a_wide_plural_of_few_members_is_found(self):
        text = glossary_text("en").replace(
            'acre = { one = "{0} acre", other', 'acre = { one = "{0} acre and no more", other'
        )
        speaking = Voice(Catalog.source("en"), read_glossary(text), Currency("Ul", 0), "acre")

        assert Area(0, 9 * ACRE_M2).widest(speaking) == "1 acre and no more"

    def test_nine_is_wider_than_ten_where_decimals_are_shown(self):
        assert Number(0, 10, 2).room(voice("en")) == len("9.99")
        assert Number(9.999, 10, 2).widest(voice("en")) == "10"

    def test_a_last_bit_too_many_is_forgiven_but_never_said(self):
        high_m2, one_bit_more_m2 = 4026.6221402859765, 4026.622140285977

        said = Area(0, high_m2).words(one_bit_more_m2, voice("en"))

        assert nextafter(high_m2, inf) == one_bit_more_m2
        assert Area(0, one_bit_more_m2).words(one_bit_more_m2, voice("en")) == "1 acre"
        assert said == Area(0, high_m2).words(high_m2, voice("en")) == "0.99 acres"

    def test_the_form_that_only_round_millions_take_is_looked_at(self):
        looked_at = representatives(Decimal(1_200_000), Decimal(2_500_000), 0, lambda n: plural_category(n, "fr"))

        assert Decimal(2_000_000) in looked_at

    def test_a_minus_takes_room(self):
        assert Whole(-99, 99).widest(voice("en")) == "-99"
        assert Money(Decimal(-99), Decimal(999)).room(voice("en")) == len("-Ul 99")

    def test_sizes_that_need_more_room_are_chosen(self):
        kind = Packs("kg", ((50, 9), (2.5, 9), (1, 150)), 2)

        assert kind.widest(voice("en")) == "9x2.5 + 150x1 kg"

    def test_a_size_that_nobody_can_need_is_left_out(self):
        assert Packs("kg", ((50, 0), (1, 2)), 2).widest(voice("en")) == "2x1 kg"


class TestEachPluralFormHasItsWidestCount:
    @pytest.mark.parametrize(
        ("language", "low", "high", "witnesses"),
        [
            ("en", 0, 400, ((0, 1), (1, 400))),
            ("hi", 0, 400, ((0, 1), (1, 400))),
            ("hi", 2, 400, ((1, 400),)),
            ("sw", 1, 1, ((0, 1),)),
            ("fr", 0, 2_000_000, ((0, 1), (1, 2_000_000))),
        ],
    )
    def test_forms_and_counts(self, language, low, high, witnesses):
        assert Whole(low, high).witnesses(voice(language)) == witnesses

    @pytest.mark.parametrize("language", ["ar", "ru", "pl", "cy", "lv", "sl", "mt"])
    @pytest.mark.parametrize("high", [3, 30, 130, 1130, 20_000])
    def test_no_form_is_missed_and_no_count_of_it_has_more_digits(self, language, high):
        speaking = foreign(language)
        widest = {}
        for count in range(high + 1):
            form = plural_index(count, language)
            widest[form] = max(widest.get(form, 0), len(Whole(0, high).words(count, speaking)))

        found = Whole(0, high).witnesses(speaking)

        assert {form: len(Whole(0, high).words(count, speaking)) for form, count in found} == widest


def foreign(language):
    """A voice with the plural rules of another language, to try rules that none of ours has."""
    try:
        text = glossary_text("en").replace('language = "en"', f'language = "{language}"')
        return Voice(Catalog.source(language), read_glossary(text), Currency("Ul", 0), "acre")
    except GlossaryFaults as faults:
        raise AssertionError(faults) from faults
