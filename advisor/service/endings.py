"""How a number ends: agents find growers by it, in a list that is kept in the commits of the records."""

from __future__ import annotations

from dataclasses import dataclass, field

from advisor.dialogue.flows import LAST_DIGITS
from advisor.records.grower import Grower
from advisor.service.identity import Ids
from advisor.service.stored import from_bytes
from advisor.store.api import BUCKETS, Store

#: Growers a trip.
TOGETHER = 500
#: So many buckets are seen to at once beside the messages.
BUCKETS_A_LOOK = 8


def ending_of(number: str, ids: Ids) -> int:
    """What the last digits of a number come to. Keyed, so that the store tells nothing of them.

    Args:
        number: a number, or its last digits, `LAST_DIGITS` at least.
        ids: holds the secret.

    >>> ids = Ids(b"secret")
    >>> ending_of("+999001112233", ids) == ending_of("2233", ids) != ending_of("2234", ids)
    True
    """
    return ids.ending(number[-LAST_DIGITS:])


def new_ending(before: Grower, after: Grower, ids: Ids) -> int | None:
    """For the list of endings: where a change gives a grower another number, what it ends in; else None."""
    return None if after.number in ("", before.number) else ending_of(after.number, ids)


@dataclass(frozen=True, slots=True)
class Endings:
    """Finds growers by how their numbers end.

    Args:
        store: where they are.
        ids: holds the secret.
    """

    store: Store
    ids: Ids

    def found(self, digits: str) -> list[tuple[str, Grower]]:
        """Ids and records of growers whose number ends in these digits, `LAST_DIGITS` of them or more."""
        ending = ending_of(digits, self.ids)
        there = self.store.ending_in(ending)
        for bucket in there.missing:
            self.complete(bucket)
        if there.missing:
            there = self.store.ending_in(ending)
        records = [(valued.grower, _readable(valued.value)) for valued in there.growers]
        return [(grower, record) for grower, record in records if record.number.endswith(digits)]

    def complete(self, bucket: int) -> bool:
        """Lists the growers of a bucket of which an earlier version kept no list; that is done once for ever.

        Returns:
            Whether the list is complete now: not where somebody wrote meanwhile.
        """
        found: list[tuple[str, int, int]] = []
        settled = self.store.settled(bucket)
        for at in range(0, len(settled), TOGETHER):
            for valued in self.store.values(settled[at : at + TOGETHER]).taken:
                ending = new_ending(Grower(), _readable(valued.value), self.ids)
                if ending is not None:
                    found.append((valued.grower, valued.version, ending))
        return self.store.complete_endings(bucket, found)


@dataclass(slots=True)
class Completing:
    """Completes the lists of all buckets beside the messages, some at a time, so that no agent waits for it.

    Args:
        endings: does so.
    """

    endings: Endings
    left: list[int] = field(default_factory=lambda: list(range(BUCKETS)))

    def look(self) -> int:
        """Sees to some more buckets.

        Returns:
            How many are left.
        """
        if self.left:
            missing = self.endings.store.ending_in(0).missing
            self.left = [bucket for bucket in self.left if bucket in missing]
            some = self.left[:BUCKETS_A_LOOK]
            # whatever holds one up, the others come first
            self.left = [*self.left[BUCKETS_A_LOOK:], *some]
            for bucket in some:
                if self.endings.complete(bucket):
                    self.left.remove(bucket)
        return len(self.left)


def _readable(value: bytes) -> Grower:
    """The record in a value; nobody's where it cannot be read, since that must hold up no other."""
    try:
        return from_bytes(value).record
    except Exception:
        return Grower()
