"""An SMS in one line gets its answer in one reply, and touches nothing else."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.dialogue.answers import Taken, tidy, understand
from advisor.dialogue.checks.one_line_faults import answering_screens
from advisor.dialogue.checks.one_line_proof import widest_messages
from advisor.dialogue.one_line.texts import WRITE_LIKE
from advisor.dialogue.screens import ENGINE
from advisor.wording.segments import ROOM_IN_ONE_LINE, SEGMENTS_IN_ONE_LINE, cost, segments
from advisor.wording.units import UNITS
from tests.dialogue.oneline import LANGUAGES, missing
from tests.dialogue.talker import Talker


class TestWaysOfWriting:
    @pytest.mark.parametrize(
        "typed",
        [
            "SOYA 2 ACRES",
            "soya 2",
            "2 acres soya",
            "SOYA,2 ACRES",
            "soya: 2 acres.",
            "Soya - 2 acres!",
            "soya2acres",
            "soya two acres",
            "acres 2 soya",
            "Hi, please soya for my field of 2 acres, thanks",
            "SOYA 2.0 ac",
            "soyabeans 2 acres",
            "soya ２ acres",
            "soya ٢ acres",
            "2 acres/soya",
            '"SOYA" = 2 acres',
            "(soya) *2* acres 🌱",
        ],
    )
    def test_order_signs_and_polite_words_do_not_matter(self, talker, typed):
        assert missing(talker.sms(typed), "en") == []

    @pytest.mark.parametrize(
        ("typed", "language"),
        [
            ("soya ekari 2", "sw"),
            ("soya ekari mbili", "sw"),
            ("tafadhali soya ekari 2", "sw"),
            ("Habari, naomba soya kwa ekari 2", "sw"),
            ("सोयाबीन 2 एकड़", "hi"),
            ("सोयाबीन २ एकड़", "hi"),
            ("कृपया दो एकड़ सोयाबीन", "hi"),
            ("bonjour, soja 2 acres svp", "fr"),
            ("deux acres de soja", "fr"),
        ],
    )
    def test_the_answer_speaks_the_language_that_was_written(self, talker, typed, language):
        assert missing(talker.sms(typed), language) == []

    @pytest.mark.parametrize(
        ("typed", "area"),
        [
            ("soya: 2,5 ekari", "ekari 2.5"),
            ("soya ekari mbili na nusu", "ekari 2.5"),
            ("Soya 1/2 acre", "0.5 acres"),
            ("soya .5 acre", "0.5 acres"),
            ("2½ acres soya", "2.5 acres"),
            ("soyabean 1 ha", "2.47 acres"),
            ("soya mita za mraba 5000", "ekari 1.24"),
            ("deux hectares et demi de soja", "6,18 acres"),
        ],
    )
    def test_the_area_is_the_one_that_was_written(self, talker, typed, area):
        assert talker.sms(typed).startswith(area)

    @pytest.mark.parametrize(
        "typed", ["saya 2 acres", "soya 2 acers", "soyabaen 2 akres", "SOAY 2 ACRE", "sooya 2acrs"]
    )
    def test_small_mistakes_are_forgiven(self, talker, typed):
        assert missing(talker.sms(typed), "en") == []


class TestHowManyWords:
    def test_blanks_that_a_gateway_fills_up_with_change_nothing(self, talker):
        assert talker.sms("STOP" + " " * 500) == talker.sms("STOP")

    def test_stop_among_three_words_is_told_how_to_stop_and_among_four_is_a_story(self, talker):
        assert talker.sms("now stop this") == "To stop our messages, write STOP."
        assert "STOP" not in talker.sms("now stop this thing")

    def test_a_misspelt_keyword_is_forgiven_among_twelve_words_and_not_among_thirteen(self, talker):
        story = [f"word{letter}" for letter in "abcdefghij"]

        assert "SOYA 2.5 ACRES" in talker.sms(" ".join(["saya", "2", *story]))
        assert "SOYA" not in talker.sms(" ".join(["saya", "2", *story, "wordk"]))


class TestWhatIsLeftOut:
    @pytest.mark.parametrize(
        "typed",
        [
            "soya 1 field 1/2 acre",
            "field 1 soya 1/2 acre",
            "2 soya 500 m2",
            "soya 2 please 500 m2",
            "soya twenty field two acres",
            "soya shamba 2 langu nusu ekari",
            "soja 1 champ 1/2 hectare",
        ],
    )
    def test_makes_no_number_of_two(self, talker, typed):
        shown = talker.sms(typed)

        assert "Buy:" not in shown
        assert "Nunua:" not in shown
        assert "Achat:" not in shown

    @pytest.mark.parametrize("typed", ["soya 10 ares", "soja 10 ares", "soya 10 are", "soja 5 decares"])
    def test_another_measure_of_land_is_not_taken_for_acres_or_hectares(self, talker, typed):
        assert not talker.sms(typed)[0].isdigit()


def words_in(book, language):
    """Amounts in words and areas in every unit of a language, as people may write them."""
    glossary = book.voices[language].glossary
    units = [word for word, unit in glossary.units if UNITS[unit].measures == "area"]
    known = glossary.number_words
    yield from (f"{number} {units[0]}" for numbers in (known.values, known.fractions) for number in numbers)
    yield from (f"2 {unit}" for unit in units)
    yield from (f"{unit} 2" for unit in units)


@pytest.mark.parametrize("language", LANGUAGES)
def test_whatever_is_an_area_in_a_dialogue_is_one_beside_a_keyword(book, language):
    keyword, voice = book.keywords["soya"], book.voices[language]
    talker = Talker(book)
    talker.dial()
    talker.type(LANGUAGES[language], "1", "1")
    tried = 0
    for text in words_in(book, language):
        taken = understand(tidy(text), keyword.question, voice, book.registry)
        if isinstance(taken, Taken):
            tried += 1
            shown = talker.sms(f"{voice.glossary.keyword('soya')} {text}")
            assert book.registry.area.words(taken.value, voice) in shown, text
    assert tried > 30


class TestWhatIsNotUnderstood:
    @pytest.mark.parametrize(
        ("typed", "reason"),
        [
            ("soya lots", "Type a number, like SOYA 2.5 ACRES."),
            ("soya 2 kg", "We do not know that unit. Type like SOYA 2.5 ACRES."),
            ("soya 500 acres", "Too much. At most 20 acres.\nWrite like: SOYA 2.5 ACRES"),
            ("soya 0", "Too little. At least 0.05 acres.\nWrite like: SOYA 2.5 ACRES"),
            ("soya 2,500 acres", "Write like: SOYA 2.5 ACRES"),
            ("soya 1-2 acres", "Write like: SOYA 2.5 ACRES"),
            ("soya.5 acres", "Write like: SOYA 2.5 ACRES"),
            ("soya 5%", "Write like: SOYA 2.5 ACRES"),
            ("soya 5/=", "Write like: SOYA 2.5 ACRES"),
            ("soya $5", "Write like: SOYA 2.5 ACRES"),
            ("soya 2 acres and maize 1 acre", "Write like: SOYA 2.5 ACRES"),
            ("SOYA 2 ACRES my own seed", "Write like: SOYA 2.5 ACRES"),
            ("I want to plant soybean on 2 acres", "Write like: SOYA 2.5 ACRES"),
            ("soya 2 3 acres", "Write like: SOYA 2.5 ACRES"),
        ],
    )
    def test_the_reason_comes_with_an_example(self, talker, typed, reason):
        assert talker.sms(typed) == reason
        assert talker.session is None

    def test_a_unit_near_to_two_units_is_asked_for_again(self, talker):
        """``heka`` is an acre and ``hekta`` a hectare in Swahili: ``hekar`` could be either."""
        assert talker.sms("soya hekar 2") == "Hatujui kipimo hicho. Andika kama SOYA EKARI 2.5."

    @pytest.mark.parametrize("typed", ["SOYA", "soya please", "Hello, I want soya beans!", "saya"])
    def test_without_an_area_it_says_how_to_write(self, talker, typed):
        assert talker.sms(typed) == "Write like: SOYA 2.5 ACRES"

    def test_every_example_that_is_given_is_understood(self, book):
        for language, digit in LANGUAGES.items():
            talker = Talker(book)
            talker.dial()
            talker.type(digit, "1", "1")
            said = book.voices[language].say(ENGINE, WRITE_LIKE, example="|")
            before, after = said.split("|")
            answer = talker.sms("soya")
            assert (answer.startswith(before), answer.endswith(after)) == (True, True), answer
            told = answer.removeprefix(before).removesuffix(after)
            assert "2" in told
            assert "5,550" in talker.sms(told).replace(" ", ","), language

    @pytest.mark.parametrize("typed", ["hello", "sofa is broken", "how are you", ""])
    def test_anything_else_begins_the_dialogue_as_before(self, talker, typed):
        talker.sms(typed)

        assert talker.spot == "welcome.language"


class TestWidths:
    def test_every_answer_fits_one_message_and_its_widest_text_was_really_produced(self, book):
        answers = [screen for flow in book.flows.values() for screen in answering_screens(flow)]
        assert len(book.answers) == len(answers) * len(book.voices)
        for (spot, language), layout in book.answers.items():
            alphabet = book.voices[language].alphabet
            (text,), (claimed,) = layout.widest, layout.costs
            assert cost(text, alphabet) == claimed <= ROOM_IN_ONE_LINE[alphabet], (spot, language)
            assert segments(text) <= SEGMENTS_IN_ONE_LINE[alphabet]

    def test_so_does_everything_else_that_is_said(self, book):
        for voice in book.voices.values():
            said = list(widest_messages(book.keywords, voice, book.registry))
            assert len(said) > 10
            assert all(cost(one.text, voice.alphabet) <= one.room for one in said)
            longer = [one.room for one in said if one.room > ROOM_IN_ONE_LINE[voice.alphabet]]
            assert len(longer) == 1, "the answer to HELP alone may take a segment more"

    def test_no_answer_has_a_line_of_the_menu_or_of_a_page(self, book):
        for (_, language), layout in book.answers.items():
            lines = layout.widest[0].splitlines()
            assert not any(line.startswith(("0 ", "00 ", "9 ")) for line in lines), language

    @settings(max_examples=150, deadline=None)
    @given(
        hundredths=st.integers(5, 2000),
        language=st.sampled_from(sorted(LANGUAGES)),
        seed=st.sampled_from(["", "own", "good", "middle", "bad", "bought bad", "bought good"]),
    )
    def test_no_answer_of_any_area_and_seed_is_wider_than_proven(self, book, hundredths, language, seed):
        talker = Talker(book)
        talker.dial()
        talker.type(LANGUAGES[language], "1", "1")
        counts = {"good": "95 100", "middle": "70 100", "bad": "40 100"}
        if seed.startswith("bought"):
            talker.type("1", "2", "1", "1", "4", "3", counts[seed.split()[1]], "2")
        elif seed:
            talker.type("1", "2", "2", *(["2"] if seed == "own" else ["1", counts[seed], "2"]))
        shown = talker.sms(f"soya {hundredths / 100}")
        widest = max(layout.costs[0] for (_, code), layout in book.answers.items() if code == language)

        assert "poison" in shown or language != "en"
        assert cost(shown, book.voices[language].alphabet) <= widest

    @settings(max_examples=200, deadline=None)
    @given(st.text(max_size=60) | st.text(max_size=30).map("soya {} 2".format))
    def test_any_text_at_all_gets_a_reply(self, book, text):
        assert Talker(book).sms(text) != ""
