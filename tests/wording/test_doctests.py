"""Every example in a docstring of the wording room is executed."""

import doctest
import importlib
import pkgutil

import pytest

import advisor.wording

MODULES = [found.name for found in pkgutil.walk_packages(advisor.wording.__path__, "advisor.wording.")]


@pytest.mark.parametrize("name", MODULES)
def test_the_examples_of_a_module_hold(name):
    assert doctest.testmod(importlib.import_module(name)).failed == 0


def test_there_are_examples_to_run():
    finder = doctest.DocTestFinder()
    examples = [
        example
        for name in MODULES
        for found in finder.find(importlib.import_module(name))
        for example in found.examples
    ]

    assert len(examples) > 30
