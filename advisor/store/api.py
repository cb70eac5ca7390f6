"""What every store promises: one read and one commit a message, outbox and relays by bucket.

Three stores keep these promises: a dictionary, the embedded fake and the real Redis server. They pass the
same contract tests, so whoever calls one need not know which it is.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Protocol

from advisor.store.change import LANES as LANES
from advisor.store.change import MOST_MS as MOST_MS
from advisor.store.change import ROUNDS as ROUNDS
from advisor.store.change import STATE_RANK as STATE_RANK
from advisor.store.change import Change as Change
from advisor.store.change import Committed as Committed
from advisor.store.change import Conflict as Conflict
from advisor.store.change import Entry as Entry
from advisor.store.change import Out as Out
from advisor.store.change import Readdress as Readdress
from advisor.store.change import Reading as Reading
from advisor.store.change import Relay as Relay
from advisor.store.change import Remembered as Remembered
from advisor.store.change import Verdict as Verdict
from advisor.store.errors import StoreDamaged as StoreDamaged
from advisor.store.errors import StoreMismatch as StoreMismatch
from advisor.store.errors import StoreRefused as StoreRefused
from advisor.store.errors import StoreUnavailable as StoreUnavailable
from advisor.store.names import BUCKETS as BUCKETS
from advisor.store.rounds import Dues as Dues
from advisor.store.rounds import Ending as Ending
from advisor.store.rounds import Place as Place
from advisor.store.rounds import RoundKeeping
from advisor.store.rounds import RoundRow as RoundRow
from advisor.store.rounds import RoundState as RoundState
from advisor.store.rounds import Standing as Standing
from advisor.store.rounds import Valued as Valued
from advisor.store.work import Aside as Aside
from advisor.store.work import Backlog as Backlog
from advisor.store.work import Busy as Busy
from advisor.store.work import Claimed as Claimed
from advisor.store.work import Claims as Claims
from advisor.store.work import Grant as Grant
from advisor.store.work import Idle as Idle
from advisor.store.work import Parked as Parked
from advisor.store.work import Settlement as Settlement
from advisor.store.work import Terms as Terms
from advisor.store.work import Waiting as Waiting

#: What `Store.ready` says where nothing weakens the promises.
READY = "ready"


class Store(RoundKeeping, Protocol):
    """One place that keeps growers, messages, outbox and relays."""

    def open(self) -> None:
        """Makes or checks the store's own description.

        Raises:
            StoreMismatch: it was made with other settings.
            StoreUnavailable: it does not answer; `StoreRefused` where it does, but not to us.
            StoreDamaged: its description is none.
        """

    def close(self) -> None:
        """Lets go of connections; the store connects again when it is used again."""

    def ready(self) -> tuple[bool, str]:
        """Whether writes are possible now, and one line about what weakens the promises, `READY` for nothing."""

    def read(self, number_hash: str, message: str) -> Reading:
        """One trip: the grower behind a number and the earlier answer to a message. Raises StoreDamaged."""

    def entries(self, bucket: int, numbers: Sequence[str]) -> tuple[Entry | StoreDamaged, ...]:
        """One trip, two where numbers have moved: who is behind many numbers of one bucket, for an import.

        What of it cannot be read stands in its place, and holds no other back.
        """

    def ending_in(self, ending: int) -> Ending:
        """Two trips: growers whose numbers end so. A damaged value or list is passed over."""

    def complete_endings(self, bucket: int, found: Sequence[tuple[str, int, int]]) -> bool:
        """Puts growers of a bucket on its list of endings, each if it still has its version.

        Args:
            bucket: the bucket.
            found: (id, version, ending) of all its growers with a number.

        Returns:
            Whether none of them had changed; the list is then complete, and stays so.
        """

    def commit(self, change: Change) -> Verdict:
        """One trip: everything or nothing. Raises StoreUnavailable, StoreDamaged."""

    def busy(self, now_ms: int) -> Busy:
        """One trip: which buckets have work, so that nobody asks 256 buckets one by one.

        A damaged key is named in the answer and hides no other.
        """

    def backlog(self, now_ms: int) -> Backlog:
        """One trip: how much waits, by the lengths of queues alone, for the operator's figures."""

    def claim(
        self,
        bucket: int,
        now_ms: int,
        lease_ms: int,
        most: int,
        terms: Terms = Terms(),  # noqa: B008 - a frozen value
        lanes: tuple[int, ...] = LANES,
    ) -> Claims:
        """Takes due outbox messages of a bucket, in order of lane then time, and leases them for ``lease_ms``.

        Not returned are: messages past their time, which become ``expired`` unless the gateway may have them
        (`Claimed.begun_ms`), also those whose number and text went while nobody claimed; those to a number that
        said stop, alerts and rounds to whoever has not agreed (any more), and those of a stopped round, which
        become ``failed``; those of a paused round, at night or beyond the day's most, and pages whose page before
        still waits, which wait on. A damaged message or lane is named and holds no other back.

        Raises:
            StoreDamaged: the bucket's do-not-contact list is damaged; nothing may leave until it is mended.
        """

    def settle(self, bucket: int, settlements: Sequence[Settlement], at_ms: int) -> tuple[str, ...]:
        """One trip: says how hand-overs went, and what receipts tell.

        States only move up (`STATE_RANK`). Once handed over, number and text are dropped and only the state stays,
        for 7 days; those of a message that is ``dead`` or ``unknown`` are kept aside for as long. An unknown id
        changes nothing.

        Returns:
            Damaged keys; what else there was is settled.
        """

    def aside(self, bucket: int) -> tuple[Aside, ...]:
        """Messages of a bucket that are ``dead`` or ``unknown``, oldest first, without the damaged ones."""

    def grant(self, now_ms: int, per_second: int, most: int, reserve: int = 0) -> Grant:
        """One trip: how many messages this process may hand over now, of what all processes may together.

        What is granted is used up, whether it is used or not: whoever dies has sent less, not more. There is one
        second's worth in hand at most. Time is the server's where there is one.

        Args:
            now_ms: the moment, for a store without a server.
            per_second: messages a second, of all processes together.
            most: how many are wanted.
            reserve: so many are left for others.
        """

    def hold(self, now_ms: int, for_ms: int) -> None:
        """Nobody is granted anything for a while, an hour at most; a shorter one does not end a longer one."""

    def state(self, oid: str) -> str | None:
        """State of an outgoing message, None when it is not known (any more). Raises StoreDamaged.

        A message that nobody claimed is not known from `Keeps.overdue_ms` after its time until the next claim
        in its bucket finds it gone and calls it ``expired``.
        """

    def relays(self, bucket: int, most: int) -> tuple[Waiting, ...]:
        """Relays that wait in a bucket, without the damaged ones.

        Raises:
            StoreDamaged: nothing waits but what is damaged.
        """

    def relay_done(self, bucket: int, effect: str) -> None:
        """Takes a relay out of its bucket once it is applied elsewhere."""

    def value(self, grower: str) -> tuple[int, bytes | None]:
        """Version and value of one grower."""

    def lapse(self, bucket: int, now_ms: int, most: int) -> int:
        """Deletes unconsented sessions whose time is over; returns how many.

        Their queued messages are left to their own expiry: whoever queues one for a grower who has not agreed
        gives it no more time than the session has.

        Raises:
            StoreDamaged: a session is damaged; all others that were due are deleted.
        """

    def idle(self, bucket: int, now_ms: int, most: int) -> tuple[Idle, ...]:
        """Growers who were not heard of for too long, as they are now; whoever asks erases them by a commit.

        Raises:
            StoreDamaged: a value is damaged, and there is none that is not.
        """

    def growers(self, bucket: int | None = None) -> Iterable[str]:
        """Ids of the growers in a bucket or in all, for recounts and exports; never on a page.

        An id may come twice while others write.
        """

    def asked(self) -> tuple[tuple[str, int], ...]:
        """One trip: growers who wait for an answer of the agent, and since when, the longest first."""

    def counts(self, village: str) -> dict[str, int]:
        """Village figures, summed over all buckets."""

    def history(self, grower: str) -> tuple[tuple[tuple[str, str], ...], ...]:
        """Lines of a grower's history, oldest first."""

    def stopped(self, grower: str, number_hash: str) -> bool:
        """Whether a number is on the do-not-contact list of the grower's bucket."""

    def stumble(self, grower: str, message: str) -> int:
        """Counts one more unexpected failure under a message id and returns the count; kept 72 h."""

    def park(self, grower: str, message: str, at_ms: int) -> None:
        """Puts a message id on the operator's list of messages that keep failing."""

    def unpark(self, grower: str, message: str) -> None:
        """Takes a message id off the operator's list."""

    def parked(self, bucket: int) -> tuple[Parked, ...]:
        """The operator's list of a bucket, oldest first."""
