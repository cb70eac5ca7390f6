"""Cautions: one list of keys, each explained."""

from __future__ import annotations

import pkgutil
from importlib import import_module

import advisor.agronomy
from advisor.agronomy import cautions


def test_every_caution_is_listed_once_and_explained_once():
    keys = [value for name, value in vars(cautions).items() if name.isupper() and isinstance(value, str)]

    assert sorted(keys) == sorted(cautions.CAUTIONS)
    assert len(set(cautions.CAUTIONS)) == len(cautions.CAUTIONS)
    assert all(cautions.__doc__.count(f"``{key}``:") == 1 for key in cautions.CAUTIONS)


def test_what_a_module_says_with_bare_numbers_is_of_the_list():
    names = [room.name for room in pkgutil.iter_modules(advisor.agronomy.__path__) if room.name != "cautions"]
    own = {name: getattr(import_module(f"advisor.agronomy.{name}"), "CAUTIONS", ()) for name in names}

    assert own["inoculant"]
    assert own["seed"]
    assert {key for keys in own.values() for key in keys} <= set(cautions.CAUTIONS)
