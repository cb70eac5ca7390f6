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


def grower_from_json(stored: Mapping[str, Any]) -> Grower:
    """The record that was stored.

    >>> grower_from_json({"n": "+99900000001", "f": {"lot.test": [0, [45, 50]]}}).fact("lot.test").value
    (45, 50)
    """
    passed, aside, asked = stored.get("p"), stored.get("o"), stored.get("q")
    return Grower(
        number=stored.get("n", ""),
        agreed=_moment(stored.get("a")),
        stopped=_moment(stored.get("x")),
        facts=_facts_from_json(stored["f"]) if "f" in stored else (),
        passed=tuple([(key, tuple(marks)) for key, marks in sorted(passed.items())]) if passed else (),
        aside=tuple(
            Aside(scope, place, tuple(map(_facts_from_json, others)))
            for scope, (place, *others) in sorted(aside.items())
        )
        if aside
        else (),
        questions=tuple(Question(datetime.fromtimestamp(seconds, UTC), text) for seconds, text in asked)
        if asked
        else (),
        code=_code(stored.get("c")),
        agreed_how=stored.get("h", ""),
        pin=_pin(stored.get("k")),
    )


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


def _facts_from_json(stored: Mapping[str, Any]) -> tuple[Fact, ...]:
    # nothing is done as often: each message reads all that is kept of a grower
    moment = datetime.fromtimestamp
    return tuple(
        [
            Fact(name, value_from_json(value) if type(value) is list else value, moment(seconds, UTC))
            for name, (seconds, value) in sorted(stored.items())
        ]
    )


def _code(stored: list[int] | None) -> Code | None:
    return None if stored is None else Code(datetime.fromtimestamp(stored[0], UTC), stored[1])


def _pin(stored: list[Any] | None) -> Pin | None:
    if stored is None:
        return None
    mark, tries, locked, opened = stored
    return Pin(str(mark), int(tries), _moment(locked or None), _moment(opened or None))


def _seconds(moment: datetime) -> int:
    return int(moment.timestamp())


def _moment(seconds: int | None) -> datetime | None:
    return None if seconds is None else datetime.fromtimestamp(seconds, UTC)
