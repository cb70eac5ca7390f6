"""A grower's record to and from plain JSON values, as compact as it is read often.

Facts are stored as ``name: [seconds, value]``; a seed test's pair becomes a list and comes back as a pair. Steps
of rounds are stored as ``round: [marks]``, what is kept aside as ``scope: [place in hand, facts, facts …]``,
questions as ``[seconds, text]``, a code as ``[seconds, tries]``,
a PIN as ``[salt and hash, tries, locked until, open until]``.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import UTC, datetime
from typing import Any

import msgspec
from msgspec import Struct

from advisor.records.aside import Aside
from advisor.records.facts import Fact, Value
from advisor.records.grower import Code, Grower, Pin, Question


def grower_to_json(grower: Grower) -> dict[str, Any]:
    """The record as plain JSON values.

    >>> grower_to_json(Grower("+99900000001"))
    {'n': '+99900000001'}
    """
    stored: dict[str, Any] = {"n": grower.number}
    if grower.agreed:
        stored["a"] = _seconds(grower.agreed)
    if grower.stopped:
        stored["x"] = _seconds(grower.stopped)
    if grower.facts:
        stored["f"] = _facts_to_json(grower.facts)
    if grower.passed:
        stored["p"] = {round_key: list(marks) for round_key, marks in grower.passed}
    if grower.aside:
        stored["o"] = {each.scope: [each.place, *map(_facts_to_json, each.others)] for each in grower.aside}
    if grower.questions:
        stored["q"] = [[_seconds(question.asked), question.text] for question in grower.questions]
    if grower.code:
        stored["c"] = [_seconds(grower.code.issued), grower.code.tries]
    if grower.agreed_how:
        stored["h"] = grower.agreed_how
    if grower.pin:
        pin = grower.pin
        stored["k"] = [pin.mark, pin.tries, *(_seconds(at) if at else 0 for at in (pin.locked, pin.opened))]
    return stored


#: A moment and a value, as a fact is stored.
_Told = tuple[datetime, Any]


class KeptGrower(Struct, frozen=True):
    """A record as it is stored, read straight from its bytes: each message reads all that is kept of a grower.

    Seconds are moments already where this is read with ``strict=False``.
    """

    n: str = ""
    a: datetime | None = None
    x: datetime | None = None
    f: dict[str, _Told] = {}
    p: dict[str, tuple[str, ...]] = {}
    o: dict[str, list[Any]] = {}
    q: tuple[tuple[datetime, str], ...] = ()
    c: tuple[datetime, int] | None = None
    h: str = ""
    k: tuple[str, int, int, int] | None = None

    def grower(self) -> Grower:
        """The record itself."""
        return Grower(
            self.n,
            self.a,
            self.x,
            _facts(self.f) if self.f else (),
            tuple(sorted(self.p.items())) if self.p else (),
            tuple([_aside(scope, kept) for scope, kept in sorted(self.o.items())]) if self.o else (),
            tuple([Question(asked, text) for asked, text in self.q]) if self.q else (),
            None if self.c is None else Code(*self.c),
            self.h,
            None if self.k is None else _pin(*self.k),
        )


def grower_from_json(stored: Mapping[str, Any]) -> Grower:
    """The record that was stored.

    >>> grower_from_json({"n": "+99900000001", "f": {"lot.test": [0, [45, 50]]}}).fact("lot.test").value
    (45, 50)
    """
    return msgspec.convert(stored, KeptGrower, strict=False).grower()


def value_to_json(value: Value) -> str | float | list[int]:
    """One value as JSON has it: a pair becomes a list.

    >>> value_to_json((45, 50))
    [45, 50]
    """
    return list(value) if isinstance(value, tuple) else value


def value_from_json(value: Any) -> Value:
    """One value as it was before it went through JSON: a list of two becomes a pair again."""
    if type(value) is list:
        first, second = value
        return (int(first), int(second))
    assert isinstance(value, (str, int, float))
    return value


def _facts_to_json(facts: tuple[Fact, ...]) -> dict[str, Any]:
    return {fact.name: [int(fact.learnt.timestamp()), value_to_json(fact.value)] for fact in facts}


def _facts(told: Mapping[str, _Told]) -> tuple[Fact, ...]:
    return tuple(
        [
            Fact(name, value_from_json(value) if type(value) is list else value, learnt)
            for name, (learnt, value) in sorted(told.items())
        ]
    )


def _aside(scope: str, kept: list[Any]) -> Aside:
    place, *others = kept
    return Aside(
        scope, place, tuple([_facts(msgspec.convert(each, dict[str, _Told], strict=False)) for each in others])
    )


def _pin(mark: str, tries: int, locked: int, opened: int) -> Pin:
    return Pin(mark, tries, *(datetime.fromtimestamp(at, UTC) if at else None for at in (locked, opened)))


def _seconds(moment: datetime) -> int:
    return int(moment.timestamp())
