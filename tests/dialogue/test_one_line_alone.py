"""A keyword that needs no amount, one whose amount is a count of a count or money, and help that names many."""

from dataclasses import replace

import pytest

from advisor.dialogue.building import build_book
from advisor.dialogue.faults import Faulty
from advisor.dialogue.reading import read_flow
from tests.dialogue.small import WELCOME, registry
from tests.dialogue.talker import Talker

TEA = """
flow: tea
version: 1
start: sugar
facts:
  grower.spoons: 10 days
  lot.cups: 10 days
  plot.price: 10 days
one_line:
  weeds: {to: which}
  broken: {answers: cups, to: counted}
  price: {answers: price, to: dear}
screens:
  sugar:
    say: "How many spoons?"
    ask: {kind: number, low: 0, high: 9, example: "2"}
    keep: grower.spoons
    to: cups
  cups:
    say: "How many broke, of how many?"
    ask: {kind: count_of, most: 400, example: "4 of 50"}
    keep: lot.cups
    to: price
  price:
    say: "What did it cost?"
    ask: {kind: money, example: "20"}
    keep: plot.price
    to: return
  which:
    to:
      - {to: strong, known: grower.spoons}
      - {to: plain}
  strong:
    work: sweetness
    say: "Weeds: %(sweetness)s."
    end: "yes"
  plain:
    say: "Pull the weeds."
    end: "yes"
  counted:
    say: "Counted."
    end: "yes"
  dear:
    say: "Dear."
    end: "yes"
"""
WORDS = (("weeds", ("Weeds",)), ("broken", ("Broken",)), ("price", ("Cost",)))


def faults_or_book(shipped, tea, words, most=900):
    english = shipped.voices["en"]
    voice = replace(english, glossary=replace(english.glossary, keywords=words))
    flows = [read_flow(WELCOME, "welcome.yaml"), read_flow(tea, "tea.yaml")]
    try:
        return build_book(flows, [voice], registry(most), shipped.programme, "small")
    except Faulty as faulty:
        return faulty.faults


@pytest.fixture
def talker(book):
    return Talker(faults_or_book(book, TEA, WORDS))


class TestAKeywordAlone:
    @pytest.mark.parametrize(
        "typed", ["WEEDS", "weeds", "weeds please", "Hi, what about weeds?", "weds", "WEEDS in maize", "weeds 2 m"]
    )
    def test_gets_its_answer_by_itself_and_beside_a_few_words(self, talker, typed):
        assert talker.sms(typed) == "Pull the weeds."
        assert (talker.session, talker.effects, talker.reply.open) == (None, (), False)

    @pytest.mark.parametrize(
        "typed", ["the weeds have grown all over", "weds in maize", "now weeds grow again here"]
    )
    def test_is_just_a_word_in_a_tale_and_misspelt_beside_others(self, talker, typed):
        assert talker.sms(typed) != "Pull the weeds."

    def test_its_answer_may_rest_on_what_is_known(self, talker):
        talker.sms("hello")
        talker.sms("1")
        talker.sms("3")
        assert talker.sms("weeds") == "Weeds: 300."

    def test_what_the_calculation_refuses_is_said_without_an_example(self, book):
        talker = Talker(faults_or_book(book, TEA, WORDS, most=800))
        talker.sms("hello")
        talker.sms("1")
        talker.sms("9")
        assert talker.sms("weeds") == "That size is outside what we work out. Ask your agent."

    def test_beside_another_keyword_it_is_asked_which_one(self, talker):
        assert talker.sms("weeds cost") == "Which one? Write like: COST 20 / WEEDS"


class TestAnotherKindOfAmount:
    @pytest.mark.parametrize(
        "typed",
        ["BROKEN 4 OF 50", "broken 4/50", "broken 4 50", "broken 4-50", "4 of 50 broken", "broken please 4 of 50"],
    )
    def test_a_count_of_a_count(self, talker, typed):
        assert talker.sms(typed) == "Counted."

    @pytest.mark.parametrize(
        ("typed", "said"),
        [
            ("broken", "Write like: BROKEN 4 OF 50"),
            ("broken 4", "Write like: BROKEN 4 OF 50"),
            ("broken many", "Type both numbers, like BROKEN 4 OF 50."),
            ("broken 60 of 50", "More grew than were sown? Type like BROKEN 4 OF 50."),
            ("broken 4 of 500", "At most 400 seeds. Type like 4 of 50.\nWrite like: BROKEN 4 OF 50"),
        ],
    )
    def test_a_count_that_is_none_gets_the_reason(self, talker, typed, said):
        assert talker.sms(typed) == said

    def test_money(self, talker):
        assert talker.sms("cost 20") == "Dear."
        assert talker.sms("cost 500").startswith("Too much. At most ")


class TestHelp:
    def test_names_every_keyword_and_nothing_else_of_it(self, talker):
        assert talker.sms("help").split("\n")[0] == "Write like: WEEDS, BROKEN 4 OF 50, COST 20"

    def test_that_does_not_fit_two_segments_is_named_and_fifteen_common_keywords_fit(self, book):
        names = [f"plain{letter * 5}" for letter in "abcdefghijklmnopqrstuvwxyz"]
        words = (*WORDS, *((name, (name.title(),)) for name in names))

        def of(count):
            more = "".join(f"  {name}: {{to: plain}}\n" for name in names[:count])
            return faults_or_book(book, TEA.replace("one_line:\n", f"one_line:\n{more}"), words)

        assert len(of(12).keywords) == 15
        (fault,) = of(26)
        assert "the message holds 305" in fault.what

    def test_of_many_keywords_that_may_be_meant_three_are_named(self, book):
        words = (*WORDS, ("plain", ("Plain",)))
        more = TEA.replace("one_line:\n", "one_line:\n  plain: {to: plain}\n")

        shown = Talker(faults_or_book(book, more, words)).sms("weeds broken cost plain")
        assert shown == "Which one? Write like: BROKEN 4 OF 50 / PLAIN / COST 20"
