"""Names and words that stand for nothing, planted in the shipped flows, are told with their place."""

import pytest

from tests.dialogue.planting import ENGLISH, FIELD, FIRST, LIST, check, plant, shipped_texts, told


class TestNames:
    @pytest.mark.parametrize(
        ("file", "old", "new", "what", "needle", "screen"),
        [
            (
                LIST,
                "work: sowing\n    to:",
                "work: sowin\n    to:",
                "no calculation 'sowin'",
                "  sowing:",
                "sowing",
            ),
            (
                LIST,
                "{to: rough, when: rough_is_unread}",
                "{to: rough, when: rough_is_read}",
                "no condition",
                "when: rough_is_read",
                "which_list",
            ),
            (
                LIST,
                "{kind: pick, from: spacings}",
                "{kind: pick, from: spacing}",
                "no list",
                "  rows:",
                "rows",
            ),
            (
                LIST,
                "Like 45 of 50\n",
                "Like %(tested)s\n",
                "nothing gives 'tested'",
                "    say: |-",
                None,
            ),
            (
                LIST,
                "keep: lot.method",
                "keep: lot.how",
                "how long 'lot.how' holds",
                "  how_tested:",
                "how_tested",
            ),
            (
                LIST,
                "  plot.spacing: 300 days",
                "  plot.rows: 300 days",
                "no screen keeps 'plot.rows'",
                "  plot.rows:",
                "",
            ),
            (
                LIST,
                "forget: [portion]\n    to: list",
                "forget: [porton]\n    to: list",
                "known as 'porton'",
                "  money:",
                "money",
            ),
            (
                LIST,
                "    keep: money\n",
                "    keep: monney\n",
                "looks at the answer 'monney'",
                "  money:",
                "money",
            ),
            (
                LIST,
                "    keep: money\n",
                "",
                "the answer is not kept",
                "  money:",
                "money",
            ),
            (
                LIST,
                "is: bed,",
                "is: bad,",
                "knows no 'bad' for 'lot.method'",
                "is: bad,",
                "how_tested",
            ),
            (
                FIELD,
                "keep: rope_steps",
                "keep: steps",
                "needs 'rope_steps'",
                "  step:",
                "step",
            ),
        ],
    )
    def test_each_is_told_where_it_stands(self, file, old, new, what, needle, screen):
        flow = file.removeprefix("flows/").removesuffix(".yaml")
        planted = plant(file, old, new, ENGLISH)
        if screen is None:
            fault = next(fault for fault in planted.found if what in fault.what)
            assert planted.text.splitlines()[fault.line : fault.line + 2] == [
                "      How many grew, of how many sown?",
                "      Like %(tested)s",
            ]
            return
        hits = {(fault.file, fault.line, fault.screen) for fault in planted.found if what in fault.what}
        assert hits == {(file, planted.line(needle), f"{flow}.{screen}" if screen else "")}

    def test_a_fact_that_nobody_asks_for_before_it_is_needed(self):
        """The step is not measured any more, so the paced area has nothing to rest on."""
        planted = plant(FIELD, "      - {to: rope}\n", "      - {to: long_side}\n", ENGLISH)

        hits = [fault for fault in planted.found if "needs 'grower.step'" in fault.what]
        assert {(fault.line, fault.screen) for fault in hits} == {
            (planted.line("  result:"), "measure_field.result"),
            (planted.line("  store:"), "measure_field.store"),
        }

    def test_a_text_where_a_count_is_needed(self):
        text = shipped_texts()[LIST].replace("count: seeds\n", "count: row\n")
        found = [fault for fault in check({LIST: text}, ENGLISH).faults if "it is no whole number" in fault.what]

        lines = [number for number, line in enumerate(text.splitlines(), 1) if "count: row" in line]
        assert [(fault.line, fault.screen) for fault in found] == [
            (lines[0] - 1, "buy_list.sow_even"),
            (lines[1] - 1, "buy_list.sow_mixed"),
        ]

    def test_a_list_of_names_where_a_number_of_steps_is_needed(self):
        planted = plant(
            FIELD,
            '{kind: number, low: 1, high: 99, unit: step, example: "25"}',
            "{kind: pick, from: villages}",
            ENGLISH,
        )

        told(planted, "cannot work with this for 'rope_steps'", "  rope:", "measure_field.rope")

    def test_an_example_that_is_no_answer(self):
        planted = plant(LIST, 'example: "45 of 50"', 'example: "50 of 45"')

        told(planted, "'50 of 45' is no answer to its own question", "  count:", "buy_list.count")


