"""The part of the store on Redis that looks up many numbers at once."""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Sequence

from advisor.store import keys
from advisor.store.change import Entry
from advisor.store.errors import StoreDamaged
from advisor.store.holding import read_as, read_value, target_in
from advisor.store.link import Link
from advisor.store.names import bucket_of


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
