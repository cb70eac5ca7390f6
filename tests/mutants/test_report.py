"""Reading, matching and telling, on made-up results of a module with two functions."""

from __future__ import annotations

import json

import pytest

from tests.mutants.equivalent import Equivalent, amiss, read_equivalents
from tests.mutants.planting import note
from tests.mutants.report import faults, row, survivors, table
from tests.mutants.results import Ended, Mutant, ended, read_mutants

PLANTED = """\
def x_most__mutmut_orig(a: int, b: int) -> int:
    if a >= b:
        return a
    return b
def x_most__mutmut_1(a: int, b: int) -> int:
    if a > b:
        return a
    return b
def x_most__mutmut_2(a: int, b: int) -> int:
    if a >= b:
        return a
    return None
class Pack:
    def xǁPackǁcosts__mutmut_orig(self, packs: int) -> int:
        return self.price * packs
    def xǁPackǁcosts__mutmut_1(self, packs: int) -> int:
        return self.price / packs
"""
SPANS = {
    "x_most__mutmut_orig": [1, 4],
    "x_most__mutmut_1": [5, 8],
    "x_most__mutmut_2": [9, 12],
    "xǁPackǁcosts__mutmut_orig": [14, 15],
    "xǁPackǁcosts__mutmut_1": [16, 17],
}
ENDS = {
    "advisor.agronomy.packs.x_most__mutmut_1": 0,
    "advisor.agronomy.packs.x_most__mutmut_2": 37,
    "advisor.agronomy.packs.xǁPackǁcosts__mutmut_1": 1,
}
SAME = Equivalent("packs.most", "if a >= b:", "if a > b:", "equal numbers are one number", "equivalent_x.toml")


@pytest.fixture
def meta(tmp_path):
    """The results of the module, in files as mutmut writes them."""
    room = tmp_path / "advisor/agronomy"
    room.mkdir(parents=True)
    (room / "packs.py").write_text(PLANTED, "utf-8")
    (room / "packs.py.spans").write_text(json.dumps({"version": 1, "spans": SPANS}), "utf-8")
    file = room / "packs.py.meta"
    file.write_text(json.dumps({"exit_code_by_key": ENDS, "type_check_error_by_key": {}}), "utf-8")
    return file


@pytest.fixture
def mutants(meta):
    return tuple(read_mutants(meta))


def test_a_mutant_has_its_function_its_end_and_its_lines(mutants):
    assert mutants == (
        Mutant(
            "advisor.agronomy.packs.x_most__mutmut_1",
            "packs",
            "packs.most",
            Ended.SURVIVED,
            "if a >= b:",
            "if a > b:",
        ),
        Mutant(
            "advisor.agronomy.packs.x_most__mutmut_2",
            "packs",
            "packs.most",
            Ended.TYPES,
            "return b",
            "return None",
        ),
        Mutant(
            "advisor.agronomy.packs.xǁPackǁcosts__mutmut_1",
            "packs",
            "packs.Pack.costs",
            Ended.TESTS,
            "return self.price * packs",
            "return self.price / packs",
        ),
    )


@pytest.mark.parametrize(
    ("exit_code", "end"),
    [
        (0, Ended.SURVIVED),
        (1, Ended.TESTS),  # a test failed
        (3, Ended.TESTS),  # pytest broke
        (-24, Ended.TESTS),  # stopped after too long
        (-9, Ended.TESTS),  # ended after too long
        (37, Ended.TYPES),
        (5, Ended.NO_TESTS),
        (33, Ended.NO_TESTS),
        (None, Ended.NOT_RUN),
        (2, Ended.NOT_RUN),  # broken off by hand
        (4, Ended.NOT_RUN),  # pytest was asked for a test that is not there
    ],
)
def test_how_a_process_ended_says_what_became_of_its_mutant(exit_code, end):
    assert ended(exit_code) is end


def test_a_listed_mutant_that_survived_is_out_of_the_sum(mutants):
    counts = row("packs", mutants, (SAME,))
    assert (counts.mutants, counts.types, counts.tests, counts.equivalent, counts.survived) == (3, 1, 1, 1, 0)
    assert counts.percent == counts.percent_by_tests == 100


def test_a_mutant_that_is_not_listed_counts_against_the_tests(mutants):
    counts = row("packs", mutants, ())
    assert (counts.equivalent, counts.survived) == (0, 1)
    assert counts.percent == pytest.approx(100 * 2 / 3)
    assert counts.percent_by_tests == 50


