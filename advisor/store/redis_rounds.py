"""The part of the store on Redis that keeps rounds: the row beside the store's description, all else by bucket."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import partial

from advisor.store import keys, plans
from advisor.store.api import ROUNDS, Change, Committed, Conflict, Verdict
from advisor.store.errors import StoreDamaged
from advisor.store.holding import answer_in, read_as, read_value
from advisor.store.link import Link
from advisor.store.names import BUCKETS
from advisor.store.plans import Keeps
from advisor.store.rounds import END, WAITING, Dues, Place, RoundRow, RoundState, Standing, Valued
from advisor.store.script import Call, Script

_PLAN, _DUE, _ROUND, _BUSY, _COMMIT = map(Script.named, ("plan", "due", "round", "busy", "commit"))

#: Field of a round's hash in a bucket that is no figure.
PLACE = "plan"
_PLACE = PLACE.encode()


class RedisRounds:
    """Rounds on Redis; `RedisStore` is one.

    Args:
        link: the line to the server.
        keeps: how long things are kept.
    """

    _link: Link
    _keeps: Keeps

    def start_round(self, row: RoundRow) -> RoundRow | None:
        key, told = keys.of_round(row.key), row.text
        word, *rest = self._link.run(
            _ROUND, (key, keys.ROUNDS), (row.key, row.state.value, str(row.started_ms), told)
        )
        _undamaged(word, rest)
        if word == b"there":
            (there,) = (found for found in self.rounds() if found.key == row.key)
            if there.text != row.text or there.state is RoundState.STOPPED:
                return there
            # what a fault has left half done is completed
            row = there
        self._copy(row.key, row.state)
        return None

    def set_round(self, key: str, state: RoundState) -> RoundState | None:
        word, *rest = self._link.run(_ROUND, (keys.of_round(key), keys.ROUNDS), (key, state.value))
        _undamaged(word, rest)
        if word == b"none":
            return None
        if word == b"there":
            return RoundState.STOPPED
        self._copy(key, state)
        return state

    def _copy(self, key: str, state: RoundState) -> None:
        self._link.many(("HSET", keys.of_pauses(bucket), key, state.value) for bucket in range(BUCKETS))
        if state is RoundState.STOPPED:
            self._link.many(("DEL", keys.of_due(bucket, key)) for bucket in range(BUCKETS))

    def rounds(self) -> tuple[RoundRow, ...]:
        names = sorted(name.decode() for name in self._link.one("SMEMBERS", keys.ROUNDS))
        rows = self._link.many(("HMGET", keys.of_round(name), "state", "started", "text") for name in names)
        return tuple(
            read_as(keys.of_round(name), partial(_row, name), held) for name, held in zip(names, rows, strict=True)
        )

    def place(self, bucket: int, key: str) -> Place:
        held = self._link.one("HGET", keys.of_round_in(bucket, key), _PLACE)
        return read_as(keys.of_round_in(bucket, key), _place, held)

    def settled(self, bucket: int) -> tuple[str, ...]:
        return tuple(sorted(name.decode() for name in self._link.one("ZRANGE", keys.of_idle(bucket), "0", "-1")))

    def values(self, growers: Sequence[str]) -> Dues:
        if not growers:
            return Dues()
        # a key of another type is taken for no value; the commit or the message of that grower names it
        held = self._link.one("MGET", *(keys.of_grower(grower) for grower in growers))
        taken, gone, damaged = [], [], []
        for grower, text in zip(growers, held, strict=True):
            try:
                version, value = read_value(grower, text)
            except StoreDamaged as error:
                damaged.append(error.key)
                continue
            if value is None:
                gone.append(grower)
            else:
                taken.append(Valued(grower, version, value))
        return Dues(tuple(taken), tuple(gone), tuple(damaged))

    def plan(self, bucket: int, key: str, place: Place, then: Place, dues: Sequence[tuple[str, int]]) -> bool:
        declared = (
            keys.of_pauses(bucket),
            keys.of_due(bucket, key),
            keys.of_round_in(bucket, key),
            keys.of_idle(bucket),
        )
        told = [word for grower, look_ms in dues for word in (str(look_ms), grower)]
        word, *rest = self._link.run(_PLAN, declared, (key, place.text, then.text, *told))
        _undamaged(word, rest)
        return bool(word == b"planned")

    def due_in(self, rounds: Sequence[str], now_ms: int) -> tuple[tuple[tuple[str, int], ...], tuple[str, ...]]:
        if not rounds:
            return (), ()
        upto = (str(now_ms),) * len(rounds)
        lists = [tuple(keys.of_due(bucket, key) for key in rounds) for bucket in range(BUCKETS)]
        counts = self._link.run_each(_BUSY, [Call(of_bucket, upto) for of_bucket in lists])
        counted = [
            (key, bucket, lists[bucket][at], row[at])
            for at, key in enumerate(rounds)
            for bucket, row in enumerate(counts)
        ]
        found = tuple((key, bucket) for key, bucket, _, count in counted if count > 0)
        return found, tuple(name for _, _, name, count in counted if count < 0)

    def claim_due(self, bucket: int, key: str, now_ms: int, lease_ms: int, most: int, room: int) -> Dues:
        declared = (keys.of_pauses(bucket), keys.of_due(bucket, key), keys.of_lane(bucket, ROUNDS))
        told = (key, str(now_ms), str(now_ms + lease_ms), str(most), str(room), str(WAITING * room))
        word, *rest = self._link.run(_DUE, declared, told)
        _undamaged(word, rest)
        return self.values([name.decode() for name in rest[0]]) if word == b"taken" else Dues()

    def commit_all(self, changes: Sequence[Change]) -> tuple[Verdict | StoreDamaged, ...]:
        if any(change.ends_rounds or change.readdress for change in changes):
            raise ValueError("a change that stops, forgets or moves is read for first: commit it by itself")
        if not changes:
            return ()
        planned = [plans.change_plan(change, self._keeps) for change in changes]
        answers = self._link.run_each(_COMMIT, [Call(plan.keys, plan.arguments) for plan in planned])
        return tuple(_verdict(change, *answer) for change, answer in zip(changes, answers, strict=True))

    def standing(self, key: str) -> Standing:
        asked: list[tuple[str, ...]] = []
        for bucket in range(BUCKETS):
            asked += [("ZCARD", keys.of_due(bucket, key)), ("HGETALL", keys.of_round_in(bucket, key))]
        answers, damaged = self._link.sound(asked)
        figures: dict[str, int] = {}
        planned, wrong = 0, list(damaged)
        for bucket, held in enumerate(answers[1::2]):
            try:
                place = _place((held or {}).get(_PLACE))
                planned += place.pass_ms > 0 and place.after == END
                for name, count in figures_in(held or {}):
                    figures[name] = figures.get(name, 0) + count
            except ValueError:
                wrong.append(keys.of_round_in(bucket, key))
        return Standing(sum(count or 0 for count in answers[::2]), planned, figures, tuple(wrong))


def _undamaged(word: bytes, rest: Sequence[bytes]) -> None:
    if word == b"damaged":
        raise StoreDamaged(rest[0].decode())


def _row(key: str, held: Sequence[bytes | None]) -> RoundRow:
    state, started, text = held
    if state is None or started is None or text is None:
        raise ValueError("a round without state, start or text")
    return RoundRow(key, RoundState(state.decode()), int(started), text)


def _place(held: bytes | None) -> Place:
    return Place.read((held or b"").decode())


def figures_in(held: dict[bytes, bytes]) -> Iterator[tuple[str, int]]:
    """The figures of a round in a bucket. Raises ValueError."""
    return ((name.decode(), int(count)) for name, count in held.items() if name != _PLACE)


def _verdict(change: Change, word: bytes, *rest: bytes) -> Verdict | StoreDamaged:
    if word == b"damaged":
        return StoreDamaged(rest[0].decode())
    if word == b"conflict":
        return Conflict()
    if word == b"remembered":
        held, key = rest
        return read_as(key.decode(), answer_in, held)
    return Committed(change.next_version)
