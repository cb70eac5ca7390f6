"""Reads a bucket as values. A grower is read at one moment, in one script; a bucket is not.

A script that reads a whole bucket would hold up every message of the server while it does. All that one message
changes for one grower is in one row, and the village figures are counted anew from the rows, so that growers read
one after the other are as good. What a relay carries from one grower to another while the backup is taken may be
missing on one of the two sides.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from advisor.store import keys
from advisor.store.api import LANES, MOST_MS, StoreDamaged
from advisor.store.encoding import OutRecord
from advisor.store.holding import ASIDE, read_as, read_value
from advisor.store.link import Link
from advisor.store.names import bucket_of
from advisor.store.redis_rounds import figures_in
from advisor.store.redis_store import RedisStore
from advisor.store.rows import Begun, Kept, Line, Lists, Queued, Rest, Row
from advisor.store.script import Script
from advisor.store.traces import Traces

#: Growers a trip: enough to make trips few, few enough to hold up nobody.
TOGETHER = 20
#: How often a grower who keeps writing is read again.
_TRIES = 20

_READ = Script.named("read")


class Reading:
    """What one script is asked to read."""

    def __init__(self) -> None:
        self._places: dict[str, int] = {}
        self._asked: list[str] = []

    def ask(self, what: str, key: str, member: str = "") -> None:
        """One reading: ``text``, ``place``, ``members`` or ``lines``."""
        place = self._places.setdefault(key, len(self._places) + 1)
        self._asked += [what, str(place), member]

    def answers(self, link: Link) -> Iterator[Any]:
        """The answers in the order of the questions. Raises StoreDamaged."""
        word, answer = link.run(_READ, self._places, self._asked)
        if word == b"damaged":
            raise StoreDamaged(answer.decode())
        return iter(answer)


def lists_of(store: RedisStore, bucket: int) -> Lists:
    """The do-not-contact list of a bucket."""
    stops, gone = store.link.many([("SMEMBERS", keys.of_stops(bucket)), ("SMEMBERS", keys.of_gone(bucket))])
    return Lists(bucket=bucket, stops=_texts(stops), gone=_texts(gone))


def rows_of(store: RedisStore, bucket: int) -> Iterator[Row | StoreDamaged]:
    """The growers of a bucket, one after the other; in the place of one who cannot be read, why."""
    growers = sorted(set(store.growers(bucket)))
    for first in range(0, len(growers), TOGETHER):
        some = growers[first : first + TOGETHER]
        try:
            yield from (row for row in _rows(store, some) if row is not None)
        except StoreDamaged:
            for grower in some:
                yield from _alone(store, grower)


def row_of(store: RedisStore, grower: str) -> Row | None:
    """Everything of one grower, None where there is no value. Raises StoreDamaged."""
    return _rows(store, [grower])[0]


def rest_of(store: RedisStore, bucket: int) -> Rest:
    """What a bucket keeps beside its growers. Raises StoreDamaged."""
    lists = lists_of(store, bucket)
    relays, parked, moved, known = store.link.many(
        [
            ("ZRANGE", keys.of_relays(bucket), "0", "-1", "WITHSCORES"),
            ("ZRANGE", keys.of_parked(bucket), "0", "-1", "WITHSCORES"),
            ("SMEMBERS", keys.of_moved(bucket)),
            ("HKEYS", keys.of_pauses(bucket)),
        ]
    )
    queued = _scored(relays)
    numbers = _texts(moved)
    asked = [("GET", keys.of_relay(bucket, effect)) for effect, _ in queued]
    asked += [("GET", keys.of_number(number)) for number in numbers]
    held = store.link.many(asked) if asked else []
    targets = held[len(queued) :]
    return Rest(
        bucket=bucket,
        stops=lists.stops,
        gone=lists.gone,
        pointers=[(number, target.decode()) for number, target in zip(numbers, targets, strict=True) if target],
        relays=[(*relay, body) for relay, body in zip(queued, held, strict=False) if body is not None],
        parked=_scored(parked),
        tallies=list(_tallies(store, bucket, _texts(known))),
    )


def begun_in(store: RedisStore) -> Iterator[Begun]:
    """The rounds that were started. Raises StoreDamaged."""
    for row in store.rounds():
        yield Begun(key=row.key, state=row.state.value, started_ms=row.started_ms, text=row.text)


def _tallies(store: RedisStore, bucket: int, rounds: list[str]) -> Iterator[tuple[str, str, int]]:
    held = store.link.many(("HGETALL", keys.of_round_in(bucket, key)) for key in rounds) if rounds else ()
    for key, figures in zip(rounds, held, strict=True):
        found = read_as(keys.of_round_in(bucket, key), lambda held: sorted(figures_in(held)), figures)
        yield from ((key, name, count) for name, count in found)


def _alone(store: RedisStore, grower: str) -> Iterator[Row | StoreDamaged]:
    try:
        row = row_of(store, grower)
    except StoreDamaged as error:
        yield error
    else:
        yield from (row,) if row is not None else ()


def _rows(store: RedisStore, growers: list[str]) -> list[Row | None]:
    """The rows at one moment; asked again while somebody writes between the two trips."""
    for _ in range(_TRIES):
        # growers of one bucket
        *members, known = store.link.many(
            [
                *(("ZRANGE", keys.of_traces(grower), "0", "-1") for grower in growers),
                ("HKEYS", keys.of_pauses(bucket_of(growers[0]))),
            ]
        )
        rounds = _texts(known)
        traces = [_traces(grower, held) for grower, held in zip(growers, members, strict=True)]
        reading = Reading()
        for grower, found in zip(growers, traces, strict=True):
            _ask(reading, grower, found, rounds)
        answers = reading.answers(store.link)
        rows, is_whole = [], True
        for grower, found, before in zip(growers, traces, members, strict=True):
            is_whole &= sorted(next(answers)[0]) == sorted(before)
            rows.append(_row(grower, found, rounds, answers))
        if is_whole:
            return rows
    raise StoreDamaged(keys.of_traces(growers[0]))


def _ask(reading: Reading, grower: str, traces: Traces, rounds: list[str]) -> None:
    bucket = int(grower[:2], 16)
    reading.ask("members", keys.of_traces(grower))
    reading.ask("text", keys.of_grower(grower))
    reading.ask("place", keys.of_lapses(bucket), grower)
    reading.ask("place", keys.of_idle(bucket), grower)
    reading.ask("lines", keys.of_history(grower))
    for message in traces.messages:
        reading.ask("text", keys.of_message(grower, message))
    for effect in traces.effects:
        reading.ask("text", keys.of_seen(grower, effect))
    for lane, oid in traces.outs:
        reading.ask("text", keys.of_out(oid))
        reading.ask("place", keys.of_lane(bucket, lane), oid)
        reading.ask("place", keys.of_aside(bucket), oid)
    for key in rounds:
        reading.ask("place", keys.of_due(bucket, key), grower)


def _row(grower: str, traces: Traces, rounds: list[str], answers: Iterator[Any]) -> Row | None:
    held, (lapses,), (idle,) = next(answers)[0], next(answers), next(answers)
    lines = next(answers)[0]
    kept = [_kept(name, next(answers)) for name in (*traces.messages, *traces.effects)]
    outs = [(oid, lane, next(answers), next(answers), next(answers)) for lane, oid in traces.outs]
    dues = [(key, next(answers)[0]) for key in rounds]
    version, value = read_value(grower, held)
    if value is None:
        return None
    return Row(
        grower=grower,
        version=version,
        value=value,
        lapses_ms=None if lapses is None else int(lapses),
        idle_ms=None if idle is None or int(idle) >= MOST_MS else int(idle),
        answers=[found for found in kept[: len(traces.messages)] if found],
        effects=[found for found in kept[len(traces.messages) :] if found],
        queued=[
            found for oid, lane, text, due, _ in outs if (found := _queued(oid, lane, text, due, ("queued",)))
        ],
        aside=[found for oid, lane, text, _, since in outs if (found := _queued(oid, lane, text, since, ASIDE))],
        history=[Line(id_.decode(), [word.decode() for word in fields]) for id_, fields in lines],
        dues=[(key, int(look_ms)) for key, look_ms in dues if look_ms is not None],
    )


def _kept(name: str, answer: list[Any]) -> Kept | None:
    held, left_ms = answer
    return None if held is None or left_ms <= 0 else Kept(name, held, left_ms)


def _queued(oid: str, lane: int, text: list[Any], place: list[Any], states: tuple[str, ...]) -> Queued | None:
    held, due = text[0], place[0]
    if held is None or due is None:
        return None
    is_there = read_as(keys.of_out(oid), OutRecord.read, held).state in states
    return Queued(oid, lane, int(due), held) if is_there else None


def _traces(grower: str, members: list[bytes]) -> Traces:
    found = read_as(keys.of_traces(grower), Traces.read, members)
    if any(lane not in LANES for lane, _ in found.outs):
        raise StoreDamaged(keys.of_traces(grower))
    return found


def _texts(members: Any) -> list[str]:
    return sorted(member.decode() for member in members)


def _scored(rows: Any) -> list[tuple[str, int]]:
    if rows and isinstance(rows[0], tuple):
        return [(member.decode(), int(score)) for member, score in rows]
    return [(member.decode(), int(score)) for member, score in zip(rows[::2], rows[1::2], strict=True)]
