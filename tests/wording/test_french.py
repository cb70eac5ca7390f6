"""French, whose numbers, dates and letters break the GSM alphabet if nobody looks after them."""

import re
from datetime import date, timedelta
from decimal import Decimal

import gsmcodecs
import polib
import pytest
from babel import Locale
from babel.dates import format_date
from babel.messages.plurals import get_plural
from babel.numbers import format_decimal, format_percent
from hypothesis import given
from hypothesis import strategies as st

from advisor.dialogue.answers.words import in_digits
from advisor.loading import load_material
from advisor.wording.gsm import gsm_safe, outside
from advisor.wording.kinds import Whole
from advisor.wording.languages import header_agrees, plural_forms
from advisor.wording.measures import measure
from advisor.wording.numbers import day_and_month, money, number, percent
from tests.wording.voices import LOCALES, glossary, voice

#: Lower and upper letters that French writes beside A to Z (from memory).
LETTERS = "àâæçéèêëîïôœùûüÿÀÂÆÇÉÈÊËÎÏÔŒÙÛÜŸ"
#: Those of them in 3GPP TS 23.038, clause 6.2.1.
IN_ALPHABET = "àæéèùüÆÇÉÜ"

ODD_SPACES = str.maketrans({"\u202f": " ", "\u00a0": " "})
YEAR = [date(2028, 1, 1) + timedelta(days=day) for day in range(366)]


def sendable(text):
    """Whether the reference codec of the standard's table takes a text."""
    assert gsmcodecs.__name__
    try:
        text.encode("gsm23.038")
    except UnicodeEncodeError:
        return False
    return True


class TestTheLetters:
    def test_those_of_the_standard_can_be_sent_and_the_others_not(self):
        assert [letter for letter in LETTERS if not outside(letter)] == list(IN_ALPHABET)
        assert [letter for letter in LETTERS if sendable(letter)] == list(IN_ALPHABET)

    def test_signs_become_plain_ones_and_letters_stay_for_the_author(self):
        assert gsm_safe("«\u00a0l’eau\u202f»\u202f: 5\u202f%…") == '" l\'eau " : 5 %...'
        assert gsm_safe("ça œuvre") == "ça œuvre"

    def test_every_translation_can_be_sent_as_it_stands(self):
        catalog = polib.pofile(str(LOCALES / "fr.po"))
        texts = [text for entry in catalog for text in (entry.msgstr, *entry.msgstr_plural.values())]

        assert len(texts) > 100
        assert [text for text in texts if not sendable(text)] == []

    def test_the_language_names_itself_in_letters_that_every_phone_shows(self):
        assert glossary("fr").own_name.isascii()


class TestNumbersAreTheLocaleDatasButForTheSpaces:
    """Against CLDR as Babel has it: comma, groups of three, a space before the sign."""

    @given(st.decimals(min_value=-(10**9), max_value=10**9, places=2))
    def test_numbers(self, value):
        by_cldr = format_decimal(value, locale="fr", decimal_quantization=False)

        assert number(value, voice("fr"), 2).replace("-0", "0") == by_cldr.translate(ODD_SPACES).replace("-0", "0")
        assert sendable(number(value, voice("fr"), 2))

    @given(st.integers(0, 100))
    def test_percentages(self, whole):
        assert percent(whole / 100, voice("fr")) == format_percent(whole / 100, locale="fr").translate(ODD_SPACES)

    @pytest.mark.parametrize(
        ("decimals", "amount", "said"),
        [(0, 5550, "Ul 5 550"), (0, 999, "Ul 999"), (2, Decimal("1234567.5"), "Ul 1 234 567,50")],
    )
    def test_money_has_the_programmes_sign_in_front(self, decimals, amount, said):
        assert money(amount, voice("fr", decimals=decimals)) == said

    def test_the_locale_data_do_hold_the_odd_space(self):
        """Else the tests above would compare nothing."""
        assert "\u202f" in format_decimal(12500, locale="fr")
        assert "\u00a0" in format_percent(0.5, locale="fr")


