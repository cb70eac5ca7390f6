"""The one stored value of a grower: record and session together, as compact JSON with a schema number."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import timedelta
from math import inf
from typing import Any

import msgspec
from msgspec import Struct

from advisor.campaign.rounds import BAGS
from advisor.dialogue.session import KeptSession, session_to_json
from advisor.dialogue.talk import Session
from advisor.records.aside import BAG, bag_numbers
from advisor.records.codec import KeptGrower, grower_to_json
from advisor.records.grower import Grower
from advisor.records.sown import SOWING, SOWN, sown_on
from advisor.service.speaking import bags_that_count

#: Raised with every change of the stored form.
SCHEMA = 5
#: Forms that this version reads. A value is written in the lowest that holds it: the first holds neither steps of
#: rounds, which the second brought, nor plots and lots that are kept aside, which the third did, nor questions to
#: the agent, which the fourth did, nor how consent was given elsewhere than in a dialogue, which the fifth did.
READABLE = (1, 2, 3, 4, SCHEMA)


class NewerSchema(Exception):  # noqa: N818 - named for what is wrong
    """The value was written by a newer version of the service.

    Args:
        found: its schema number.
    """

    def __init__(self, found: object) -> None:
        super().__init__(
            f"a stored value has schema {found}, this version reads {SCHEMA}: run the version that wrote it"
        )
        self.found = found


class Stored(Struct, frozen=True):
    """What is kept of one grower.

    Args:
        record: what is known of the grower; an empty one before consent.
        session: where the conversation stands, None when there is none.
    """

    record: Grower = Grower()
    session: Session | None = None


_NOTHING = Stored()


def to_bytes(stored: Stored) -> bytes | None:
    """The value to store, None when there is nothing to keep.

    >>> to_bytes(Stored()) is None
    True
    >>> to_bytes(Stored(Grower("+99900112233")))
    b'{"v":1,"r":{"n":"+99900112233"}}'
    """
    if stored == _NOTHING:
        return None
    value: dict[str, object] = {"v": _lowest(stored.record)}
    if stored.record != _NOTHING.record:
        value["r"] = grower_to_json(stored.record)
    if stored.session is not None:
        value["s"] = session_to_json(stored.session)
    return msgspec.json.encode(value)


def _lowest(record: Grower) -> int:
    if record.agreed_how:
        return SCHEMA
    if record.questions:
        return 4
    if record.aside:
        return 3
    return 2 if record.passed else 1


def from_bytes(value: bytes | None) -> Stored:
    """What was stored. A session of another form than this version's is none: the conversation begins anew.

    Raises:
        NewerSchema: a newer version wrote it.

    >>> from_bytes(b'{"v":1,"r":{"n":"+99900112233"}}').record.number
    '+99900112233'
    """
    if value is None:
        return Stored()
    kept = _kept(value)
    if kept.v not in READABLE:
        raise NewerSchema(kept.v)
    return Stored(
        record=Grower() if kept.r is None else kept.r.grower(),
        session=_session(kept.s) if kept.s else None,
    )


class _Kept(Struct, frozen=True):
    v: object
    r: KeptGrower | None = None
    s: msgspec.Raw = msgspec.Raw()


_KEPT = msgspec.json.Decoder(_Kept, strict=False)
_SESSION = msgspec.json.Decoder(KeptSession, strict=False)


def _kept(value: bytes) -> _Kept:
    try:
        return _KEPT.decode(value)
    except msgspec.ValidationError:
        # what a newer version wrote may have any form
        version = msgspec.json.decode(value)["v"]
        if version not in READABLE:
            raise NewerSchema(version) from None
        raise


class Glance(Struct, frozen=True):
    """What a planner needs of a grower.

    Args:
        facts: what is known, by name, as JSON has it; of several bags of seed under `BAGS` what is of each.
        passed: marks of the steps of a round that the grower is done with.
        since_s: the last moment at which the look was another, since then a fact has become too old; Unix seconds.
        until_s: the last moment at which it is the same, since a fact is too old after that.
    """

    facts: dict[str, object]
    passed: tuple[str, ...]
    since_s: float = -inf
    until_s: float = inf


def glance(
    value: bytes, round_key: str, now_s: float = 0, fresh_for: Mapping[str, timedelta | None] | None = None
) -> Glance | None:
    """A look at a stored value without reading all of it, a tenth of the work of `from_bytes`.

    Args:
        value: the stored value.
        round_key: whose marks are wanted.
        now_s: the moment, Unix seconds.
        fresh_for: for how long facts hold, None for ever; a fact that is not fresh any more is left out.

    Returns:
        None for who has not agreed or wants no messages.

    Raises:
        NewerSchema: a newer version wrote it.

    >>> glance(b'{"v":1,"r":{"n":"+99900112233","a":0,"f":{"lot.origin":[0,"saved"]}}}', "demo")
    Glance(facts={'lot.origin': 'saved'}, passed=(), since_s=-inf, until_s=inf)
    """
    found = msgspec.json.decode(value)
    if found["v"] not in READABLE:
        raise NewerSchema(found["v"])
    record = found.get("r")
    if record is None or not record.get("n") or "a" not in record or "x" in record:
        return None
    holds = fresh_for or {}
    span = _Span(-inf, inf)
    facts = _fresh(record.get("f", {}), holds, now_s, span)
    if SOWING in facts and (sown := sown_on(facts[SOWING], record["f"][SOWING][0])):
        facts[SOWN] = sown
    aside = record.get("o", {}).get("lot")
    if aside is not None:
        facts |= _bags(record.get("f", {}), aside, holds, now_s, span)
    return Glance(facts, tuple(record.get("p", {}).get(round_key, ())), span.since_s, span.until_s)


@dataclass(slots=True)
class _Span:
    """For how long a look stays the same; it gets shorter with each fact."""

    since_s: float
    until_s: float


def _bags(
    facts: Mapping[str, Any],
    aside: Sequence[Any],
    holds: Mapping[str, timedelta | None],
    now_s: float,
    span: _Span,
) -> dict[str, object]:
    place, *others = aside
    in_hand = {name: fact for name, fact in facts.items() if name.startswith("lot.")}
    lots = (*others[:place], in_hand, *others[place:])
    numbers = bag_numbers(lot.get(BAG, (0, None))[1] for lot in lots)
    each = [_fresh(lot, holds, now_s, span) for lot in lots]
    bags = bags_that_count(tuple(zip(numbers, each, strict=True)), place, holds)
    return {BAGS: bags} if bags else {}


def _fresh(
    facts: Mapping[str, Any], holds: Mapping[str, timedelta | None], now_s: float, span: _Span
) -> dict[str, object]:
    found = {}
    for name, (learnt_s, told) in facts.items():
        limit = holds.get(name)
        if limit is not None:
            last_s = learnt_s + limit.total_seconds()
            if now_s > last_s:
                span.since_s = max(span.since_s, last_s)
                continue
            span.until_s = min(span.until_s, last_s)
        found[name] = told
    return found


def _session(stored: msgspec.Raw) -> Session | None:
    try:
        return _SESSION.decode(stored).session()
    except Exception:
        # whatever it was, it must not make every message of this grower fail for ever
        return None
