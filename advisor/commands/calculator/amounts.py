"""Amounts as they are typed and shown: the unit is the end of a name, as everywhere in the calculator."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal, InvalidOperation
from math import isfinite
from types import MappingProxyType

from advisor.agronomy.units import FIGURE_UNITS, FOOT_M, INCH_M, POUND_KG

#: Ends of names and their units, a longer end before the shorter one that it ends in.
_ENDS: Mapping[str, str] = MappingProxyType(
    {
        "_kg_per_ha": "kg/ha",
        "_mg_per_kg": "mg/kg",
        "_g_per_kg": "g/kg",
        "_g_per_m": "g/m",
        "_ml_per_kg": "ml/kg",
        "_g_per_ml": "g/ml",
        "_kg_per_m2": "kg/m2",
        "_m2_per_s": "m2/s",
        "_per_day_m2": "m2/day",
        "_a_day_m2": "m2/day",
        "_per_m2": "per m2",
        "_percent": "percent",
        "_celsius": "celsius",
        "_plants": "plants",
        "_seeds": "seeds",
        "_days": "day",
        "_m2": "m2",
        "_kg": "kg",
        "_ml": "ml",
        "_mm": "mm",
        "_m": "m",
        "_g": "g",
        "_s": "s",
        "_c": "celsius",
    }
)
#: Ends that say what is counted.
_COUNTED = frozenset({"_plants", "_seeds", "_days"})
#: Names that end in no unit and have one.
_NAMES: Mapping[str, str] = MappingProxyType(
    {
        "area": "m2",
        "stand": "per m2",
        "grams": "g",
        "size": "g",
        "days": "day",
        "steps": "steps",
        "celsius": "celsius",
    }
)
#: What else may be typed, beside the units that figures may have.
_TYPED: Mapping[str, Mapping[str, float]] = MappingProxyType(
    {
        "m": {"ft": FOOT_M, "in": INCH_M},
        "m2": {"ft2": FOOT_M**2, "ha": 10_000.0},
        "kg": {"g": 0.001, "t": 1000.0, "lb": POUND_KG},
        "g": {"kg": 1000.0},
        "1": {"%": 0.01},
        "percent": {"%": 1.0},
        "per m2": {"plants/m2": 1.0},
    }
)


class NotAnAmount(ValueError):  # noqa: N818 - named for what is wrong
    """What was typed is no amount of its unit; the text says what may be typed."""


def unit_of(name: str) -> str:
    """The unit that a name ends in, ``1`` for a count, a part or money.

    >>> unit_of("seed_kg"), unit_of("sown_per_day_m2"), unit_of("germination")
    ('kg', 'm2/day', '1')
    >>> unit_of("kg_per_ha"), unit_of("seed_kg_by_rate")
    ('kg/ha', 'kg')
    """
    if "price" in name:
        return "1"
    if found := _NAMES.get(name) or next((unit for end, unit in _ENDS.items() if f"_{name}".endswith(end)), ""):
        return found
    before, by, _ = name.partition("_by_")
    return unit_of(before) if by else "1"


def without_unit(name: str) -> str:
    """The name without its unit; what is counted stays in the name.

    >>> without_unit("seed_mass_by_rate_kg"), without_unit("kernels_kg"), without_unit("sowing_days")
    ('seed_mass_by_rate', 'kernels', 'sowing_days')
    """
    end = next((end for end in _ENDS if name.endswith(end)), "")
    return name if end in _COUNTED or "price" in name else name.removesuffix(end)


def units_for(unit: str) -> dict[str, float]:
    """Every unit that may be typed for one, and its factor.

    >>> units_for("m2")["acre"]
    4046.8564224
    """
    of_figures = {name: factor for name, (kept_in, factor) in FIGURE_UNITS.items() if kept_in == unit}
    return {unit: 1.0, **of_figures, **_TYPED.get(unit, {})}


def typed_amount(typed: str, unit: str) -> float:
    """The number in its own unit.

    Args:
        typed: a number, and behind it a unit where it is another.
        unit: unit of a bare number.

    Raises:
        NotAnAmount: no number, or a unit that does not fit.

    >>> typed_amount("2.5 acre", "m2"), typed_amount("85%", "1"), typed_amount("25kg", "g")
    (10117.141056, 0.85, 25000.0)
    """
    text = typed.strip().replace(",", "")
    known = units_for(unit)
    for name, factor in sorted(known.items(), key=lambda item: -len(item[0])):
        number = text.removesuffix(name).strip() if not name[0].isdigit() else text
        if text.endswith(name) and number != text and number:
            return _number(number, typed, unit) * factor
    return _number(text, typed, unit)


def typed_money(typed: str) -> Decimal:
    """An exact amount of money.

    >>> typed_money("2600.50")
    Decimal('2600.50')
    """
    try:
        amount = Decimal(typed.strip())
    except InvalidOperation as error:
        raise NotAnAmount(f"'{typed}' is no amount of money: give a number such as 2600") from error
    return amount


def said_number(value: float | Decimal) -> str:
    """A number for people: four figures, whole ones and thousands in full.

    >>> said_number(26.6666), said_number(10117.141056), said_number(0.0113636), said_number(3)
    ('26.67', '10,117', '0.01136', '3')
    """
    if isinstance(value, Decimal):
        shown = f"{value:,.2f}" if value.is_finite() else str(value)
        return shown.removesuffix(".00")
    if value == int(value) if isfinite(value) else False:
        return f"{int(value):,}"
    return f"{value:,.0f}" if abs(value) >= 1000 else f"{value:.4g}"


def _number(text: str, typed: str, unit: str) -> float:
    try:
        number = float(text)
    except ValueError as error:
        may_be = ", ".join(name for name in units_for(unit) if name != "1")
        behind = f", with a unit if you like: {may_be}" if may_be else ""
        raise NotAnAmount(f"'{typed}' is no amount: give a number{behind}") from error
    return number
