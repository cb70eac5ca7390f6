"""Every example in a docstring runs, in every room."""

import doctest
import importlib
import pkgutil

import pytest

import advisor
import simulator

MODULES = sorted(
    module.name
    for package in (advisor, simulator)
    for module in pkgutil.walk_packages(package.__path__, f"{package.__name__}.")
    if not module.name.endswith("__main__")
)


@pytest.mark.parametrize("name", MODULES)
def test_the_examples_of_a_module_run(name):
    result = doctest.testmod(importlib.import_module(name))

    assert result.failed == 0


def test_there_are_examples_to_run():
    attempted = sum(doctest.testmod(importlib.import_module(name)).attempted for name in MODULES)

    assert attempted > 200