class TestWords:
    @pytest.mark.parametrize(
        ("file", "old", "new", "what", "needle", "screen"),
        [
            (
                FIRST,
                'menu: "yes"',
                "menu: yes",
                "YAML reads 'yes' as true or false",
                "menu: yes",
                "",
            ),
            (
                FIELD,
                'example: "25"',
                "example: 010",
                "YAML reads '010' as a number",
                "example: 010",
                "",
            ),
            (
                FIELD,
                'example: "60"',
                "example: 12:30",
                "YAML reads '12:30' as a number",
                "example: 12:30",
                "",
            ),
            (
                LIST,
                "    keep: lot.test\n",
                "    kep: lot.test\n",
                "unknown key 'kep'",
                "    kep:",
                "buy_list.count",
            ),
            (
                LIST,
                "  sent:\n",
                "  rows:\n",
                "the key 'rows' stands twice",
                None,
                "",
            ),
            (
                FIRST,
                "screens:\n",
                "screens: [\n",
                "not YAML",
                None,
                "",
            ),
        ],
    )
    def test_each_is_told_where_it_stands(self, file, old, new, what, needle, screen):
        planted = plant(file, old, new, ENGLISH)

        found = [fault for fault in planted.found if what in fault.what]
        assert len(found) == 1
        assert (found[0].file, found[0].screen) == (file, screen)
        if needle:
            assert found[0].line == planted.line(needle)
        elif "twice" in what:
            assert planted.text.splitlines()[found[0].line : found[0].line + 1] == [
                '    say: "The list comes by SMS. Good sowing!"'
            ]
        else:
            assert found[0].line > planted.line("screens: [")

    def test_a_letter_outside_the_alphabet(self):
        planted = plant(LIST, "Good sowing!", "Good sowing, ça va!", ENGLISH)

        told(planted, "ç (U+00E7), which the GSM alphabet lacks", "ça va!", "buy_list.sent", "en")

    def test_a_percent_sign_that_stands_for_nothing(self):
        planted = plant(LIST, "Good sowing!", "100% good!", ENGLISH)

        found = {(fault.line, fault.screen) for fault in planted.found if "no placeholder" in fault.what}
        assert found == {(planted.line("100% good!"), "buy_list.sent")}

    def test_a_way_to_a_screen_that_is_still_to_be_written(self):
        planted = plant(LIST, "{to: message_buy}", "{to: rainfall}", ENGLISH)

        (fault,) = [fault for fault in planted.found if "'rainfall'" in fault.what]
        assert fault.instead.startswith("add the screen, or write one of: ")

    def test_a_kind_of_question_that_does_not_exist_is_the_only_fault_of_its_screen(self):
        planted = plant(LIST, "{kind: money, ", "{kind: mony, ", ENGLISH)

        found = [fault.what for fault in planted.found if fault.screen == "buy_list.money"]
        assert found == ["no question of the kind 'mony'"]

    def test_an_answer_that_nothing_looks_at_is_told_how_to_be_kept(self):
        second = "    keep: {}\n\n  # Of several bags"
        planted = plant(LIST, second.format("rough_seen"), second.format("weather"), ENGLISH)

        found = [fault.instead for fault in planted.found if "'weather'" in fault.what]
        assert found == ["say it in a text, or keep it as a fact, like 'grower.weather'"]


class TestTwoValuesOfOneName:
    """A text is proven and spelt by one kind; with a value of the other the phone would get no page."""

    SEED_TEST = "flows/seed_test.yaml"
    BEFORE = "  bags_full:\n    work: own_bag\n    say: |-\n      We keep %(most_bags)s bags."
    AFTER = "  bags_full:\n    work: field_number\n    say: |-\n      We keep %(number)s bags."

    def test_are_refused_where_texts_of_a_flow_say_both(self):
        """Of fields there are four at most, of bags nine."""
        planted = plant(self.SEED_TEST, self.BEFORE, self.AFTER, ENGLISH)

        (fault,) = (fault for fault in planted.found if "is another kind of value" in fault.what)
        assert fault.what == "'number' is another kind of value than on 'bags_full'"
        assert (fault.line, fault.screen) == (planted.line("  new_bag:"), "seed_test.new_bag")

    def test_are_no_matter_where_only_one_of_them_is_said(self):
        """Each text is proven by the kind that it says, whichever calculation stands last."""
        after = self.AFTER.replace("%(number)s", "4")
        planted = plant(self.SEED_TEST, self.BEFORE, after, ENGLISH)

        assert not [fault for fault in planted.found if "is another kind of value" in fault.what]

    def test_an_answer_of_another_kind_is_one_of_them(self):
        planted = plant(
            self.SEED_TEST,
            '    ask: {kind: count_of, most: 400, sown: lot.test_sown, example: "45 of 50"}\n    keep: counted\n',
            '    ask: {kind: count_of, most: 200, sown: lot.test_sown, example: "45 of 50"}\n    keep: looked\n',
            ENGLISH,
        )

        hits = [fault for fault in planted.found if "'looked' is another kind of value" in fault.what]
        assert [(fault.line, fault.screen) for fault in hits] == [
            (planted.line("  final_count:"), "seed_test.final_count")
        ]
