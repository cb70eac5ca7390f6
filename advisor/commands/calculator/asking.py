"""From a function to the options of its command: by name, type and line in the docstring of each argument.

An argument is had in one of four ways. A type that the programme knows is never asked for. A number, word, date or
list is an option. A value of several fields is an option for each field, and one that may be missing is missing
when none of its options is given. A list of such values is an option given several times, its fields parted by
colons.
"""

from __future__ import annotations

import re
import types
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import MISSING, dataclass, fields, is_dataclass
from datetime import date, time
from decimal import Decimal
from enum import Enum
from inspect import Parameter, signature
from math import inf
from typing import Any, Union, get_args, get_origin, get_type_hints

import click

from advisor.agronomy.crop import Crop
from advisor.agronomy.labels import Label
from advisor.agronomy.packs import Pack
from advisor.commands.calculator.amounts import unit_of, without_unit
from advisor.commands.calculator.known import CHOSEN, CROP_KEY, PARTNER, PROVIDED

_PLAIN = (float, int, str, bool, Decimal, date, time, Label)


class CannotBeAsked(TypeError):  # noqa: N818 - named for what is wrong
    """A type of argument for which there is no option yet."""


@dataclass(frozen=True, slots=True)
class Option:
    """An argument that is an option.

    Args:
        path: name of the argument, with a point and the field inside a value of several fields.
        name: name of the option.
        kind: type of one item.
        many: commas where the items are parted by commas, two and more where there must be so many; a star where
            the option is repeated; else empty.
        unit: unit of a bare number.
        help: what it is.
        default: value where it is not given; MISSING where it must be.
        figure: where the figure stands that is taken where it is not given, else empty.
        stand_in: key of what of the programme is taken where it is not given, else empty.
    """

    path: str
    name: str
    kind: Any
    many: str
    unit: str
    help: str
    default: Any
    figure: str
    stand_in: str


@dataclass(frozen=True, slots=True)
class Several:
    """An argument that is a value of several fields.

    Args:
        path: name of the argument.
        kind: its class.
        parts: its fields.
        default: value where none of its options is given; MISSING where it is made of their defaults.
    """

    path: str
    kind: Any
    parts: tuple[Ask, ...]
    default: Any


@dataclass(frozen=True, slots=True)
class Had:
    """An argument that the programme knows.

    Args:
        path: name of the argument.
        kind: its type.
        option: name of the option that chooses among several, empty where there is one only.
    """

    path: str
    kind: Any
    option: str = ""


Ask = Option | Several | Had


def asks_of(function: Callable[..., Any], figures: Mapping[str, str], packs: str = "seed") -> tuple[Ask, ...]:
    """What a function must be told.

    Args:
        function: a calculation.
        figures: where the figures stand that need not be given, by the name of the argument.
        packs: product whose packs are taken where none are given.

    Raises:
        CannotBeAsked: an argument of a type that there is no option for.
    """
    hints = get_type_hints(function)
    lines = argument_lines(function)
    asks = tuple(
        _ask(name, hints[name], parameter.default, lines.get(name, ""), figures, packs)
        for name, parameter in signature(function).parameters.items()
    )
    return _unlike(asks)


def options_of(asks: Sequence[Ask]) -> Iterator[Option]:
    """Every option, those inside values of several fields among them."""
    for ask in asks:
        if isinstance(ask, Option):
            yield ask
        elif isinstance(ask, Several):
            yield from options_of(ask.parts)


def choices_of(asks: Sequence[Ask]) -> Iterator[str]:
    """Options that choose among rows of the programme."""
    for ask in asks:
        if isinstance(ask, Had) and ask.option:
            yield ask.option
        elif isinstance(ask, Several):
            yield from choices_of(ask.parts)


def needs_programme(asks: Sequence[Ask]) -> bool:
    """Whether any argument may come from the programme."""
    return any(
        isinstance(ask, Had)
        or (isinstance(ask, Option) and bool(ask.figure or ask.stand_in))
        or (isinstance(ask, Several) and needs_programme(ask.parts))
        for ask in asks
    )


def click_option(option: Option) -> click.Option:
    """The option as the command line knows it."""
    unit = "" if option.unit == "1" else f" [{option.unit}]"
    instead = ""
    if option.figure:
        instead = f" Without it: {option.figure.partition(':')[2]} of the {option.figure.partition(':')[0]}."
    elif option.stand_in:
        instead = f" Without it: {option.stand_in}."
    elif option.default is MISSING:
        instead = " Must be given."
    elif option.default not in (None, (), inf, 0.0, False):
        instead = f" Without it: {getattr(option.default, 'value', option.default)}."
    told = option.help[:1].upper() + option.help[1:] or "As the name says."
    return click.Option(
        [f"--{option.name}", option.path.replace(".", "__")],
        help=f"{told.rstrip('.')}{unit}.{instead}",
        metavar=_metavar(option),
        multiple=option.many == "*",
        is_flag=_is_flag(option),
        default=False if _is_flag(option) else None,
        type=click.Choice(_choices(option)) if _choices(option) else None,
    )


def argument_lines(documented: Any) -> dict[str, str]:
    """The lines under ``Args:`` of a docstring, by argument, without the unit."""
    return _lines(documented.__doc__ or "", "Args")


def paragraph(documented: Any, heading: str) -> str:
    """What stands under a heading of a docstring, in one line."""
    found = re.search(rf"^ *{heading}:\n((?: +.*\n?|\n(?= {{8}}))+)", documented.__doc__ or "", re.MULTILINE)
    return " ".join(found[1].split()) if found else ""


