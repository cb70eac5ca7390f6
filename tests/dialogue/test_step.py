"""What one message does: the promises of the engine, shown on the shipped flows in English."""

from datetime import timedelta

import pytest

from advisor.dialogue.notices import REFUSALS, notices_of
from advisor.dialogue.talk import Agree, Keep, Send, Stop


class TestFirstCall:
    def test_asks_language_consent_and_place_and_comes_to_the_menu(self, talker):
        talker.dial()
        seen = [talker.spot]
        for key in ("1", "1", "2"):
            talker.type(key)
            seen.append(talker.spot)

        assert seen == ["welcome.language", "welcome.consent", "welcome.where", "welcome.menu"]

    def test_nothing_is_kept_before_consent_and_all_of_it_with_consent(self, talker):
        talker.dial()
        talker.type("1")
        assert talker.effects == ()

        talker.type("1")
        assert talker.effects == (Agree(), Keep("grower.language", "en"))

    def test_without_consent_nothing_is_ever_kept(self, talker):
        talker.dial()
        talker.type("1", "2", "2", "1", "2.5", "1")

        assert "50 kg" in talker.reply.text
        assert talker.grower.facts == ()

    def test_a_session_without_consent_lapses_within_an_hour(self, talker):
        talker.dial()
        talker.type("1", "2", "2", "1", "2.5")

        assert talker.session.until - talker.now <= timedelta(hours=1)


class TestKnownFacts:
    def test_a_second_call_comes_straight_to_the_menu(self, known):
        known.wait(hours=2).dial()

        assert known.spot == "welcome.menu"

    def test_a_known_field_is_not_asked_again(self, known):
        known.type("1", "2.5")
        known.wait(hours=2).dial()
        known.type("1")

        assert known.spot == "buy_list.source"
        assert "2.5 acres" in known.reply.text

    def test_a_field_that_is_no_longer_fresh_is_asked_again(self, known):
        known.type("1", "2.5")
        known.wait(days=301).dial()
        known.type("1")

        assert known.spot == "buy_list.size"

    def test_digits_dialled_behind_the_code_answer_the_menu(self, known):
        known.type("1", "2.5")
        known.wait(hours=2).dial("1")

        assert known.spot == "buy_list.source"

    def test_changing_a_known_answer_asks_for_it(self, known):
        known.type("1", "2.5", "1", "1", "4", "1")

        assert known.spot == "buy_list.size"


class TestKeys:
    def test_back_shows_the_screen_before(self, known):
        known.type("1", "2.5", "0")
        assert known.spot == "buy_list.size"

    def test_back_never_undoes_an_effect(self, known):
        known.type("1", "2.5", "0")
        assert known.grower.fact("plot.area").value == pytest.approx(10117.141056)

    def test_where_zero_is_an_answer_each_key_takes_one_zero_more(self, known):
        known.type("1", "00")
        assert known.spot == "welcome.menu"

        known.type("1", "0")
        assert known.spot == "measure_field.rope"

        known.type("0")
        assert known.spot == "buy_list.size"

        known.type("000")
        assert known.spot == "welcome.menu"

    def test_the_menu_key_leads_to_the_menu_and_back_leads_back(self, known):
        known.type("1", "2.5", "00")
        assert known.spot == "welcome.menu"

        known.type("0")
        assert known.spot == "buy_list.source"

    def test_help_stands_above_the_same_question(self, known):
        shown = known.type("1", "?")

        assert shown.startswith("Type the number.")
        assert "How many acres" in shown
        assert known.type("2.5") != shown
        assert known.spot == "buy_list.source"

    @pytest.mark.parametrize("word", ["back", "BACK ", " Back."])
    def test_keys_can_be_words(self, known, word):
        known.type("1", "2.5", word)
        assert known.spot == "buy_list.size"


