"""The small words of a language: read, refused with every fault, and understood."""

from fractions import Fraction

import pytest

from advisor.wording.errors import GlossaryFaults
from advisor.wording.glossary import COMMANDS, read_glossary
from advisor.wording.gsm import is_gsm
from advisor.wording.segments import Alphabet
from advisor.wording.units import UNITS
from tests.wording.voices import LANGUAGES, LOCALES, glossary, glossary_text


def faults_of(text):
    with pytest.raises(GlossaryFaults) as caught:
        read_glossary(text)
    return caught.value.faults


class TestTheShippedGlossaries:
    def test_there_is_one_a_language(self):
        assert sorted(path.name.split(".")[0] for path in LOCALES.glob("*.glossary.toml")) == sorted(LANGUAGES)

    @pytest.mark.parametrize("language", LANGUAGES)
    def test_each_says_what_it_is(self, language):
        found = glossary(language)

        assert found.language == language
        assert is_gsm(found.own_name)
        assert not found.reviewed

    def test_hindi_travels_in_ucs2_and_the_others_in_septets(self):
        assert [glossary(language).alphabet for language in ("en", "sw", "hi")] == [
            Alphabet.GSM7,
            Alphabet.GSM7,
            Alphabet.UCS2,
        ]

    @pytest.mark.parametrize("language", LANGUAGES)
    def test_each_has_every_number_word_and_every_key(self, language):
        found = glossary(language)

        assert {*found.number_words.values.values()} >= {*range(21), *range(30, 100, 10)}
        assert {*found.number_words.scales.values()} >= {100, 1000}
        assert {Fraction(1, 4), Fraction(1, 2), Fraction(3, 4)} <= {*found.number_words.fractions.values()}
        assert {-1, 0, 1} <= {day for days in found.day_words.near.values() for day in days}
        assert {key for _, key in found.keys} == set(COMMANDS)
        assert {unit for _, unit in found.units} == set(UNITS)


class TestWhatPeopleType:
    @pytest.mark.parametrize(
        ("language", "typed", "key"),
        [
            ("en", "BACK", "back"),
            ("en", " stop. ", "stop"),
            ("sw", "rudi", "back"),
            ("sw", "Ndio!", "yes"),
            ("sw", "la", "no"),
            ("hi", "हां", "yes"),
            ("hi", "nahi", "no"),
            ("hi", "रोकें", "stop"),
            ("en", "bus stop", None),
            ("sw", "", None),
        ],
    )
    def test_keys(self, language, typed, key):
        assert glossary(language).key_word(typed) == key

    @pytest.mark.parametrize(
        ("language", "typed", "unit"),
        [
            ("en", "Acres", "acre"),
            ("en", "ac.", "acre"),
            ("sw", "ekari", "acre"),
            ("sw", "Eka", "acre"),
            ("hi", "एकड", "acre"),
            ("hi", "हेक्टेयर", "hectare"),
            ("sw", "mita za mraba", "m2"),
            ("sw", "hatua", "step"),
            ("en", "bushel", None),
        ],
    )
    def test_units(self, language, typed, unit):
        assert glossary(language).unit(typed) == unit

    def test_a_unit_of_something_else_is_none_where_an_area_is_asked(self):
        assert glossary("en").unit("kilos") == "kg"
        assert glossary("en").unit("kilos", "area") is None
        assert glossary("en").unit("acres", "area") == "acre"


class TestWhatIsShown:
    def test_the_first_word_is_the_one_shown(self):
        assert glossary("sw").word("back") == "Rudi"
        assert glossary("hi").word("help") == "मदद"

    def test_the_first_word_of_a_keyword_is_the_one_shown(self):
        assert glossary("hi").keyword("soya") == "सोयाबीन"
        assert dict(glossary("sw").keywords)["soya"] == ("Soya", "Maharagesoya")

    def test_a_pattern_falls_back_on_its_other_form(self):
        assert glossary("en").pattern("acre", "one") == "{0} acre"
        assert glossary("en").pattern("acre", "few") == "{0} acres"
        assert glossary("en").pattern("kg", "other") is None


