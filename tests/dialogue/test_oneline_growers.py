"""An SMS in one line of somebody who is known, in a conversation, or who wants to stop."""

from dataclasses import replace

import pytest

from advisor.dialogue.building import build_book
from advisor.dialogue.reading import read_flow
from tests.dialogue.oneline import LANGUAGES, missing
from tests.dialogue.small import WELCOME, registry
from tests.dialogue.talker import Talker

TEA_DAY = """
flow: tea
version: 1
start: day
facts:
  grower.spoons: 10 days
  grower.day: 10 days
one_line:
  tea: {answers: sugar, to: pour}
screens:
  day:
    say: "Which day?"
    ask: {kind: date, from: -60 days, to: today}
    keep: grower.day
    to: sugar
  sugar:
    say: "How many spoons?"
    ask: {kind: number, low: 0, high: 9, example: "2"}
    keep: grower.spoons
    to: return
  pour:
    work: sweetness
    say: "Sweetness %(sweetness)s."
    end: "yes"
"""


def marsh_book(book):
    """A book of a few screens whose one keyword looks like a month."""
    english = book.voices["en"]
    voice = replace(english, glossary=replace(english.glossary, keywords=(("tea", ("Marsh",)),)))
    flows = [read_flow(WELCOME, "welcome.yaml"), read_flow(TEA_DAY, "tea.yaml")]
    return build_book(flows, [voice], registry(), book.programme, "small")


class TestWhoIsKnown:
    def test_the_answer_speaks_the_growers_own_language(self, book):
        for language, digit in LANGUAGES.items():
            talker = Talker(book)
            talker.dial()
            talker.type(digit, "1", "1")
            assert missing(talker.sms("SOYA 2 ACRES"), language) == []

    def test_whatever_language_was_written(self, book):
        talker = Talker(book)
        talker.dial()
        talker.type("2", "1", "1")

        assert missing(talker.sms("सोयाबीन दो एकड़"), "sw") == []

    def test_a_known_field_needs_no_area(self, known):
        known.type("1", "2")
        assert missing(known.sms("soya"), "en") == []
        assert missing(known.sms("soya please"), "en") == []

    def test_a_field_that_is_no_longer_fresh_does(self, known):
        known.type("1", "2")
        assert known.wait(days=301).sms("soya") == "Write like: SOYA 2.5 ACRES"

    def test_nothing_is_kept(self, known):
        known.type("1", "2.5")
        before = known.grower
        known.sms("soya 7 acres")

        assert known.effects == ()
        assert known.grower == before

    def test_nothing_begins_for_somebody_unknown(self, talker):
        talker.sms("soya 7 acres")

        assert (talker.session, talker.effects, talker.reply.open) == (None, (), False)

    def test_who_stopped_gets_an_answer_and_stays_stopped(self, known):
        known.sms("stop")
        known.sms("soya 2")

        assert known.grower.stopped is not None
        assert known.effects == ()


class TestOpenConversations:
    def test_the_screen_that_waits_still_waits(self, talker):
        talker.sms("hello")
        talker.sms("1")
        waiting = talker.session
        assert missing(talker.sms("soya 2 acres"), "en") == []
        assert talker.session == waiting
        assert talker.reply.open

        talker.sms("1")
        assert talker.spot == "welcome.where"

    def test_an_answer_to_the_question_that_waits_is_that_answer(self, known):
        known.sms("menu")
        known.sms("1")
        assert known.spot == "buy_list.size"

        known.sms("2 acres")
        assert known.spot == "buy_list.source"

    def test_a_call_that_is_open_is_left_alone(self, known):
        known.type("1", "2.5")
        waiting = known.session
        known.sms("soya 9")

        assert known.session == waiting

    def test_help_by_sms_without_a_conversation_says_what_can_be_written(self, talker):
        first, last = talker.sms("HELP").splitlines()
        assert first.startswith("Write like: ")
        assert set(first.removeprefix("Write like: ").split(", ")) >= {"AGENT", "SOYA 2.5 ACRES"}
        assert last == "To be asked step by step: MENU. To stop: STOP."
        assert talker.session is None

    def test_the_word_for_help_tells_the_language(self, talker):
        assert "SOYA EKARI 2.5" in talker.sms("Msaada")
        assert "सोयाबीन 2.5 एकड़" in talker.sms("मदद")
        assert "SOJA 2,5 ACRES" in talker.sms("aide")

    def test_in_a_conversation_help_is_help_with_the_question(self, known):
        known.sms("menu")
        shown = known.sms("help")

        assert shown.startswith("Type one number and send.")
        assert "1 What to buy" in shown

    def test_an_answer_that_looks_like_a_keyword_is_still_the_answer(self, book):
        """``march`` is a slip in the keyword ``marsh``, and half of the date that was asked for."""
        talker = Talker(marsh_book(book))
        talker.sms("hello")
        assert talker.sms("marsh 5") == "Sweetness 500."

        talker.sms("1")
        assert talker.spot == "tea.day"
        talker.sms("1 march")
        assert talker.spot == "tea.sugar"


