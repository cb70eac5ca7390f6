"""The store as plain dictionaries, for simulated seasons: thousands of growers on a virtual clock, one process.

Its clock is the latest moment that anybody named, so that what is kept for three days goes after three
simulated days.
"""

from __future__ import annotations

import itertools
from collections import defaultdict, deque
from collections.abc import Iterable, Sequence
from dataclasses import replace
from heapq import heappop, heappush
from math import ceil
from typing import Any

from advisor.store.api import (
    LANES,
    MOST_MS,
    ROUNDS,
    Aside,
    Backlog,
    Busy,
    Change,
    Claimed,
    Claims,
    Committed,
    Conflict,
    Grant,
    Idle,
    Out,
    Parked,
    Reading,
    Remembered,
    Settlement,
    Terms,
    Verdict,
    Waiting,
)
from advisor.store.encoding import OutRecord
from advisor.store.holding import ASIDE, aside_in, checked_out
from advisor.store.memory_rounds import DictRounds
from advisor.store.names import bucket_of
from advisor.store.plans import Keeps, days_around

#: With so many traces of one grower, those of what is gone are let go.
_TRACES = 64

#: A paused round is looked at again after so long, a page whose page before is under way after so long.
PAUSE_MS, PAGE_MS = 15_000, 500
_LONGEST_HOLD_MS = 3_600_000

#: What stands for a queued message whose number and text went at their time.
_GONE = OutRecord("queued", 0, 0, "", b"")


