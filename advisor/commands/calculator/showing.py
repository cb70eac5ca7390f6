"""Results for people, the number first, and for programs, as JSON with every digit."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, fields, is_dataclass
from datetime import date, time
from decimal import Decimal
from enum import Enum
from inspect import getmodule
from math import isfinite
from typing import Any

from advisor.agronomy import cautions
from advisor.agronomy.labels import Label
from advisor.agronomy.packs import Pack
from advisor.agronomy.units import area_in
from advisor.commands.calculator.amounts import said_number, unit_of, without_unit
from advisor.commands.calculator.asking import argument_lines, paragraph
from advisor.commands.calculator.known import Known, Used

#: Columns of the numbers; a wider one pushes its words to the right.
_WIDEST = 28
#: From so many figures of one list and one source on, they are one line.
_MANY = 6
#: A list whose items hold a longer text takes a line for each part of an item.
_LONG = 40


@dataclass(frozen=True, slots=True)
class Answer:
    """What a calculation was told and gave.

    Args:
        function: the calculation.
        inputs: what it was told, by name, in the units inside.
        result: what it gave.
        used: figures that it rests on.
        known: the programme, None where it needs none.
    """

    function: Callable[..., Any]
    inputs: Mapping[str, Any]
    result: Any
    used: tuple[Used, ...]
    known: Known | None

    @property
    def about(self) -> bool:
        """Whether it rests on anything that was not published."""
        return any(used.figure.mark != "published" for used in self.used)

    @property
    def cautions(self) -> tuple[str, ...]:
        """Keys of what must be said with it; where the result is a bare number its module says them."""
        own = getattr(getmodule(self.function), "CAUTIONS", ())
        return tuple(dict.fromkeys((*_cautions_in(self.result), *own)))


def as_text(answer: Answer) -> str:
    """The answer for people."""
    rows = [*_rows(answer.result, _result_name(answer), _first_line(answer.function), answer)]
    width = min(max((len(said) for said, _ in rows), default=0), _WIDEST)
    lines = [f"{said:<{width}}  {told}".rstrip() for said, told in rows]
    if answer.about and _is_number(answer.result):
        lines[0] = f"about {lines[0]}"
    elif answer.about:
        lines.append("about, since not every figure behind it was published")
    if answer.inputs:
        lines += ["", "for " + ", ".join(_inputs(answer.inputs))]
    if answer.used:
        lines += ["", "figures in use:", *(f"  {line}" for line in figure_lines(answer.used, briefly=True))]
    if answer.cautions:
        meanings = caution_meanings()
        lines += ["", "mind:", *(f"  {meanings.get(key, key)}" for key in answer.cautions)]
    if source := paragraph(answer.function, "Source"):
        lines += ["", f"after: {source}".replace("``", "")]
    return "\n".join(lines)


def as_data(answer: Answer) -> dict[str, Any]:
    """The answer for programs: SI inside, each figure with source and mark."""
    return {
        "calculation": answer.function.__name__,
        "inputs": plain(answer.inputs),
        "result": plain(answer.result),
        "unit": unit_of(_result_name(answer)) if _is_number(answer.result) else None,
        "about": answer.about,
        "figures": [figure_data(used) for used in answer.used],
        "cautions": list(answer.cautions),
    }


def figure_lines(used: Sequence[Used], *, briefly: bool = False) -> list[str]:
    """One line a figure: value and unit first, where it stands, how far it can be relied on.

    Args:
        used: the figures.
        briefly: whether many figures of one list are one line.
    """
    lists = Counter(_list_of(each) for each in used)
    lines = []
    for each in used:
        among = _list_of(each)
        many = briefly and among and lists[among] > _MANY
        said = f"{said_number(each.figure.value)} {_shown_unit(each.figure.unit)}".rstrip()
        what = f"{lists[among]} figures  {among[0]}" if many else f"{said}  {each.place}"
        what += f", zone {each.zone}" if each.zone else ""
        told = f"{each.figure.mark}: {each.citation}" if each.url else each.figure.mark
        lines.append(f"{what}  ({told})")
    return list(dict.fromkeys(lines))


def _list_of(used: Used) -> tuple[str, str]:
    """The list that a figure stands in, with its source; an empty pair where it stands in none."""
    place, bracket, _ = used.place.rpartition("[")
    return (place, used.figure.source) if bracket else ()  # type: ignore[return-value]


def figure_data(used: Used) -> dict[str, Any]:
    """A figure for programs."""
    return {
        "place": used.place,
        "zone": used.zone or None,
        "value": used.figure.value,
        "unit": used.figure.unit,
        "mark": used.figure.mark,
        "source": used.figure.source,
        "citation": used.citation,
        "url": used.url,
    }


def plain(value: Any) -> Any:
    """A value as JSON knows it: exact money as text, what is not finite as null."""
    if isinstance(value, Enum):
        return value.value
    if isinstance(value, Label):
        return value.default
    if is_dataclass(value) and not isinstance(value, type):
        return {field.name: plain(getattr(value, field.name)) for field in fields(value)}
    if isinstance(value, Mapping):
        return {str(name): plain(each) for name, each in value.items()}
    if isinstance(value, (tuple, list, set, frozenset)):
        return [plain(each) for each in value]
    if isinstance(value, Decimal):
        return str(value)
    if isinstance(value, (date, time)):
        return value.isoformat()
    if isinstance(value, Exception):
        return str(value)
    if isinstance(value, float):
        return value if isfinite(value) else None
    return value


def caution_meanings() -> dict[str, str]:
    """What each caution says, from the one list of them."""
    found = re.findall(r"^- ``(\w+)``: (.*(?:\n  .*)*)", cautions.__doc__ or "", re.MULTILINE)
    return {key: " ".join(meaning.split()) for key, meaning in found}


def _first_line(function: Callable[..., Any]) -> str:
    return (function.__doc__ or function.__name__).partition("\n")[0].rstrip(".")


def _result_name(answer: Answer) -> str:
    """The function's name, which ends in the unit of its result; what is counted has none."""
    name = answer.function.__name__
    return name if without_unit(name) != name else "count"


