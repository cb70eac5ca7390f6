"""What keys hold, read as the store wrote it; where the store never wrote that, the key is named as damaged."""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar

from advisor.store import keys
from advisor.store.api import Claimed, Parked, Remembered
from advisor.store.encoding import remembered, versioned
from advisor.store.errors import StoreDamaged
from advisor.store.names import checked_hash

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
    attempts, expires_ms, body = rest
    return Claimed(due[1], due[0], body, int(attempts), int(expires_ms))


def parked_in(member: bytes, score: bytes) -> Parked:
    """An entry of the operator's list."""
    grower, _, message = member.decode().partition(":")
    return Parked(grower, message, int(score))
