"""Units, as their definitions give them. Inside there is only m, m², g, kg, mL, s and day."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from advisor.agronomy.errors import CannotBe
from advisor.agronomy.limits import above_zero
from advisor.agronomy.nutrients import K_IN_K2O, P_IN_P2O5

ACRE_M2 = 4046.8564224
HECTARE_M2 = 10_000.0
POUND_KG = 0.45359237
INCH_M = 0.0254
FOOT_M = 0.3048

#: Area units by key. International acre: 43,560 square feet (Iowa State University, Agronomy 212, Calculations).
AREA_M2: Mapping[str, float] = MappingProxyType({"m2": 1.0, "acre": ACRE_M2, "hectare": HECTARE_M2})

#: Units that a figure in a data file may have: the unit it is kept in, and the factor to it.
FIGURE_UNITS: Mapping[str, tuple[str, float]] = MappingProxyType(
    {
        "1": ("1", 1.0),
        "percent": ("percent", 1.0),
        "seeds": ("seeds", 1.0),
        "plants/m2": ("plants/m2", 1.0),
        "plants": ("plants", 1.0),
        "nodules/plant": ("nodules/plant", 1.0),
        "pods/plant": ("pods/plant", 1.0),
        "seeds/pod": ("seeds/pod", 1.0),
        "m": ("m", 1.0),
        "cm": ("m", 0.01),
        "m2": ("m2", 1.0),
        "acre": ("m2", ACRE_M2),
        "hectare": ("m2", HECTARE_M2),
        "m2/day": ("m2/day", 1.0),
        "acre/day": ("m2/day", ACRE_M2),
        "hectare/day": ("m2/day", HECTARE_M2),
        "g": ("g", 1.0),
        "kg/ha": ("kg/ha", 1.0),
        "kg/acre": ("kg/ha", HECTARE_M2 / ACRE_M2),
        "g/kg": ("g/kg", 1.0),
        "ml/kg": ("ml/kg", 1.0),
        "ml": ("ml", 1.0),
        "g/ml": ("g/ml", 1.0),
        "celsius": ("celsius", 1.0),
        "s": ("s", 1.0),
        "min": ("s", 60.0),
        "hour": ("s", 3600.0),
        "day": ("day", 1.0),
        # Counted in a year without a leap day, so that a figure is one day of one month.
        "day of year": ("day of year", 1.0),
        "mm": ("mm", 1.0),
        "pH": ("pH", 1.0),
        "kg": ("kg", 1.0),
        "1/month": ("1/month", 1.0),
        "month": ("month", 1.0),
        "m2/s": ("m2/s", 1.0),
        "m2/hour": ("m2/s", 1 / 3600),
        # A nutrient is named with the form it is in: the element and the oxide differ more than twofold.
        "kg N/ha": ("kg N/ha", 1.0),
        "kg P2O5/ha": ("kg P2O5/ha", 1.0),
        "kg P/ha": ("kg P2O5/ha", 1 / P_IN_P2O5),
        "kg K2O/ha": ("kg K2O/ha", 1.0),
        "kg K/ha": ("kg K2O/ha", 1 / K_IN_K2O),
        "percent N": ("percent N", 1.0),
        "percent P2O5": ("percent P2O5", 1.0),
        "percent P": ("percent P2O5", 1 / P_IN_P2O5),
        "percent K2O": ("percent K2O", 1.0),
        "percent K": ("percent K2O", 1 / K_IN_K2O),
        "g P2O5/kg": ("g P2O5/kg", 1.0),
        "g P/kg": ("g P2O5/kg", 1 / P_IN_P2O5),
        "mg P/kg": ("mg P/kg", 1.0),
    }
)

_NO_LOCAL: Mapping[str, float] = MappingProxyType({})


def area_m2(number: float, unit: str, local: Mapping[str, float] = _NO_LOCAL) -> float:
    """An area in square metres.

    Args:
        number: the area in ``unit``, above 0.
        unit: key of an area unit.
        local: local units of a programme by key [m²]; a standard unit keeps its size.

    Returns:
        The area [m²].

    Raises:
        OutOfRange: a number that is not above 0.
        CannotBe: a unit that is not an area unit.

    Source:
        Definition of the international acre (43,560 square feet of 0.3048 m) and of the hectare.

    >>> area_m2(2.5, "acre")
    10117.141056
    >>> area_m2(3, "kanto", {"kanto": 1000.0})
    3000.0
    """
    return above_zero("area", number, unit) * _area_unit_m2(unit, local)


def area_in(area: float, unit: str, local: Mapping[str, float] = _NO_LOCAL) -> float:
    """An area in another unit.

    Args:
        area: the area [m²], above 0.
        unit: key of an area unit.
        local: local units of a programme by key [m²]; a standard unit keeps its size.

    Returns:
        The area in ``unit``.

    Raises:
        OutOfRange: an area that is not above 0.
        CannotBe: a unit that is not an area unit.

    Source:
        As ``area_m2``.

    >>> area_in(10117.141056, "acre")
    2.5
    """
    return above_zero("area", area, "m2") / _area_unit_m2(unit, local)


def _area_unit_m2(unit: str, local: Mapping[str, float]) -> float:
    known = {**local, **AREA_M2}
    if unit not in known:
        raise CannotBe("area_unit", f"{unit} is no area unit", f"use one of {', '.join(sorted(known))}")
    return known[unit]