class TestDays:
    def test_every_day_of_a_leap_year_is_cldrs_and_can_be_sent(self):
        """August goes without its accent, as in the spelling of 1990 (Journal officiel, 6 December 1990); the
        stop of a shortened month is left out, since it would stand beside that of the sentence."""
        for day in YEAR:
            by_cldr = format_date(day, "d MMM", locale="fr")
            said = day_and_month(day, voice("fr"))
            assert said == by_cldr.replace("août", "aout").removesuffix("."), day
            assert sendable(said)

    def test_the_accents_that_can_be_sent_are_kept(self):
        assert day_and_month(date(2028, 2, 3), voice("fr")) == "3 févr"
        assert day_and_month(date(2028, 12, 3), voice("fr")) == "3 déc"


class TestPluralForms:
    def test_nothing_and_one_and_a_half_are_singular(self):
        """CLDR plural rules, fr: ``one`` where the whole part is 0 or 1."""
        said = [
            measure(Decimal(acres), "acre", voice("fr"), 2) for acres in ("0", "0.5", "1", "1.99", "2", "19.5")
        ]

        assert said == ["0 acre", "0,5 acre", "1 acre", "1,99 acre", "2 acres", "19,5 acres"]

    def test_the_header_is_gettexts_and_agrees_with_cldr_but_for_millions(self):
        header = polib.pofile(str(LOCALES / "fr.po")).metadata["Plural-Forms"]
        gettexts = get_plural("fr")

        assert header == f"nplurals={gettexts.num_plurals}; plural=(n > 1);"
        assert gettexts.plural_expr == "(n > 1)"
        assert header_agrees("(n > 1)", 2, "fr")
        assert plural_forms("fr") == ("one", "other")
        assert set(Locale("fr").plural_form.rules) | {"other"} == {"one", "many", "other"}

    def test_no_counted_text_reaches_the_millions_that_catalogs_have_no_form_for(self):
        material = load_material()
        assert material.registry is not None
        counted = {
            screen.say.count
            for flow in material.flows.values()
            for screen in flow.screens
            if screen.say and screen.say.other
        }
        kinds = [
            kind
            for calculation in material.registry.calculations
            for name, kind in calculation.gives
            if name in counted
        ]

        assert kinds
        assert all(isinstance(kind, Whole) and kind.high < 10**6 for kind in kinds)


class TestWhatPeopleType:
    @pytest.mark.parametrize(
        ("typed", "value"),
        [
            ("zéro", "0"), ("une", "1"), ("Dix-sept", "17"), ("soixante-dix", "70"), ("septante", "70"),
            ("septante cinq", "75"), ("quatre vingt", "80"), ("quatre-vingts", "80"), ("huitante", "80"),
            ("quatre-vingt-dix", "90"), ("nonante", "90"), ("nonante neuf", "99"), ("cent", "100"),
        ],
    )  # fmt: skip
    def test_number_words_of_france_belgium_and_switzerland(self, typed, value):
        assert in_digits(typed, glossary("fr")) == value

    @pytest.mark.parametrize(
        ("typed", "key"),
        [
            ("retour", "back"), ("MENU", "menu"), ("aide", "help"), ("Suite", "more"), ("oui", "yes"),
            ("d’accord", "yes"), ("non", "no"), ("arrêt", "stop"), ("arret", "stop"), ("ARRETEZ", "stop"),
        ],
    )  # fmt: skip
    def test_keys(self, typed, key):
        assert glossary("fr").key_word(typed) == key

    @pytest.mark.parametrize(
        ("typed", "unit"),
        [
            ("acres", "acre"), ("Hectare", "hectare"), ("ha", "hectare"), ("m²", "m2"), ("mètres carrés", "m2"),
            ("metre carre", "m2"), ("kilos", "kg"), ("grammes", "g"), ("pas", "step"),
        ],
    )  # fmt: skip
    def test_units(self, typed, unit):
        assert glossary("fr").unit(re.sub("²", "2", typed)) == unit
