"""Every calculation that a command offers, asked with one value of its example put to something absurd."""

from __future__ import annotations

import shlex
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, fields, is_dataclass
from datetime import date
from decimal import Decimal
from enum import Enum
from math import inf, isfinite, nan
from typing import Any

from advisor.commands.calculating import _command, load_known
from advisor.commands.calculator.answering import answered
from advisor.commands.calculator.asking import Had, needs_programme
from advisor.commands.calculator.listed import Listed

#: What nobody's field, sack or season can be, and what sums in binary fractions break on.
NUMBERS = (0.0, -1.0, 5e-324, 1e-320, 1e-200, 1e-9, 1.1e-9, 9.9e8, 1e9, 1e18, 1e200, 1.7e308, nan, inf, -inf)
WHOLE_NUMBERS = (0, -1, 1, 10**6, 10**9 - 1, 10**9, 10**18)
AMOUNTS = tuple(
    map(Decimal, ("0", "-1", "1e-9", "1e-400", "1e9", "1e18", "1e200", "1e400", "NaN", "sNaN", "Infinity"))
)
TEXTS = ("", "x" * 10_000)
DAYS = (date.min, date.max)


@dataclass(frozen=True)
class Absurd:
    """One question: what it is about, and how it is asked."""

    what: str
    ask: Callable[[], object]


def questions(listed: Listed) -> Iterator[Absurd]:
    """Every question about a calculation."""
    _, arguments = _example(listed)
    for ask in listed.asks:
        if not isinstance(ask, Had):
            for what, wrong in _wrong(arguments[ask.path], ask.path, getattr(ask, "many", "") in ("*", ",")):
                yield Absurd(
                    f"{listed.name} {what}",
                    lambda ask=ask, wrong=wrong: listed.function(**arguments | {ask.path: wrong()}),
                )


def _example(listed: Listed) -> tuple[object, Mapping[str, Any]]:
    typed = _command(listed).make_context(listed.name, shlex.split(listed.example or "")).params
    typed.pop("as_json")
    about = {name: typed.pop(name, None) for name in ("crop", "zone", "programme")}
    known = load_known(**about) if needs_programme(listed.asks) else None
    return known, answered(listed.asks, typed, known).arguments


def _wrong(value: Any, path: str, any_length: bool = False) -> Iterator[tuple[str, Callable[[], Any]]]:
    """Ways to make a value that is wrong in one place."""
    if is_dataclass(value) and not isinstance(value, type):
        for field in fields(value):
            for what, part in _wrong(getattr(value, field.name), f"{path}.{field.name}"):
                yield what, lambda name=field.name, part=part: _made(value, name, part)
    elif isinstance(value, tuple):
        if any_length:
            yield f"{path} of none", lambda: ()
        for at, each in enumerate(value[:2]):
            for what, part in _wrong(each, f"{path}[{at}]"):
                yield what, lambda at=at, part=part: (*value[:at], part(), *value[at + 1 :])
    else:
        for wrong in _wrong_ones(value):
            yield f"{path} = {str(wrong)[:20]}", lambda wrong=wrong: wrong


def _made(value: Any, name: str, part: Callable[[], Any]) -> Any:
    kept = {field.name: getattr(value, field.name) for field in fields(value) if field.init}
    return type(value)(**kept | {name: part()})


def _wrong_ones(value: Any) -> tuple[Any, ...]:
    if isinstance(value, bool | Enum):
        return ()
    kinds = ((int, WHOLE_NUMBERS), (float, NUMBERS), (Decimal, AMOUNTS), (str, TEXTS), (date, DAYS))
    return next((wrong for kind, wrong in kinds if isinstance(value, kind)), ())


def numbers_that_are_none(result: object, path: str = "result") -> Iterator[str]:
    """Places in a result where a number is not finite."""
    if isinstance(result, float | Decimal) and not isfinite(result):
        yield path
    elif is_dataclass(result) and not isinstance(result, type):
        for field in fields(result):
            yield from numbers_that_are_none(getattr(result, field.name), f"{path}.{field.name}")
    elif isinstance(result, Mapping):
        for key, each in result.items():
            yield from numbers_that_are_none(each, f"{path}[{key}]")
    elif isinstance(result, tuple | list | frozenset):
        for at, each in enumerate(result):
            yield from numbers_that_are_none(each, f"{path}[{at}]")
