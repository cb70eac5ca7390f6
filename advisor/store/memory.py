"""The store as plain dictionaries, for simulated seasons: thousands of growers on a virtual clock, one process.

Its clock is the latest moment that anybody named, so that what is kept for three days goes after three
simulated days.
"""

from __future__ import annotations

from collections import defaultdict, deque
from collections.abc import Iterable, Sequence

from msgspec.structs import replace

from advisor.store.api import (
    MOST_MS,
    ROUNDS,
    Backlog,
    Busy,
    Change,
    Committed,
    Conflict,
    Ending,
    Entry,
    Idle,
    Parked,
    Readdress,
    Reading,
    Remembered,
    StoreDamaged,
    Valued,
    Verdict,
    Waiting,
)
from advisor.store.encoding import OutRecord
from advisor.store.memory_outbox import DictOutbox, due_now
from advisor.store.names import bucket_of
from advisor.store.plans import Keeps, days_around

#: With so many answers or messages of one grower, those that are gone by themselves are not looked for any more.
_TRACES = 64


class DictStore(DictOutbox):
    """A `Store` in memory, safe among threads.

    Args:
        keeps: how long things are kept.
    """

    def __init__(self, keeps: Keeps | None = None) -> None:
        super().__init__(keeps or Keeps())
        self._pointers: dict[str, str] = {}
        self._answers: dict[tuple[int, str], Remembered] = {}
        self._applied: dict[tuple[int, str], Remembered] = {}
        self._relays: dict[int, dict[str, tuple[int, Waiting]]] = defaultdict(dict)
        self._lapses: dict[int, dict[str, int]] = defaultdict(dict)
        #: Nobody in a bucket is idle before this; who has been heard of again may have been the first.
        self._idle_from: dict[int, int] = defaultdict(lambda: MOST_MS)
        self._counts: dict[str, dict[str, int]] = defaultdict(dict)
        self._history: dict[str, deque[tuple[int, tuple[tuple[str, str], ...]]]] = defaultdict(deque)
        self._stumbles: dict[tuple[int, str], tuple[int, int]] = {}
        self._parked: dict[int, dict[tuple[str, str], int]] = defaultdict(dict)
        self._asked: dict[str, int] = {}

    def open(self) -> None:
        """Nothing to make or check."""

    def close(self) -> None:
        """Nothing to close."""

    def ready(self) -> tuple[bool, str]:
        return True, "store in memory: it keeps nothing when this process ends"

    def read(self, number_hash: str, message: str) -> Reading:
        with self._lock:
            grower = self._pointers.get(number_hash, number_hash)
            answer = self._answers.get((bucket_of(number_hash), message))
            if answer is None and grower != number_hash:
                answer = self._answers.get((bucket_of(grower), message))
            return Reading(grower, *self.value(grower), answer)

    def entries(self, bucket: int, numbers: Sequence[str]) -> tuple[Entry | StoreDamaged, ...]:
        with self._lock:
            return tuple(self._entry(number) for number in numbers)

    def _entry(self, number: str) -> Entry:
        grower = self._pointers.get(number, number)
        stops = any(number in self._stops[bucket_of(name)] for name in (number, grower))
        return Entry(number, grower, *self.value(grower), stops)

    def ending_in(self, ending: int) -> Ending:
        with self._lock:
            found = sorted(grower for grower, end in self._endings.items() if end == ending)
            return Ending(tuple(self._values[grower] for grower in found if grower in self._values))

    def complete_endings(self, bucket: int, found: Sequence[tuple[str, int, int]]) -> bool:
        return True

    def commit(self, change: Change) -> Verdict:
        bucket = bucket_of(change.grower)
        with self._lock:
            self._pass(change.at_ms)
            if change.message is not None and (bucket, change.message) in self._answers:
                return self._answers[bucket, change.message]
            if change.applied is not None and (bucket, change.applied) in self._applied:
                return self._applied[bucket, change.applied]
            held = self._values.get(change.grower)
            if (0 if held is None else held.version) != change.version:
                return Conflict()
            if change.unless_stopped in self._stops[bucket]:
                return Conflict()
            if change.forgets:
                self._forget(bucket, change)
            elif change.stop is not None and change.stop[1]:
                self._silence(bucket, change)
            if change.readdress is not None:
                self._readdress(change.grower, change.readdress)
            version = change.next_version
            self._remember(bucket, change)
            self._write_value(bucket, change, version)
            self._write_rounds(bucket, change)
            self._write_queues(bucket, change)
            self._write_figures(bucket, change)
            return Committed(version)

    def value(self, grower: str) -> tuple[int, bytes | None]:
        bucket_of(grower)
        with self._lock:
            held = self._values.get(grower)
            return (0, None) if held is None else (held.version, held.value)

    def busy(self, now_ms: int) -> Busy:
        with self._lock:
            lanes = {place for place, queue in self._lanes.items() if queue and min(queue.values()) <= now_ms}
            return Busy(
                tuple(sorted({bucket for bucket, _ in lanes})),
                tuple(sorted(bucket for bucket, waiting in self._relays.items() if waiting)),
                tuple(
                    sorted(at for at, lapses in self._lapses.items() if lapses and min(lapses.values()) <= now_ms)
                ),
                tuple(
                    sorted(at for at, ms in self._idle_from.items() if ms <= now_ms and self._has_idle(at, now_ms))
                ),
                urgent=tuple(sorted({bucket for bucket, lane in lanes if lane != ROUNDS})),
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
            due = due_now(self._lapses[bucket], now_ms)[:most]
            for grower in due:
                self._values.pop(grower, None)
                del self._lapses[bucket][grower]
            return len(due)

    def idle(self, bucket: int, now_ms: int, most: int) -> tuple[Idle, ...]:
        with self._lock:
            due = due_now(self._idle[bucket], now_ms)[:most]
            return tuple(Idle(grower, *self.value(grower)) for grower in due)

    def growers(self, bucket: int | None = None) -> Iterable[str]:
        with self._lock:
            return tuple(grower for grower in self._values if bucket is None or bucket_of(grower) == bucket)

    def asked(self) -> tuple[tuple[str, int], ...]:
        with self._lock:
            return tuple(sorted(self._asked.items(), key=lambda pair: (pair[1], pair[0])))

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

    def unpark(self, grower: str, message: str) -> None:
        with self._lock:
            self._parked[bucket_of(grower)].pop((grower, message), None)

    def parked(self, bucket: int) -> tuple[Parked, ...]:
        with self._lock:
            ordered = sorted((at_ms, *names) for names, at_ms in self._parked[bucket].items())
            return tuple(Parked(grower, message, at_ms) for at_ms, grower, message in ordered)

    def _forget(self, bucket: int, change: Change) -> None:
        for message in self._said.pop(change.grower, ()):
            answer = self._answers.get((bucket, message))
            if answer is not None:
                self._answers[bucket, message] = Remembered(answer.digest, b"")
                self._leave(self._keeps.answer_ms(change), self._answers, (bucket, message))
        for oid, lane in self._sent.pop(change.grower, ()):
            if all(oid != out.oid for out in change.outs):
                self._outs.pop(oid, None)
                self._lanes[bucket, lane].pop(oid, None)
                self._aside[bucket].pop(oid, None)
        for day in days_around(change.at_ms):
            self._days[bucket, day].pop(change.grower, None)
        self._history.pop(change.grower, None)
        for parked in [names for names in self._parked[bucket] if names[0] == change.grower]:
            del self._parked[bucket][parked]
        for number in [number for number, target in self._pointers.items() if target == change.grower]:
            if bucket_of(number) == bucket:
                del self._pointers[number]

    def _readdress(self, grower: str, new: Readdress) -> None:
        for name, _ in self._sent[grower]:
            record = self._outs.get(name)
            if (
                record is None
                or record.state != "queued"
                or record.begun_ms
                or not record.body.startswith(new.was)
            ):
                continue
            to, body = record.to and new.to, new.now + record.body.removeprefix(new.was)
            self._outs[name] = replace(record, to=to, body=body)

    def _remember(self, bucket: int, change: Change) -> None:
        answer = Remembered(change.digest, change.reply)
        if change.message is not None:
            place = bucket, change.message
            self._answers[place] = answer
            self._leave(self._keeps.answer_ms(change), self._answers, place)
            if _is_traced(change):
                said = self._said[change.grower]
                said.add(change.message)
                if len(said) % _TRACES == 0:
                    said -= {message for message in said if (bucket, message) not in self._answers}
        if change.applied is not None:
            self._applied[bucket, change.applied] = answer
            self._leave(self._keeps.marks_ms, self._applied, (bucket, change.applied))

    def _write_value(self, bucket: int, change: Change, version: int) -> None:
        if change.value is None:
            self._values.pop(change.grower, None)
        else:
            self._values[change.grower] = Valued(change.grower, version, change.value)
        if change.heard:
            self._write_times(bucket, change)
        if change.forgets or change.asked_ms == 0:
            self._asked.pop(change.grower, None)
        elif change.asked_ms is not None:
            self._asked[change.grower] = change.asked_ms
        if change.forgets:
            self._endings.pop(change.grower, None)
        elif change.ending is not None:
            self._endings[change.grower] = change.ending
        if change.pointer is not None:
            number, target = change.pointer
            if target is None:
                self._pointers.pop(number, None)
            else:
                self._pointers[number] = target

    def _write_times(self, bucket: int, change: Change) -> None:
        lapses, idle = self._lapses[bucket], self._idle[bucket]
        if change.lapses_ms is None or change.value is None:
            lapses.pop(change.grower, None)
        else:
            lapses[change.grower] = change.lapses_ms
        if change.value is None or change.lapses_ms is not None:
            idle.pop(change.grower, None)
        else:
            idle[change.grower] = idle_ms = MOST_MS if change.idle_ms is None else change.idle_ms
            self._idle_from[bucket] = min(self._idle_from[bucket], idle_ms)

    def _has_idle(self, bucket: int, now_ms: int) -> bool:
        self._idle_from[bucket] = min(self._idle[bucket].values(), default=MOST_MS)
        return self._idle_from[bucket] <= now_ms

    def _write_queues(self, bucket: int, change: Change) -> None:
        for out in change.outs:
            if out.oid not in self._outs:
                self._outs[out.oid] = OutRecord.of(out, change.grower)
                self._leave(self._keeps.out_ms(out.expires_ms, change.at_ms), self._outs, out.oid)
                self._lanes[bucket, out.lane][out.oid] = out.not_before_ms
                if out.round and out.lane == ROUNDS:
                    self._only_newest(change, out)
            if _is_traced(change):
                sent = self._sent[change.grower]
                sent.add((out.oid, out.lane))
                if len(sent) % _TRACES == 0:
                    self._sent[change.grower] = {trace for trace in sent if trace[0] in self._outs}
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


def _is_traced(change: Change) -> bool:
    """Whether a change that forgets must find this one's traces: not where nothing is left of the grower."""
    return not change.forgets or change.value is not None
