"""What every store promises of rounds: a row each; in each bucket who is due, how far planning is, and figures.

A list of who is due names each grower once in a round, with the moment of the next look. It is a reminder to look
and no more: whether anything is sent is decided from the grower's own value, and committed on its version.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from enum import StrEnum
from typing import Protocol

from msgspec import Struct

from advisor.store.change import Change, Verdict
from advisor.store.errors import StoreDamaged
from advisor.store.names import BUCKETS, checked_name


class RoundState(StrEnum):
    """Where a round stands. ``stopped`` is for good."""

    RUNNING = "running"
    PAUSED = "paused"
    STOPPED = "stopped"


@dataclass(frozen=True, slots=True)
class RoundRow:
    """A round as it was started.

    Args:
        key: its name.
        state: where it stands.
        started_ms: when it was started, Unix milliseconds.
        text: its definition as it was read then; a file that changes later changes nothing.
    """

    key: str
    state: RoundState
    started_ms: int
    text: bytes

    def __post_init__(self) -> None:
        checked_name("round", self.key)


#: Behind every grower id.
END = "~"
#: So many times the room of a bucket may be taken by messages of rounds that wait for a later moment.
WAITING = 5


class Place(Struct, frozen=True):
    """How far the planning of a round has come in a bucket.

    Args:
        pass_ms: when this pass over the bucket was begun, Unix milliseconds; 0 before the first.
        after: the last grower it has seen, `END` when it is through, empty at its beginning.

    >>> Place.read(Place(7, "0f3a9c5500112233").text)
    Place(pass_ms=7, after='0f3a9c5500112233')
    >>> Place.read("")
    Place(pass_ms=0, after='~')
    """

    pass_ms: int
    after: str

    @classmethod
    def read(cls, text: str) -> Place:
        """From what a bucket keeps. Raises ValueError."""
        if not text:
            return cls(0, END)
        pass_ms, after = text.split(" ")
        return cls(int(pass_ms), after)

    @property
    def text(self) -> str:
        """As a bucket keeps it."""
        return f"{self.pass_ms} {self.after}" if self.pass_ms else ""


class Valued(Struct, frozen=True):
    """A grower with a value."""

    grower: str
    version: int
    value: bytes


@dataclass(frozen=True, slots=True)
class Ending:
    """Growers whose numbers end alike.

    Args:
        growers: their ids and values, in order of the ids.
        missing: buckets whose list of endings is not complete yet, since an earlier version kept none.
    """

    growers: tuple[Valued, ...] = ()
    missing: tuple[int, ...] = ()


class Dues(Struct, frozen=True):
    """Growers who were taken from a due list, or read for planning.

    Args:
        taken: those with a value.
        gone: those without one; nobody has to be told anything.
        damaged: keys that hold what the store never wrote.
    """

    taken: tuple[Valued, ...] = ()
    gone: tuple[str, ...] = ()
    damaged: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Standing:
    """How a round stands, from figures alone.

    Args:
        waiting: growers with a next look in the due lists.
        planned: buckets whose last pass is through.
        figures: counters by name, over all buckets.
        damaged: keys that cannot be counted.
    """

    waiting: int
    planned: int
    figures: dict[str, int] = field(default_factory=dict)
    damaged: tuple[str, ...] = ()

    @property
    def buckets(self) -> int:
        """How many buckets there are to plan."""
        return BUCKETS


class RoundKeeping(Protocol):
    """The part of a store that keeps rounds."""

    def start_round(self, row: RoundRow) -> RoundRow | None:
        """Writes a round's row and copies its state to all buckets.

        Returns:
            None where that is done; the row that is there already where it differs, and nothing is changed.
        """

    def set_round(self, key: str, state: RoundState) -> RoundState | None:
        """Changes the state of a round, its copy in all buckets with it; a stopped round keeps nobody due.

        The same again completes what a fault has left half done.

        Returns:
            The state it has now, which is still ``stopped`` where it was; None where there is no such round.
        """

    def rounds(self) -> tuple[RoundRow, ...]:
        """All rounds, by name. Raises StoreDamaged."""

    def place(self, bucket: int, key: str) -> Place:
        """How far the planning of a round is in a bucket. Raises StoreDamaged."""

    def settled(self, bucket: int) -> tuple[str, ...]:
        """Growers of a bucket, but for open sessions without consent, in order of their ids."""

    def values(self, growers: Sequence[str]) -> Dues:
        """One trip: the values of growers of one bucket."""

    def plan(self, bucket: int, key: str, place: Place, then: Place, dues: Sequence[tuple[str, int]]) -> bool:
        """Puts growers into a due list and says how far planning is now, in one.

        Args:
            bucket: the bucket.
            key: the round.
            place: how far planning was.
            then: how far it is now.
            dues: growers and the moments of their next look, Unix milliseconds; at most 1000.

        Returns:
            Whether that was written: not for a round that is not running, nor where somebody else has gone on from
            ``place``. Whoever has been erased meanwhile is left out.

        Raises:
            StoreDamaged: a key holds what the store never wrote.
        """

    def due_in(self, keys: Sequence[str], now_ms: int) -> tuple[tuple[tuple[str, int], ...], tuple[str, ...]]:
        """One trip: rounds and buckets where somebody is due, in rising order; and damaged keys."""

    def claim_due(self, bucket: int, key: str, now_ms: int, lease_ms: int, most: int, room: int) -> Dues:
        """Takes growers who are due in a round and leases them for ``lease_ms``; reads their values.

        Args:
            bucket: the bucket.
            key: the round; nobody is taken unless it is running.
            now_ms: the moment, Unix milliseconds.
            lease_ms: for how long nobody else takes them.
            most: most to take, at most 100.
            room: nobody is taken while so many of the bucket's messages of rounds wait to be handed over now, or
                `WAITING` times as many in all: what another round's pause holds back, or the most of a day, must
                not stand in the way.

        Raises:
            StoreDamaged: a key holds what the store never wrote.
        """

    def commit_all(self, changes: Sequence[Change]) -> tuple[Verdict | StoreDamaged, ...]:
        """One trip: many changes of one bucket, each for itself everything or nothing.

        None of them stops, forgets or gives messages another number, since each of these is read for first.
        """

    def standing(self, key: str) -> Standing:
        """How a round stands: some trips, none over growers."""
