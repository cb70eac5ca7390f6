"""What an author may write in a flow file, and how each slip is named."""

import pytest

from advisor.dialogue.faults import Faulty
from advisor.dialogue.flows import AskKind
from advisor.dialogue.reading import read_flow

TEA = """
flow: tea
version: 1
start: sugar
facts:
  grower.taste: 30 days
screens:
  sugar:
    say: |-
      How many spoons?
      Like 2
    ask: {kind: number, low: 0, high: 9, example: "2"}
    keep: spoons
    to:
      - {to: sweet, when: is_sweet}
      - {to: bye}
  sweet:
    say: "Really?"
    choices:
      - {say: "Yes", is: "yes", to: bye}
      - {say: "No", is: "no", to: sugar, again: "yes"}
    keep: grower.taste
  bye:
    say: "Enjoy."
    end: "yes"
"""


def whats(text, file="tea.yaml"):
    with pytest.raises(Faulty) as caught:
        read_flow(text, file)
    return [fault.what for fault in caught.value.faults]


class TestAFlow:
    def test_its_screens_questions_and_ways_are_read(self):
        flow = read_flow(TEA, "flows/tea.yaml")

        sugar, sweet, bye = flow.screens
        assert (flow.name, flow.start, flow.version) == ("tea", "sugar", "1")
        assert sugar.say.text == "How many spoons?\nLike 2"
        assert (sugar.ask.kind, sugar.ask.low, sugar.ask.high) == (AskKind.NUMBER, 0, 9)
        assert [(edge.to, edge.when) for edge in sugar.to] == [("sweet", "is_sweet"), ("bye", "")]
        assert [(choice.value, choice.again) for choice in sweet.ask.choices] == [("yes", False), ("no", True)]
        assert bye.ends
        assert flow.facts[0].fresh_for.days == 30

    def test_its_fingerprint_changes_with_a_word_and_not_with_a_comment(self):
        plain = read_flow(TEA, "tea.yaml").fingerprint

        assert read_flow("# a note\n" + TEA, "tea.yaml").fingerprint == plain
        assert read_flow(TEA.replace("Really?", "Truly?"), "tea.yaml").fingerprint != plain

    def test_a_plural_text_has_two_forms_and_what_is_counted(self):
        text = TEA.replace('say: "Really?"', 'say: {count: spoons, one: "One?", other: "%(spoons)s?"}')

        say = read_flow(text, "tea.yaml").screens[1].say
        assert (say.count, say.text, say.other) == ("spoons", "One?", "%(spoons)s?")


class TestSlips:
    @pytest.mark.parametrize(
        ("old", "new", "what"),
        [
            ("    end: ", "    ends: ", "unknown key 'ends' in the screen"),
            ("kind: number", "kind: numbre", "no question of the kind 'numbre'"),
            ("low: 0", "low: none", "'none' is no number"),
            ("30 days", "a month", "'a month' does not say how long 'grower.taste' holds"),
            ("grower.taste: 30 days", "taste: 30 days", "the fact 'taste' has no scope"),
            ("start: sugar", "start: suger", "there is no screen 'suger'"),
            ("flow: tea", "flow: coffee", "the flow 'coffee' is in the file 'tea.yaml'"),
            ("  bye:", "  Bye:", "'Bye' is no name"),
            ('end: "yes"', 'end: "maybe"', "'end' can only be \"yes\""),
            ("keep: spoons", "keep: Spoons", "'Spoons' is no name"),
            ('    say: "Enjoy."\n', "", "an end only says something"),
        ],
    )
    def test_each_is_named(self, old, new, what):
        assert what in whats(TEA.replace(old, new))

    def test_a_question_that_leads_nowhere_is_named(self):
        assert "an answer leads nowhere" in whats(TEA.replace('is: "yes", to: bye', 'is: "yes"'))

    def test_a_screen_that_neither_asks_nor_ends_is_named(self):
        assert "a screen that leads nowhere" in whats(TEA.replace('    end: "yes"\n', ""))

    def test_all_come_at_once_with_screen_and_line(self):
        with pytest.raises(Faulty) as caught:
            read_flow(TEA.replace("low: 0", "low: x").replace('end: "yes"', 'end: "no"'), "tea.yaml")

        places = {(fault.screen, fault.line) for fault in caught.value.faults}
        assert places >= {("tea.sugar", 12), ("tea.bye", 25)}
