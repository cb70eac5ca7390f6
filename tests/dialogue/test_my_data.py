"""My data: what is kept is said, consent is taken back, everything is erased, and the word that leads there."""

from __future__ import annotations

import pytest

from advisor.dialogue.erasing import way_to_erasing
from advisor.dialogue.talk import Agree, Erase, Spot, Start, Stop, Withdraw
from advisor.records.grower import Grower
from advisor.wording.folding import folded
from tests.dialogue.small import small_book
from tests.dialogue.talker import Talker

MY_DATA = ("8", "6")
#: Every word for erasing that a glossary has.
WORDS = {
    "en": ("erase", "ERASE", " Erase. ", "delete my data"),
    "sw": ("futa", "FUTA"),
    "hi": ("मिटाओ", "hatao"),
    "fr": ("effacer", "Effacer mes donnees"),
}


@pytest.fixture
def settled(known):
    """A grower who agreed and whose field is known, back at the menu."""
    known.type("1", "2.5", "00")
    assert known.spot == "welcome.menu"
    return known


class TestWhatIsKept:
    def test_is_said_to_who_agreed(self, settled):
        settled.type(*MY_DATA)

        assert settled.spot == "my_data.about"

    def test_is_nothing_of_who_did_not_agree_and_can_be_changed(self, talker):
        talker.dial()
        talker.type("1", "2", "2", *MY_DATA)
        assert talker.spot == "my_data.nothing"

        talker.type("1")

        assert talker.effects[0] == Agree()
        assert talker.spot == "welcome.menu"
        assert talker.grower.fact("grower.village") is not None, "what was said in this conversation is kept"


class TestConsentTakenBack:
    def test_is_confirmed_first(self, settled):
        settled.type(*MY_DATA, "1")
        assert settled.spot == "my_data.withdraw"
        before = settled.grower

        settled.type("2")

        assert (settled.spot, settled.grower, settled.effects) == ("welcome.menu", before, ())

    def test_forgets_all_and_advice_goes_on_in_the_language_spoken(self, known):
        known.type("8", "3", "2")
        known.type(*MY_DATA, "1", "1")
        assert known.effects == (Withdraw(),)
        assert known.grower == Grower()

        known.type("1")
        assert known.spot == "welcome.menu"
        assert "Unahitaji" in known.reply.text
        assert [name for name, _ in known.session.answers] == ["grower.language"]

        known.type("1")
        assert known.spot == "buy_list.size", "the field is asked for anew"
        known.type("2.5", "1")
        assert known.spot == "buy_list.list_bought"
        assert known.grower == Grower()

    def test_cannot_be_gone_back_on_by_the_back_key(self, settled):
        settled.type(*MY_DATA, "1", "1")
        settled.type("0")

        assert settled.spot == "my_data.about" or settled.spot == "my_data.nothing"
        assert settled.effects == ()

    def test_on_the_next_call_everything_is_asked_anew(self, settled):
        settled.type(*MY_DATA, "1", "1")
        settled.wait(hours=2)

        settled.dial()

        assert settled.spot == "welcome.language"
        settled.type("1")
        assert settled.spot == "welcome.consent"


class TestEverythingErased:
    def test_is_confirmed_first(self, settled):
        settled.type(*MY_DATA, "2")
        assert settled.spot == "my_data.erase"
        before = settled.grower

        settled.type("2")

        assert (settled.spot, settled.grower, settled.effects) == ("welcome.menu", before, ())

    def test_ends_the_conversation_and_leaves_nothing(self, settled):
        settled.type(*MY_DATA, "2", "1")

        assert settled.effects == (Erase(),)
        assert (settled.grower, settled.session) == (Grower(), None)
        assert not settled.reply.open
        assert "erased" in settled.reply.text

    def test_the_next_call_begins_at_the_beginning(self, settled):
        settled.type(*MY_DATA, "2", "1")

        settled.dial()
        assert settled.spot == "welcome.language"
        settled.type("1", "1", "2")

        assert Agree() not in settled.effects
        assert settled.grower.agreed is not None
        assert settled.spot == "welcome.menu"

    def test_can_be_had_by_who_never_agreed(self, talker):
        talker.dial()
        talker.type("1", "2", "2", *MY_DATA, "3", "1")

        assert talker.effects == (Erase(),)


class TestTheWord:
    @pytest.mark.parametrize("word", [word for words in WORDS.values() for word in words])
    def test_asks_whether_it_is_meant_wherever_the_conversation_stands(self, settled, word):
        settled.sms(word)

        assert settled.spot == "my_data.erase"
        assert settled.effects == ()
        assert [spot.flow for spot in settled.session.spots] == ["welcome", "my_data"]

    @pytest.mark.parametrize("word", ["erases", "eras", "futaa", "erase 2 acres", "data", "mitaa"])
    def test_is_never_guessed(self, settled, word):
        settled.sms(word)

        assert settled.spot != "my_data.erase"

    def test_a_yes_by_sms_erases(self, settled):
        settled.sms("erase")
        settled.sms("1")

        assert settled.effects == (Erase(),)
        assert settled.session is None

    def test_an_answer_from_a_call_that_shows_another_screen_is_none_to_it(self, settled):
        """The phone shows the menu of a call; what is typed there was not typed on this question."""
        settled.sms("erase")
        settled.type("1")

        assert settled.effects == ()
        assert settled.spot == "my_data.erase"

    def test_from_a_stranger_who_then_says_no_the_beginning_follows(self, talker):
        talker.sms("erase")
        assert talker.spot == "my_data.erase"

        talker.sms("2")

        assert talker.spot == "welcome.language"
        assert talker.grower == Grower()

    def test_from_a_stranger_who_then_says_yes_the_number_is_to_be_left_alone(self, talker):
        talker.sms("erase")
        talker.sms("1")

        assert talker.effects == (Erase(),)

    def test_written_twice_asks_once(self, settled):
        settled.sms("erase")
        settled.sms("erase")
        settled.sms("0")

        assert settled.spot != "my_data.erase"

    def test_typed_on_a_call_it_is_an_answer_like_any_other(self, settled):
        settled.type("erase")

        assert settled.spot == "welcome.menu"

    def test_goes_back_to_where_the_conversation_was(self, settled):
        settled.type("1")
        was = settled.spot
        settled.sms("erase")
        settled.sms("0")

        assert settled.spot == was

    def test_means_nothing_where_no_flow_erases(self, book):
        small = small_book(book)
        assert way_to_erasing(small) == ()

        talker = Talker(small)
        talker.sms("erase")

        assert talker.spot == "welcome.menu"

    def test_leads_through_the_flows_that_call_it(self, book):
        assert way_to_erasing(book) == (Spot("welcome", "data"), Spot("my_data", "erase"))

    def test_is_no_other_key_in_any_language(self, book):
        words = [(folded(word), key) for voice in book.voices.values() for word, key in voice.glossary.keys]
        erasing = {word for word, key in words if key == "erase"}

        assert not erasing & {word for word, key in words if key != "erase"}


