"""The part of the store in memory that keeps rounds."""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections import defaultdict
from collections.abc import Sequence
from threading import RLock

from advisor.store.api import MOST_MS, ROUNDS, Change, Verdict
from advisor.store.errors import StoreDamaged
from advisor.store.names import BUCKETS
from advisor.store.rounds import END, WAITING, Dues, Place, RoundRow, RoundState, Standing, Valued


class DictRounds(ABC):
    """Rounds in memory; `DictStore` is one."""

    def __init__(self) -> None:
        self._lock = RLock()
        self._values: dict[str, Valued] = {}
        self._endings: dict[str, int] = {}
        self._idle: dict[int, dict[str, int]] = defaultdict(dict)
        self._pauses: dict[int, dict[str, str]] = defaultdict(dict)
        self._lanes: dict[tuple[int, int], dict[str, int]] = defaultdict(dict)
        self._rows: dict[str, RoundRow] = {}
        self._dues: dict[tuple[int, str], dict[str, int]] = defaultdict(dict)
        #: Nobody in a list is due before this; where the first has left it, it may be earlier than need be.
        self._due_from: dict[tuple[int, str], int] = defaultdict(lambda: MOST_MS)
        self._places: dict[tuple[int, str], Place] = {}
        self._tallies: dict[str, dict[str, int]] = defaultdict(dict)

    @abstractmethod
    def commit(self, change: Change) -> Verdict:
        """As `Store.commit`."""

    def start_round(self, row: RoundRow) -> RoundRow | None:
        with self._lock:
            there = self._rows.setdefault(row.key, row)
            self._copy(row.key)
            return there if there.text != row.text or there.state is RoundState.STOPPED else None

    def set_round(self, key: str, state: RoundState) -> RoundState | None:
        with self._lock:
            row = self._rows.get(key)
            if row is None:
                return None
            if row.state is not RoundState.STOPPED:
                self._rows[key] = RoundRow(key, state, row.started_ms, row.text)
            if state is RoundState.STOPPED:
                for bucket in range(BUCKETS):
                    self._dues.pop((bucket, key), None)
            self._copy(key)
            return self._rows[key].state

    def _copy(self, key: str) -> None:
        for bucket in range(BUCKETS):
            self._pauses[bucket][key] = self._rows[key].state.value

    def rounds(self) -> tuple[RoundRow, ...]:
        with self._lock:
            return tuple(self._rows[key] for key in sorted(self._rows))

    def place(self, bucket: int, key: str) -> Place:
        with self._lock:
            return self._places.get((bucket, key), Place(0, END))

    def settled(self, bucket: int) -> tuple[str, ...]:
        with self._lock:
            return tuple(sorted(self._idle[bucket]))

    def values(self, growers: Sequence[str]) -> Dues:
        with self._lock:
            taken = tuple(filter(None, map(self._values.get, growers)))
            if len(taken) == len(growers):
                return Dues(taken)
            return Dues(taken, tuple(grower for grower in growers if grower not in self._values))

    def plan(self, bucket: int, key: str, place: Place, then: Place, dues: Sequence[tuple[str, int]]) -> bool:
        with self._lock:
            if not self._is_running(key) or self.place(bucket, key) != place:
                return False
            if dues:
                settled, planned = self._idle[bucket], (bucket, key)
                self._dues[planned].update([due for due in dues if due[0] in settled])
                self._due_from[planned] = min(self._due_from[planned], min(look_ms for _, look_ms in dues))
            self._places[bucket, key] = then
            return True

    def due_in(self, rounds: Sequence[str], now_ms: int) -> tuple[tuple[tuple[str, int], ...], tuple[str, ...]]:
        with self._lock:
            waiting = {place for place, from_ms in self._due_from.items() if from_ms <= now_ms}
            for place in tuple(waiting):
                dues = self._dues.get(place)
                self._due_from[place] = min(dues.values()) if dues else MOST_MS
                if self._due_from[place] > now_ms:
                    waiting.discard(place)
            return tuple(
                (key, bucket) for key in rounds for bucket in range(BUCKETS) if (bucket, key) in waiting
            ), ()

    def claim_due(self, bucket: int, key: str, now_ms: int, lease_ms: int, most: int, room: int) -> Dues:
        with self._lock:
            lane = self._lanes[bucket, ROUNDS]
            leaving = sum(at_ms <= now_ms for at_ms in lane.values())
            most = min(most, room - leaving, WAITING * room - len(lane))
            if not self._is_running(key) or most <= 0:
                return Dues()
            dues = self._dues[bucket, key]
            due = sorted((look_ms, grower) for grower, look_ms in dues.items() if look_ms <= now_ms)[:most]
            dues.update((grower, now_ms + lease_ms) for _, grower in due)
            return self.values([grower for _, grower in due])

    def commit_all(self, changes: Sequence[Change]) -> tuple[Verdict | StoreDamaged, ...]:
        if any(change.ends_rounds or change.readdress for change in changes):
            raise ValueError("a change that stops, forgets or moves is read for first: commit it by itself")
        return tuple(self.commit(change) for change in changes)

    def standing(self, key: str) -> Standing:
        with self._lock:
            waiting = sum(len(dues) for (_, of_round), dues in self._dues.items() if of_round == key)
            places = [place for (_, of_round), place in self._places.items() if of_round == key]
            planned = sum(place.pass_ms > 0 and place.after == END for place in places)
            return Standing(waiting, planned, dict(self._tallies[key]))

    def _write_rounds(self, bucket: int, change: Change) -> None:
        if change.ends_rounds:
            for key in self._pauses[bucket]:
                self._dues[bucket, key].pop(change.grower, None)
        for key, look_ms in () if change.ends_rounds else change.dues:
            if look_ms is None:
                self._dues[bucket, key].pop(change.grower, None)
            else:
                self._dues[bucket, key][change.grower] = look_ms
                self._due_from[bucket, key] = min(self._due_from[bucket, key], look_ms)
        for key, counter, difference in change.tallies:
            if difference:
                self._tallies[key][counter] = self._tallies[key].get(counter, 0) + difference

    def _is_running(self, key: str) -> bool:
        return key in self._rows and self._rows[key].state is RoundState.RUNNING
