"""The part of the store in memory that keeps outgoing messages."""

from __future__ import annotations

from bisect import insort
from collections import defaultdict
from collections.abc import Sequence
from math import ceil
from operator import itemgetter
from typing import Any

from msgspec.structs import replace

from advisor.store.api import LANES, ROUNDS, Aside, Change, Claimed, Claims, Grant, Out, Settlement, Terms
from advisor.store.encoding import OutRecord
from advisor.store.holding import ASIDE, aside_in, checked_out
from advisor.store.memory_rounds import DictRounds
from advisor.store.names import bucket_of
from advisor.store.plans import Keeps

#: A paused round is looked at again after so long, a page whose page before is under way after so long.
PAUSE_MS, PAGE_MS = 15_000, 500
_LONGEST_HOLD_MS = _HOUR_MS = 3_600_000

#: When it leaves, the shelf, its key there, and what it held.
_Leaving = tuple[int, dict[Any, Any], Any, Any]
_LEAVES = itemgetter(0)

#: What stands for a queued message whose number and text went at their time.
_GONE = OutRecord("queued", 0, 0, "", b"")


class DictOutbox(DictRounds):
    """Outgoing messages in memory; `DictStore` is one.

    Args:
        keeps: how long things are kept.
    """

    def __init__(self, keeps: Keeps) -> None:
        super().__init__()
        self._keeps = keeps
        self._now_ms = 0
        #: What leaves, the first of it last, of the hours that have begun; and of each hour to come, in any order.
        self._leaving: list[_Leaving] = []
        self._later: dict[int, list[_Leaving]] = defaultdict(list)
        self._hour = -1
        self._outs: dict[str, OutRecord] = {}
        #: Of each grower the messages that are answered, and what was put out, with each lane that it was put in.
        self._said: dict[str, set[str]] = defaultdict(set)
        self._sent: dict[str, set[tuple[str, int]]] = defaultdict(set)
        self._stops: dict[int, set[str]] = defaultdict(set)
        self._days: dict[tuple[int, str], dict[str, int]] = defaultdict(dict)
        self._aside: dict[int, dict[str, int]] = defaultdict(dict)
        self._rate: tuple[float, int] | None = None
        self._held_until_ms = 0

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
            due = [(lane, oid) for lane in lanes for oid in due_now(self._lanes[bucket, lane], now_ms)]
            is_more = len(due) > most
            del due[most:]
            taken: dict[str, Claimed] = {}
            for lane, oid in due:
                self._take(bucket, lane, oid, now_ms, now_ms + lease_ms, terms, taken)
            # pages whose page before came up behind them, as after a wait of its own, leave right behind it
            for lane, oid in due:
                if oid not in taken and oid in self._lanes[bucket, lane] and self._outs[oid].after in taken:
                    self._take(bucket, lane, oid, now_ms, now_ms + lease_ms, terms, taken)
            return Claims(tuple(taken.values()), more=is_more)

    def settle(self, bucket: int, settlements: Sequence[Settlement], at_ms: int) -> tuple[str, ...]:
        with self._lock:
            self._pass(at_ms)
            for one in settlements:
                checked_out(bucket, one.oid)
                record = self._outs.get(one.oid)
                if record is not None and record.may_become(one.state):
                    self._settle(bucket, one, record, at_ms)
        return ()

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

    def _settle(self, bucket: int, one: Settlement, record: OutRecord, at_ms: int) -> None:
        if one.state == "later" and one.claim not in (None, record.attempts):
            return
        told = record if one.attempts is None else replace(record, attempts=one.attempts)
        if one.begun_ms is not None:
            told = replace(told, begun_ms=one.begun_ms)
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
                self._sent[one.grower].add((one.oid, one.lane or 0))
        else:
            self._end(one.oid, told, one.state)
        for place in LANES if one.lane is None else (one.lane,):
            self._lanes[bucket, place].pop(one.oid, None)

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

    def _silence(self, bucket: int, change: Change) -> None:
        """Who says stop is sent nothing that waits."""
        for oid, lane in self._sent[change.grower]:
            if all(oid != out.oid for out in change.outs):
                self._lanes[bucket, lane].pop(oid, None)
                record = self._outs.get(oid)
                if record is not None and record.state == "queued":
                    self._end(oid, record, "failed")

    def _only_newest(self, change: Change, out: Out) -> None:
        """The newest message of a round and grower is the only one that waits."""
        lane = self._lanes[bucket_of(change.grower), ROUNDS]
        for oid, _ in self._sent[change.grower]:
            if oid != out.oid and oid in lane:
                older = self._outs.get(oid)
                if older is None or older.round == out.round:  # what went at its time can never leave
                    del lane[oid]

    def _pass(self, at_ms: int) -> None:
        """Lets time pass: what was kept long enough and has not been renewed goes, oldest first."""
        if at_ms <= self._now_ms:
            return
        self._now_ms = at_ms
        hour = self._now_ms // _HOUR_MS
        if hour > self._hour:
            self._hour = hour
            for begun in [later for later in self._later if later <= hour]:
                self._leaving += self._later.pop(begun)
            self._leaving.sort(key=_LEAVES, reverse=True)
        leaving = self._leaving
        while leaving and leaving[-1][0] <= at_ms:
            _, shelf, key, held = leaving.pop()
            if shelf.get(key) is held:
                del shelf[key]

    def _leave(self, kept_ms: int, shelf: dict[Any, Any], key: object) -> None:
        leaving = (self._now_ms + kept_ms, shelf, key, shelf[key])
        hour = leaving[0] // _HOUR_MS
        if hour > self._hour:
            self._later[hour].append(leaving)
        else:
            insort(self._leaving, leaving, key=lambda one: -one[0])

    def _end(self, oid: str, record: OutRecord, state: str) -> None:
        self._outs[oid] = record.ended(state)
        self._leave(self._keeps.marks_ms, self._outs, oid)


def due_now(queue: dict[str, int], now_ms: int) -> list[str]:
    """Members whose moment has come, as Redis orders them: by score, then by name."""
    if not queue:
        return []
    return [name for _, name in sorted([(at_ms, name) for name, at_ms in queue.items() if at_ms <= now_ms])]