class TestStopping:
    @pytest.mark.parametrize("typed", ["STPO", "stpo please", "please stop", "stop soya", "soya stpo", "stopp"])
    def test_what_looks_like_a_stop_is_told_how_to_stop(self, talker, typed):
        assert talker.sms(typed) == "To stop our messages, write STOP."
        assert talker.effects == ()

    def test_in_the_language_of_the_word(self, talker):
        assert talker.sms("sitsha") == "Kuacha kupata ujumbe wetu, andika ACHA."

    @pytest.mark.parametrize(
        "typed", ["eraze", "ERASE pls", "soya erase", "please delete my data", "erase my datta"]
    )
    def test_so_is_what_looks_like_the_word_for_erasing(self, known, typed):
        assert known.sms(typed) == "To delete all we know of you, write ERASE."
        assert known.effects == ()

    def test_the_exact_word_stops(self, known):
        known.sms(" Stop. ")
        assert known.grower.stopped is not None


class TestSeedThatIsKnown:
    """Own seed by phone: 1 what to buy, 2 acres, 2 own seed, 1 counted, the count, 1 in soil."""

    def test_what_seed_it_is_shows_in_what_is_said_of_a_test(self, known):
        """Who never said may have her own; who buys tests what is bought, and waits for a test that runs."""
        assert "Own seed? Test it first." in known.sms("soya 3 acres")

        known.dial()
        known.type("1", "2", "1")
        assert known.spot == "buy_list.list_bought"
        bought = known.sms("soya 3 acres")
        assert ("Then sow 100 to test." in bought, "Own seed?" in bought) == (True, False)

        known.grower = known.grower.knows("lot.test_day", "2027-03-01", known.now)
        running = known.sms("soya 3 acres")
        assert ("Count your test first." in running, "Then sow" in running) == (True, False)

    def test_no_test_is_asked_for_that_would_be_counted_after_the_sowing(self, known):
        known.grower = known.grower.knows("plot.sowing", "2027-03-05", known.now)
        assert "Own seed? Ask the agent." in known.sms("soya 3 acres")

        known.dial()
        known.type("1", "2", "1")
        assert known.spot == "buy_list.list_bought_now"
        bought = known.sms("soya 3 acres")
        assert not [word for word in ("test", "Own seed?") if word in bought]

    def test_seed_that_failed_is_never_to_be_sown(self, known):
        known.type("1", "2", "2", "1", "40 100", "1")
        shown = known.sms("soya 3 acres")

        assert shown.startswith("Do not sow your seed: 40% grew.\n3 acres. Buy seed 60 kg")
        assert "poison" in shown

    def test_nor_is_bought_seed_that_failed(self, known):
        known.type("1", "2", "1", "1", "4", "3", "40 100", "2")
        shown = known.sms("soya 3 acres")

        assert shown.startswith("Your bought seed tested 40%: do not sow it.")
        assert "kg" not in shown

    def test_nor_is_it_for_somebody_who_did_not_agree_to_anything_being_kept(self, talker):
        talker.dial()
        talker.type("1", "2", "1", "1", "2", "2", "1", "40 100", "1")
        assert talker.grower.facts == ()

        assert talker.sms("soya 3 acres").startswith("Do not sow your seed")

    def test_good_seed_of_ones_own_needs_no_other(self, known):
        known.type("1", "2", "2", "1", "95 100", "2")
        shown = known.sms("soya 2 acres")

        assert shown.startswith("2 acres. Your seed tested 95%.\nSow 40 kg, from")
        assert "Buy" not in shown

    def test_own_seed_without_a_test_is_tested_first(self, known):
        known.type("1", "2", "2", "2")
        shown = known.sms("soya 2 acres")

        assert "Not tested: buy nothing yet." in shown

    def test_a_small_test_asks_for_another(self, known):
        known.type("1", "2", "2", "1", "19 20", "2", "1")

        assert known.sms("soya 2").startswith("Your seed needs a test of 100 seeds first.")

    def test_bought_seed_that_passed_counts(self, known):
        known.type("1", "2", "1", "1", "4", "3", "95 100", "2")

        assert "You need 40 kg" in known.sms("soya 2 acres")

    def test_a_test_does_not_pass_to_a_lot_of_which_nothing_is_known(self, known):
        """The origin of the lot is 61 days old and no longer known, its second test is still fresh."""
        known.type("1", "2", "2", "2")
        known.wait(days=59).dial()
        known.type("1", "2", "1")
        known.type("2", "95 100", "2")
        assert known.grower.fact("lot.test") is not None

        shown = known.wait(days=2).sms("soya 2 acres")
        assert missing(shown, "en") == []

    def test_money_named_in_a_call_does_not_shorten_the_answer(self, known):
        known.type("1", "2", "1", "1", "3", "2000")

        assert missing(known.sms("soya 2 acres"), "en") == []
