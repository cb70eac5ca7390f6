"""Puts a message that was given up back into the outbox, at the word of somebody who has looked at it.

It keeps its id, so that a gateway that has it after all repeats nothing. It waits with the messages of rounds,
whatever it was: what comes late is no answer to somebody who has just written, so quiet hours and the most of a
day hold it, and the claim looks at stop and consent once more.
"""

from __future__ import annotations

from enum import StrEnum

from advisor.store import keys, traces
from advisor.store.api import ROUNDS, RoundState
from advisor.store.encoding import OutRecord
from advisor.store.holding import read_as
from advisor.store.names import bucket_of_out
from advisor.store.plans import Keeps
from advisor.store.redis_store import RedisStore
from advisor.store.script import Plan


class Again(StrEnum):
    """What became of a message that is to leave again."""

    WAITS = "waits"
    #: It is not one that was given up: handed over meanwhile, erased, or no id of ours.
    OTHER = "other"
    #: Its time is over.
    LATE = "late"
    #: The gateway may have it, and does not know its id any more.
    UNSURE = "unsure"
    #: Whoever it is for wants no messages, or its round was stopped.
    UNWANTED = "unwanted"


def put_back(store: RedisStore, keeps: Keeps, oid: str, now_ms: int, known_ms: int) -> Again:
    """Puts a message that is ``dead`` back, with all its tries.

    Args:
        store: where it lies.
        keeps: how long things are kept.
        oid: its outgoing id.
        now_ms: the moment, Unix milliseconds.
        known_ms: the gateway knows the ids again that it was given after this.

    Raises:
        ValueError: that is no outgoing id.
        StoreUnavailable: the store does not answer.
        StoreDamaged: a key holds what the store never wrote.
    """
    bucket, key = bucket_of_out(oid), keys.of_out(oid)
    held = store.link.one("GET", key)
    if held is None:
        return Again.OTHER
    record = read_as(key, OutRecord.read, held)
    if record.state != "dead":
        return Again.OTHER
    if record.expires_ms < now_ms:
        return Again.LATE
    if 0 < record.begun_ms <= known_ms:
        return Again.UNSURE
    if _is_unwanted(store, bucket, record):
        return Again.UNWANTED
    plan, kept_ms = Plan(), keeps.out_ms(record.expires_ms, now_ms)
    # nothing happens where a receipt came in between, or an erase
    plan.guard(key, held)
    plan.set(key, record.again().text, kept_ms)
    plan.zrem(keys.of_aside(bucket), oid)
    plan.zadd(keys.of_lane(bucket, ROUNDS), now_ms, oid)
    if record.grower:
        member = traces.of_out(ROUNDS, oid, record.round)
        plan.trace(keys.of_traces(record.grower), max(kept_ms, keeps.aside_ms), member)
    return Again.WAITS if store.run(plan) == "committed" else Again.OTHER


def _is_unwanted(store: RedisStore, bucket: int, record: OutRecord) -> bool:
    """Also the claim asks this; here somebody waits for the answer."""
    stop, agreed, state = store.link.many(
        (
            ("SISMEMBER", keys.of_stops(bucket), record.to),
            ("ZSCORE", keys.of_idle(bucket), record.grower),
            ("HGET", keys.of_pauses(bucket), record.round),
        )
    )
    is_silent = bool(record.grower) and agreed is None
    return bool(stop) or is_silent or state == RoundState.STOPPED.value.encode()
