"""Units of area of a programme's own, as people type them. The kanto of the demonstration is invented."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.agronomy.units import ACRE_M2
from advisor.dialogue.answers.results import Slip
from tests.dialogue.answers.typing import AREA, LANGUAGES, read, taken
from tests.dialogue.talker import Talker


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("typed", ["2 kanto", "2kanto", "kanto 2", "2 KANTO", " 2  Kanto. ", "2,0 kanto"])
def test_a_local_unit_is_read_in_every_language(book, language, typed):
    assert read(book, typed, AREA, language) == pytest.approx(2000)


@pytest.mark.parametrize(
    ("typed", "m2"), [("half kanto", 500), ("two and a half kanto", 2500), ("1/2 kanto", 500)]
)
def test_with_numbers_in_words(book, typed, m2):
    assert read(book, typed, AREA) == pytest.approx(m2)


@pytest.mark.parametrize(
    ("typed", "reason"),
    [
        ("2 kant", "unknown_unit"),
        ("2 kantos of land", "unknown_unit"),
        ("0 kanto", "too_small"),
        ("900 kanto", "too_big"),
    ],
)
def test_what_is_none_or_no_field_is_asked_for_again(book, typed, reason):
    assert taken(book, typed, AREA) == Slip(reason)


def test_a_name_that_a_language_has_for_a_unit_already_keeps_its_size(book):
    named = replace(book.registry, local_areas=(("acre", 5.0), ("kanto", 1000.0)))

    assert read(replace(book, registry=named), "2 acre", AREA) == pytest.approx(2 * ACRE_M2)


@given(st.integers(1, 60))
def test_it_is_as_many_square_metres_as_its_figure_says(book, number):
    (unit,) = book.programme.land.units

    assert read(book, f"{number} {unit.label.default}", AREA) == pytest.approx(number * unit.m2)


def test_on_the_phone_the_field_is_said_in_the_unit_of_the_programme(book):
    talker = Talker(book)
    talker.dial()
    talker.type("1", "1", "2", "1")

    shown = talker.type("4 kanto")

    assert talker.spot == "buy_list.source"
    assert shown.startswith("0.99 acre")
