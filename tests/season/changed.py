"""What somebody has written since yesterday: only that can have broken a promise that held then."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from typing import Any

from advisor.records.grower import Grower
from advisor.service.figures import Bands, village_figures
from advisor.service.stored import from_bytes
from advisor.store.api import Store, Valued
from advisor.store.memory import DictStore
from advisor.store.recount import Difference


class Shelf(dict[str, Valued]):
    """Values by grower, as a store of dictionaries has them, that knows which were put in or taken out."""

    def __init__(self) -> None:
        super().__init__()
        self.written: set[str] = set()

    def __setitem__(self, grower: str, value: Valued) -> None:
        self.written.add(grower)
        super().__setitem__(grower, value)

    def __delitem__(self, grower: str) -> None:
        self.written.add(grower)
        super().__delitem__(grower)

    def pop(self, grower: str, *instead: Any) -> Any:
        self.written.add(grower)
        return super().pop(grower, *instead)


class Changed:
    """Reads the values that somebody has written since the last look, whoever it was.

    Args:
        store: the store; no values are in it yet.
    """

    def __init__(self, store: DictStore) -> None:
        self._values = store._values = Shelf()

    def look(self) -> dict[str, Grower]:
        """The records that were written since the last look, by grower; of one that is gone an empty one."""
        written, self._values.written = self._values.written, set()
        found = ((grower, self._values.get(grower)) for grower in sorted(written))
        return {grower: from_bytes(one.value).record if one else Grower() for grower, one in found}


class Tally:
    """The village figures, added up anew from each record that was written.

    Args:
        store: where the service keeps its own.
        bands: what counts as good and bad seed.
        villages: the villages.
    """

    def __init__(self, store: Store, bands: Bands, villages: Iterable[str]) -> None:
        self._store, self._bands, self._villages = store, bands, tuple(villages)
        self._of: dict[str, tuple[str, frozenset[str]]] = {}
        self._counted: Counter[tuple[str, str]] = Counter()

    def add(self, grower: str, record: Grower) -> None:
        """A record was written."""
        for by, (village, counters) in (
            (-1, self._of.get(grower, ("", frozenset()))),
            (1, village_figures(record, self._bands)),
        ):
            self._of[grower] = village, counters
            for counter in counters:
                self._counted[village, counter] += by

    def differences(self) -> Iterator[Difference]:
        """What the service keeps otherwise."""
        for village in self._villages:
            kept = self._store.counts(village)
            for counter in sorted({*kept, *(name for of, name in self._counted if of == village)}):
                counted = self._counted[village, counter]
                if kept.get(counter, 0) != counted:
                    yield Difference(village, counter, kept.get(counter, 0), counted)
