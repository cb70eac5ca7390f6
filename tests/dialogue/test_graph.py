"""What is found out about the ways between screens without walking them."""

import pytest

from advisor.dialogue.checks.circles import circle_faults
from advisor.dialogue.checks.graph import graph_faults
from advisor.dialogue.reading import read_flow
from tests.dialogue.small import flows_alone

ROOT = """
flow: welcome
version: 1
start: menu
screens:
  menu:
    menu: "yes"
    say: "What?"
    choices: [{say: "Tea", to: tea}]
  tea: {call: tea, to: menu}
"""

TEA = """
flow: tea
version: 1
start: sugar
screens:
  sugar:
    say: "Sugar?"
    choices: [{say: "Yes", to: milk}, {say: "No", to: return}]
  milk:
    to: [{to: sugar, when: wants_more}, {to: return}]
"""

#: The second screen of TEA, for putting another in its place.
MILK = "milk:\n    to: [{to: sugar, when: wants_more}, {to: return}]"


def whats(**flows):
    read = {name: read_flow(text, f"{name}.yaml") for name, text in flows.items()}
    material = flows_alone(read)
    return [fault.what for fault in (*graph_faults(material, "welcome"), *circle_faults(material, "welcome"))]


def test_sound_flows_have_no_faults():
    assert whats(welcome=ROOT, tea=TEA) == []


def test_a_target_that_is_no_screen_is_named():
    assert "there is no screen 'mlik'" in whats(welcome=ROOT, tea=TEA.replace("to: milk", "to: mlik"))


def test_a_list_of_ways_without_last_resort_is_named():
    assert "the list of ways has no last resort" in whats(welcome=ROOT, tea=TEA.replace(", {to: return}]", "]"))


def test_a_screen_that_nothing_leads_to_is_named():
    assert "no way leads to this screen" in whats(welcome=ROOT, tea=TEA.replace("to: milk", "to: return"))


def test_a_call_to_no_flow_is_named():
    assert "there is no flow 'coffee'" in whats(welcome=ROOT.replace("call: tea", "call: coffee"), tea=TEA)


def test_steps_that_lead_in_a_circle_unseen_are_named():
    circle = TEA.replace("to: [{to: sugar, when: wants_more}", "to: [{to: milk, when: wants_more}")

    assert "steps lead in a circle that is never shown: milk" in whats(welcome=ROOT, tea=circle)


def test_flows_that_call_each_other_in_a_circle_are_named():
    back = TEA.replace(MILK, "milk: {call: welcome, to: return}")

    assert "the flows call each other in a circle: welcome > tea > welcome" in whats(welcome=ROOT, tea=back)


def test_more_than_three_flows_open_at_once_are_named():
    def calling(name, target):
        text = TEA.replace("flow: tea", f"flow: {name}")
        return text.replace(MILK, f"milk: {{call: {target}, to: return}}")

    found = whats(
        welcome=ROOT,
        tea=calling("tea", "milk"),
        milk=calling("milk", "cow"),
        cow=TEA.replace("flow: tea", "flow: cow"),
    )
    assert found == ["more than 3 flows open at once: welcome > tea > milk > cow"]


def test_a_flow_that_nobody_calls_is_named():
    assert "no flow calls 'tea'" in whats(
        welcome=ROOT.replace("tea: {call: tea, to: menu}", "tea: {to: menu}"), tea=TEA
    )


def test_the_root_needs_exactly_one_menu_screen():
    plain = (
        ROOT.replace("start: menu", "start: first")
        .replace('menu:\n    menu: "yes"', "first:")
        .replace("to: menu}", "to: first}")
    )

    assert "the flow 'welcome' has 0 menu screens" in whats(welcome=plain, tea=TEA)


def test_a_circle_through_a_call_that_shows_nothing_is_named():
    unseen = TEA.replace("start: sugar", "start: milk").replace(
        "{to: sugar, when: wants_more}", "{to: return, when: wants_more}"
    )
    root = ROOT.replace("to: menu}", "to: tea}")

    assert "steps lead in a circle that is never shown: tea" in whats(welcome=root, tea=unseen)


def test_a_call_that_always_shows_something_may_be_made_again_and_again():
    assert whats(welcome=ROOT.replace("to: menu}", "to: [{to: tea, when: more}, {to: menu}]}"), tea=TEA) == []


@pytest.mark.parametrize(("steps", "told"), [(20, False), (21, True)])
def test_more_steps_unseen_in_a_row_than_a_walk_follows_are_named(steps, told):
    chain = "".join(f"  s{n}: {{to: s{n + 1}}}\n" for n in range(steps - 1)) + f"  s{steps - 1}: {{to: return}}\n"
    tea = TEA.replace('{say: "No", to: return}', '{say: "No", to: return}, {say: "Or", to: s0}') + chain

    said = "21 steps in a row may go unseen, 20 are allowed"
    assert (said in whats(welcome=ROOT, tea=tea)) is told


def test_a_flow_that_is_passed_unseen_counts_with_its_steps():
    chain = "".join(f"  s{n}: {{to: s{n + 1}}}\n" for n in range(18)) + "  s18: {to: return}\n"
    cow = "flow: cow\nversion: 1\nstart: s0\nscreens:\n" + chain
    tea = TEA.replace(MILK, "milk: {call: cow, to: other}")
    tea += "  other: {to: return}\n"

    assert "21 steps in a row may go unseen, 20 are allowed" in whats(welcome=ROOT, tea=tea, cow=cow)


def test_a_screen_that_leads_only_to_itself_comes_to_no_end():
    tea = TEA.replace('{say: "No", to: return}', '{say: "No", to: more}') + (
        '  more:\n    say: "More?"\n    choices: [{say: "Yes", to: more}]\n'
    )

    assert whats(welcome=ROOT, tea=tea) == [
        "no way leads from here to an end, to the menu or back to the calling flow"
    ]


def test_a_call_comes_to_an_end_where_the_called_flow_does():
    tea = TEA.replace(MILK, "milk: {to: bye}").replace('{say: "No", to: return}', '{say: "No", to: bye}')
    tea += '  bye:\n    say: "Bye."\n    end: "yes"\n'

    assert whats(welcome=ROOT, tea=tea) == []


def test_a_way_behind_one_that_is_always_taken_is_named():
    tea = TEA.replace("[{to: sugar, when: wants_more}, {to: return}]", "[{to: return}, {to: sugar}]")

    assert whats(welcome=ROOT, tea=tea) == ["the way to 'sugar' is never taken: one before it always comes first"]


def test_a_way_of_a_screen_whose_choices_all_have_their_own_is_named():
    tea = TEA.replace('{say: "No", to: return}]', '{say: "No", to: return}]\n    to: milk')

    assert whats(welcome=ROOT, tea=tea) == ["the screen's own 'to' is never taken: every choice has its own"]
