"""Every example in a docstring runs, in every room."""

import doctest
import importlib
import pkgutil

import pytest

import advisor
import simulator
from advisor.loading import load_calculator

MODULES = sorted(
    module.name
    for package in (advisor, simulator)
    for module in pkgutil.walk_packages(package.__path__, f"{package.__name__}.")
    if not module.name.endswith("__main__")
)

_DEMONSTRATION = load_calculator()
_CROPS = {crop.key: crop for crop in _DEMONSTRATION.crops}
#: What examples of the calculator and of advice need not make: the demonstration, all crops by key, and the one
#: that it grows.
GIVEN = {
    "programme": _DEMONSTRATION.programme,
    "crops": _CROPS,
    "crop": _CROPS[_DEMONSTRATION.programme.crops[0].crop],
}


def tried(name: str) -> doctest.TestResults:
    given = GIVEN if name.startswith(("advisor.agronomy.", "advisor.advice.")) else {}
    return doctest.testmod(importlib.import_module(name), extraglobs=given)


@pytest.mark.parametrize("name", MODULES)
def test_the_examples_of_a_module_run(name):
    assert tried(name).failed == 0


def test_there_are_examples_to_run():
    assert sum(tried(name).attempted for name in MODULES) > 200


def test_nothing_that_is_given_to_examples_hides_what_a_module_has():
    for name in MODULES:
        if name.startswith("advisor.agronomy."):
            module = importlib.import_module(name)
            assert not GIVEN.keys() & vars(module).keys(), name
