"""What is relied on of the state-machine library: one shared machine, a cursor that is never registered."""

import transitions

from advisor.dialogue.machine import GO, Router, choice_key
from advisor.dialogue.reading import read_flow

FLOW = read_flow(
    """
flow: tea
version: 1
start: sugar
screens:
  sugar:
    say: "Sugar?"
    choices: [{say: "Yes", to: milk}, {say: "No"}]
    to:
      - {to: milk, when: is_rich}
      - {to: cup, known: grower.cup}
      - {to: return}
  milk: {to: menu}
  cup: {say: "A cup.", end: "yes"}
""",
    "tea.yaml",
)


def router():
    return Router(FLOW, {"is_rich": lambda sight: sight.get("rich") is True})


class TestWays:
    def test_the_first_way_whose_conditions_hold_is_taken(self):
        ways = router()

        assert ways.way("sugar", GO, {"rich": True, "grower.cup": "blue"}) == "milk"
        assert ways.way("sugar", GO, {"grower.cup": "blue"}) == "cup"
        assert ways.way("sugar", GO, {}) == "return"

    def test_a_choice_goes_its_own_way_or_that_of_its_screen(self):
        assert router().way("sugar", choice_key(0), {}) == "milk"
        assert router().way("sugar", choice_key(1), {}) == "return"

    def test_a_key_that_the_screen_does_not_know_leads_nowhere(self):
        assert router().way("milk", choice_key(0), {}) is None
        assert router().way("sugar", "dance", {}) is None

    def test_the_menu_is_a_target_of_its_own(self):
        assert router().way("milk", GO, {}) == "menu"


class TestTheLibrary:
    def test_is_the_pinned_series(self):
        assert transitions.__version__.startswith("0.9.")

    def test_an_event_fires_on_a_cursor_that_was_never_registered(self):
        class Cursor:
            __slots__ = ("state",)

        machine = transitions.Machine(
            model=None,
            states=["a", "b"],
            transitions=[
                {"trigger": "go", "source": "a", "dest": "b", "conditions": [lambda sight: sight["open"]]}
            ],
            initial="a",
            auto_transitions=False,
            queued=False,
        )
        cursor = Cursor()
        cursor.state = "a"

        assert machine.events["go"].trigger(cursor, {"open": False}) is False
        assert cursor.state == "a"
        assert machine.events["go"].trigger(cursor, {"open": True}) is True
        assert cursor.state == "b"
        assert machine.models == []

    def test_there_are_no_transitions_but_those_declared(self):
        assert router().way("sugar", "to_cup", {}) is None
