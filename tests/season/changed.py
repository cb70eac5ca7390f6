"""What somebody has written since yesterday: only that can have broken a promise that held then."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator

from advisor.records.grower import Grower
from advisor.service.figures import Bands, village_figures
from advisor.service.stored import from_bytes
from advisor.store.api import Store, Valued
from advisor.store.recount import Difference


class Changed:
    """Looks at every stored value each day, and reads those that are others than the day before.

    The store of dictionaries gives the same value again as long as nobody has written it, so looking at ten
    thousand of them costs little.

    Args:
        store: the store.
    """

    def __init__(self, store: Store) -> None:
        self._store = store
        self._before: dict[str, Valued] = {}

    def look(self) -> dict[str, Grower]:
        """The records that were written since the last look, by grower; of one that is gone an empty one."""
        before = self._before
        now = {one.grower: one for one in self._store.values(tuple(self._store.growers())).taken}
        news = {grower: one for grower, one in now.items() if before.get(grower) is not one}
        gone = before.keys() - now.keys()
        self._before = now
        return {grower: from_bytes(one.value).record for grower, one in news.items()} | dict.fromkeys(
            gone, Grower()
        )


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
