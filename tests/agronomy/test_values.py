"""Every value of the calculator is frozen and has slots: nobody changes a result behind another's back."""

from __future__ import annotations

import pkgutil
from dataclasses import is_dataclass
from importlib import import_module
from inspect import getmembers, isclass

import pytest

import advisor.agronomy

ROOMS = [room.name for room in pkgutil.iter_modules(advisor.agronomy.__path__)]


def values_of(room):
    module = import_module(f"advisor.agronomy.{room}")
    own = (cls for _, cls in getmembers(module, isclass) if cls.__module__ == module.__name__)
    return [cls for cls in own if is_dataclass(cls) and "__dataclass_params__" in vars(cls)]


@pytest.mark.parametrize("room", ROOMS)
def test_every_value_of_a_room_is_frozen_and_has_slots(room):
    for cls in values_of(room):
        assert cls.__dataclass_params__.frozen, cls
        assert "__slots__" in vars(cls), cls


def test_there_are_values_to_look_at():
    assert sum(len(values_of(room)) for room in ROOMS) > 60