class TestSlips:
    @pytest.mark.parametrize(
        ("typed", "reason"),
        [
            ("many", "Type a number, like 2.5."),
            ("", "Type a number, like 2.5."),
            ("0.01", "Too little. At least 0.05 acres."),
            ("21", "Too much. At most 20 acres."),
            ("2 bananas", "We do not know that unit. Type like 2.5 acres."),
            ("1" * 183, "Too long. Type a short answer."),
        ],
    )
    def test_a_wrong_size_gets_its_reason_and_the_question_again(self, known, typed, reason):
        shown = known.type("1", typed)

        assert shown.splitlines()[0] == reason
        assert "How many acres" in shown
        assert known.spot == "buy_list.size"

    @pytest.mark.parametrize("typed", ["3", "x", "", "1 2", "11"])
    def test_what_is_no_choice_is_asked_again(self, known, typed):
        shown = known.type("1", "2.5", typed)

        assert shown.startswith("Type one of the numbers you see.")
        assert known.spot == "buy_list.source"

    def test_more_seedlings_than_seeds_are_asked_about(self, known):
        shown = known.type("1", "2.5", "2", "1", "90 50")

        assert shown.startswith("More grew than were sown? Type like 45 of 50.")

    def test_a_test_too_small_to_judge_is_refused_and_kept_nowhere(self, known):
        shown = known.type("1", "2.5", "2", "1", "9 10")

        assert shown.startswith("Too few seeds to judge. Test at least 20.")
        assert known.grower.fact("lot.test") is None
        assert known.spot == "buy_list.count"

    def test_a_field_too_narrow_for_strips_is_told_so_above_the_question(self, known):
        shown = known.type("4", "4", "2.5", "1", "1", "4")

        assert (known.spot, shown.split("\n")[0]) == (
            "two_crops.steps",
            "Too narrow for strips. Count the steps again.",
        )

    def test_every_reason_to_refuse_can_be_said_above_every_question(self, book):
        """A reason that could not would repeat the question as if nothing had been typed."""
        asked = [
            screen for flow in book.flows.values() for screen in flow.screens if screen.say and not screen.ends
        ]

        assert [screen.name for screen in asked if not {*REFUSALS} <= {*notices_of(screen)}] == []

    def test_a_step_that_nobody_walks_is_refused(self, known):
        shown = known.type("8", "2", "99")

        assert shown.startswith("That is not like a walk. Count your steps again.")
        assert known.spot == "measure_field.rope"

    def test_a_field_that_comes_out_too_large_is_refused(self, known):
        shown = known.type("8", "2", "25", "2000", "2000")

        assert shown.startswith("Too big for us. At most 20 acres.")
        assert known.spot == "measure_field.short_side"


class TestBrokenCalls:
    def test_a_call_that_broke_off_is_taken_up_where_it_stopped(self, known):
        before = known.type("1", "2.5")
        known.hang_up()

        assert known.wait(minutes=5).dial() == before

    def test_begin_never_answers_the_open_question(self, known):
        known.type("1")
        known.dial("2.5")

        assert known.spot == "buy_list.size"

    def test_an_answer_on_another_call_shows_the_question_and_is_not_taken(self, known):
        known.type("1")
        known.calls += 1  # the gateway lost the begin of a new call
        known.type("2.5")
        assert known.spot == "buy_list.size"

        known.type("2.5")
        assert known.spot == "buy_list.source"

    def test_after_an_hour_the_conversation_begins_at_the_menu(self, known):
        known.type("1")
        known.wait(minutes=61).dial()

        assert known.spot == "welcome.menu"

    def test_a_late_answer_to_a_lapsed_call_is_not_taken(self, known):
        known.type("1")
        known.wait(minutes=61).type("2.5")

        assert known.spot == "welcome.menu"
        assert known.grower.fact("plot.area") is None

    def test_hanging_up_answers_nothing_and_keeps_the_place(self, known):
        known.type("1")

        assert known.hang_up() == ""
        assert not known.reply.open
        assert known.spot == "buy_list.size"