def _lines(doc: str, heading: str) -> dict[str, str]:
    found = re.search(rf"^ *{heading}:\n((?: {{8}}.*\n?)+)", doc, re.MULTILINE)
    lines: dict[str, str] = {}
    name = ""
    for line in (found[1] if found else "").splitlines():
        begins = re.match(r" {8}(\w+): (.*)", line)
        if begins:
            name = begins[1]
            lines[name] = begins[2]
        elif name:
            lines[name] += f" {line.strip()}"
    return {name: re.sub(r" \[[^\]]*\]", "", text).replace("``", "'") for name, text in lines.items()}


def _ask(path: str, hint: Any, default: Any, told: str, figures: Mapping[str, str], packs: str) -> Ask:
    name = path.rpartition(".")[2]
    default = MISSING if default is Parameter.empty else default
    if (had := _had(path, hint)) is not None:
        return had
    hint, may_lack = without_none(hint)
    if may_lack and default is MISSING and name not in figures:
        default = None
    if (had := _had(path, hint)) is not None:
        return had
    figure = figures.get(name, "") if default in (MISSING, None) else ""
    unit, shown = unit_of(name), without_unit(name).replace("_", "-")
    if name == "crop" and hint is str:
        return Had(path, CROP_KEY)
    if _is_plain(hint):
        stand_in = {"strain_of": CROP_KEY, "decimals": "the programme's"}.get(name, "")
        return Option(path, shown, hint, "", unit, told, default, figure, stand_in)
    if get_origin(hint) in (Sequence, tuple) and (item := _item(hint)) is not None:
        plain = _is_plain(item)
        from_packs = f"packs of the {packs}" if item is Pack else ""
        exactly = 0 if Ellipsis in get_args(hint) or get_origin(hint) is Sequence else len(get_args(hint))
        return Option(
            path, shown, item, "," * max(1, exactly) if plain else "*", unit, told, default, "", from_packs
        )
    if is_dataclass(hint) and isinstance(hint, type):
        if hint is Pack:
            return Option(path, shown, hint, "", "1", told, default, "", "")
        kept, lines = get_type_hints(hint), argument_lines(hint)
        parts = tuple(
            _ask(
                f"{path}.{field.name}",
                kept[field.name],
                _default(field),
                lines.get(field.name, ""),
                figures,
                packs,
            )
            for field in fields(hint)
        )
        return Several(path, hint, parts, default)
    raise CannotBeAsked(f"{path} is {hint}")


def _had(path: str, hint: Any) -> Had | None:
    # A crop beside the one in question is a partner of it, whatever the function calls it.
    kind = PARTNER if hint is Crop and path != "crop" else hint
    try:
        if kind in CHOSEN:
            return Had(path, kind, CHOSEN[kind].option)
        return Had(path, kind) if kind in PROVIDED else None
    except TypeError:
        return None


def _default(field: Any) -> Any:
    return field.default if field.default_factory is MISSING else field.default_factory()


def without_none(hint: Any) -> tuple[Any, bool]:
    if get_origin(hint) in (Union, types.UnionType):
        others = [each for each in get_args(hint) if each is not type(None)]
        if len(others) == 1:
            return others[0], True
    return hint, False


def _item(hint: Any) -> Any:
    """Type of the items of a list, None where they have no common one."""
    arguments = get_args(hint)
    if get_origin(hint) is tuple and len(set(arguments) - {Ellipsis}) != 1:
        return None
    item, _ = without_none(arguments[0])
    if is_dataclass(item) or get_origin(item) is tuple:
        return item if all(_is_plain(without_none(hint)[0]) for _, hint, _ in row_fields(item)) else None
    return item if _is_plain(item) else None


def _is_plain(kind: Any) -> bool:
    """Whether one word or number makes it."""
    return kind in _PLAIN or (isinstance(kind, type) and issubclass(kind, Enum))


def _unlike(asks: tuple[Ask, ...]) -> tuple[Ask, ...]:
    """The same, where two options have one name each with the way to it."""
    names = [option.name for option in options_of(asks)]
    twice = {name for name in names if names.count(name) > 1}

    def renamed(ask: Ask) -> Ask:
        if isinstance(ask, Several):
            return Several(ask.path, ask.kind, tuple(renamed(part) for part in ask.parts), ask.default)
        if isinstance(ask, Option) and ask.name in twice:
            full = ask.path.replace(".", "-").replace("_", "-")
            rest = (ask.kind, ask.many, ask.unit, ask.help, ask.default, ask.figure, ask.stand_in)
            return Option(ask.path, full, *rest)
        return ask

    return tuple(renamed(ask) for ask in asks)


def _is_flag(option: Option) -> bool:
    """Whether leaving it out says no; where it says that nobody knows, yes and no are both given."""
    return option.kind is bool and option.default is False


def _choices(option: Option) -> list[str]:
    """The words that may be given, none where anything may."""
    if option.kind is bool and not option.many and not _is_flag(option):
        return ["yes", "no"]
    one_word = not option.many and isinstance(option.kind, type) and issubclass(option.kind, Enum)
    return [each.value for each in option.kind] if one_word else []


def _metavar(option: Option) -> str | None:
    if _choices(option) or option.kind is bool:
        return None
    if option.many == "*" or option.kind is Pack:
        return ":".join(without_unit(name).upper() for name, _, _ in row_fields(option.kind))
    one = {date: "YYYY-MM-DD", time: "HH:MM", str: "TEXT", Label: "TEXT"}.get(option.kind, "NUMBER")
    return f"{one},..." if option.many else one


def row_fields(kind: Any) -> list[tuple[str, Any, Any]]:
    """Name, type and default of each field of a row."""
    if get_origin(kind) is tuple:
        return [(f"{at}", each, MISSING) for at, each in enumerate(get_args(kind), 1)]
    kept = get_type_hints(kind)
    return [(field.name, kept[field.name], _default(field)) for field in fields(kind)]
