"""Cautions: one list of keys, each explained."""

from __future__ import annotations

from advisor.agronomy import cautions


def test_every_caution_is_listed_once_and_explained_once():
    keys = [value for name, value in vars(cautions).items() if name.isupper() and isinstance(value, str)]

    assert sorted(keys) == sorted(cautions.CAUTIONS)
    assert len(set(cautions.CAUTIONS)) == len(cautions.CAUTIONS)
    assert all(cautions.__doc__.count(f"``{key}``:") == 1 for key in cautions.CAUTIONS)
