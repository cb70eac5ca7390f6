"""How values look inside Redis: a version in front of a grower, a digest before a reply, a head before a message.

Heads are plain text with single spaces, so that the scripts can compare and read them without decoding bodies.
"""

from __future__ import annotations

from dataclasses import dataclass

from advisor.store.api import STATE_RANK, Out, Remembered

VERSION_DIGITS = 16


def version_text(version: int) -> bytes:
    """A version as it stands in front of a value; empty for 0, the value that is not there.

    >>> version_text(12)
    b'0000000000000012'
    >>> version_text(0)
    b''
    """
    return b"%0*d" % (VERSION_DIGITS, version) if version else b""


def versioned(held: bytes | None) -> tuple[int, bytes | None]:
    """Version and value, from what a key holds.

    Raises:
        ValueError: what is there does not begin with a version.

    >>> versioned(b"0000000000000012{}")
    (12, b'{}')
    """
    if held is None:
        return 0, None
    head = held[:VERSION_DIGITS]
    if len(head) < VERSION_DIGITS or not head.isdigit():
        raise ValueError("a value does not begin with a version")
    return int(head), held[VERSION_DIGITS:]


def remembered_text(digest: str, reply: bytes) -> bytes:
    """A remembered answer as a key holds it.

    >>> remembered_text("d1", b"CON 1")
    b'd1 CON 1'
    """
    return digest.encode() + b" " + reply


def remembered(held: bytes | None) -> Remembered | None:
    """The answer that a key remembers.

    >>> remembered(b"d1 CON 1")
    Remembered(digest='d1', reply=b'CON 1')
    """
    if held is None:
        return None
    digest, _, reply = held.partition(b" ")
    return Remembered(digest.decode(), reply)


@dataclass(frozen=True, slots=True)
class OutRecord:
    """An outgoing message as the outbox keeps it.

    Args:
        state: one of the states of an outgoing message.
        attempts: how often it was claimed.
        expires_ms: not handed over after this, Unix milliseconds.
        to: hash of the number, empty when a stop does not hold it back.
        body: number and text, empty once it is handed over or has ended.
    """

    state: str
    attempts: int
    expires_ms: int
    to: str
    body: bytes

    @classmethod
    def of(cls, out: Out) -> OutRecord:
        """The record of a new message."""
        return cls("queued", 0, out.expires_ms, out.to, out.body)

    @classmethod
    def read(cls, held: bytes) -> OutRecord:
        """The record that a key holds.

        Raises:
            ValueError: what is there is not a record.

        >>> OutRecord.read(OutRecord("queued", 1, 99, "", b"hello there").text)
        OutRecord(state='queued', attempts=1, expires_ms=99, to='', body=b'hello there')
        """
        state, attempts, expires_ms, to, body = held.split(b" ", 4)
        return cls(state.decode(), int(attempts), int(expires_ms), "" if to == b"-" else to.decode(), body)

    @property
    def head(self) -> bytes:
        """What stands before the body; it changes with every claim and every state."""
        return f"{self.state} {self.attempts} {self.expires_ms} {self.to or '-'} ".encode()

    @property
    def text(self) -> bytes:
        """The record as a key holds it."""
        return self.head + self.body

    def ended(self, state: str) -> OutRecord:
        """The record in a later state, without number and text.

        >>> OutRecord("queued", 1, 99, "", b"hello").ended("sent").text
        b'sent 1 99 - '
        """
        return OutRecord(state, self.attempts, self.expires_ms, "", b"")

    def may_become(self, state: str) -> bool:
        """Whether a state lies above this one; ``later`` only for what still waits.

        Raises:
            ValueError: there is no such state.

        >>> record = OutRecord("sent", 1, 99, "", b"")
        >>> [record.may_become(state) for state in ("later", "sent", "failed", "delivered")]
        [False, False, True, True]
        """
        if state == "later":
            return self.state == "queued"
        if state not in STATE_RANK or state == "queued":
            raise ValueError(f"state is {state!r}, allowed are later, {', '.join(list(STATE_RANK)[1:])}")
        return STATE_RANK[state] > STATE_RANK[self.state]
