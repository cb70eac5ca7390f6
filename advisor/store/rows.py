"""What a bucket keeps, as values: the lines of a backup. They hold nothing of how a server writes them down.

A file is a header, the rounds that were `Begun`, for each bucket the growers' `Row`s and behind them a `Rest`, and
a footer. A bucket's do-not-contact list is read after its growers, so that whoever is erased while a backup is
taken is on it. A file of the lists alone has `Lists` in the place of rows and rests.
"""

from __future__ import annotations

import msgspec

#: Raised with every change of the lines; a reader refuses another one.
FORMAT = 2
#: Forms that are read: the first is without rounds.
READABLE = (1, FORMAT)


class NotALine(ValueError):  # noqa: N818 - named for what it is not
    """What was read is no line of a backup."""


class Header(msgspec.Struct, frozen=True, kw_only=True, tag="header", forbid_unknown_fields=True):
    """The first line.

    Args:
        format: number of this form.
        holds: ``growers`` for all that is kept, ``lists`` for the do-not-contact lists alone.
        buckets: how many buckets there are.
        schema: number of the stored form.
        secret: mark of the id secret, from which the secret cannot be told.
        taken_ms: when it was begun, Unix milliseconds.
    """

    format: int
    holds: str
    buckets: int
    schema: int
    secret: str
    taken_ms: int


class Lists(msgspec.Struct, frozen=True, kw_only=True, tag="lists", forbid_unknown_fields=True):
    """The do-not-contact list of a bucket.

    Args:
        bucket: the bucket.
        stops: hashes of numbers that want no more messages.
        gone: of them, and of growers, those erased or without consent now: no restore brings them back.
    """

    bucket: int
    stops: list[str]
    gone: list[str]


class Begun(msgspec.Struct, frozen=True, kw_only=True, tag="round", forbid_unknown_fields=True):
    """A round that was started.

    Args:
        key: its name.
        state: where it stood: running, paused or stopped.
        started_ms: when it was started, Unix milliseconds.
        text: its definition.
    """

    key: str
    state: str
    started_ms: int
    text: bytes


class Kept(msgspec.Struct, frozen=True, array_like=True):
    """Something that ends by itself: a remembered answer or the mark of a relay.

    Args:
        name: hash of the message, or the effect.
        held: what is remembered.
        left_ms: how much time it had left when the backup was begun.
    """

    name: str
    held: bytes
    left_ms: int


class Queued(msgspec.Struct, frozen=True, array_like=True):
    """A message that waits to be handed over, or was put aside.

    Args:
        oid: outgoing id.
        lane: its lane.
        due_ms: when it may be handed over, or when its lease ends; of one that was put aside, since when.
        held: state, tries, expiry, receiver and body.
    """

    oid: str
    lane: int
    due_ms: int
    held: bytes


class Line(msgspec.Struct, frozen=True, array_like=True):
    """One line of history: its id, and names and values by turns."""

    id: str
    fields: list[str]


class Row(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True, tag="grower", forbid_unknown_fields=True):
    """Everything of one grower, as it was at one moment.

    Args:
        grower: the id.
        version: version of the value.
        value: the value.
        lapses_ms: when an unconsented session must be gone.
        idle_ms: when a value that does not lapse is too old to be kept.
        answers: messages that are remembered.
        effects: relays that were applied.
        queued: messages that wait.
        aside: messages that were given up or may have arrived; the moment is since when.
        history: the history, oldest first.
        dues: rounds, and when to look again in them.
    """

    grower: str
    version: int
    value: bytes
    lapses_ms: int | None = None
    idle_ms: int | None = None
    answers: list[Kept] = []
    effects: list[Kept] = []
    queued: list[Queued] = []
    aside: list[Queued] = []
    history: list[Line] = []
    dues: list[tuple[str, int]] = []


class Rest(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True, tag="rest", forbid_unknown_fields=True):
    """What a bucket keeps that is no grower's, read after its growers.

    Args:
        bucket: the bucket.
        stops: as in `Lists`, read once more.
        gone: as in `Lists`, read once more.
        pointers: number hash and grower.
        relays: effect, when it was queued, what it holds.
        parked: the operator's list: grower and message, when.
        tallies: figures of the rounds: round, counter, count.
    """

    bucket: int
    stops: list[str] = []
    gone: list[str] = []
    pointers: list[tuple[str, str]] = []
    relays: list[tuple[str, int, bytes]] = []
    parked: list[tuple[str, int]] = []
    tallies: list[tuple[str, str, int]] = []


class Footer(msgspec.Struct, frozen=True, kw_only=True, tag="footer", forbid_unknown_fields=True):
    """The last line.

    Args:
        growers: how many growers stand above.
        lines: how many lines stand above.
        sha256: of all bytes above.
    """

    growers: int
    lines: int
    sha256: str


AnyLine = Header | Begun | Lists | Row | Rest | Footer

_decoder: msgspec.json.Decoder[AnyLine] = msgspec.json.Decoder(AnyLine)


def line_of(value: AnyLine) -> bytes:
    """A value as a line of JSON.

    >>> line_of(Lists(bucket=7, stops=[], gone=[]))
    b'{"type":"lists","bucket":7,"stops":[],"gone":[]}\\n'
    """
    return msgspec.json.encode(value) + b"\n"


def read_line(line: bytes) -> AnyLine:
    """The value of a line.

    Raises:
        NotALine: it is none. The text does not hold what the line held.

    >>> read_line(line_of(Lists(bucket=7, stops=[], gone=[]))).bucket
    7
    """
    try:
        return _decoder.decode(line)
    except (msgspec.MsgspecError, UnicodeDecodeError, RecursionError) as error:
        raise NotALine("not a line of a backup") from error
