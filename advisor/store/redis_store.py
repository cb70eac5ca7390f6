"""The store on Redis, on a single server or a cluster: one trip to read, one to commit.

A time-out does not tell whether a commit was carried out. The store says `StoreUnavailable` at once and repeats
nothing; whoever sent the message repeats it whole, which is safe because the message's id is checked inside
the commit.
"""

from __future__ import annotations

import logging
from collections.abc import Callable, Iterator

from redis.exceptions import ResponseError

from advisor.store import keys, plans
from advisor.store.api import (
    LANES,
    ROUNDS,
    Backlog,
    Busy,
    Change,
    Committed,
    Conflict,
    Idle,
    Parked,
    Reading,
    StoreDamaged,
    StoreMismatch,
    StoreRefused,
    StoreUnavailable,
    Verdict,
    Waiting,
)
from advisor.store.encoding import remembered, versioned, waiting
from advisor.store.holding import (
    answer_in,
    parked_in,
    read_as,
    read_value,
    target_in,
)
from advisor.store.link import TIMEOUT_S, Client, Link, client_at
from advisor.store.names import BUCKETS, bucket_of
from advisor.store.plans import Keeps
from advisor.store.readiness import readiness
from advisor.store.redis_entries import RedisEntries
from advisor.store.redis_outbox import RedisOutbox
from advisor.store.redis_rounds import RedisRounds
from advisor.store.script import Call, Plan, Script
from advisor.store.traces import Behind, Traces

SCHEMA = 2

#: Field of the store's description while a backup goes into it; what stands there is the backup's digest.
RESTORING = "restoring"

#: How often a small write reads again when somebody else wrote between its reading and its commit.
_TRIES = 8

#: What a store was made with, as people call it.
_CALLED = {"secret": "fingerprint of the secret"}