class DictStore(DictRounds):
    """A `Store` in memory, safe among threads.

    Args:
        keeps: how long things are kept.
    """

    def __init__(self, keeps: Keeps | None = None) -> None:
        super().__init__()
        self._keeps = keeps or Keeps()
        self._now_ms = 0
        self._leaving: list[tuple[int, int, dict[Any, Any], Any, Any]] = []
        self._turns = itertools.count()
        self._pointers: dict[str, str] = {}
        self._answers: dict[tuple[int, str], Remembered] = {}
        self._applied: dict[tuple[int, str], Remembered] = {}
        self._outs: dict[str, OutRecord] = {}
        self._relays: dict[int, dict[str, tuple[int, Waiting]]] = defaultdict(dict)
        self._lapses: dict[int, dict[str, int]] = defaultdict(dict)
        self._traces: dict[str, set[tuple[str, str, int]]] = defaultdict(set)
        self._counts: dict[str, dict[str, int]] = defaultdict(dict)
        self._history: dict[str, deque[tuple[int, tuple[tuple[str, str], ...]]]] = defaultdict(deque)
        self._stops: dict[int, set[str]] = defaultdict(set)
        self._days: dict[tuple[int, str], dict[str, int]] = defaultdict(dict)
        self._aside: dict[int, dict[str, int]] = defaultdict(dict)
        self._rate: tuple[float, int] | None = None
        self._held_until_ms = 0
        self._stumbles: dict[tuple[int, str], tuple[int, int]] = {}
        self._parked: dict[int, dict[tuple[str, str], int]] = defaultdict(dict)

    def open(self) -> None:
        """Nothing to make or check."""

    def close(self) -> None:
        """Nothing to close."""

    def ready(self) -> tuple[bool, str]:
        return True, "store in memory: it keeps nothing when this process ends"

    def read(self, number_hash: str, message: str) -> Reading:
        with self._lock:
            grower = self._pointers.get(number_hash, number_hash)
            places = ((bucket_of(number_hash), message), (bucket_of(grower), message))
            answer = next((self._answers[place] for place in places if place in self._answers), None)
            version, value = self._values.get(grower, (0, None))
            return Reading(grower, version, value, answer)

    def commit(self, change: Change) -> Verdict:
        bucket = bucket_of(change.grower)
        with self._lock:
            self._pass(change.at_ms)
            if change.message is not None and (bucket, change.message) in self._answers:
                return self._answers[bucket, change.message]
            if change.applied is not None and (bucket, change.applied) in self._applied:
                return self._applied[bucket, change.applied]
            if self._values.get(change.grower, (0, None))[0] != change.version:
                return Conflict()
            if change.forgets:
                self._forget(bucket, change)
            elif change.stop is not None and change.stop[1]:
                self._silence(bucket, change)
            self._remember(bucket, change)
            self._write_value(bucket, change)
            self._write_rounds(bucket, change)
            self._write_queues(bucket, change)
            self._write_figures(bucket, change)
            return Committed(change.next_version)

    def value(self, grower: str) -> tuple[int, bytes | None]:
        bucket_of(grower)
        with self._lock:
            return self._values.get(grower, (0, None))

    def busy(self, now_ms: int) -> Busy:
        with self._lock:
            due = {bucket for (bucket, _), lane in self._lanes.items() if _due(lane, now_ms)}
            return Busy(
                tuple(sorted(due)),
                tuple(sorted(bucket for bucket, waiting in self._relays.items() if waiting)),
                tuple(sorted(bucket for bucket, lapses in self._lapses.items() if _due(lapses, now_ms))),
                tuple(sorted(bucket for bucket, idle in self._idle.items() if _due(idle, now_ms))),
                urgent=tuple(
                    sorted(
                        {b for (b, lane), due_in in self._lanes.items() if lane != ROUNDS and _due(due_in, now_ms)}
                    )
                ),
            )

    def backlog(self, now_ms: int) -> Backlog:
        with self._lock:
            return Backlog(
                outbox=sum(at_ms <= now_ms for lane in self._lanes.values() for at_ms in lane.values()),
                relays=sum(len(waiting) for waiting in self._relays.values()),
                parked=sum(len(parked) for parked in self._parked.values()),
                aside=sum(
                    since_ms >= now_ms - self._keeps.aside_ms
                    for listed in self._aside.values()
                    for since_ms in listed.values()
                ),
            )

    def claim(
        self,
        bucket: int,
        now_ms: int,
        lease_ms: int,
        most: int,
        terms: Terms = Terms(),  # noqa: B008 - a frozen value
        lanes: tuple[int, ...] = LANES,
    ) -> Claims:
        with self._lock:
            self._pass(now_ms)
            due = [(lane, oid) for lane in lanes for oid in _due(self._lanes[bucket, lane], now_ms)][:most]
            taken: dict[str, Claimed] = {}
            for lane, oid in due:
                self._take(bucket, lane, oid, now_ms, now_ms + lease_ms, terms, taken)
            # pages whose page before came up behind them, as after a wait of its own, leave right behind it
            for lane, oid in due:
                if oid in self._lanes[bucket, lane] and oid not in taken and self._outs[oid].after in taken:
                    self._take(bucket, lane, oid, now_ms, now_ms + lease_ms, terms, taken)
            return Claims(tuple(taken.values()))

    def settle(self, bucket: int, settlements: Sequence[Settlement], at_ms: int) -> tuple[str, ...]:
        with self._lock:
            self._pass(at_ms)
            for one in settlements:
                checked_out(bucket, one.oid)
                record = self._outs.get(one.oid)
                if record is not None and record.may_become(one.state):
                    self._settle(bucket, one, record, at_ms)
        return ()

    def _settle(self, bucket: int, one: Settlement, record: OutRecord, at_ms: int) -> None:
        attempts = record.attempts if one.attempts is None else one.attempts
        begun_ms = record.begun_ms if one.begun_ms is None else one.begun_ms
        told = replace(record, attempts=attempts, begun_ms=begun_ms)
        if one.state == "later":
            if one.lane is not None and one.again_ms is not None and one.oid in self._lanes[bucket, one.lane]:
                self._outs[one.oid] = told
                self._leave(self._keeps.out_ms(told.expires_ms, at_ms), self._outs, one.oid)
                self._lanes[bucket, one.lane][one.oid] = one.again_ms
            return
        self._aside[bucket].pop(one.oid, None)
        if one.state in ASIDE:
            self._outs[one.oid] = replace(told, state=one.state)
            self._leave(self._keeps.aside_ms, self._outs, one.oid)
            self._aside[bucket][one.oid] = at_ms
            if one.grower:
                self._traces[one.grower].add(("out", one.oid, one.lane or 0))
        else:
            self._end(one.oid, told, one.state)
        for place in LANES if one.lane is None else (one.lane,):
            self._lanes[bucket, place].pop(one.oid, None)

    def aside(self, bucket: int) -> tuple[Aside, ...]:
        with self._lock:
            listed = sorted((since_ms, oid) for oid, since_ms in self._aside[bucket].items())
            held = ((oid, since_ms, self._outs.get(oid)) for since_ms, oid in listed)
            found = (
                aside_in(oid, since_ms, None if record is None else record.text) for oid, since_ms, record in held
            )
            return tuple(one for one in found if one is not None)

    def grant(self, now_ms: int, per_second: int, most: int, reserve: int = 0) -> Grant:
        with self._lock:
            if self._held_until_ms > now_ms:
                return Grant(0, self._held_until_ms - now_ms)
            left, at_ms = self._rate if self._rate is not None else (float(per_second), now_ms)
            left = min(per_second, left + max(0, now_ms - at_ms) * per_second / 1000)
            given = max(0, min(most, int(left - reserve)))
            self._rate = (left - given, now_ms)
            return Grant(given) if given else Grant(0, ceil((reserve + 1 - left) * 1000 / per_second))

    def hold(self, now_ms: int, for_ms: int) -> None:
        with self._lock:
            self._held_until_ms = max(self._held_until_ms, now_ms + min(for_ms, _LONGEST_HOLD_MS))

    def state(self, oid: str) -> str | None:
        with self._lock:
            return self._outs[oid].state if oid in self._outs else None

    def relays(self, bucket: int, most: int) -> tuple[Waiting, ...]:
        with self._lock:
            ordered = sorted(self._relays[bucket].items(), key=lambda item: (item[1][0], item[0]))
            return tuple(waiting for _, (_, waiting) in ordered[:most])

    def relay_done(self, bucket: int, effect: str) -> None:
        with self._lock:
            self._relays[bucket].pop(effect, None)

    def lapse(self, bucket: int, now_ms: int, most: int) -> int:
        with self._lock:
            self._pass(now_ms)
            due = _due(self._lapses[bucket], now_ms)[:most]
            for grower in due:
                self._values.pop(grower, None)
                del self._lapses[bucket][grower]
            return len(due)

    def idle(self, bucket: int, now_ms: int, most: int) -> tuple[Idle, ...]:
        with self._lock:
            due = _due(self._idle[bucket], now_ms)[:most]
            return tuple(Idle(grower, *self._values[grower]) for grower in due)

    def growers(self, bucket: int | None = None) -> Iterable[str]:
        with self._lock:
            return tuple(grower for grower in self._values if bucket is None or bucket_of(grower) == bucket)

    def counts(self, village: str) -> dict[str, int]:
        with self._lock:
            return dict(self._counts[village])

    def history(self, grower: str) -> tuple[tuple[tuple[str, str], ...], ...]:
        with self._lock:
            return tuple(fields for _, fields in self._history[grower])

    def stopped(self, grower: str, number_hash: str) -> bool:
        with self._lock:
            return number_hash in self._stops[bucket_of(grower)]

    def stumble(self, grower: str, message: str) -> int:
        with self._lock:
            place = (bucket_of(grower), message)
            count, last_ms = self._stumbles.get(place, (0, 0))
            # Nobody has named a moment yet when last_ms is 0, so nothing can be said of its age.
            if last_ms and self._now_ms - last_ms >= self._keeps.answers_ms:
                count = 0
            self._stumbles[place] = (count + 1, self._now_ms)
            return count + 1

    def park(self, grower: str, message: str, at_ms: int) -> None:
        with self._lock:
            self._parked[bucket_of(grower)][grower, message] = at_ms

    def parked(self, bucket: int) -> tuple[Parked, ...]:
        with self._lock:
            ordered = sorted((at_ms, *names) for names, at_ms in self._parked[bucket].items())
            return tuple(Parked(grower, message, at_ms) for at_ms, grower, message in ordered)

    def _pass(self, at_ms: int) -> None:
        """Lets time pass: what was kept long enough and has not been renewed goes, oldest first."""
        self._now_ms = max(self._now_ms, at_ms)
        while self._leaving and self._leaving[0][0] <= self._now_ms:
            _, _, shelf, key, held = heappop(self._leaving)
            if shelf.get(key) is held:
                del shelf[key]

    def _leave(self, kept_ms: int, shelf: dict[Any, Any], key: object) -> None:
        heappush(self._leaving, (self._now_ms + kept_ms, next(self._turns), shelf, key, shelf[key]))

    def _forget(self, bucket: int, change: Change) -> None:
        for kind, name, lane in self._traces.pop(change.grower, ()):
            answer = self._answers.get((bucket, name)) if kind == "message" else None
            if answer is not None:
                self._answers[bucket, name] = Remembered(answer.digest, b"")
                self._leave(self._keeps.answer_ms(change), self._answers, (bucket, name))
            if kind == "out" and all(name != out.oid for out in change.outs):
                self._outs.pop(name, None)
                self._lanes[bucket, lane].pop(name, None)
                self._aside[bucket].pop(name, None)
        for day in days_around(change.at_ms):
            self._days[bucket, day].pop(change.grower, None)
        self._history.pop(change.grower, None)
        for parked in [names for names in self._parked[bucket] if names[0] == change.grower]:
            del self._parked[bucket][parked]
        for number in [number for number, target in self._pointers.items() if target == change.grower]:
            if bucket_of(number) == bucket:
                del self._pointers[number]

    def _silence(self, bucket: int, change: Change) -> None:
        """Who says stop is sent nothing that waits."""
        for kind, oid, lane in self._traces.get(change.grower, ()):
            if kind == "out" and all(oid != out.oid for out in change.outs):
                self._lanes[bucket, lane].pop(oid, None)
                record = self._outs.get(oid)
                if record is not None and record.state == "queued":
                    self._end(oid, record, "failed")

    def _only_newest(self, change: Change, out: Out) -> None:
        """The newest message of a round and grower is the only one that waits."""
        lane = self._lanes[bucket_of(change.grower), ROUNDS]
        for kind, oid, _ in self._traces.get(change.grower, ()):
            if kind == "out" and oid != out.oid and oid in lane and self._outs[oid].round == out.round:
                del lane[oid]

    def _trace(self, change: Change, kind: str, name: str, lane: int = 0) -> None:
        """Notes what a change that forgets must find; what is gone by itself is let go now and then."""
        if change.forgets and change.value is None:
            return
        noted = self._traces[change.grower]
        noted.add((kind, name, lane))
        if len(noted) % _TRACES == 0:
            bucket = bucket_of(change.grower)
            gone = {
                trace
                for trace in noted
                if (trace[1] not in self._outs if trace[0] == "out" else (bucket, trace[1]) not in self._answers)
            }
            noted -= gone - {(kind, name, lane)}

    def _remember(self, bucket: int, change: Change) -> None:
        answer = Remembered(change.digest, change.reply)
        if change.message is not None:
            self._answers[bucket, change.message] = answer
            self._leave(self._keeps.answer_ms(change), self._answers, (bucket, change.message))
            self._trace(change, "message", change.message)
        if change.applied is not None:
            self._applied[bucket, change.applied] = answer
            self._leave(self._keeps.marks_ms, self._applied, (bucket, change.applied))

    def _write_value(self, bucket: int, change: Change) -> None:
        if change.value is None:
            self._values.pop(change.grower, None)
        else:
            self._values[change.grower] = (change.next_version, change.value)
        if change.heard:
            self._write_times(bucket, change)
        if change.pointer is not None:
            number, target = change.pointer
            if target is None:
                self._pointers.pop(number, None)
            else:
                self._pointers[number] = target

    def _write_times(self, bucket: int, change: Change) -> None:
        if change.lapses_ms is None or change.value is None:
            self._lapses[bucket].pop(change.grower, None)
        else:
            self._lapses[bucket][change.grower] = change.lapses_ms
        self._idle[bucket].pop(change.grower, None)
        if change.value is not None and change.lapses_ms is None:
            self._idle[bucket][change.grower] = MOST_MS if change.idle_ms is None else change.idle_ms

    def _write_queues(self, bucket: int, change: Change) -> None:
        for out in change.outs:
            if out.oid not in self._outs:
                self._outs[out.oid] = OutRecord.of(out, change.grower)
                self._leave(self._keeps.out_ms(out.expires_ms, change.at_ms), self._outs, out.oid)
                self._lanes[bucket, out.lane][out.oid] = out.not_before_ms
                if out.round and out.lane == ROUNDS:
                    self._only_newest(change, out)
            self._trace(change, "out", out.oid, out.lane)
        for relay in change.relays:
            waiting = Waiting(bucket, relay.effect, relay.target, relay.body)
            self._relays[bucket].setdefault(relay.effect, (change.at_ms, waiting))

    def _write_figures(self, bucket: int, change: Change) -> None:
        for village, counter, difference in change.counts:
            if difference:
                self._counts[village][counter] = self._counts[village].get(counter, 0) + difference
        if change.history:
            lines = self._history[change.grower]
            lines.append((max(change.at_ms, lines[-1][0] if lines else 0), change.history))
            while lines[0][0] < change.at_ms - self._keeps.history_ms:
                lines.popleft()
        if change.stop is not None:
            number, stops = change.stop
            (self._stops[bucket].add if stops else self._stops[bucket].discard)(number)

    def _take(
        self,
        bucket: int,
        lane: int,
        oid: str,
        now_ms: int,
        lease_end_ms: int,
        terms: Terms,
        taken: dict[str, Claimed],
    ) -> None:
        record, queue = self._outs.get(oid, _GONE), self._lanes[bucket, lane]
        if record.state != "queued":
            del queue[oid]
            return
        if (ended := self._forbids(bucket, lane, record, now_ms)) is not None:
            self._end(oid, record, ended)
            del queue[oid]
            return
        is_late = record.expires_ms < now_ms
        if record.after in queue and record.after not in taken and not is_late:
            queue[oid] = min(queue[record.after], now_ms + PAGE_MS) + 1
            return
        holds = lane == ROUNDS and not is_late
        if holds and (until_ms := self._round_waits_ms(bucket, record, now_ms, terms)) is not None:
            queue[oid] = until_ms
            return
        counted = record.counted
        if holds and terms.per_day and record.grower and counted != terms.day:
            counted, day = terms.day, self._days[bucket, terms.day]
            day[record.grower] = day.get(record.grower, 0) + 1
        begun_ms = record.begun_ms or now_ms
        held = replace(record, attempts=record.attempts + 1, begun_ms=begun_ms, counted=counted)
        self._outs[oid] = held
        self._leave(self._keeps.out_ms(held.expires_ms, now_ms), self._outs, oid)
        queue[oid] = lease_end_ms
        names = (record.grower, record.round, record.after)
        taken[oid] = Claimed(oid, lane, held.body, held.attempts, held.expires_ms, record.begun_ms, *names)

    def _forbids(self, bucket: int, lane: int, record: OutRecord, now_ms: int) -> str | None:
        """The state in which a message ends that may not leave any more, None where it may."""
        if record.expires_ms < now_ms and not record.begun_ms:
            return "expired"
        is_silent = lane > 0 and record.grower and record.grower not in self._idle[bucket]
        if record.to in self._stops[bucket] or is_silent:
            return "failed"
        is_round = lane == ROUNDS and record.round
        return "failed" if is_round and self._pauses[bucket].get(record.round) == "stopped" else None

    def _round_waits_ms(self, bucket: int, record: OutRecord, now_ms: int, terms: Terms) -> int | None:
        """Until when a message of a round must wait, None where it may leave."""
        if record.round and self._pauses[bucket].get(record.round, "running") != "running":
            return now_ms + PAUSE_MS
        if now_ms >= terms.until_ms:
            return terms.again_ms
        is_counted = not terms.per_day or not record.grower or record.counted == terms.day
        many = self._days[bucket, terms.day].get(record.grower, 0)
        return None if is_counted or many < terms.per_day else terms.tomorrow_ms

    def _end(self, oid: str, record: OutRecord, state: str) -> None:
        self._outs[oid] = record.ended(state)
        self._leave(self._keeps.marks_ms, self._outs, oid)


def _due(queue: dict[str, int], now_ms: int) -> list[str]:
    """Members whose moment has come, as Redis orders them: by score, then by name."""
    return [name for _, name in sorted((at_ms, name) for name, at_ms in queue.items() if at_ms <= now_ms)]
