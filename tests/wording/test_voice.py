"""One language of one programme: messages with values, and the one way out."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.agronomy.labels import Currency
from advisor.wording.catalogs import Catalog
from advisor.wording.errors import Mismatch, NotInAlphabet, WrongValues
from advisor.wording.segments import Alphabet
from advisor.wording.voice import Voice
from tests.wording.voices import catalog, glossary, voice

SW = """
msgctxt "seed.buy"
msgid "Buy %(seed)s."
msgstr "Nunua %(seed)s."

msgctxt "seed.packs"
msgid "%(n)s pack"
msgid_plural "%(n)s packs"
msgstr[0] "pakiti %(n)s tu"
msgstr[1] "pakiti %(n)s"
"""


class TestSayingAMessage:
    def test_the_translation_is_filled(self):
        assert voice("sw", entries=SW).say("seed.buy", "Buy %(seed)s.", seed="kg 50") == "Nunua kg 50."

    def test_a_count_chooses_the_form_and_is_said_like_any_value(self):
        speaking = voice("sw", entries=SW)

        assert speaking.plural("seed.packs", "%(n)s pack", "%(n)s packs", 1, n="1") == "pakiti 1 tu"
        assert speaking.plural("seed.packs", "%(n)s pack", "%(n)s packs", 1200, n="1,200") == "pakiti 1,200"

    def test_values_can_be_asked_for_by_name(self):
        speaking = voice("sw", entries=SW)
        said = speaking.plural_with("seed.packs", "%(n)s pack", "%(n)s packs", 2, lambda name: f"<{name}>")

        assert speaking.say_with("seed.buy", "Buy %(seed)s.", lambda name: f"<{name}>") == "Nunua <seed>."
        assert said == "pakiti <n>"

    def test_a_placeholder_may_have_any_name(self):
        text = "%(context)s %(msgid)s %(self)s %(count)s"
        values = {"context": "a", "msgid": "b", "self": "c", "count": "d"}

        assert voice("en").say("any.where", text, **values) == "a b c d"

    def test_wrong_values_are_refused(self):
        with pytest.raises(WrongValues):
            voice("sw", entries=SW).say("seed.buy", "Buy %(seed)s.")


class TestWhatIsNotTranslatedIsSaidInEnglish:
    def test_a_message(self):
        assert voice("hi").say("seed.buy", "Buy %(seed)s.", seed="50 किलो") == "Buy 50 किलो."

    def test_a_counted_message_by_the_english_rule(self):
        said = [voice("hi").plural("a.b", "%(n)s pack", "%(n)s packs", count, n=str(count)) for count in (0, 1, 2)]

        assert said == ["0 packs", "1 pack", "2 packs"]


class TestTheOneWayOut:
    def test_a_message_leaves_in_plain_signs(self):
        assert voice("en").say("a.b", "Don’t treat %(n)s kg…", n="12\u202f500") == "Don't treat 12 500 kg..."

    def test_other_alphabets_keep_their_signs(self):
        assert voice("hi").out("कदम’\x07 –\r\nदो\tतीन") == "कदम’ –\nदो तीन"

    def test_joiners_of_a_script_stay(self):
        assert voice("hi").out("क्\u200dष") == "क्\u200dष"

    @given(st.text())
    @pytest.mark.parametrize("language", ["en", "hi"])
    def test_applied_twice_it_changes_nothing_more(self, language, text):
        once = voice(language).out(text)

        assert voice(language).out(once) == once


class TestPartsThatDoNotBelongTogether:
    def test_two_languages(self):
        with pytest.raises(Mismatch):
            Voice(catalog("sw", ""), glossary("hi"), Currency("Ul", 0), "acre")

    def test_an_area_unit_that_is_none(self):
        with pytest.raises(Mismatch, match="acre, hectare"):
            Voice(Catalog.source("en"), glossary("en"), Currency("Ul", 0), "kg")

    def test_a_currency_that_cannot_be_sent(self):
        with pytest.raises(NotInAlphabet):
            Voice(Catalog.source("en"), glossary("en"), Currency("₵", 0), "acre")


class TestAVoiceIsAValue:
    def test_it_says_what_it_is(self):
        assert (voice("hi").language, voice("hi").alphabet, str(voice("hi").locale)) == ("hi", Alphabet.UCS2, "hi")

    def test_equal_parts_make_an_equal_one(self):
        assert voice("sw") == voice("sw")
        assert hash(voice("sw")) == hash(voice("sw"))
        assert voice("sw") != voice("sw", decimals=2)
