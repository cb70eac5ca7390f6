"""Months and weekdays by the names that people type. The names are those of CLDR, as Babel ships it."""

import pytest
from babel import Locale

from advisor.wording.calendar import month_named, weekday_named
from tests.wording.voices import LANGUAGES, voice


@pytest.mark.parametrize("language", LANGUAGES)
class TestNames:
    @pytest.mark.parametrize("width", ["wide", "abbreviated"])
    def test_every_month_of_the_locale_data_is_known(self, language, width):
        names = Locale.parse(language).months["format"][width]

        assert {number: month_named(name.upper(), voice(language)) for number, name in names.items()} == {
            number: number for number in range(1, 13)
        }

    @pytest.mark.parametrize("width", ["wide", "abbreviated"])
    def test_every_weekday_of_the_locale_data_is_known(self, language, width):
        """Babel counts from 0 for Monday, ISO 8601 from 1."""
        names = Locale.parse(language).days["format"][width]

        assert {number: weekday_named(name, voice(language)) for number, name in names.items()} == {
            number: number + 1 for number in range(7)
        }

    def test_a_name_with_its_end_cut_off_is_its_own_month_or_none(self, language):
        for number, name in Locale.parse(language).months["format"]["wide"].items():
            for length in range(1, len(name)):
                assert month_named(name[:length], voice(language)) in (None, number)

    @pytest.mark.parametrize("typed", ["", "x", "12", "%", "monthly"])
    def test_anything_else_is_none(self, language, typed):
        assert month_named(typed, voice(language)) is None
        assert weekday_named(typed, voice(language)) is None


def test_the_glossarys_own_names_are_known_too():
    assert month_named("March", voice("sw")) == month_named("सितम्बर", voice("hi")) - 6 == 3
    assert weekday_named("somvar", voice("hi")) == 1
    assert weekday_named("इतवार", voice("hi")) == 7
