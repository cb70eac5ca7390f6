"""A sample of every kind of slip at places all over the shipped files: each is told, or proven to do nothing.

All places are tried by ``.venv/bin/python -m tests.dialogue.mutants``.
"""

from random import Random

import pytest

from tests.dialogue.mutants import HARMLESS, OPERATORS, mutants, spoken, uncaught
from tests.dialogue.planting import check, shipped_texts

SAMPLE = 3


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


def _damaged(text, draw):
    """A text with a piece cut out, doubled or cut off, a sign put in, or two lines changed for each other."""
    first = draw.randrange(len(text))
    end = min(len(text), first + draw.randrange(1, 60))
    lines = text.split("\n")
    one, other = draw.randrange(len(lines)), draw.randrange(len(lines))
    lines[one], lines[other] = lines[other], lines[one]
    sign = draw.choice("{}[]:\"'%()#&*!|>-\n\t\\0ç")
    return draw.choice(
        (
            text[:first] + text[end:],
            text[:end] + text[first:],
            text[:first],
            text[:first] + sign + text[first:],
            "\n".join(lines),
        )
    )


@pytest.mark.parametrize("file", shipped_texts())
def test_a_file_damaged_anywhere_is_told_with_its_lines_or_makes_a_book(file):
    draw = Random(file)
    for _ in range(2):
        found = check({file: _damaged(shipped_texts()[file], draw)}, spoken(file))

        assert found.faults or found.layouts is not None
        assert all(fault.line > 0 and fault.what and fault.instead for fault in found.faults)