def _inputs(inputs: Mapping[str, Any]) -> Iterator[str]:
    """Each input with its name, and with what it belongs to where two have the same."""
    own = {path: path.rpartition(".")[2] for path in inputs}
    often = Counter(own.values())
    for path, value in inputs.items():
        of = f"{path.partition('.')[0]} " if often[own[path]] > 1 else ""
        yield f"{of}{_called(own[path])} {_brief(value, own[path])}"


def _called(name: str) -> str:
    return without_unit(name).replace("_", " ")


def _rows(value: Any, name: str, told: str, answer: Answer) -> Iterator[tuple[str, str]]:
    """Lines of a value, each with the number and what it is."""
    if _is_record(value):
        yield from _record_rows(value, told, answer)
    elif isinstance(value, (tuple, list)) and any(not _is_word(each) for each in value):
        yield str(len(value)), told
        for at, each in enumerate(value, 1):
            yield from _item_rows(each, at, name, answer)
    else:
        yield _said(value, name, answer), told


def _record_rows(value: Any, told: str, answer: Answer) -> Iterator[tuple[str, str]]:
    """A line for each field; a low and a high end are one line, and what stands before them is about."""
    lines = {name: line.rstrip(".") for name, line in argument_lines(type(value)).items()}
    names = [field.name for field in fields(value) if field.name != "cautions"]
    names = [name for name in names if getattr(value, name) is not None]
    if len(names) == 1:
        yield from _rows(getattr(value, names[0]), names[0], told, answer)
        return
    for name, following in zip(names, [*names[1:], ""], strict=True):
        part = getattr(value, name)
        is_end = _is_number(part) or (_is_record(part) and len(fields(part)) == 1)
        if is_end and _other_end(name, "high", "low") in names:
            continue
        if is_end and (high := _other_end(name, "low", "high")) in names:
            said = [
                " ".join(text for text, _ in _rows(getattr(value, end), end, "", answer)) for end in (name, high)
            ]
            yield " to ".join(said), f"{lines.get(name, 'least')}; {lines.get(high, 'most')}"
            continue
        own = f"{_called(name)}: {lines.get(name, '')}".rstrip(": ")
        if _is_record(part) and not is_end:
            yield "", own
        rows = list(_rows(part, name, own, answer))
        of_range = "_".join(word for word in following.split("_") if word != "low")
        if _other_end(following, "low", "high") in names and name.endswith(of_range) and _is_number(part):
            rows[0] = f"about {rows[0][0]}", rows[0][1]
        yield from rows


