"""All that is kept of one person, in words and figures that the person can read."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import UTC, datetime
from typing import Any

import msgspec
from msgspec.structs import asdict

from advisor.records.facts import Fact
from advisor.service.clock import rfc3339
from advisor.service.identity import Ids
from advisor.service.outgoing import Parcel
from advisor.service.stored import from_bytes
from advisor.store.encoding import OutRecord, remembered
from advisor.store.redis_store import RedisStore
from advisor.store.rows import Kept, Queued, Row
from advisor.store.saving import row_of


def all_that_is_kept(store: RedisStore, number: str, ids: Ids) -> dict[str, Any]:
    """Record, open conversation, history, remembered answers and queued messages of one number.

    Args:
        store: where they are.
        number: E.164 number.
        ids: derives ids.

    Raises:
        StoreDamaged: something of it cannot be read.
        StoreUnavailable: the store does not answer.
    """
    hashed = ids.number(number)
    grower = store.read(hashed, ids.message(number, "")).grower
    stops = store.stopped(grower, hashed)
    row = row_of(store, grower)
    return {"number": number, "wants_no_messages": stops} | ({} if row is None else _kept_of(row))


def _kept_of(row: Row) -> dict[str, Any]:
    stored = from_bytes(row.value)
    record = stored.record
    return {
        "agreed": record.agreed and rfc3339(record.agreed),
        "agreed_how": record.agreed and (record.agreed_how or "dialogue"),
        "stopped": record.stopped and rfc3339(record.stopped),
        "facts": _facts(record.facts),
        "kept_aside": {each.scope: [_facts(facts) for facts in each.others] for each in record.aside},
        "code_for_a_move": record.code and rfc3339(record.code.issued),
        "works_behind_a_pin": record.pin is not None,
        "questions_to_the_agent": [
            {"asked": rfc3339(question.asked), "text": question.text} for question in record.questions
        ],
        "steps_of_rounds": {round_key: list(marks) for round_key, marks in record.passed},
        "next_looks_in_rounds": {round_key: rfc3339(_moment(look_ms)) for round_key, look_ms in row.dues},
        "open_conversation": stored.session and _plain(asdict(stored.session)),
        "history": [dict(zip(line.fields[::2], line.fields[1::2], strict=True)) for line in row.history],
        "remembered_answers": [_answer(kept) for kept in row.answers],
        "waiting_messages": [_waiting(queued) for queued in row.queued],
        "messages_put_aside": [_waiting(queued) for queued in row.aside],
        "kept_until": row.idle_ms and rfc3339(_moment(row.idle_ms)),
    }


def _facts(facts: Iterable[Fact]) -> list[dict[str, Any]]:
    return [{"name": fact.name, "value": fact.value, "since": rfc3339(fact.learnt)} for fact in facts]


def _answer(kept: Kept) -> str:
    found = remembered(kept.held)
    return found.reply.decode() if found else ""


def _waiting(queued: Queued) -> dict[str, Any]:
    record = OutRecord.read(queued.held)
    text = msgspec.json.decode(record.body, type=Parcel).text if record.body else ""
    return {"state": record.state, "text": text, "until": rfc3339(_moment(record.expires_ms))}


def _moment(at_ms: int) -> datetime:
    return datetime.fromtimestamp(at_ms / 1000, UTC)


def _plain(value: Any) -> Any:
    return msgspec.to_builtins(value)
