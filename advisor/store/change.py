"""What one message reads of a store and changes in it, as values that can be written or are refused."""

from __future__ import annotations

from dataclasses import dataclass

from msgspec import Struct

from advisor.store.names import bucket_of, bucket_of_out, checked_hash, checked_name

#: Lanes of the outbox in the order in which they are emptied: answers, alerts, rounds.
LANES = (0, 1, 2)
ROUNDS = 2

#: States of an outgoing message and how far along each is; a state only ever moves up. ``unknown`` may have
#: arrived and is not sent again, ``dead`` was tried too often.
STATE_RANK = {"queued": 0, "unknown": 1, "sent": 2, "failed": 3, "expired": 3, "dead": 3, "delivered": 4}

_MOST_DIFFERENCE = 10**9

#: Latest moment and longest time, milliseconds: a score of Redis holds whole numbers exactly up to here.
MOST_MS = 2**53 - 1


class Remembered(Struct, frozen=True):
    """A message that was answered before.

    Args:
        digest: digest of its body, to tell a repeat from another message under the same id.
        reply: the reply it got, as bytes.
    """

    digest: str
    reply: bytes


class Reading(Struct, frozen=True):
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


class Entry(Struct, frozen=True):
    """What there is of one number among many.

    Args:
        number: hash of the number.
        grower: id of the grower behind it; another one than the number's own where it has moved.
        version: version of the grower's value, 0 when there is none.
        value: the grower's value as bytes, None when there is none.
        stops: whether the number is on the do-not-contact list of its own bucket or the grower's.
    """

    number: str
    grower: str
    version: int
    value: bytes | None
    stops: bool


class Out(Struct, frozen=True):
    """A message for the outbox.

    Args:
        oid: outgoing id with the bucket in front, ``b07-…``; derived, so that a repeat is the same message. An id
            is used up for good, also when its message has ended: what may come again under the same words must
            differ in what its id is derived from.
        lane: 0 answers, 1 alerts, 2 rounds.
        not_before_ms: earliest hand-over, Unix milliseconds.
        expires_ms: not handed over after this; number and text are gone `Keeps.overdue_ms` later, sender or not.
        body: what the sender needs (number, text), as bytes.
        to: hash of the number it goes to. It is not handed over once that hash is on the bucket's
            do-not-contact list. Empty for the one message that a stop does not hold back, its confirmation.
        round: name of the round that it belongs to, empty for none. A message of a round takes the place of an
            older one of the same round and grower that still waits, and the round's pause holds it back.
        after: outgoing id, of the same lane, that must not wait any more when this one is handed over: the page
            before. Empty for none.
    """

    oid: str
    lane: int
    not_before_ms: int
    expires_ms: int
    body: bytes
    to: str = ""
    round: str = ""
    after: str = ""

    def __post_init__(self) -> None:
        bucket = bucket_of_out(self.oid)
        if self.after and bucket_of_out(self.after) != bucket:
            raise ValueError("after lies in another bucket than the message: only pages of one answer follow")
        if self.round and checked_name("round", self.round) == "-":
            raise ValueError("round is a dash, which stands for none: give it a name")
        if self.lane not in LANES:
            raise ValueError(f"lane is {self.lane}, allowed are {LANES}")
        if not (0 <= self.not_before_ms <= MOST_MS and 0 <= self.expires_ms <= MOST_MS):
            raise ValueError("not_before_ms and expires_ms are Unix milliseconds, 0 to 2⁵³ - 1")
        if self.to:
            checked_hash("to", self.to)


class Relay(Struct, frozen=True):
    """A change to somebody in another bucket, which leaves with this commit and is applied there by a second.

    Args:
        effect: deterministic id of the effect.
        target: id of the grower it is for.
        body: what to do, as bytes.
    """

    effect: str
    target: str
    body: bytes

    def __post_init__(self) -> None:
        checked_name("effect", self.effect)
        bucket_of(self.target)


@dataclass(frozen=True, slots=True)
class Readdress:
    """Another number for the messages of a grower that wait.

    Args:
        to: hash of the new number.
        was: what the bodies of those messages begin with, the old number in it.
        now: what they are to begin with.
    """

    to: str
    was: bytes
    now: bytes

    def __post_init__(self) -> None:
        checked_hash("to", self.to)


