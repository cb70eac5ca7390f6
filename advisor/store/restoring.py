"""Writes a backup into a store that is empty. Each grower comes back whole or not at all.

From the first write to the last the store's own description says that it is being restored, and nothing else opens
it; the same backup can be put in again, and leaves what is there already as it is.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from advisor.store import keys, traces
from advisor.store.api import MOST_MS, StoreDamaged, StoreMismatch
from advisor.store.encoding import OutRecord, version_text
from advisor.store.names import BUCKETS, bucket_of, checked_hash
from advisor.store.plans import Keeps
from advisor.store.redis_store import RESTORING, RedisStore
from advisor.store.rounds import RoundRow, RoundState
from advisor.store.rows import Begun, Header, Kept, Rest, Row
from advisor.store.saving import lists_of
from advisor.store.script import Plan

#: Members of a list a trip.
_TOGETHER = 500


class StoreInUse(Exception):  # noqa: N818 - named for what is refused
    """The store holds growers, or half of another backup."""


@dataclass(frozen=True, slots=True)
class Rules:
    """What the values mean, which the store does not know.

    Args:
        figures_of: village figures that a value stands for: (village, counter, count).
        numbers_of: hashes of the numbers in a value.
        as_stopped: the value with the mark that no more messages are wanted.
        asked_ms: since when the agent has a question of the grower, Unix milliseconds, None for no question.
        ending: what the last digits of the number in a value come to, None where there is none.
    """

    figures_of: Callable[[bytes], Iterable[tuple[str, str, int]]]
    numbers_of: Callable[[bytes], Iterable[str]]
    as_stopped: Callable[[bytes], bytes]
    asked_ms: Callable[[bytes], int | None]
    ending: Callable[[bytes], int | None]


@dataclass(frozen=True, slots=True)
class Restoring:
    """One backup on its way into a store.

    Args:
        store: where it goes; nobody else writes to it meanwhile.
        keeps: how long things are kept.
        rules: what the values mean.
        taken_ms: when the backup was begun.
        now_ms: the moment; what has ended since then does not come back.
        stops: numbers that want no more messages by any list at hand.
        gone: numbers and growers that were erased by any list at hand; they do not come back.
    """

    store: RedisStore
    keeps: Keeps
    rules: Rules
    taken_ms: int
    now_ms: int
    stops: frozenset[str]
    gone: frozenset[str]

    def lists(self, bucket: int, stops: Iterable[str], gone: Iterable[str]) -> None:
        """Adds to the do-not-contact list of a bucket; nobody is ever taken off it."""
        for key, members in ((keys.of_stops(bucket), stops), (keys.of_gone(bucket), gone)):
            wanted = [checked_hash("number", member) for member in members]
            for first in range(0, len(wanted), _TOGETHER):
                plan = Plan()
                for member in wanted[first : first + _TOGETHER]:
                    plan.sadd(key, member)
                self.store.run(plan)

    def begun(self, begun: Begun) -> None:
        """Brings a round back. One that ran is paused: what it has sent since the backup is not known here, so
        whoever lets it go on decides whether a step may come again."""
        state = RoundState(begun.state)
        state = RoundState.PAUSED if state is RoundState.RUNNING else state
        self.store.start_round(RoundRow(begun.key, state, begun.started_ms, begun.text))
        # its copies too, where that was interrupted before
        self.store.set_round(begun.key, state)

    def row(self, row: Row) -> bool:
        """Brings one grower back.

        Returns:
            Whether the grower is there now; not one who was erased, nor a session that has lapsed.
        """
        numbers = {row.grower, *self.rules.numbers_of(row.value)}
        if numbers & self.gone or (row.lapses_ms is not None and row.lapses_ms <= self.now_ms):
            return False
        # whoever is there already was brought back before an interruption
        self.store.run(self._row_plan(row, is_stopped=bool(numbers & self.stops)))
        return True

    def rest(self, rest: Rest) -> None:
        """Brings back what a bucket keeps beside its growers."""
        self.lists(rest.bucket, rest.stops, rest.gone)
        for number, target in rest.pointers:
            if not {number, target} & self.gone:
                plan = Plan()
                plan.set(keys.of_number(number), checked_hash("pointer", target))
                plan.sadd(keys.of_moved(rest.bucket), number)
                self.store.run(plan)
        for effect, at_ms, held in rest.relays:
            plan = Plan()
            plan.offer_relay(keys.of_relay(rest.bucket, effect), held, keys.of_relays(rest.bucket), at_ms, effect)
            self.store.run(plan)
        for key, counter, count in rest.tallies:
            # the count itself, so that the same file again adds nothing
            self.store.link.one("HSET", keys.of_round_in(rest.bucket, key), counter, str(count))
        for member, at_ms in rest.parked:
            if member.partition(":")[0] not in self.gone:
                plan = Plan()
                plan.zadd(keys.of_parked(rest.bucket), at_ms, member)
                self.store.run(plan)

    def _row_plan(self, row: Row, *, is_stopped: bool) -> Plan:
        plan, bucket, noted = Plan(), bucket_of(row.grower), keys.of_traces(row.grower)
        value = self.rules.as_stopped(row.value) if is_stopped else row.value
        plan.guard(keys.of_grower(row.grower), b"")
        plan.set(keys.of_grower(row.grower), version_text(row.version) + value)
        if row.lapses_ms is not None:
            plan.zadd(keys.of_lapses(bucket), row.lapses_ms, row.grower)
        else:
            plan.zadd(keys.of_idle(bucket), MOST_MS if row.idle_ms is None else row.idle_ms, row.grower)
        for kept, left_ms in self._left(row.answers):
            plan.set(keys.of_message(row.grower, kept.name), kept.held, left_ms)
            plan.trace(noted, left_ms, traces.of_message(kept.name))
        for kept, left_ms in self._left(row.effects):
            plan.set(keys.of_seen(row.grower, kept.name), kept.held, left_ms)
            plan.trace(noted, left_ms, traces.of_effect(kept.name))
        for queued in row.queued:
            record = OutRecord.read(queued.held)
            if record.expires_ms > self.now_ms:
                left_ms = self.keeps.out_ms(record.expires_ms, self.now_ms)
                lane = keys.of_lane(bucket, queued.lane)
                plan.offer_out(keys.of_out(queued.oid), queued.held, lane, queued.due_ms, queued.oid, left_ms)
                plan.trace(noted, left_ms, traces.of_out(queued.lane, queued.oid, record.round))
        for put in row.aside:
            left_ms = put.due_ms + self.keeps.aside_ms - self.now_ms
            if left_ms > 0:
                plan.set(keys.of_out(put.oid), put.held, left_ms)
                plan.zadd(keys.of_aside(bucket), put.due_ms, put.oid)
                plan.trace(noted, left_ms, traces.of_out(put.lane, put.oid))
        for key, look_ms in () if is_stopped else row.dues:
            plan.zadd(keys.of_due(bucket, key), look_ms, row.grower)
        asked_ms = self.rules.asked_ms(value)
        if asked_ms is not None:
            plan.zadd(keys.of_asked(bucket), asked_ms, row.grower)
        ending = self.rules.ending(value)
        if ending is not None:
            plan.zadd(keys.of_endings(bucket), ending, row.grower)
        if row.history:
            plan.lines(keys.of_history(row.grower), ((line.id, line.fields) for line in row.history))
        for village, counter, count in self.rules.figures_of(value):
            plan.hincrby(keys.of_village(bucket, village), counter, count)
        return plan

    def _left(self, kept: Iterable[Kept]) -> Iterable[tuple[Kept, int]]:
        passed_ms = self.now_ms - self.taken_ms
        return [(one, one.left_ms - passed_ms) for one in kept if one.left_ms > passed_ms]


def begin(store: RedisStore, header: Header, sha256: str) -> None:
    """Looks whether a backup may go into a store, and marks the store as being restored.

    Raises:
        StoreMismatch: the backup was taken from a store with other settings.
        StoreInUse: the store holds growers, or half of another backup.
    """
    described = store.describe()
    wanted = {"buckets": str(header.buckets), "schema": str(header.schema), "secret": header.secret}
    wrong = [name for name, value in wanted.items() if value and described.get(name, value) != value]
    if wrong:
        what = ", ".join("id secret" if name == "secret" else name for name in wrong)
        raise StoreMismatch(f"the backup was taken with another {what}: use the settings it was taken with")
    under_way = described.get(RESTORING, "")
    if under_way and under_way != sha256:
        raise StoreInUse("half of another backup is in the store: put that one in to its end, or empty the store")
    if not under_way and (held := _held(store)):
        raise StoreInUse(f"the store is not empty: it holds {held}; restore into an empty one")
    store.link.one("HSET", keys.STORE, RESTORING, sha256)


def finish(store: RedisStore) -> None:
    """The store may be opened by others again."""
    store.link.one("HDEL", keys.STORE, RESTORING)


def lists_in(store: RedisStore) -> tuple[frozenset[str], frozenset[str]]:
    """The do-not-contact lists that a store has already: those who stopped, and those who were erased."""
    lists = [lists_of(store, bucket) for bucket in range(BUCKETS)]
    return (
        frozenset(number for one in lists for number in one.stops),
        frozenset(number for one in lists for number in one.gone),
    )


def _held(store: RedisStore) -> str:
    """What a store holds beside its do-not-contact list, empty for nothing."""
    asked = []
    for bucket in range(BUCKETS):
        asked += [("ZCARD", keys.of_idle(bucket)), ("ZCARD", keys.of_lapses(bucket))]
        asked += [("ZCARD", keys.of_relays(bucket)), ("SCARD", keys.of_moved(bucket))]
    try:
        counts = store.link.many(asked)
    except StoreDamaged as error:
        return f"a damaged key, {error.key}"
    growers = sum(counts[0::4]) + sum(counts[1::4])
    if growers:
        return f"{growers} growers"
    if sum(counts):
        return "relays or pointers"
    return "rounds" if store.rounds() else ""