class TestSms:
    def test_the_same_dialogue_runs_over_sms(self, talker):
        talker.sms("hello")
        for text in ("1", "1", "2", "1", "2.5", "1"):
            shown = talker.sms(text)

        assert "50 kg" in shown

    def test_an_sms_does_not_answer_a_question_shown_on_a_call(self, known):
        known.type("1")
        known.sms("2.5")
        assert known.spot == "buy_list.size"

        known.sms("2.5")
        assert known.spot == "buy_list.source"

    def test_a_question_asked_by_sms_waits_two_days(self, known):
        known.sms("hi")
        known.wait(hours=47).sms("1")
        assert known.spot == "buy_list.size"

        known.wait(hours=49).sms("2.5")
        assert known.spot == "welcome.menu"

    @pytest.mark.parametrize("word", ["STOP", "stop.", " Stop "])
    def test_a_stop_word_is_obeyed_at_once_whatever_is_open(self, known, word):
        known.sms("hi")
        shown = known.sms(word)

        assert known.effects == (Stop(),)
        assert shown == "You get no more messages from us. To start again, write START, or call and say yes."

    def test_a_stop_word_inside_a_sentence_is_none(self, known):
        known.sms("where is the bus stop")
        assert known.effects == ()

    def test_the_list_is_sent_as_pages_that_fit_one_message(self, known):
        known.type("1", "2.5", "1", "1", "1")

        (sent,) = [effect for effect in known.effects if isinstance(effect, Send)]
        assert sent.name == "buy_list.sms_list"
        assert "50 kg" in sent.pages[0]
        assert known.session is None
        assert not known.reply.open


class TestNotices:
    def test_a_reason_that_would_push_the_choices_off_the_page_stands_above_them_alone(self, known):
        known.type("1", "2.5", "1")
        shown = known.type("8")

        assert shown == "Type one of the numbers you see.\n1 More\n0 Back"
        assert known.type("1").startswith("Dressed seed is poison")

    @pytest.mark.parametrize("wrong", ["8", "?"])
    def test_back_from_there_shows_what_the_reason_stood_in_place_of(self, known, wrong):
        full = known.type("1", "2.5", "1")
        known.type(wrong)

        assert known.type("0") == full
        assert known.spot == "buy_list.list_bought"
        assert known.type("0") != full

    def test_a_new_call_shows_the_whole_screen_again(self, known):
        full = known.type("1", "2.5", "1")
        known.type("8")
        known.hang_up()

        assert known.dial() == full


class TestNextKey:
    def test_on_a_last_page_it_shows_the_first_again_and_scolds_nobody(self, known):
        full = known.type("1", "2.5", "1")

        assert known.type("9") == full
        assert known.type("next") == full

    def test_on_a_question_for_a_number_it_is_nine(self, known):
        known.type("1", "9")
        assert known.grower.fact("plot.area").value == pytest.approx(9 * 4046.8564224)

    def test_back_on_a_later_page_shows_the_page_before(self, known):
        first = known.type("1", "2.5", "2", "1", "10 100", "2")
        assert known.spot == "buy_list.list_poor"
        known.type("9")

        assert known.type("0") == first
        assert known.spot == "buy_list.list_poor"


class TestStartAgain:
    def test_after_a_stop_a_call_asks_whether_messages_should_start_again(self, known):
        known.sms("stop")
        assert known.grower.stopped

        known.wait(days=3).dial()
        assert known.spot == "welcome.start_again"
        known.type("1")
        assert known.grower.stopped is None
        assert known.spot == "welcome.menu"
        assert "stopped" not in known.type("0")

    def test_whoever_does_not_want_them_is_served_all_the_same(self, known):
        known.sms("stop")
        known.wait(days=3).dial()
        known.type("2")

        assert known.grower.stopped
        assert known.spot == "welcome.menu"


class TestBeforeTheMenu:
    def test_the_menu_key_does_not_skip_language_and_consent(self, talker):
        talker.dial()
        for _ in range(3):
            shown = talker.type("00")

        assert talker.spot == "welcome.language"
        assert "menu" not in shown
        assert "menu" not in talker.type("?")

    @pytest.mark.parametrize("dialled", ["8", "2*5", "x"])
    def test_dialled_digits_that_fit_nothing_are_passed_over(self, known, dialled):
        known.wait(hours=2)

        assert known.dial(dialled).startswith("What do you need?")
