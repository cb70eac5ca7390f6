"""Growers, numbers and changes for the store's tests. All invented; numbers are in the unassigned +999 range."""

from __future__ import annotations

from typing import Any

from advisor.store.api import Change, Out, Relay, Settlement, Store
from advisor.store.keys import grower_id, message_hash, outgoing_id
from advisor.store.names import bucket_of_out

SECRET = b"a secret for tests"
NUMBERS = tuple(f"+99900100{place:04d}" for place in range(1, 200))

ANN, BEN, COR = (grower_id(SECRET, number) for number in NUMBERS[:3])

NOON_MS = 1_800_000_000_000
MINUTE_MS = 60_000
HOUR_MS = 60 * MINUTE_MS
DAY_MS = 24 * HOUR_MS


def message(name: str) -> str:
    """Hash of an inbound message id."""
    return message_hash(SECRET, name)


def neighbour_of(grower: str) -> str:
    """Another hash in the same bucket."""
    return grower[:2] + "0123456789abcd"


def stranger_to(grower: str) -> str:
    """A hash in another bucket."""
    return f"{(int(grower[:2], 16) + 1) % 256:02x}" + "0123456789abcd"


def change(grower: str = ANN, version: int = 0, value: bytes | None = b"{}", **more: Any) -> Change:
    """A change at noon."""
    return Change(grower, version, value, **{"at_ms": NOON_MS, **more})


def out(grower: str = ANN, name: str = "answer", **more: Any) -> Out:
    """A message for the outbox, due at noon, for one hour."""
    told = {"lane": 0, "not_before_ms": NOON_MS, "expires_ms": NOON_MS + HOUR_MS, "body": name.encode(), **more}
    return Out(outgoing_id(grower, name), **told)


def full_change(grower: str = ANN, version: int = 0, **more: Any) -> Change:
    """A change that touches every key that a change can touch."""
    told: dict[str, Any] = {
        "message": message("full"),
        "digest": "d1",
        "reply": b"first answer",
        "applied": "effect-0",
        "outs": (out(grower, to=grower), out(grower, "second page", lane=1)),
        "relays": (Relay("effect-1", stranger_to(grower), b"count 1"),),
        "counts": (("dovi", "growers", 1), ("dovi", "started", 1)),
        "history": (("what", "began"),),
        "lapses_ms": NOON_MS + HOUR_MS,
        "asked_ms": NOON_MS,
        "pointer": (neighbour_of(grower), grower),
        "stop": (grower, True),
        "dues": (("demo", NOON_MS),),
        "tallies": (("demo", "sent", 1),),
        **more,
    }
    return change(grower, version, **told)


def forgetting(grower: str = ANN, version: int = 0, **more: Any) -> Change:
    """A change that erases a grower: nothing is left, and the number wants no more messages."""
    told: dict[str, Any] = {"value": None, "forgets": True, "stop": (grower, True), **more}
    return change(grower, version, **told)


def settle(
    store: Store, oid: str, lane: int | None, state: str, at_ms: int, again_ms: int | None = None, **more: Any
) -> tuple[str, ...]:
    """Settles one message; the damaged keys."""
    return store.settle(bucket_of_out(oid), [Settlement(oid, lane, state, again_ms, **more)], at_ms)
