"""What every store promises: one read and one commit a message, outbox and relays by bucket.

Three stores keep these promises: a dictionary, the embedded fake and the real Redis server. They pass the
same contract tests, so whoever calls one need not know which it is.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Protocol

BUCKETS = 256


class StoreUnavailable(Exception):  # noqa: N818 - named for what the caller sees
    """The store did not answer in time or cannot write now; nothing is known to have changed.

    Args:
        what: one line that says what happened.
        retry_after_s: after how many seconds a caller should repeat the same message, with the same id.
    """

    def __init__(self, what: str, retry_after_s: int = 1) -> None:
        super().__init__(f"{what}: repeat the message with the same id after {retry_after_s} s")
        self.what = what
        self.retry_after_s = retry_after_s


class StoreDamaged(Exception):  # noqa: N818
    """A key holds another type than it must; the commit changed nothing.

    Args:
        key: the key, which never holds a phone number or a name.
    """

    def __init__(self, key: str) -> None:
        super().__init__(f"key {key} holds another type than it must: look at it before going on")
        self.key = key


class StoreMismatch(Exception):  # noqa: N818
    """The store was made with other settings (bucket count, schema) than this process has."""


@dataclass(frozen=True, slots=True)
class Remembered:
    """A message that was answered before.

    Args:
        digest: digest of its body, to tell a repeat from another message under the same id.
        reply: the reply it got, as bytes.
    """

    digest: str
    reply: bytes


@dataclass(frozen=True, slots=True)
class Reading:
    """What one trip finds out about a number and a message.

    Args:
        grower: id of the grower behind the number.
        version: version of the grower's value, 0 when there is none.
        value: the grower's value as bytes, None when there is none.
        remembered: the earlier answer to this message id, None when it is new.
    """

    grower: str
    version: int
    value: bytes | None
    remembered: Remembered | None


@dataclass(frozen=True, slots=True)
class Out:
    """A message for the outbox.

    Args:
        oid: outgoing id with the bucket in front, ``b07-…``; derived, so that a repeat is the same message.
        lane: 0 answers, 1 alerts, 2 rounds.
        not_before_ms: earliest hand-over, Unix milliseconds.
        expires_ms: not handed over after this.
        body: what the sender needs (number, text), as bytes.
    """

    oid: str
    lane: int
    not_before_ms: int
    expires_ms: int
    body: bytes


@dataclass(frozen=True, slots=True)
class Relay:
    """A change to somebody in another bucket, which leaves with this commit and is applied there by a second.

    Args:
        effect: deterministic id of the effect.
        target: id of the grower it is for.
        body: what to do, as bytes.
    """

    effect: str
    target: str
    body: bytes


@dataclass(frozen=True, slots=True)
class Change:
    """All that one message changes, written at once or not at all.

    Args:
        grower: id of the grower, whose bucket everything lies in.
        version: version that was read; another one there means a conflict.
        value: new value of the grower, None to delete it.
        at_ms: the moment of the change, Unix milliseconds.
        message: hash of the inbound message id, None when no message stands behind the change.
        digest: digest of the message's body.
        reply: the reply to remember under the message id.
        outs: messages for the outbox; one that is there already is left as it is.
        relays: changes that leave for other buckets.
        applied: effect id of the relay that this change applies, None otherwise; applied once only.
        counts: (village, counter, difference) of the village figures.
        history: fields of one line of the grower's history, empty for none.
        lapses_ms: when an unconsented session must be gone, None when nothing lapses.
        pointer: (number hash, grower id or None): let a number of this bucket point to a grower.
    """

    grower: str
    version: int
    value: bytes | None
    at_ms: int
    message: str | None = None
    digest: str = ""
    reply: bytes = b""
    outs: tuple[Out, ...] = ()
    relays: tuple[Relay, ...] = ()
    applied: str | None = None
    counts: tuple[tuple[str, str, int], ...] = ()
    history: tuple[tuple[str, str], ...] = ()
    lapses_ms: int | None = None
    pointer: tuple[str, str | None] | None = None


@dataclass(frozen=True, slots=True)
class Committed:
    """The change is written; ``version`` is the new version."""

    version: int


@dataclass(frozen=True, slots=True)
class Conflict:
    """Somebody else wrote first; nothing is changed. Read again."""


Verdict = Committed | Remembered | Conflict


@dataclass(frozen=True, slots=True)
class Claimed:
    """An outbox message that this sender holds until its lease ends."""

    oid: str
    lane: int
    body: bytes
    attempts: int
    expires_ms: int


@dataclass(frozen=True, slots=True)
class Waiting:
    """A relay that waits in a bucket to be applied elsewhere."""

    bucket: int
    effect: str
    target: str
    body: bytes


class Store(Protocol):
    """One place that keeps growers, messages, outbox and relays."""

    def open(self) -> None:
        """Makes or checks the store's own description. Raises StoreMismatch, StoreUnavailable."""

    def ready(self) -> tuple[bool, str]:
        """Whether writes are possible now, and one line about settings that weaken the promises."""

    def read(self, number_hash: str, message: str) -> Reading:
        """One trip: the grower behind a number and the earlier answer to a message."""

    def commit(self, change: Change) -> Verdict:
        """One trip: everything or nothing. Raises StoreUnavailable, StoreDamaged."""

    def claim(self, bucket: int, now_ms: int, lease_ms: int, most: int) -> tuple[Claimed, ...]:
        """Takes due outbox messages of a bucket, in order of lane then time, and leases them."""

    def settle(self, oid: str, lane: int, state: str, at_ms: int, retry_at_ms: int | None = None) -> None:
        """Says how a hand-over went: ``sent``, ``failed``, ``expired``, ``delivered`` or ``later``.

        States only move up (queued < sent < failed | expired < delivered). Once handed over, number and text
        are dropped and only the state stays.
        """

    def state(self, oid: str) -> str | None:
        """State of an outgoing message, None when it is not known (any more)."""

    def relays(self, bucket: int, most: int) -> tuple[Waiting, ...]:
        """Relays that wait in a bucket."""

    def relay_done(self, bucket: int, effect: str) -> None:
        """Takes a relay out of its bucket once it is applied elsewhere."""

    def value(self, grower: str) -> tuple[int, bytes | None]:
        """Version and value of one grower."""

    def lapse(self, bucket: int, now_ms: int, most: int) -> int:
        """Deletes unconsented sessions whose time is over; returns how many."""

    def growers(self, bucket: int) -> Iterable[str]:
        """Ids of the growers in a bucket, for recounts and exports; never on a page."""

    def counts(self, village: str) -> dict[str, int]:
        """Village figures, summed over all buckets."""

    def history(self, grower: str) -> tuple[tuple[tuple[str, str], ...], ...]:
        """Lines of a grower's history, oldest first."""

    def stumble(self, grower: str, message: str) -> int:
        """Counts one more unexpected failure under a message id and returns the count; kept 72 h."""

    def park(self, grower: str, message: str, at_ms: int) -> None:
        """Puts a message id on the operator's list of messages that keep failing."""


def bucket_of(grower: str) -> int:
    """The bucket of a grower or number hash: its first byte.

    >>> bucket_of("0f3a9c5500112233")
    15
    """
    return int(grower[:2], 16)
