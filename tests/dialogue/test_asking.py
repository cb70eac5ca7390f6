"""A question to the agent: from the menu, by keyword, and every SMS in whole words that is nothing else."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.dialogue.asking import LONGEST_QUESTION, MOST_OPEN
from advisor.dialogue.talk import Agree, AskAgent, Keep
from tests.dialogue.talker import Talker

TALE = "the leaves have turned pale since Monday"
TOLD = "Your question is with your agent. The answer comes by SMS."


@pytest.fixture
def asking(known):
    """A grower who agreed, at the question."""
    known.type("8", "1")
    return known


def words_of(talker):
    return [question.text for question in talker.grower.questions]


class TestFromTheMenu:
    def test_what_is_typed_goes_to_the_agent_and_the_grower_is_told(self, asking):
        shown = asking.type(TALE)

        assert asking.effects == (AskAgent(TALE),)
        assert shown.startswith("Your agent has your question.\nThe answer comes by SMS.")

    def test_its_words_are_kept_nowhere_but_with_the_question_and_never_said(self, asking):
        shown = asking.type(TALE)

        assert TALE not in shown
        assert TALE not in repr(asking.session)
        assert not any(TALE in str(fact.value) for fact in asking.grower.facts)

    @pytest.mark.parametrize("typed", ["...", "12", "\U0001f33e"])
    def test_what_holds_no_word_is_asked_again(self, asking, typed):
        assert asking.type(typed).startswith("Type your question in words.")
        assert words_of(asking) == []

    @pytest.mark.parametrize(
        ("key", "spot"), [("0", "welcome.about_me"), ("00", "welcome.menu"), ("menu", "welcome.menu")]
    )
    def test_the_keys_lead_away_and_are_no_question(self, asking, key, spot):
        asking.type(key)
        assert (asking.spot, words_of(asking)) == (spot, [])

    def test_help_says_what_to_write(self, asking):
        assert asking.type("?").startswith("Say what you see")

    def test_the_same_again_is_not_put_twice(self, asking):
        asking.type(TALE, "1")
        assert asking.type(TALE).startswith("Your agent has that question already.")
        assert words_of(asking) == [TALE]

    def test_no_more_wait_than_an_agent_can_answer(self, asking):
        for place in range(MOST_OPEN):
            asking.type(f"question {'abcdef'[place]} of mine", "1")
        assert asking.type("and one more question").startswith("Your agent has enough questions of yours.")
        assert len(words_of(asking)) == MOST_OPEN


class TestBeforeConsent:
    @pytest.fixture
    def unasked(self, talker):
        talker.dial()
        talker.type("1", "2", "2", "8", "1")
        return talker

    def test_it_says_what_must_be_kept_and_asks(self, unasked):
        assert unasked.spot == "ask_agent.consent"

    def test_a_no_keeps_nothing(self, unasked):
        assert unasked.type("2").startswith("Then we pass nothing on.")
        assert unasked.grower.agreed is None

    def test_a_yes_keeps_what_was_said_and_leads_to_the_question(self, unasked):
        unasked.type("1")
        assert Agree() in unasked.effects
        assert Keep("grower.village", "v2") in unasked.effects
        unasked.type(TALE)
        assert words_of(unasked) == [TALE]

    def test_an_sms_is_not_kept_and_the_sender_is_told_above_the_first_question(self, talker):
        shown = talker.sms(TALE)

        assert shown.startswith("We keep nothing of you yet, so your agent does not get this.\nChoose language")
        assert (talker.effects, words_of(talker)) == ((), [])
        assert TALE not in repr(talker.session)

    def test_an_sms_in_the_midst_of_a_conversation_neither(self, talker):
        talker.sms("hello")
        talker.sms("1")
        assert talker.sms(TALE).startswith("We keep nothing of you yet")
        assert talker.spot == "welcome.consent"


class TestAnSms:
    @pytest.mark.parametrize(
        "typed",
        [
            TALE,
            "My soya leaves have holes, what can I do?",
            "majani ya soya yamekuwa njano nifanye nini",
            "मेरे पौधे पीले पड़ गए हैं",
            "les feuilles jaunissent depuis lundi",
        ],
    )
    def test_in_whole_words_goes_to_the_agent_in_one_message(self, known, typed):
        assert known.sms(typed) == TOLD
        assert words_of(known) == [typed]

    def test_leaves_the_open_conversation_where_it_is(self, known):
        known.sms("menu")
        waiting = known.session
        assert known.sms(TALE) == TOLD
        assert (known.session, known.reply.open) == (waiting, True)
        known.sms("2")
        assert known.spot == "welcome.glance" or known.spot.startswith("when_to_sow")

    def test_begins_no_conversation(self, known):
        known.wait(hours=3)
        known.sms(TALE)
        assert not known.reply.open

    @pytest.mark.parametrize(
        "typed", ["", "\U0001f44d", "???", "ok", "thank you", "12 34 56", "hello sir please", "good day"]
    )
    def test_that_says_nothing_does_not(self, known, typed):
        known.sms(typed)
        assert words_of(known) == []

    def test_that_is_a_keyword_or_a_slip_of_one_gets_what_it_got(self, known):
        assert known.sms("soya 2 acres").startswith("2 acres soybean")
        assert known.sms("saya 2 acers").startswith("2 acres soybean")
        assert known.sms("stpo") == "To stop our messages, write STOP."
        assert words_of(known) == []

    def test_that_answers_the_open_question_answers_it(self, known):
        known.sms("menu")
        known.sms("1")
        assert known.spot == "buy_list.size"
        known.sms("two acres and a half")
        assert known.spot != "buy_list.size"
        assert words_of(known) == []

    def test_after_the_keyword_agent_is_the_question_itself(self, known):
        assert known.sms("agent") == "Write your question in one SMS, in your own words. It goes to your agent."
        assert known.sms(TALE) == TOLD

    def test_at_the_open_question_for_it_is_the_question_whatever_its_words(self, known):
        known.sms("menu")
        known.sms("8")
        known.sms("1")
        assert known.spot == "ask_agent.question"
        known.sms("pale leaves")
        assert (known.spot, words_of(known)) == ("ask_agent.passed_on", ["pale leaves"])

    def test_before_consent_the_keyword_says_what_is_needed(self, talker):
        assert talker.sms("agent").startswith("Your agent needs your number and question to answer you.")

    def test_that_is_too_long_is_not_cut(self, known):
        assert known.sms("why " * (LONGEST_QUESTION // 4) + "really") == "Too long. Type a short answer."
        assert words_of(known) == []
        assert known.sms("why " * (LONGEST_QUESTION // 4 - 2) + "really") == TOLD

    def test_over_and_over_is_answered_and_not_put_again(self, known):
        for _ in range(9):
            known.sms(TALE)
        assert words_of(known) == [TALE]
        for place in range(9):
            told = known.sms(f"{TALE} {'abcdefghi'[place] * 3}")
        assert told == "Your agent has enough questions of yours. Wait for an answer."
        assert len(words_of(known)) == MOST_OPEN


@settings(max_examples=150, deadline=None)
@given(typed=st.text(max_size=400), by_sms=st.booleans())
def test_whatever_is_typed_no_phone_shows_it_again_and_no_session_keeps_it(book, typed, by_sms):
    talker = Talker(book)
    talker.dial()
    talker.type("1", "1", "2", "8", "1")
    if by_sms:
        for key in ("menu", "8", "1"):
            talker.sms(key)
    shown = (talker.sms if by_sms else talker.type)(f"{typed} zqxj")

    assert "zqxj" not in shown + repr(talker.session)
    assert len(talker.grower.questions) <= 1