class RedisStore(RedisOutbox, RedisRounds, RedisEntries):
    """A `Store` on Redis.

    Args:
        server: address as for `client_at`, or a function that makes a client.
        keeps: how long things are kept.
        secret_mark: mark of the id secret (`keys.secret_mark`); a store made with another one is refused. Empty
            for no check.
        timeout_s: for how long the server is waited for; longer for what nobody on a phone waits for.
    """

    def __init__(
        self,
        server: str | Callable[[], Client],
        keeps: Keeps | None = None,
        secret_mark: str = "",
        timeout_s: float = TIMEOUT_S,
    ) -> None:
        self._server, self._timeout_s = server, timeout_s
        self._link = Link(self._client)
        self._opened = False
        self._losses_checked = 0
        self._keeps = keeps or Keeps()
        self._made_with = {"buckets": str(BUCKETS), "schema": str(SCHEMA)}
        if secret_mark:
            self._made_with["secret"] = secret_mark
        self._commit = Script.named("commit")
        self._busy = Script.named("busy")

    def _client(self) -> Client:
        if isinstance(self._server, str):
            return client_at(self._server, self._link.connected, self._timeout_s)
        return self._server()

    @property
    def link(self) -> Link:
        """The line to the server, for backups."""
        return self._link

    @property
    def keeps(self) -> Keeps:
        """How long things are kept."""
        return self._keeps

    @property
    def made_with(self) -> dict[str, str]:
        """What a store is made with under these settings."""
        return dict(self._made_with)

    def describe(self) -> dict[str, str]:
        """The store's description, made where there is none; unlike `open` it refuses nothing."""
        held = self._described()
        if not self._made_with.keys() <= held.keys():
            self._describe(is_new=not held)
            held = self._described()
        return held

    def run(self, plan: Plan) -> str:
        """Carries out a plan and says how it ended. Raises StoreDamaged."""
        return self._run(plan)[0]

    def open(self) -> None:
        losses, wanted = self._link.losses, self._made_with
        try:
            held = self.describe()
        except ResponseError as error:
            raise StoreRefused(str(error)) from error
        wrong = [
            f"{_CALLED.get(name, name)} {held[name]}, not {value}"
            for name, value in wanted.items()
            if held[name] != value
        ]
        if RESTORING in held:
            raise StoreMismatch("a backup is half in this store: restore the same file again, to its end")
        if wrong:
            raise StoreMismatch(f"the store was made with {'; '.join(wrong)}: use the settings it was made with")
        self._opened, self._losses_checked = True, losses

    def _described(self) -> dict[str, str]:
        found = self._link.many([("HGETALL", keys.STORE)])[0]
        return {name.decode(): value.decode() for name, value in found.items()}

    def _describe(self, *, is_new: bool) -> None:
        if is_new and self._opened:
            # the one event that no caller can tell: what was kept is gone, and nothing fails
            logging.getLogger("advisor").error("event=store outcome=found_empty")
        self._link.many(("HSETNX", keys.STORE, name, value) for name, value in self._made_with.items())
        if is_new:
            self.begin_endings()

    def _check_again(self) -> None:
        """After a lost connection another server may answer, or an emptied one; nothing is written before that
        is known. Called after a read, so that a connection lost before that very read is noticed."""
        if self._losses_checked != self._link.losses:
            self.open()

    def close(self) -> None:
        self._link.close()

    def ready(self) -> tuple[bool, str]:
        return readiness(self._link)

    def read(self, number_hash: str, message: str) -> Reading:
        grower, pointer = number_hash, keys.of_number(number_hash)
        answered = keys.of_message(grower, message)
        moved_to, answer, held = self._link.one("MGET", pointer, answered, keys.of_grower(grower))
        if moved_to is not None:
            grower = read_as(pointer, target_in, moved_to)
            there, held = self._link.one("MGET", keys.of_message(grower, message), keys.of_grower(grower))
            if answer is None:
                answer, answered = there, keys.of_message(grower, message)
        self._check_again()
        version, value = read_value(grower, held)
        return Reading(grower, version, value, read_as(answered, remembered, answer))

    def commit(self, change: Change) -> Verdict:
        behind = None
        if change.forgets:
            behind = self._behind(change.grower)
        elif change.readdress is not None or (change.stop is not None and change.stop[1]):
            behind = self._waiting_of(change.grower)
        rounds = self._rounds_of(change) if change.ends_rounds else None
        word, *rest = self._run(plans.change_plan(change, self._keeps, behind, rounds))
        if word == "conflict":
            return Conflict()
        if word == "remembered":
            held, key = rest
            return read_as(key.decode(), answer_in, held)
        return Committed(change.next_version)

    def _rounds_of(self, change: Change) -> tuple[str, ...] | None:
        """Rounds that the grower's bucket knows of; the commit fails when another has come by then. What cannot be
        read holds up an erase and not a stop, which whoever decides on a step heeds too."""
        try:
            named = self._link.one("HKEYS", keys.of_pauses(bucket_of(change.grower)))
        except StoreDamaged:
            if change.forgets:
                raise
            return None
        return tuple(name.decode() for name in named)

    def _behind(self, grower: str) -> Behind:
        """What a change that forgets must take along; the commit fails when more has come by then."""
        bucket = bucket_of(grower)
        traced, parked, moved = self._link.many(
            [
                ("ZRANGE", keys.of_traces(grower), "0", "-1"),
                ("ZRANGE", keys.of_parked(bucket), "0", "-1"),
                ("SMEMBERS", keys.of_moved(bucket)),
            ]
        )
        numbers = sorted(number.decode() for number in moved)
        targets = self._link.many(("GET", keys.of_number(number)) for number in numbers) if numbers else ()
        return read_as(
            keys.of_traces(grower),
            lambda held: Behind.of(grower, held, parked, zip(numbers, targets, strict=True)),
            traced,
        )

    def _waiting_of(self, grower: str) -> Behind:
        """What may wait for a grower. Traces that cannot be read must not hold up a stop: the claim heeds it too.
        What is queued after this needs a newer version than that which the commit compares."""
        try:
            traced = tuple(self._link.one("ZRANGE", keys.of_traces(grower), "0", "-1"))
            Traces.read(traced)
        except (StoreDamaged, ValueError):
            return Behind()
        return Behind(traced)

    def value(self, grower: str) -> tuple[int, bytes | None]:
        held = self._link.one("GET", keys.of_grower(grower))
        self._check_again()
        return read_value(grower, held)

    def busy(self, now_ms: int) -> Busy:
        due, relays = str(now_ms), len(LANES)
        upto = (*(due for _ in LANES), "+inf", due, due)
        queues = [_queues(bucket) for bucket in range(BUCKETS)]
        rows = self._link.run_each(self._busy, [Call(of_bucket, upto) for of_bucket in queues])
        counted = [
            pair for of_bucket, row in zip(queues, rows, strict=True) for pair in zip(of_bucket, row, strict=True)
        ]
        damaged = tuple(key for key, count in counted if count < 0)

        def busy_in(*places: int) -> tuple[int, ...]:
            return tuple(bucket for bucket, row in enumerate(rows) if any(row[place] > 0 for place in places))

        return Busy(
            busy_in(*LANES),
            busy_in(relays),
            busy_in(relays + 1),
            busy_in(relays + 2),
            damaged,
            urgent=busy_in(*(lane for lane in LANES if lane != ROUNDS)),
        )

    def backlog(self, now_ms: int) -> Backlog:
        upto, since = str(now_ms), str(now_ms - self._keeps.aside_ms)
        asked: list[tuple[str, ...]] = []
        for bucket in range(BUCKETS):
            asked += [("ZCOUNT", keys.of_lane(bucket, lane), "-inf", upto) for lane in LANES]
            asked += [("ZCARD", keys.of_relays(bucket)), ("ZCARD", keys.of_parked(bucket))]
            asked.append(("ZCOUNT", keys.of_aside(bucket), since, "+inf"))
        counts, wide = [count or 0 for count in self._link.sound(asked)[0]], len(LANES) + 3
        relays, parked, aside = (sum(counts[place::wide]) for place in range(len(LANES), wide))
        return Backlog(sum(sum(counts[lane::wide]) for lane in LANES), relays, parked, aside)

    def relays(self, bucket: int, most: int) -> tuple[Waiting, ...]:
        found = self._link.one("ZRANGEBYSCORE", keys.of_relays(bucket), "-inf", "+inf", "LIMIT", "0", str(most))
        effects = [name.decode() for name in found]
        if not effects:
            return ()
        bodies, damaged = self._link.sound(("GET", keys.of_relay(bucket, effect)) for effect in effects)
        healthy, broken = [], list(damaged)
        for effect, held in zip(effects, bodies, strict=True):
            try:
                healthy += [] if held is None else [waiting(bucket, effect, held)]
            except ValueError:
                broken.append(keys.of_relay(bucket, effect))
        if broken and not healthy:
            raise StoreDamaged(broken[0])
        return tuple(healthy)

    def relay_done(self, bucket: int, effect: str) -> None:
        self._run(plans.relay_done_plan(bucket, effect))

    def lapse(self, bucket: int, now_ms: int, most: int) -> int:
        lapses = keys.of_lapses(bucket)
        due = self._link.one("ZRANGEBYSCORE", lapses, "-inf", str(now_ms), "LIMIT", "0", str(most))
        lapsed, damaged = 0, []
        for name in due:
            try:
                lapsed += self._lapse(lapses, name.decode(), now_ms)
            except StoreDamaged as error:
                damaged.append(error)
        if damaged:
            raise damaged[0]
        return lapsed

    def _lapse(self, lapses: str, grower: str, now_ms: int) -> bool:
        # The value comes first: whoever consents after it makes the guard fail, whoever did before has no score.
        held, score = self._link.many([("GET", keys.of_grower(grower)), ("ZSCORE", lapses, grower)])
        if score is None or score > now_ms:
            return False
        version, _ = read_value(grower, held)
        return self._run(plans.lapse_plan(grower, version))[0] == "committed"

    def idle(self, bucket: int, now_ms: int, most: int) -> tuple[Idle, ...]:
        idle = keys.of_idle(bucket)
        due = self._link.one("ZRANGEBYSCORE", idle, "-inf", str(now_ms), "LIMIT", "0", str(most))
        found, damaged = [], []
        for grower in (name.decode() for name in due):
            # the value comes first, as in _lapse: a version that is too old to commit on does no harm
            held, score = self._link.many([("GET", keys.of_grower(grower)), ("ZSCORE", idle, grower)])
            try:
                found += [] if score is None or score > now_ms else [Idle(grower, *read_value(grower, held))]
            except StoreDamaged as error:
                damaged.append(error)
        if damaged and not found:
            raise damaged[0]
        return tuple(found)

    def growers(self, bucket: int | None = None) -> Iterator[str]:
        for each in range(BUCKETS) if bucket is None else (bucket,):
            listed = self._link.many(
                ("ZRANGE", key, "0", "-1") for key in (keys.of_idle(each), keys.of_lapses(each))
            )
            yield from (name.decode() for names in listed for name in names)

    def counts(self, village: str) -> dict[str, int]:
        places = [keys.of_village(bucket, village) for bucket in range(BUCKETS)]
        totals: dict[str, int] = {}
        for key, part in zip(places, self._link.many(("HGETALL", key) for key in places), strict=True):
            for counter, count in part.items():
                totals[counter.decode()] = totals.get(counter.decode(), 0) + read_as(key, int, count)
        return totals

    def history(self, grower: str) -> tuple[tuple[tuple[str, str], ...], ...]:
        lines = self._link.one("XRANGE", keys.of_history(grower), "-", "+")
        return tuple(tuple((name.decode(), text.decode()) for name, text in fields.items()) for _, fields in lines)

    def stopped(self, grower: str, number_hash: str) -> bool:
        return bool(self._link.one("SISMEMBER", keys.of_stops(bucket_of(grower)), number_hash))

    def stumble(self, grower: str, message: str) -> int:
        for _ in range(_TRIES):
            key = keys.of_stumbles(grower, message)
            count, _rest = read_as(key, versioned, self._link.one("GET", key))
            if self._run(plans.stumble_plan(grower, message, count, self._keeps))[0] == "committed":
                return count + 1
        raise StoreUnavailable("a message fails in too many places at once")

    def park(self, grower: str, message: str, at_ms: int) -> None:
        self._run(plans.park_plan(grower, message, at_ms))

    def unpark(self, grower: str, message: str) -> None:
        self._run(plans.unpark_plan(grower, message))

    def asked(self) -> tuple[tuple[str, int], ...]:
        lists = self._link.many(
            ("ZRANGE", keys.of_asked(bucket), "0", "-1", "WITHSCORES") for bucket in range(BUCKETS)
        )
        found = [pair for rows in lists for pair in zip(rows[::2], rows[1::2], strict=True)]
        return tuple(sorted(((member.decode(), int(score)) for member, score in found), key=_since))

    def parked(self, bucket: int) -> tuple[Parked, ...]:
        rows = self._link.one("ZRANGE", keys.of_parked(bucket), "0", "-1", "WITHSCORES")
        return tuple(parked_in(member, score) for member, score in zip(rows[::2], rows[1::2], strict=True))

    def _run(self, plan: Plan) -> tuple[str, *tuple[bytes, ...]]:
        word, *rest = self._link.run(self._commit, plan.keys, plan.arguments)
        if word == b"damaged":
            raise StoreDamaged(rest[0].decode())
        return word.decode(), *rest


def _since(pair: tuple[str, int]) -> tuple[int, str]:
    return pair[1], pair[0]


def _queues(bucket: int) -> tuple[str, ...]:
    lanes = (keys.of_lane(bucket, lane) for lane in LANES)
    return *lanes, keys.of_relays(bucket), keys.of_lapses(bucket), keys.of_idle(bucket)
