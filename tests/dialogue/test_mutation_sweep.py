"""A sample of every kind of slip at places all over the shipped files: each is told, or proven to do nothing.

All places are tried by ``.venv/bin/python -m tests.dialogue.mutants``.
"""

import pytest

from tests.dialogue.mutants import HARMLESS, OPERATORS, mutants, uncaught

SAMPLE = 5


@pytest.mark.parametrize("operator", OPERATORS)
def test_every_mutant_is_caught_or_harmless(operator):
    left, _ = uncaught(operator, SAMPLE)

    assert [(planted.file, planted.text) for planted in left] == []


@pytest.mark.parametrize("operator", OPERATORS)
def test_every_operator_changes_something(operator):
    found = mutants(operator, SAMPLE)

    assert found
    assert all(planted.text not in ("", planted.before) for planted in found)


def test_only_operators_have_reasons_to_be_harmless():
    assert HARMLESS.keys() <= OPERATORS.keys()
