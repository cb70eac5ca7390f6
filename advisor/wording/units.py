"""The units that texts name: what each is in SI, and what the locale data call it."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from advisor.agronomy.units import AREA_M2


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit.

    Args:
        measures: what it measures: ``area``, ``mass``, ``length`` or ``count``.
        si: how many m², kg or m it is; 1 for a count.
        cldr: its name in the locale data, empty where they have none.
    """

    measures: str
    si: Decimal
    cldr: str


UNITS: dict[str, Unit] = {
    "acre": Unit("area", Decimal(repr(AREA_M2["acre"])), "area-acre"),
    "hectare": Unit("area", Decimal(repr(AREA_M2["hectare"])), "area-hectare"),
    "m2": Unit("area", Decimal(repr(AREA_M2["m2"])), "area-square-meter"),
    "kg": Unit("mass", Decimal(1), "mass-kilogram"),
    "g": Unit("mass", Decimal("0.001"), "mass-gram"),
    "m": Unit("length", Decimal(1), "length-meter"),
    "cm": Unit("length", Decimal("0.01"), "length-centimeter"),
    "step": Unit("count", Decimal(1), ""),
}


def units_of(measures: str) -> tuple[str, ...]:
    """The keys of the units that measure one thing.

    >>> units_of("mass")
    ('kg', 'g')
    """
    return tuple(key for key, unit in UNITS.items() if unit.measures == measures)
