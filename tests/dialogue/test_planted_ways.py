"""Lost ways, dead screens and circles, planted in the shipped flows, are told with their file, line and screen."""

import pytest

from tests.dialogue.planting import ENGLISH, FIELD, FIRST, LIST, check, plant, shipped_texts, told


def test_without_a_planted_fault_nothing_is_told():
    found = check({})

    assert (found.faults, found.left) == ((), ())


class TestWays:
    @pytest.mark.parametrize(
        ("file", "old", "new", "what", "needle", "screen"),
        [
            (
                FIRST,
                "to: agreed_before\n",
                "to: agreed_befor\n",
                "no screen 'agreed_befor'",
                "to: agreed_befor",
                "language",
            ),
            (
                FIRST,
                "  buy_list: {call: buy_list,",
                "  buy_list: {call: bylist,",
                "no flow 'bylist'",
                "  buy_list:",
                "buy_list",
            ),
            (
                LIST,
                "    to: counted\n",
                "",
                "an answer leads nowhere",
                "  count:",
                "count",
            ),
            (
                LIST,
                "      - {to: sow_even}\n",
                "",
                "no last resort",
                "{to: sow_mixed, when",
                "sowing",
            ),
            (
                LIST,
                "      - {to: list_poor}\n",
                "",
                "no last resort",
                "{to: list_half, when",
                "bad_seed",
            ),
            (
                LIST,
                "  sent:\n",
                '  dead:\n    say: "x"\n    end: "yes"\n  sent:\n',
                "no way leads",
                "  dead:",
                "dead",
            ),
            (
                LIST,
                "{to: sow_mixed, when: holes_are_mixed}",
                "{to: sow_mixed}",
                "never taken",
                "- {to: sow_even}",
                "sowing",
            ),
            (
                LIST,
                "to: sent, send: sms_own",
                "to: sent, send: rows",
                "cannot be sent",
                "send: rows",
                "more_own",
            ),
            (
                FIRST,
                '    menu: "yes"\n',
                "",
                "'menu' leads out of the flow",
                "  menu:",
                "menu",
            ),
        ],
    )
    def test_each_is_told_where_it_stands(self, file, old, new, what, needle, screen):
        flow = file.removeprefix("flows/").removesuffix(".yaml")

        told(plant(file, old, new, ENGLISH), what, needle, f"{flow}.{screen}" if screen else "")

    def test_two_flows_that_call_each_other(self):
        planted = plant(
            FIELD, "  store:\n    work", "  again:\n    call: buy_list\n    to: store\n\n  store:\n    work"
        )
        planted = type(planted)(FIELD, planted.text.replace('"Right", to: store', '"Right", to: again'), ENGLISH)

        told(planted, "call each other in a circle", "  again:", "measure_field.again")

    def test_steps_in_a_circle_that_is_never_shown(self):
        """Every question of the circle is for a fact, so all of it may be known and nothing ever shown."""
        planted = plant(
            LIST, "      - {to: source, known: plot.area}\n", "      - {to: begin, known: plot.area}\n", ENGLISH
        )

        told(planted, "in a circle that is never shown", "  begin:", "buy_list.begin")

    def test_a_circle_through_a_call_that_may_be_passed_unseen(self):
        planted = plant(
            FIELD, "      - {to: long_side, known: grower.step}\n", "      - {to: return, known: grower.step}\n"
        )
        text = planted.text
        weeds = "flows/weeds.yaml"
        caller = shipped_texts()[weeds].replace(
            "call: measure_field\n    to: field", "call: measure_field\n    to: measure"
        )
        found = check({FIELD: text, weeds: caller}, ENGLISH).faults

        (fault,) = [fault for fault in found if "never shown" in fault.what]
        line = caller.splitlines().index("  measure:") + 1
        assert (fault.file, fault.line, fault.screen) == (weeds, line, "weeds.measure")

    def test_a_screen_that_comes_to_no_end(self):
        """Two screens that lead to each other and nowhere else."""
        planted = plant(
            LIST,
            '      - {say: "Field size", to: size, again: "yes"}\n'
            '      - {say: "Seed", to: source, again: "yes"}\n'
            '      - {say: "New test count", to: new_count, again: "yes"}\n'
            '      - {say: "My other seed", to: which_lot, again: "yes"}\n',
            '      - {say: "Field size", to: turn}\n\n  turn:\n    say: "Turn"\n    choices:\n'
            '      - {say: "Seed", to: change}\n',
            ENGLISH,
        )

        told_at = [(fault.line, fault.screen) for fault in planted.found if "no way leads from here" in fault.what]
        assert told_at == [
            (planted.line("  change:"), "buy_list.change"),
            (planted.line("  turn:"), "buy_list.turn"),
        ]