def _other_end(name: str, end: str, other: str) -> str:
    """Name of the other end of a range, empty where it is none: ``low_kg`` and ``high_kg``."""
    words = name.split("_")
    return "_".join(other if word == end else word for word in words) if end in words else ""


def _item_rows(item: Any, at: int, name: str, answer: Answer) -> Iterator[tuple[str, str]]:
    if not _is_record(item) or all(len(str(part)) <= _LONG for part in _leaves(item)):
        yield f"  {at}. {_named(item, name)}", ""
        return
    for number, (said, told) in enumerate(_record_rows(item, "", answer)):
        mark = f"{at}." if number == 0 else " " * len(f"{at}.")
        yield f"  {mark} {said}", told


def _named(value: Any, name: str) -> str:
    """A value in one line, each field with its name."""
    if _is_record(value) and not isinstance(value, Pack):
        parts = ((field.name, getattr(value, field.name)) for field in fields(value) if field.name != "cautions")
        return ", ".join(f"{_called(part)} {_named(each, part)}" for part, each in parts if each is not None)
    return _brief(value, name)


def _leaves(value: Any) -> Iterator[Any]:
    if _is_record(value):
        for field in fields(value):
            yield from _leaves(getattr(value, field.name))
    elif isinstance(value, (tuple, list)):
        for each in value:
            yield from _leaves(each)
    else:
        yield value


def _said(value: Any, name: str, answer: Answer) -> str:
    said = _brief(value, name)
    if answer.known is None or not _is_number(value):
        return said
    programme = answer.known.programme
    if isinstance(value, Decimal):
        return f"{programme.currency.symbol} {said}"
    if unit_of(name) == "m2" and value > 0:
        return f"{said} ({said_number(area_in(value, programme.area_unit))} {programme.area_unit})"
    return said


def _brief(value: Any, name: str) -> str:
    """A value in few letters."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, Label):
        return value.default
    if isinstance(value, Enum):
        return str(value.value).replace("_", " ")
    if isinstance(value, Pack):
        return f"{said_number(value.size)} g at {said_number(value.price)}"
    if _is_number(value):
        unit = "" if isinstance(value, Decimal) else unit_of(name)
        return _time(value) if unit == "s" else f"{said_number(value)} {_shown_unit(unit)}".rstrip()
    if _is_record(value):
        parts = ((field.name, getattr(value, field.name)) for field in fields(value))
        return " ".join(_brief(part, field) for field, part in parts if part is not None)
    if isinstance(value, (tuple, list)):
        if len(value) == 2 and isinstance(value[0], Pack) and isinstance(value[1], int):
            return f"{value[1]} x {_brief(value[0], name)}"
        return ", ".join(_brief(each, name) for each in value) or "none"
    return "?" if value is None else str(value)


def _time(seconds: float) -> str:
    minutes = round(seconds / 60)
    hours, rest = divmod(minutes, 60)
    if seconds < 60:
        return f"{said_number(seconds)} s"
    return " ".join(part for part in (f"{hours} h" if hours else "", f"{rest} min" if rest else "") if part)


def _shown_unit(unit: str) -> str:
    return {"1": "", "percent": "%", "celsius": "°C", "m2": "m²", "per m2": "per m²", "day": "days"}.get(
        unit, unit
    )


def _is_record(value: Any) -> bool:
    return is_dataclass(value) and not isinstance(value, (type, Label))


def _is_word(value: Any) -> bool:
    """Whether it is one number or word."""
    return not _is_record(value) and not isinstance(value, (tuple, list))


def _is_number(value: Any) -> bool:
    return isinstance(value, int | float | Decimal) and not isinstance(value, bool)


def _cautions_in(value: Any) -> Iterator[str]:
    return (each for each in _leaves(value) if isinstance(each, str) and each in cautions.CAUTIONS)