class Change(Struct, frozen=True):
    """All that one message changes, written at once or not at all.

    Args:
        grower: id of the grower, whose bucket everything lies in.
        version: version that was read; another one there means a conflict.
        value: new value of the grower, None to delete it.
        at_ms: the moment of the change, Unix milliseconds.
        message: hash of the inbound message id, None when no message stands behind the change.
        digest: digest of the message's body, without spaces.
        reply: the reply to remember under the message id.
        remember_ms: how long the reply is remembered, milliseconds; None for the store's own setting. Shorter for
            whoever has not agreed yet, since nothing of theirs may outlive the open session.
        outs: messages for the outbox; one that is there already is left as it is.
        relays: changes that leave for other buckets.
        applied: effect id of the relay that this change applies, None otherwise; applied once only: later
            tries get what the first one left, as ``Remembered``.
        counts: (village, counter, difference) of the village figures.
        history: fields of one line of the grower's history, empty for none.
        lapses_ms: when an unconsented session must be gone, None when nothing lapses.
        idle_ms: when a value that does not lapse is too old to be kept, unless another change comes first; None
            for never.
        forgets: all else that is kept of the grower in this bucket goes with this change, whatever wrote it:
            the history, messages that are queued, the texts of remembered answers, the place on the operator's
            list, pointers of numbers. An answered message is known again for ``remember_ms`` at most, with an
            empty reply.
        pointer: (number hash, grower id or None): let a number of this bucket point to a grower.
        stop: (number hash, whether it wants no more messages): puts it on the bucket's do-not-contact list or
            takes it off. With a stop the grower is due in no round any more. With one that forgets, number and
            grower are marked as gone, so that no restore brings them back, until the number is taken off.
        dues: (round, when to look again, Unix milliseconds) of rounds that the grower is in; None for no more.
        tallies: (round, counter, difference) of the rounds' figures.
        heard: whether this comes of a message of the grower; where it does not, ``lapses_ms`` and ``idle_ms`` stay
            as they are.
        asked_ms: since when the grower waits for an answer of the agent, Unix milliseconds; 0 for no more, None
            for as it was. A change that forgets takes the grower off that list.
        unless_stopped: hash of a number; where it is on the do-not-contact list of the grower's bucket nothing is
            changed, which is a conflict. Empty for no such condition.
        ending: what the last digits of the grower's number come to, where it has another number than before; None
            for as it was. A change that forgets takes the grower off the list of endings.
        readdress: another number for the grower's messages that wait. One that was ever claimed may have arrived
            under its id, and stays as it is. None where the number stays.

    Raises:
        ValueError: something in it cannot be written, or lies in another bucket than the grower.
    """

    grower: str
    version: int
    value: bytes | None
    at_ms: int
    message: str | None = None
    digest: str = ""
    reply: bytes = b""
    remember_ms: int | None = None
    outs: tuple[Out, ...] = ()
    relays: tuple[Relay, ...] = ()
    applied: str | None = None
    counts: tuple[tuple[str, str, int], ...] = ()
    history: tuple[tuple[str, str], ...] = ()
    lapses_ms: int | None = None
    idle_ms: int | None = None
    forgets: bool = False
    pointer: tuple[str, str | None] | None = None
    stop: tuple[str, bool] | None = None
    dues: tuple[tuple[str, int | None], ...] = ()
    tallies: tuple[tuple[str, str, int], ...] = ()
    heard: bool = True
    asked_ms: int | None = None
    unless_stopped: str = ""
    ending: int | None = None
    readdress: Readdress | None = None

    def __post_init__(self) -> None:
        bucket = bucket_of(self.grower)
        if self.message is not None:
            checked_name("message", self.message)
        if self.applied is not None:
            checked_name("applied", self.applied)
        if " " in self.digest:
            raise ValueError("digest holds a space: give a hexadecimal digest")
        if not 1 <= self.at_ms <= MOST_MS or self.version < 0:
            raise ValueError("at_ms is Unix milliseconds, 1 to 2⁵³ - 1, version is 0 or more")
        if self.remember_ms is not None and not 1 <= self.remember_ms <= MOST_MS:
            raise ValueError("remember_ms is milliseconds, 1 to 2⁵³ - 1, or None for the store's own setting")
        if self.forgets and (self.history or self.pointer is not None):
            raise ValueError("a change that forgets keeps no history and no pointer: leave them out")
        for out in self.outs:
            if bucket_of_out(out.oid) != bucket:
                raise ValueError("outs lie in another bucket than the grower: derive their ids from the grower")
        if self.pointer is not None:
            number, target = self.pointer
            if target is not None:
                bucket_of(target)
            if bucket_of(number) != bucket:
                raise ValueError("pointer lies in another bucket than the grower: send it there as a relay")
        if self.stop is not None:
            checked_hash("stop", self.stop[0])
        for round_key, look_ms in self.dues:
            checked_name("round", round_key)
            if look_ms is not None and not 0 <= look_ms <= MOST_MS:
                raise ValueError("dues are Unix milliseconds, 0 to 2⁵³ - 1, or None")
        if self.unless_stopped:
            checked_hash("unless_stopped", self.unless_stopped)
        if self.asked_ms is not None and not 0 <= self.asked_ms <= MOST_MS:
            raise ValueError("asked_ms is Unix milliseconds, 0 to 2⁵³ - 1, or None")
        if self.ending is not None and not 0 <= self.ending <= MOST_MS:
            raise ValueError("ending is a whole number, 0 to 2⁵³ - 1, or None")
        if not self.heard and (self.value is None or self.forgets):
            raise ValueError("a change that nobody was heard for keeps the value: erase with one that was")
        for village, counter, difference in (*self.counts, *self.tallies):
            checked_name("village or round", village)
            if not counter or abs(difference) > _MOST_DIFFERENCE:
                raise ValueError(f"counts differ by {difference} in {counter!r}: name it, stay within ±10⁹")

    @property
    def ends_rounds(self) -> bool:
        """Whether the grower is due in no round any more."""
        return self.forgets or (self.stop is not None and self.stop[1])

    @property
    def next_version(self) -> int:
        """Version of the grower's value after this change, 0 when it deletes the value.

        The first one is the moment of the change: a value that lapsed and came again then never carries a
        version that somebody still holds from before.
        """
        if self.value is None:
            return 0
        return self.version + 1 if self.version else self.at_ms


class Committed(Struct, frozen=True):
    """The change is written; ``version`` is the new version."""

    version: int


class Conflict(Struct, frozen=True):
    """Somebody else wrote first; nothing is changed. Read again."""


Verdict = Committed | Remembered | Conflict
