"""What keys hold, read as the store wrote it; where the store never wrote that, the key is named as damaged."""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar

from advisor.store import keys
from advisor.store.api import Aside, Claimed, Parked, Remembered
from advisor.store.encoding import OutRecord, remembered, versioned
from advisor.store.errors import StoreDamaged
from advisor.store.names import bucket_of_out, checked_hash

#: States of messages that are kept for people to look at.
ASIDE = ("unknown", "dead")

H = TypeVar("H")
T = TypeVar("T")


def read_as(key: str, reader: Callable[[H], T], held: H) -> T:
    """What a key holds. Raises StoreDamaged where the reader raises ValueError."""
    try:
        return reader(held)
    except ValueError as error:
        raise StoreDamaged(key) from error


def read_value(grower: str, held: bytes | None) -> tuple[int, bytes | None]:
    """Version and value of a grower. Raises StoreDamaged."""
    return read_as(keys.of_grower(grower), versioned, held)


def target_in(held: bytes) -> str:
    """The grower that a pointer holds. Raises ValueError."""
    return checked_hash("pointer", held.decode())


def answer_in(held: bytes) -> Remembered:
    """A remembered answer. Raises ValueError."""
    return remembered(held) or Remembered("", b"")


def claimed_in(due: tuple[int, str], rest: list[bytes]) -> Claimed:
    """A claimed message: its lane and id, and what the claim script said of it."""
    attempts, expires_ms, begun_ms, *names, body = rest
    grower, round_, after = ("" if name == b"-" else name.decode() for name in names)
    return Claimed(due[1], due[0], body, int(attempts), int(expires_ms), int(begun_ms), grower, round_, after)


def checked_out(bucket: int, oid: str) -> str:
    """The key of a message of a bucket. Raises ValueError for one of another bucket."""
    if bucket_of_out(oid) != bucket:
        raise ValueError("a message lies in another bucket than it is settled in")
    return keys.of_out(oid)


def aside_in(oid: str, since_ms: int, held: bytes | None) -> Aside | None:
    """A message that was put aside, None for one that is none any more or cannot be read."""
    try:
        record = None if held is None else OutRecord.read(held)
    except ValueError:
        return None
    if record is None or record.state not in ASIDE:
        return None
    return Aside(oid, record.state, since_ms, record.attempts, record.grower, record.round, record.body)


def parked_in(member: bytes, score: bytes) -> Parked:
    """An entry of the operator's list."""
    grower, _, message = member.decode().partition(":")
    return Parked(grower, message, int(score))