def test_the_table_has_a_row_a_module_and_one_for_all(mutants):
    head, packs, everything, by_tests = table(mutants, ())
    assert " ".join(head.split()) == "module mutants types tests equivalent survived no tests not run seen"
    assert " ".join(packs.split()) == "packs 3 1 1 0 1 0 0 66.7 %"
    assert " ".join(everything.split()) == "all 3 1 1 0 1 0 0 66.7 %"
    assert by_tests == "Of those that the types let pass, the tests see 50.0 %."


def test_a_survivor_is_said_with_its_lines_unless_it_is_listed(mutants):
    assert list(survivors(mutants, ())) == ["packs.most 1", "  - if a >= b:", "  + if a > b:"]
    assert list(survivors(mutants, (SAME,))) == []


def test_an_entry_that_meets_a_survivor_is_right(mutants):
    assert amiss(SAME, mutants) == ""


@pytest.mark.parametrize(
    ("function", "removed", "added", "said"),
    [
        ("packs.most", "if a >= b:", "if a < b:", "there is no such mutant"),
        ("packs.Pack.most", "if a >= b:", "if a > b:", "there is no such mutant"),
        ("packs.most", "return b", "return None", "it is seen by the types"),
        (
            "packs.Pack.costs",
            "return self.price * packs",
            "return self.price / packs",
            "it is seen by the tests",
        ),
    ],
)
def test_an_entry_that_is_no_longer_so_is_a_fault(mutants, function, removed, added, said):
    entry = Equivalent(function, removed, added, "a reason", "equivalent_x.toml")
    assert amiss(entry, mutants) == said
    assert f"equivalent_x.toml: {function}: {added!r}: {said}" in list(faults(mutants, (SAME, entry)))


def test_enough_mutants_and_a_right_list_are_no_fault(mutants):
    assert list(faults(mutants, (SAME,))) == []


def test_too_few_seen_are_a_fault(mutants):
    assert list(faults(mutants, ())) == ["66.7 % are seen, 90 % are asked for"]


def test_entries_about_modules_that_were_not_asked_for_are_left_alone(mutants):
    elsewhere = Equivalent("money.coin", "return 1", "return 2", "a reason", "equivalent_x.toml")
    assert list(faults(mutants, (SAME, elsewhere))) == []


def test_a_mutant_that_was_not_run_counts_against_the_tests_and_not_against_its_entry(meta):
    meta.write_text(json.dumps({"exit_code_by_key": dict.fromkeys(ENDS)}), "utf-8")
    mutants = tuple(read_mutants(meta))
    assert (row("packs", mutants, (SAME,)).not_run, amiss(SAME, mutants)) == (3, "")
    assert list(faults(mutants, (SAME,))) == ["0.0 % are seen, 90 % are asked for"]


class TestAList:
    def test_is_read_with_its_file_and_without_indents(self, tmp_path):
        file = tmp_path / "equivalent_x.toml"
        file.write_text(
            '[[equivalent]]\nfunction = "packs.most"\nremoved = "if a >= b:"\nadded = """\n    if a > b:\n"""\n'
            'reason = "equal numbers are one number"\n',
            "utf-8",
        )
        assert read_equivalents([file]) == (SAME,)

    def test_may_be_empty(self, tmp_path):
        file = tmp_path / "equivalent_x.toml"
        file.write_text("# nothing yet\n", "utf-8")
        assert read_equivalents([file]) == ()

    @pytest.mark.parametrize(
        "rows",
        [
            '[[equivalent]]\nfunction = "f"\nremoved = "a"\nadded = "b"\n',
            '[[equivalent]]\nfunction = "f"\nremoved = "a"\nadded = "b"\nreason = " "\n',
            '[[equivalent]]\nfunction = "f"\nremoved = "a"\nadded = "b"\nreason = "c"\nline = "d"\n',
            '[[equivalent]]\nfunction = "f"\nremoved = "a"\nadded = "b"\nreason = "c"\n' * 2,
        ],
    )
    def test_that_lacks_a_reason_or_says_a_thing_twice_is_refused(self, tmp_path, rows):
        file = tmp_path / "equivalent_x.toml"
        file.write_text(rows, "utf-8")
        with pytest.raises(ValueError, match=r"^equivalent_x\.toml: "):
            read_equivalents([file])


def test_what_the_types_see_is_noted_but_not_over_what_the_tests_saw(tmp_path, meta):
    survived, typed, tested = ENDS
    note(tmp_path, {survived: "not an int", tested: "not a float"})
    kept = json.loads(meta.read_text("utf-8"))
    assert kept["exit_code_by_key"] == {survived: 37, typed: None, tested: 1}
    assert kept["type_check_error_by_key"] == {survived: "not an int"}