class TestAFaultyGlossaryIsRefusedWithEveryFault:
    def test_an_unknown_key_is_named(self):
        assert "unknown key 'colour'" in faults_of('colour = "red"\n' + glossary_text("sw"))[0]

    def test_what_is_no_toml_is_refused_with_its_line(self):
        assert "line 1" in faults_of("language = sw")[0]

    def test_faults_are_gathered(self):
        text = glossary_text("sw").replace('alphabet = "gsm7"', 'alphabet = "ascii"')
        text = text.replace("reviewed = false", "").replace('moja"]', 'moja"]\nfive = ["tano"]', 1)

        found = faults_of(text)

        assert len(found) == 3
        assert [
            word for word in ("alphabet", "reviewed", "numbers.five") if any(word in one for one in found)
        ] == [
            "alphabet",
            "reviewed",
            "numbers.five",
        ]

    @pytest.mark.parametrize(
        ("before", "after", "what"),
        [
            ('own_name = "Kiswahili"', 'own_name = "हिन्दी"', "own_name"),
            ('step = ["hatua"]', "step = []", "'units.step' has no words"),
            ('step = ["hatua"]', 'step = ["..."]', "'units.step' has no words"),
            ('step = ["hatua"]', 'step = ["kilo"]', "'kilo' means both units.kg and units.step"),
            ('no = ["Hapana"', 'no = ["NDIO!"', "'ndio' means both words.yes and words.no"),
            ('back = ["Rudi"', 'back = ["Façon"', "'words.back' holds ç"),
            ('step = "hatua {0}"', 'step = "hatua"', "'patterns.step.other' needs {0}"),
            ('step = "hatua {0}"', 'step = "{0} hatua {0}"', "'patterns.step.other' needs {0}"),
            ('step = "hatua {0}"', "", "'patterns.step' is missing"),
            ('step = "hatua {0}"', 'step = {one = "hatua {0}"}', "'patterns.step' lacks 'other'"),
            ('step = "hatua {0}"', 'step = "hatua {0}"\nm = "{0} ç"', "'patterns.m.other' holds ç"),
            ('"1/2" = ["nusu", "nusu ya"]', "", "'fractions.1/2' has no words"),
            ('"1/2" = ["nusu"', '"1/5" = ["humusi"]\n"1/2" = ["nusu"', "unknown key 'fractions.1/5'"),
            ('1 = ["moja"]', '1 = ["mbili"]', "'mbili' means both numbers.1 and numbers.2"),
            ('"1/4" = ["robo"', '"1/4" = ["nusu"', "'nusu' means both fractions.1/4 and fractions.1/2"),
            ('1000 = ["elfu", "alfu"]', "", "'numbers.1000' has no words"),
            ("scale_first = true", 'scale_first = "yes"', "'numbers.scale_first' is no yes or no"),
            ('-1 = ["jana"]', "", "'days.-1' has no words"),
            ('"siku {0} zilizopita"', '"siku zilizopita"', "'days.days_ago' needs {0} once"),
            ('10 = ["october"', '13 = ["october"', "unknown key 'months.13'"),
            ('2 = ["tuesday"]', '2 = ["monday"]', "'monday' means both weekdays.1 and weekdays.2"),
            ("{0} kati ya {1}", "{0} kati ya", "'count_of' needs {0} and {1}"),
            ("{0} kati ya {1}", "{0} kati ya {1} {2}", "'count_of' needs {0} and {1}"),
            ('soya = ["Soya"', 'soya = ["Sojaç"', "'keywords.soya' holds ç"),
            ('soya = ["Soya"', 'tea = ["SOYA"]\nsoya = ["Soya"', "'soya' means both keywords.tea and"),
            ('"tafadhali"', '"kama tafadhali"', "'asides' is no list of single words"),
        ],
    )
    def test_each_fault_says_what_is_wrong(self, before, after, what):
        assert before in glossary_text("sw")
        found = faults_of(glossary_text("sw").replace(before, after))

        assert len(found) == 1
        assert found[0].startswith(what)
