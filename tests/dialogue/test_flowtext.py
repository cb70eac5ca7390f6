"""Flow files are words: whatever YAML would turn into something else is refused, with its line."""

import pytest

from advisor.dialogue.faults import Faulty
from advisor.dialogue.flowtext import Table, Text, flow_tree, flow_tree_and_faults
from advisor.dialogue.yaml_slips import TAKEN_FOR


def faults_of(text):
    with pytest.raises(Faulty) as caught:
        flow_tree(text, "tea.yaml")
    return [(fault.line, fault.what) for fault in caught.value.faults]


class TestWords:
    def test_every_scalar_stays_text_with_its_line(self):
        tree = flow_tree("flow: tea\nversion: 1\nscreens:\n  sugar: {low: 0.5}\n", "tea.yaml")

        sugar = tree.get("screens").get("sugar")
        assert tree.get("version") == Text("1", 2)
        assert sugar.get("low") == Text("0.5", 4)

    @pytest.mark.parametrize(
        ("word", "kind"),
        [
            ("no", "bool"),
            ("Yes", "bool"),
            ("010", "int"),
            ("0x1f", "int"),
            ("1_000", "int"),
            ("12:30", "int"),
            ("1e3", None),
            ("~", "null"),
            ("2027-03-01", "timestamp"),
            (".inf", "float"),
        ],
    )
    def test_a_word_that_yaml_takes_for_another_type_is_refused(self, word, kind):
        text = f"a: x\nb: {word}"

        if kind is None:  # YAML 1.1 reads 1e3 as a word already
            assert flow_tree(text, "tea.yaml").get("b") == Text(word, 2)
        else:
            assert faults_of(text) == [(2, f"YAML reads '{word}' as {TAKEN_FOR[kind]}, not as a word")]

    def test_the_same_word_in_quotes_is_a_word(self):
        assert flow_tree('b: "no"', "tea.yaml").get("b") == Text("no", 1)


class TestTables:
    def test_a_key_that_stands_twice_is_refused_where_it_stands_again(self):
        assert faults_of("a: x\nb: y\na: z") == [(3, "the key 'a' stands twice")]

    def test_keys_keep_their_order_and_lines(self):
        tree = flow_tree("b: x\na: y", "tea.yaml")

        assert [key for key, _ in tree.entries] == ["b", "a"]
        assert tree.line_of("a") == 2

    def test_anchors_are_refused(self):
        assert (1, "anchors and aliases are not read") in faults_of("a: &x hello\nb: *x")

    def test_all_faults_of_a_file_come_at_once(self):
        assert len(faults_of("a: no\nb: 010\nb: x")) == 3

    @pytest.mark.parametrize("text", ["", "- a\n- b", "just words"])
    def test_a_file_that_is_no_table_is_refused(self, text):
        assert faults_of(text) == [(1, "a flow file is a table of keys")]

    def test_broken_yaml_names_the_line(self):
        line, what = faults_of("a: x\nb: [1, 2")[0]

        assert line >= 2
        assert what.startswith("not YAML")

    @pytest.mark.parametrize(
        ("text", "line", "instead"),
        [
            ("a: x\nb: Rain: it is late", 2, "put a text with a colon in quotes, or indent the line right"),
            (
                'a:\n- {say: "Tea, is: x}\n- {say: "Milk", is: y}',
                3,
                "close the quote or bracket that line 2 opens",
            ),
            ("a:\n  b: x\n\tc: y", 3, "indent like the lines around it, with spaces"),
            ("a:\n  b: x\n c: y", 3, "mend the line, or indent like the lines around it, with spaces"),
        ],
    )
    def test_broken_yaml_says_what_to_do(self, text, line, instead):
        _, (fault,) = flow_tree_and_faults(text, "tea.yaml")

        assert (fault.line, fault.instead) == (line, instead)

    def test_nesting_is_kept(self):
        assert isinstance(flow_tree("a: {b: {c: d}}", "tea.yaml").get("a"), Table)
