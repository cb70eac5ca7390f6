"""An agent's lists of a district against a bare walk over the same bytes; processor time of the client alone.

Bare: the same values read with the same trips (a sorted list of ids a bucket, values of 500 a trip), each
decoded from JSON and nothing else. What a list takes more is what it sees, judges and sums. The store is the one
in memory, so that no server's time dilutes a ratio. The sides take turns; a ratio is the list's time by that of
the bare walk of its turn, the turns' median.

By hand: ``python -m tests.bench.lists 100000 3``.
"""

from __future__ import annotations

import random
import sys
import time
from collections.abc import Callable, Iterator
from datetime import timedelta
from statistics import median

import msgspec

from advisor.agronomy.units import ACRE_M2
from advisor.by_book import visiting_of
from advisor.loading import load_book
from advisor.records.grower import Grower
from advisor.records.several import begins
from advisor.service.changing import asked_since_ms
from advisor.service.clock import SystemClock, unix_ms
from advisor.service.identity import Ids
from advisor.service.stored import Stored, to_bytes
from advisor.service.surveying import STEP
from advisor.store.api import BUCKETS, Change, Store
from advisor.store.memory import DictStore

GROWERS = 100_000
TURNS = 3
_SECRET = b"drawn for measuring, thirty-two and more"


def district(growers: int, seed: int = 1) -> Store:
    """A store of growers as a district has them: half buy seed, more than half tested, some have two fields."""
    store, ids, draw, now = DictStore(), Ids(_SECRET), random.Random(seed), SystemClock().now()
    for place in range(growers):
        number, told = f"+99900{place:07}", now - timedelta(days=draw.randint(0, 20))
        record = Grower(number, told).knows("grower.village", f"v{draw.randint(1, 6)}", told)
        record = record.knows("lot.origin", draw.choice(("bought", "saved")), told)
        for turn in range(2 if draw.random() < 0.15 else 1):
            record = begins(record, "plot") if turn else record
            record = record.knows("plot.area", draw.randint(2, 40) * ACRE_M2 / 8, told)
            day = now.date() + timedelta(days=draw.randint(-5, 60))
            record = record.knows("plot.sowing", day.isoformat(), told)
        if draw.random() < 0.6:
            record = record.knows("lot.test", (draw.randint(40, 100), 100), told)
        elif draw.random() < 0.5:
            record = record.knows(
                "lot.test_day", (now - timedelta(days=draw.randint(0, 20))).date().isoformat(), told
            )
        record = record.asks("Why are my leaves pale?", told) if draw.random() < 0.05 else record
        asked_ms = asked_since_ms(Grower(), record)
        value = to_bytes(Stored(record))
        store.commit(Change(ids.number(number), 0, value, unix_ms(now), asked_ms=asked_ms))
    return store


def bare(store: Store) -> int:
    """Reads and decodes everything."""
    seen = 0
    for bucket in range(BUCKETS):
        settled = store.settled(bucket)
        for first in range(0, len(settled), STEP):
            for valued in store.values(settled[first : first + STEP]).taken:
                seen += bool(msgspec.json.decode(valued.value))
    return seen


def worked_s(what: Callable[[], object]) -> float:
    """Seconds of processor time."""
    begun = time.process_time()
    what()
    return time.process_time() - begun


def ratios(growers: int = GROWERS, turns: int = TURNS) -> Iterator[tuple[str, float, float]]:
    """Each list with its seconds and how many times as long as the bare walk it takes."""
    book, store = load_book(), district(growers)
    visiting = visiting_of(book, store, SystemClock())
    lists: dict[str, Callable[[], object]] = {
        "visits": visiting.visits,
        "results": lambda: visiting.results().by_village(),
        "order": visiting.order,
    }
    taken: dict[str, list[tuple[float, float]]] = {name: [] for name in lists}
    for _ in range(turns):
        for name, make in lists.items():
            beneath_s = worked_s(lambda: bare(store))
            took_s = worked_s(make)
            taken[name].append((took_s, took_s / beneath_s))
    for name, each in taken.items():
        yield name, median(took for took, _ in each), median(ratio for _, ratio in each)


if __name__ == "__main__":
    for name, took_s, ratio in ratios(*map(int, sys.argv[1:])):
        print(f"{name}: {took_s:.2f} s, {ratio:.1f} times the bare walk")
