"""Every calculation that there is, found in the calculator itself, and an example for each.

A public function of ``advisor.agronomy`` whose docstring names its source is a calculation. Its command is named
after it, without the unit. Nothing is written here for a new one but its example; and a line in ``FIGURES_OF``
where the names of its arguments do not say which figure may stand in for one.
"""

from __future__ import annotations

import pkgutil
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache
from importlib import import_module
from inspect import getmembers, isfunction
from types import MappingProxyType, ModuleType
from typing import Any

import advisor.agronomy
from advisor.commands.calculator.amounts import without_unit
from advisor.commands.calculator.asking import Ask, CannotBeAsked, asks_of
from advisor.commands.calculator.examples import EXAMPLES
from advisor.commands.calculator.known import FIGURES

#: Rooms that read files, check limits, find bounds for proofs or search: no grower asks for these.
_NOT_ASKED = frozenset(
    {
        *("bounds", "crop", "limits", "lines", "programme", "programme_file", "sources", "tables"),
        *("cut_mix", "fertiliser_search", "frontier", "mixing", "offers"),
    }
)
#: Beginnings of functions that read or check and compute nothing.
_READERS = ("read_", "checked_")


#: Functions that look a row up in the programme, which the command line does by itself.
_LOOKED_UP = frozenset({"budget_of", "variety_of", "zone_season"})


#: Calculations that no command offers, and why: what they take does not go on a line.
NOT_HERE: Mapping[str, str] = MappingProxyType(
    {
        "purse.purse_plan": "takes what inputs cost as a formula; field-purse has it from the programme",
        "rain.false_start_share": "takes the daily rain of many seasons; onset looks at one",
        "village_needs.needs_of": "takes a whole buy list; buy-list shows it for one field",
        "village_needs.growers_needs": "takes the plans of many growers, which stand in the store",
        "village_needs.needs_table": "takes the needs of many growers, which stand in the store",
        "visits.visits": "takes how many growers stand, which is in the store; lacks judges one",
        "visits.places": "takes how many growers stand, which is in the store; lacks judges one",
    }
)


@dataclass(frozen=True, slots=True)
class Listed:
    """A calculation.

    Args:
        name: name of its command.
        function: the function.
        asks: what it must be told.
        heading: what its module is about.
        example: options of an example, None where none was written yet.
    """

    name: str
    function: Callable[..., Any]
    asks: tuple[Ask, ...]
    heading: str
    example: str | None


#: Figures that stand in, by function, where the names of arguments alone would mislead; empty where none may.
FIGURES_OF: Mapping[str, Mapping[str, str]] = MappingProxyType(
    {
        "standing_kg_per_ha": {"stand": ""},
        "yield_before_harvest": {"stand": ""},
        "seeds_per_metre": {"stand": "plan:stand"},
        "hole_plan_for_mass": {"most": "crop:seeds_per_hole_max"},
        "hole_plan_for_stand": {"most": "crop:seeds_per_hole_max"},
        "cheapest_opening": {"life_days": "inoculant:opened_life"},
        "open_packs": {"life_days": "inoculant:opened_life"},
        "opening_cost": {"life_days": "inoculant:opened_life"},
        "packs_together": {"life_days": "inoculant:opened_life"},
        "check_inoculation": {"store_below_c": "inoculant:handling.store_below"},
        "check_caps": {"tolerance": "programme:fertilising.furrow.cap_tolerance"},
        "inoculation_refusals": {"store_below_c": "inoculant:handling.store_below"},
    }
)
#: Whose packs are taken where none are given; of all others those of the seed.
_PACKS_OF: Mapping[str, str] = MappingProxyType(
    {"inoculant_purchase": "inoculant", "cheapest_opening": "inoculant", "opening_cost": "inoculant"}
)


@cache
def calculations() -> tuple[Listed, ...]:
    """Every calculation, in the order of modules and functions."""
    found: dict[str, Listed] = {}
    for module in _rooms():
        for function in _functions(module):
            listed = _listed(function, module, found)
            if listed is not None:
                found[listed.name] = listed
    return tuple(found.values())


@cache
def not_askable() -> tuple[str, ...]:
    """Functions that have an argument of a type for which there is no option, so that no command offers them."""
    wanting = []
    for module in _rooms():
        for function in _functions(module):
            try:
                asks_of(function, FIGURES)
            except CannotBeAsked:
                wanting.append(f"{module.__name__.rpartition('.')[2]}.{function.__name__}")
    return tuple(wanting)


def _rooms() -> list[ModuleType]:
    names = (room.name for room in pkgutil.iter_modules(advisor.agronomy.__path__))
    return [import_module(f"advisor.agronomy.{name}") for name in names if name not in _NOT_ASKED]


def _functions(module: ModuleType) -> list[Callable[..., Any]]:
    left_out = ("_", *_READERS)
    found = (each for name, each in getmembers(module, isfunction) if not name.startswith(left_out))
    own = (function for function in found if function.__module__ == module.__name__)
    return sorted(
        (each for each in own if "Source:" in (each.__doc__ or "") and each.__name__ not in _LOOKED_UP),
        key=lambda function: function.__code__.co_firstlineno,
    )


def _listed(function: Callable[..., Any], module: ModuleType, taken: Mapping[str, Listed]) -> Listed | None:
    figures = {**FIGURES, **FIGURES_OF.get(function.__name__, {})}
    try:
        asks = asks_of(function, figures, _PACKS_OF.get(function.__name__, "seed"))
    except CannotBeAsked:
        return None
    short = without_unit(function.__name__).replace("_", "-")
    name = function.__name__.replace("_", "-") if short in taken else short
    heading = re.split(r"[:;.]", module.__doc__ or "", maxsplit=1)[0].strip()
    return Listed(name, function, asks, heading, EXAMPLES.get(name))