class TestOnPagesThatAreSeveral:
    """In Hindi the question takes a page and the answers the next: nothing is agreed to that was not shown."""

    def test_a_yes_before_it_is_shown_turns_the_page(self, book):
        talker = Talker(book)
        talker.dial()
        talker.type("3", "1", "2", *MY_DATA, "2")
        assert talker.spot == "my_data.erase"
        assert "1 " not in talker.reply.text

        talker.type("1")

        assert talker.effects == ()
        assert "1 हाँ" in talker.reply.text

        talker.type("1")

        assert talker.effects == (Erase(),)

    def test_an_answer_that_changes_nothing_kept_is_taken_from_the_first_page(self, book):
        talker = Talker(book)
        talker.dial()
        talker.type("3", "1", "2")
        assert "8 " not in talker.reply.text

        talker.type(*MY_DATA)

        assert talker.spot == "my_data.about"


class TestWhoNeverSaidALanguage:
    @pytest.mark.parametrize(
        ("word", "shown"),
        [
            ("futa", "Tufute"),
            ("acha", "Hutapata"),
            ("hatao", "मिटा"),
            ("effacer", "Effacer"),
            ("erase", "Erase all"),
        ],
    )
    def test_is_answered_in_that_of_the_word(self, talker, word, shown):
        assert shown in talker.sms(word)

    def test_but_a_language_that_was_chosen_stays(self, talker):
        talker.sms("hello")
        talker.sms("1")

        assert "Erase all" in talker.sms("futa")


class TestSpokenAnswers:
    def test_yes_by_sms_erases_and_no_does_not(self, settled):
        settled.sms("erase")
        settled.sms("no")
        assert settled.grower.fact("plot.area") is not None

        settled.sms("erase")
        settled.sms("Yes.")
        assert Erase() in settled.effects

    def test_yes_takes_consent_back(self, settled):
        settled.type(*MY_DATA, "1", "yes")

        assert Withdraw() in settled.effects


class TestMessages:
    def test_are_stopped_after_a_question_and_started_again(self, settled):
        settled.type(*MY_DATA, "3")
        assert settled.spot == "my_data.stop"
        settled.type("1")
        assert settled.effects == (Stop(),)
        assert settled.spot == "my_data.stopped"
        settled.type("1", *MY_DATA, "3")
        assert settled.spot == "my_data.start"
        settled.type("1")
        assert settled.effects == (Start(),)
        assert settled.grower.stopped is None

    def test_stay_as_they_were_at_a_no(self, settled):
        settled.type(*MY_DATA, "3", "2")
        assert (settled.spot, settled.effects, settled.grower.stopped) == ("welcome.menu", (), None)
        settled.type(*MY_DATA, "3", "1", "1", *MY_DATA, "3", "2")
        assert settled.grower.stopped is not None

    def test_are_not_stopped_or_started_again_by_going_back(self, settled):
        settled.type(*MY_DATA, "3", "1", "0")
        assert settled.spot != "my_data.stop"
        assert settled.effects == ()

    def test_of_who_never_agreed_are_stopped_too(self, talker):
        talker.dial()
        talker.type("1", "2", "2", *MY_DATA, "4", "1")
        assert talker.effects == (Stop(),)

    @pytest.mark.parametrize("word", ["START", "start ", "anza", "शुरू", "reprendre"])
    def test_are_started_by_a_word_by_sms_in_one_message(self, settled, word):
        settled.sms("stop")
        assert settled.sms(word) == "You get our messages again."
        assert settled.effects == (Start(),)
        assert settled.session is None

    def test_the_word_for_starting_leads_to_the_menu_where_nothing_is_stopped(self, settled):
        settled.sms("menu")
        settled.sms("1")
        assert settled.sms("start").startswith("What do you need?")
        assert settled.effects == ()

    @pytest.mark.parametrize("typed", ["star", "start again please", "starts"])
    def test_only_the_word_itself_starts_them(self, settled, typed):
        settled.sms("stop")
        settled.sms(typed)
        assert settled.grower.stopped is not None

    def test_the_words_that_are_told_are_words_that_are_obeyed(self, book):
        told = {"stopped": "start", "started": "stop"}
        for voice in book.voices.values():
            for screen, key in told.items():
                text = book.flows["my_data"].screen(screen).say.text
                said = voice.say(f"my_data.{screen}", text)
                words = [word.strip(".,।") for word in said.split()]
                assert key in {
                    voice.glossary.key_word(word) for word in words if word.isupper() or not word.isascii()
                }
