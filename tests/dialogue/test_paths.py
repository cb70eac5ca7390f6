"""A value is known on every path to where it is named, or the place is named before anyone is served."""

import pytest

from advisor.dialogue.checks.paths import path_faults
from advisor.dialogue.faults import Faulty
from advisor.dialogue.reading import read_flow
from tests.dialogue.small import TEA, WELCOME, flows_alone, small_book


def whats(book, **flows):
    with pytest.raises(Faulty) as caught:
        small_book(book, **flows)
    return [(fault.screen, fault.what) for fault in caught.value.faults]


def test_the_shipped_flows_know_every_value_they_name(book):
    assert path_faults(flows_alone(book.flows), book.registry, "welcome") == ([], [])


def test_a_way_around_the_question_is_named(book):
    """From the menu of tea one may go straight to the cup, which needs the spoons."""
    tea = TEA.replace("start: sugar", "start: hurry") + (
        '  hurry:\n    say: "In a hurry?"\n    choices: [{say: "Yes", to: cup}, {say: "No", to: sugar}]\n'
    )

    assert whats(book, tea=tea) == [
        ("tea.cup", "'sweetness' needs 'grower.spoons', which is not known on every path to here")
    ]


def test_a_way_that_is_open_only_where_the_fact_is_known_is_none(book):
    tea = TEA.replace("start: sugar", "start: first") + (
        "  first:\n    to: [{to: cup, known: grower.spoons}, {to: sugar}]\n"
    )

    assert small_book(book, tea=tea)


def test_what_a_choice_forgets_is_not_known_behind_it(book):
    tea = TEA.replace(
        '{say: "Again", to: sugar, again: "yes"}', '{say: "Again", to: cup, forget: [grower.spoons]}'
    )

    assert ("tea.cup", "'sweetness' needs 'grower.spoons', which is not known on every path to here") in whats(
        book, tea=tea
    )


def test_what_was_forgotten_is_not_known_at_the_menu_that_its_key_leads_to(book):
    """Whatever screen a grower is on, 00 leads to the menu, so a fact forgotten there cannot be counted on."""
    tea = (
        TEA.replace(
            '{say: "Again", to: sugar, again: "yes"}', '{say: "Again", to: again, forget: [grower.spoons]}'
        )
        + '  again:\n    say: "Again?"\n    choices: [{say: "Yes", to: sugar}]\n'
    )
    welcome = (
        WELCOME.replace("start: menu", "start: first")
        .replace("tea: {call", "first: {call: tea, to: menu}\n  tea: {call")
        .replace('choices: [{say: "Tea", to: tea}]', 'choices: [{say: "Tea", to: tea}, {say: "Cup", to: cup}]')
    ) + "  cup: {work: sweetness, to: tea}\n"

    needs = "'sweetness' needs 'grower.spoons', which is not known on every path to here"
    assert ("welcome.cup", needs) in whats(book, welcome=welcome, tea=tea)


def test_what_0_leads_to_has_no_answer(book):
    tea = TEA.replace(
        'low: 0, high: 9, example: "2"}', 'low: 1, high: 9, example: "2", zero: {say: "None", to: cup}}'
    )

    assert ("tea.cup", "'sweetness' needs 'grower.spoons', which is not known on every path to here") in whats(
        book, tea=tea
    )


def test_a_called_flow_may_use_what_every_caller_knows(book):
    welcome = WELCOME.replace(
        "tea: {call: tea, to: menu}", "tea: {call: tea, to: after}\n  after: {work: sweetness, to: menu}"
    )

    assert small_book(book, welcome=welcome, tea=TEA)


def test_a_flow_that_comes_back_without_the_answer_brings_none(book):
    welcome = WELCOME.replace(
        "tea: {call: tea, to: menu}", "tea: {call: tea, to: after}\n  after: {work: sweetness, to: menu}"
    )
    tea = TEA.replace("start: sugar", "start: hurry") + (
        '  hurry:\n    say: "In a hurry?"\n    choices: [{say: "Yes", to: return}, {say: "No", to: sugar}]\n'
    )

    assert whats(book, welcome=welcome, tea=tea)[0][0] == "welcome.after"


class TestResults:
    def test_one_that_is_not_always_given_needs_a_condition_that_says_it_is_there(self, book):
        flow = book.flows["buy_list"]
        text_of = {"list_good": "seed_is_good", "list_test_first": "seed_is_untested"}
        for screen, condition in text_of.items():
            edges = [edge for edge in flow.screen("which_list").to if edge.to == screen]
            assert [edge.when for edge in edges] == [condition]

    def test_a_list_reached_without_its_condition_is_named(self, book):
        from pathlib import Path

        import advisor

        text = (Path(advisor.__file__).parent.parent / "flows" / "buy_list.yaml").read_text(encoding="utf-8")
        text = text.replace("- {to: list_middle, when: seed_is_middle}\n      - {to: menu}", "- {to: list_middle}")
        flows = dict(book.flows) | {"buy_list": read_flow(text, "flows/buy_list.yaml")}

        found = {
            (fault.screen, fault.what.split("'")[1])
            for fault in path_faults(flows_alone(flows), book.registry, "welcome")[0]
        }
        assert {("buy_list.list_middle", "grain"), ("buy_list.list_middle", "packs")} <= found
