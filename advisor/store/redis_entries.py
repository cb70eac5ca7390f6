"""The part of the store on Redis that looks up many numbers at once, or by their last digits."""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Sequence

from advisor.store import keys, plans
from advisor.store.change import Entry
from advisor.store.errors import StoreDamaged
from advisor.store.holding import read_as, read_value, target_in
from advisor.store.link import Link
from advisor.store.names import BUCKETS, bucket_of
from advisor.store.rounds import Ending, Valued
from advisor.store.script import Call, Script

#: Member of a list of endings that says that no grower is missing, and its score.
_COMPLETE = ("-1", "-")
_COMMIT = Script.named("commit")


class RedisEntries(ABC):
    """Numbers on Redis; `RedisStore` is one.

    Args:
        link: the line to the server.
    """

    _link: Link

    @abstractmethod
    def _check_again(self) -> None:
        """Whether it is still the same store, after a connection was lost."""

    def entries(self, bucket: int, numbers: Sequence[str]) -> tuple[Entry | StoreDamaged, ...]:
        if not numbers:
            return ()
        pointers, values, stops = self._link.many(
            [
                ("MGET", *(keys.of_number(number) for number in numbers)),
                ("MGET", *(keys.of_grower(number) for number in numbers)),
                ("SMISMEMBER", keys.of_stops(bucket), *numbers),
            ]
        )
        self._check_again()
        found = [
            self._entry(number, number, value, bool(stop)) if pointer is None else self._elsewhere(number, pointer)
            for number, pointer, value, stop in zip(numbers, pointers, values, stops, strict=True)
        ]
        return tuple(found)

    def ending_in(self, ending: int) -> Ending:
        asked: list[tuple[str, ...]] = []
        for bucket in range(BUCKETS):
            ends = keys.of_endings(bucket)
            asked += [("ZRANGEBYSCORE", ends, str(ending), str(ending)), ("ZSCORE", ends, _COMPLETE[1])]
        answers, damaged = self._link.sound(asked)
        missing = [
            bucket
            for bucket, complete in enumerate(answers[1::2])
            if complete is None and keys.of_endings(bucket) not in damaged
        ]
        growers = sorted(name.decode() for names in answers[::2] for name in names or ())
        if not growers:
            return Ending((), tuple(missing))
        values, _ = self._link.sound(("GET", keys.of_grower(grower)) for grower in growers)
        found = []
        for grower, held in zip(growers, values, strict=True):
            try:
                version, value = read_value(grower, held)
            except StoreDamaged:
                continue
            if value is not None:
                found.append(Valued(grower, version, value))
        return Ending(tuple(found), tuple(missing))

    def begin_endings(self) -> None:
        """In a store without growers the lists of endings are complete."""
        self._link.many(("ZADD", keys.of_endings(bucket), *_COMPLETE) for bucket in range(BUCKETS))

    def complete_endings(self, bucket: int, found: Sequence[tuple[str, int, int]]) -> bool:
        planned = [plans.ending_plan(*one) for one in found]
        answers = (
            self._link.run_each(_COMMIT, [Call(plan.keys, plan.arguments) for plan in planned]) if found else []
        )
        if any(word != b"committed" for word, *_ in answers):
            return False
        self._link.one("ZADD", keys.of_endings(bucket), *_COMPLETE)
        return True

    def _elsewhere(self, number: str, pointer: bytes) -> Entry | StoreDamaged:
        """Few numbers have moved, so each of them is worth a trip."""
        try:
            grower = read_as(keys.of_number(number), target_in, pointer)
        except StoreDamaged as error:
            return error
        places = dict.fromkeys((keys.of_stops(bucket_of(number)), keys.of_stops(bucket_of(grower))))
        held, *stops = self._link.many(
            [("GET", keys.of_grower(grower)), *(("SISMEMBER", place, number) for place in places)]
        )
        return self._entry(number, grower, held, any(stops))

    def _entry(self, number: str, grower: str, held: bytes | None, stops: bool) -> Entry | StoreDamaged:
        try:
            version, value = read_value(grower, held)
            return Entry(number, grower, version, value, stops)
        except StoreDamaged as error:
            return error
