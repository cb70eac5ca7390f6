"""From what was typed to the arguments of a calculation, with the figures that stand in for what was not."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import MISSING, dataclass
from datetime import date, time
from decimal import Decimal
from enum import Enum
from math import inf
from typing import Any, get_origin

from advisor.agronomy.labels import Label
from advisor.agronomy.packs import Pack
from advisor.commands.calculator.amounts import NotAnAmount, typed_amount, typed_money, unit_of, without_unit
from advisor.commands.calculator.asking import (
    Ask,
    CannotBeAsked,
    Had,
    Option,
    Several,
    options_of,
    row_fields,
    without_none,
)
from advisor.commands.calculator.known import CHOSEN, PROVIDED, STAND_INS, Known, Used


@dataclass(frozen=True, slots=True)
class Given:
    """What arguments were made of.

    Args:
        arguments: by name.
        inputs: what was given or taken by default, by path, in the units inside.
        used: figures that were taken.
    """

    arguments: dict[str, Any]
    inputs: dict[str, Any]
    used: tuple[Used, ...]


def answered(asks: Sequence[Ask], typed: Mapping[str, Any], known: Known | None) -> Given:
    """The arguments of a function from what was typed, with the figures that stand in for what was not.

    Raises:
        NotAnAmount: something that cannot be read.
        AgronomyError: a value that cannot be, or a figure that is missing.
    """
    inputs: dict[str, Any] = {}
    used: list[Used] = []
    arguments = {ask.path: _answer(ask, typed, known, inputs, used) for ask in asks}
    return Given(arguments, inputs, tuple(used))


def _answer(
    ask: Ask, typed: Mapping[str, Any], known: Known | None, inputs: dict[str, Any], used: list[Used]
) -> Any:
    if isinstance(ask, Had):
        assert known is not None
        if ask.option:
            row, place = CHOSEN[ask.kind].row(known, typed.get(f"chosen_{ask.option}"))
            used += known.under(place)
            return row
        provided = PROVIDED[ask.kind]
        value = provided.get(known)
        used += provided.figures(known)
        return value
    if isinstance(ask, Several):
        given = [typed.get(option.path.replace(".", "__")) for option in options_of(ask.parts)]
        if ask.default is not MISSING and not any(value not in (None, (), False) for value in given):
            return ask.default
        return ask.kind(
            **{part.path.rpartition(".")[2]: _answer(part, typed, known, inputs, used) for part in ask.parts}
        )
    value = _value(ask, typed.get(ask.path.replace(".", "__")), known, used)
    if value is not None and value != inf:
        inputs[ask.path] = value
    return value


def _value(option: Option, typed: Any, known: Known | None, used: list[Used]) -> Any:
    if typed in (None, ()):
        if option.figure:
            assert known is not None
            figure = known.one(option.figure)
            used.append(figure)
            return int(figure.value) if option.kind is int else figure.value
        if option.stand_in:
            assert known is not None
            return STAND_INS[option.stand_in](known)
        if option.default is MISSING:
            raise NotAnAmount(f"--{option.name} is missing: give it")
        return option.default
    try:
        if option.many == "*":
            return tuple(_row(option.kind, row) for row in typed)
        if option.many:
            items = [item.strip() for item in typed.split(",") if item.strip()]
            if len(option.many) not in (1, len(items)):
                raise NotAnAmount(f"'{typed}' has {len(items)} parts: give {len(option.many)}")
            return tuple(_one(option.kind, item, option.unit) for item in items)
        return _row(option.kind, typed) if option.kind is Pack else _one(option.kind, typed, option.unit)
    except NotAnAmount as error:
        raise NotAnAmount(f"--{option.name}: {error}") from error


def _row(kind: Any, typed: str) -> Any:
    """A value of several fields, parted by colons; the last ones may be left out where they have defaults."""
    wanted, parts = row_fields(kind), typed.split(":")
    needed = sum(default is MISSING for _, _, default in wanted)
    if not needed <= len(parts) <= len(wanted):
        names = ":".join(without_unit(name) for name, _, _ in wanted)
        raise NotAnAmount(f"'{typed}' has {len(parts)} parts: give {names}")
    values = [
        _one(without_none(hint)[0], part, unit_of(name))
        for (name, hint, _), part in zip(wanted, parts, strict=False)
    ]
    return tuple(values) if get_origin(kind) is tuple else kind(*values)


def _one(kind: Any, typed: Any, unit: str) -> Any:
    """One item: a number in the unit inside, a word, a date."""
    if kind is bool:
        return typed if isinstance(typed, bool) else typed in ("yes", "true", "1")
    if kind in (str, Label):
        return kind(typed)
    if kind is Decimal:
        return typed_money(typed)
    if kind is float:
        return None if typed == "?" else typed_amount(typed, unit)
    if kind is int:
        amount = typed_amount(typed, unit)
        if amount != round(amount, 6) or round(amount, 6) != int(round(amount, 6)):
            raise NotAnAmount(f"'{typed}' is not whole: give a whole number")
        return round(amount)
    if kind in (date, time):
        try:
            return kind.fromisoformat(typed)
        except ValueError as error:
            raise NotAnAmount(
                f"'{typed}' cannot be read: write it as {'2026-11-25' if kind is date else '07:30'}"
            ) from error
    if isinstance(kind, type) and issubclass(kind, Enum):
        try:
            return kind(typed)
        except ValueError as error:
            raise NotAnAmount(f"'{typed}' is none of {', '.join(each.value for each in kind)}") from error
    raise CannotBeAsked(f"{kind}")
