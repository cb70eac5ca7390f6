"""What waits in a store to be done: outgoing messages, relays, lapses, and what was given up."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from msgspec import Struct

#: Latest moment: a score of Redis holds whole numbers exactly up to here.
_MOST_MS = 2**53 - 1


class Terms(Struct, frozen=True):
    """On what terms messages of rounds leave at this moment; answers and alerts are not held by them.

    Args:
        day: today in the programme's zone, ``20270301``.
        per_day: most messages of rounds that a grower gets a day, 0 for no limit.
        until_ms: rounds may leave before this moment, Unix milliseconds.
        again_ms: when they may again.
        tomorrow_ms: when they may again for a grower who got the most of today.

    >>> Terms(day="today")
    Traceback (most recent call last):
    ValueError: day is 'today', not eight digits such as 20270301
    """

    day: str = "19700101"
    per_day: int = 0
    until_ms: int = _MOST_MS
    again_ms: int = 0
    tomorrow_ms: int = 0

    def __post_init__(self) -> None:
        if not (len(self.day) == len("20270301") and self.day.isascii() and self.day.isdigit()):
            raise ValueError(f"day is {self.day!r}, not eight digits such as 20270301")


class Claimed(Struct, frozen=True):
    """An outbox message that this sender holds until its lease ends.

    Args:
        oid: outgoing id.
        lane: its lane.
        body: number and text.
        attempts: which attempt this is, from 1.
        expires_ms: not handed over after this, Unix milliseconds.
        begun_ms: the first attempt before this one that the gateway may know of, 0 for none.
        grower: id of the grower, empty in what an earlier version queued.
        round: its round, empty for none.
        after: the page before, empty for none.
    """

    oid: str
    lane: int
    body: bytes
    attempts: int
    expires_ms: int
    begun_ms: int = 0
    grower: str = ""
    round: str = ""
    after: str = ""


class Settlement(Struct, frozen=True):
    """How one hand-over went.

    Args:
        oid: outgoing id.
        lane: lane it was claimed from, None when only the id is known (a receipt).
        state: ``sent``, ``failed``, ``expired``, ``dead``, ``unknown``, ``delivered`` or ``later``.
        again_ms: for ``later`` when to try again, Unix milliseconds.
        attempts: how many attempts count from now on, None for as many as are counted.
        begun_ms: the first attempt that the gateway may know of, None for as it is.
        grower: id of the grower, for ``dead`` and ``unknown``: an erase finds them by it.
        round: its round.
        claim: for ``later`` the attempt that it was claimed for; where it was claimed again since, because the
            lease was over, nothing changes. None for any.

    >>> Settlement("b07-3a9c", 0, "later")
    Traceback (most recent call last):
    ValueError: later needs the lane and again_ms: give both
    """

    oid: str
    lane: int | None
    state: str
    again_ms: int | None = None
    attempts: int | None = None
    begun_ms: int | None = None
    grower: str = ""
    round: str = ""
    claim: int | None = None

    def __post_init__(self) -> None:
        if self.state not in _SETTLED:
            raise ValueError(f"state is {self.state!r}, allowed are {', '.join(_SETTLED)}")
        if self.state == "later" and (self.lane is None or self.again_ms is None):
            raise ValueError("later needs the lane and again_ms: give both")


_SETTLED = ("sent", "failed", "expired", "dead", "unknown", "delivered", "later")


@dataclass(frozen=True, slots=True)
class Aside:
    """A message that was put aside for people to look at.

    Args:
        oid: outgoing id.
        state: ``dead`` or ``unknown``.
        since_ms: since when, Unix milliseconds.
        attempts: how often it was tried.
        grower: id of the grower.
        round: its round, empty for none.
        body: number and text.
    """

    oid: str
    state: str
    since_ms: int
    attempts: int
    grower: str
    round: str
    body: bytes


class Grant(Struct, frozen=True):
    """How many messages may be handed over now.

    Args:
        many: so many.
        wait_ms: where it is none, after how long to ask again.
    """

    many: int
    wait_ms: int = 0


class Claims(Struct, frozen=True):
    """What one claim brings; it is as long as what was taken, and goes through that.

    Args:
        taken: messages that this sender holds now.
        damaged: keys that held what the store never wrote. A damaged message waits as long as a lease and is
            named again by the next claim; a damaged lane stays as it is. The names are hashes.
        more: whether more was due than was asked for.

    >>> list(Claims((), damaged=("{b07}:o:b07-3a9c",)))
    []
    """

    taken: tuple[Claimed, ...] = ()
    damaged: tuple[str, ...] = ()
    more: bool = False

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
        urgent: buckets with answers or alerts that are due, some of those of ``outbox``.
    """

    outbox: tuple[int, ...]
    relays: tuple[int, ...]
    lapses: tuple[int, ...]
    idle: tuple[int, ...] = ()
    damaged: tuple[str, ...] = ()
    urgent: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class Backlog:
    """How much waits in all buckets together.

    Args:
        outbox: outgoing messages that are due and neither handed over nor given up.
        relays: relays that wait to be applied elsewhere.
        parked: messages on the operator's list.
        aside: outgoing messages that were given up or may have arrived, in the days that they are kept.
    """

    outbox: int
    relays: int
    parked: int
    aside: int = 0


@dataclass(frozen=True, slots=True)
class Parked:
    """A message that kept failing, on the operator's list."""

    grower: str
    message: str
    at_ms: int
