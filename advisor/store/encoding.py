"""How values look inside Redis: a version in front of a grower, a digest before a reply, a head before a message.

Heads are plain text with single spaces, so that the scripts can compare and read them without decoding bodies.
"""

from __future__ import annotations

import re

from msgspec import Struct
from msgspec.structs import replace

from advisor.store.api import MOST_MS, STATE_RANK, Out, Remembered, Waiting
from advisor.store.names import bucket_of

VERSION_DIGITS = 16

_ANSWER = re.compile(rb"([!-~]*) (.*)", re.DOTALL)
#: Behind the receiver, since an earlier version wrote none of it: grower, round, page before, begun, day.
_MORE = rb"(,(?:-|[0-9a-f]{16,64}),[\w.-]{1,64},[\w.-]{1,68},\d{1,16},(?:-|\d{8}))?"
_OUT = re.compile(rb"([a-z]+) (\d{1,9}) (\d{1,16}) (-|[0-9a-f]{16,64})" + _MORE + rb" (.*)", re.DOTALL)


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
        ValueError: what is there does not begin with a version above 0.

    >>> versioned(b"0000000000000012{}")
    (12, b'{}')
    """
    if held is None:
        return 0, None
    head = held[:VERSION_DIGITS]
    if len(head) < VERSION_DIGITS or not head.isdigit() or not 0 < int(head) <= MOST_MS:
        raise ValueError("a value does not begin with a version above 0")
    return int(head), held[VERSION_DIGITS:]


def remembered_text(digest: str, reply: bytes) -> bytes:
    """A remembered answer as a key holds it.

    >>> remembered_text("d1", b"{1}")
    b'd1 {1}'
    """
    return digest.encode() + b" " + reply


def remembered(held: bytes | None) -> Remembered | None:
    """The answer that a key remembers.

    Raises:
        ValueError: what is there is not a digest, a space and a reply.

    >>> remembered(b"d1 {1}")
    Remembered(digest='d1', reply=b'{1}')
    """
    if held is None:
        return None
    found = _ANSWER.fullmatch(held)
    if found is None:
        raise ValueError("an answer does not begin with a digest and a space")
    return Remembered(found[1].decode(), found[2])


def waiting_text(target: str, body: bytes) -> bytes:
    """A relay as a key holds it.

    >>> waiting_text("0f3a9c5500112233", b"count 1")
    b'0f3a9c5500112233 count 1'
    """
    return target.encode() + b" " + body


def waiting(bucket: int, effect: str, held: bytes) -> Waiting:
    """The relay that a key of a bucket holds.

    Raises:
        ValueError: what is there is not a grower id, a space and a body.

    >>> waiting(7, "e1", b"0f3a9c5500112233 count 1").body
    b'count 1'
    """
    target, space, body = held.partition(b" ")
    if not space:
        raise ValueError("a relay does not begin with a grower id and a space")
    bucket_of(target.decode())
    return Waiting(bucket, effect, target.decode(), body)


class OutRecord(Struct, frozen=True):
    """An outgoing message as the outbox keeps it.

    Args:
        state: one of the states of an outgoing message.
        attempts: how often it was claimed, without those that say nothing about it.
        expires_ms: not handed over after this, Unix milliseconds.
        to: hash of the number, empty when a stop does not hold it back.
        body: number and text, empty once it is handed over or has ended.
        grower: id of the grower, empty in what an earlier version wrote.
        round: name of the round, empty for none.
        after: outgoing id of the page before, empty for none.
        begun_ms: the first attempt that the gateway may know of, Unix milliseconds, 0 for none.
        counted: day of the programme (``20270301``) on which it was last counted, empty for none.
    """

    state: str
    attempts: int
    expires_ms: int
    to: str
    body: bytes
    grower: str = ""
    round: str = ""
    after: str = ""
    begun_ms: int = 0
    counted: str = ""

    @classmethod
    def of(cls, out: Out, grower: str) -> OutRecord:
        """The record of a new message to a grower."""
        return cls("queued", 0, out.expires_ms, out.to, out.body, grower, out.round, out.after)

    @classmethod
    def read(cls, held: bytes) -> OutRecord:
        """The record that a key holds.

        Raises:
            ValueError: what is there is not a record.

        >>> OutRecord.read(OutRecord("queued", 1, 99, "", b"hello there", round="weeding").text).round
        'weeding'
        >>> OutRecord.read(b"sent 1 99 - ") == OutRecord("sent", 1, 99, "", b"")
        True
        """
        found = _OUT.fullmatch(held)
        if found is None or found[1].decode() not in STATE_RANK:
            raise ValueError("an outgoing message does not begin with state, tries, expiry and receiver")
        state, attempts, expires_ms, to, more, body = found.groups()
        grower, round_, after, begun_ms, counted = more.decode()[1:].split(",") if more else _NO_MORE
        return cls(
            state.decode(),
            int(attempts),
            int(expires_ms),
            _empty_or(to.decode()),
            body,
            _empty_or(grower),
            _empty_or(round_),
            _empty_or(after),
            int(begun_ms),
            _empty_or(counted),
        )

    @property
    def head(self) -> bytes:
        """What stands before the body; it changes with every claim and every state."""
        told: tuple[str, ...] = (self.to,)
        if self.grower or self.round or self.after or self.begun_ms or self.counted:
            told += (self.grower, self.round, self.after, str(self.begun_ms), self.counted)
        receiver = ",".join(word or "-" for word in told)
        return f"{self.state} {self.attempts} {self.expires_ms} {receiver} ".encode()

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

    def again(self) -> OutRecord:
        """The record with all its tries before it; when the gateway may first have got it, it keeps.

        >>> OutRecord("dead", 8, 99, "", b"hello", begun_ms=7).again().text
        b'queued 0 99 -,-,-,-,7,- hello'
        """
        return replace(self, state="queued", attempts=0)

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


_NO_MORE = ("-", "-", "-", "0", "-")


def _empty_or(word: str) -> str:
    return "" if word == "-" else word
