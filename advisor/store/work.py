"""What waits in a store to be done: outgoing messages, relays, lapses, and what was given up."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Claimed:
    """An outbox message that this sender holds until its lease ends."""

    oid: str
    lane: int
    body: bytes
    attempts: int
    expires_ms: int


@dataclass(frozen=True, slots=True)
class Claims:
    """What one claim brings; it is as long as what was taken, and goes through that.

    Args:
        taken: messages that this sender holds now.
        damaged: keys that held what the store never wrote. A damaged message waits as long as a lease and is
            named again by the next claim; a damaged lane stays as it is. The names are hashes.

    >>> list(Claims((), damaged=("{b07}:o:b07-3a9c",)))
    []
    """

    taken: tuple[Claimed, ...] = ()
    damaged: tuple[str, ...] = ()

    def __iter__(self) -> Iterator[Claimed]:
        return iter(self.taken)

    def __len__(self) -> int:
        return len(self.taken)


@dataclass(frozen=True, slots=True)
class Waiting:
    """A relay that waits in a bucket to be applied elsewhere."""

    bucket: int
    effect: str
    target: str
    body: bytes


@dataclass(frozen=True, slots=True)
class Idle:
    """A grower who was not heard of for too long.

    Args:
        grower: id of the grower.
        version: version of the value, for the commit that erases it.
        value: the value.
    """

    grower: str
    version: int
    value: bytes | None


@dataclass(frozen=True, slots=True)
class Busy:
    """Buckets that have something to do, in rising order.

    Args:
        outbox: buckets with outbox messages that are due.
        relays: buckets with relays that wait.
        lapses: buckets with unconsented sessions whose time is over.
        idle: buckets with growers who were not heard of for too long.
        damaged: keys of another type than they must be; what they keep is missing above. The names are hashes.
    """

    outbox: tuple[int, ...]
    relays: tuple[int, ...]
    lapses: tuple[int, ...]
    idle: tuple[int, ...] = ()
    damaged: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Backlog:
    """How much waits in all buckets together.

    Args:
        outbox: outgoing messages that are due and neither handed over nor given up.
        relays: relays that wait to be applied elsewhere.
        parked: messages on the operator's list.
    """

    outbox: int
    relays: int
    parked: int


@dataclass(frozen=True, slots=True)
class Parked:
    """A message that kept failing, on the operator's list."""

    grower: str
    message: str
    at_ms: int
