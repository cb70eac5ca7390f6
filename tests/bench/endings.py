"""An agent's look-up by last digits among many growers, against a walk over all of them, on a real server.

``python -m tests.bench.endings 100000``. Machines differ: compare the two, by processor time and not by the clock.
"""

from __future__ import annotations

import io
import random
import statistics
import sys

from advisor.service.clock import SystemClock
from advisor.service.endings import Endings
from advisor.service.importing import Importing, check
from advisor.service.listing import terms_of
from advisor.service.stored import from_bytes
from advisor.store import keys
from advisor.store.names import BUCKETS
from advisor.store.plans import Keeps
from advisor.store.redis_store import RedisStore
from tests.bench.importing import table, timed
from tests.servers import redis_server
from tests.service.importing import BOOK, DAYS, RETENTION
from tests.service.stage import BANDS, IDS

LOOKS = 200


def walk(store: RedisStore, digits: str) -> list[str]:
    """Growers whose number ends so, without a list."""
    return [
        valued.grower
        for bucket in range(BUCKETS)
        for valued in store.values(store.settled(bucket)).taken
        if from_bytes(valued.value).record.number.endswith(digits)
    ]


def main(growers: int) -> None:
    """Measures and prints."""
    with redis_server() as server:
        store = RedisStore(server.address, Keeps(), timeout_s=30)
        store.open()
        terms = terms_of(BOOK.programme, SystemClock().now())
        rows = check(io.BytesIO(table(growers)), terms).rows
        Importing(store, SystemClock(), IDS, BANDS, DAYS, RETENTION).bring_in(rows)
        lists = [keys.of_endings(bucket) for bucket in range(BUCKETS)]
        with server.client() as client:
            held = sum(client.memory_usage(key) or 0 for key in lists)
            client.delete(*lists)
        endings = Endings(store, IDS)
        _, old_s, old_cpu = timed(lambda: endings.found("2233"))
        digits = [f"{random.randrange(10_000):04}" for _ in range(LOOKS)]
        looks = [timed(lambda typed=typed: endings.found(typed)) for typed in digits]  # type: ignore[misc]
        found, walk_s, walk_cpu = timed(lambda: walk(store, digits[0]))
        assert sorted(found) == sorted(grower for grower, _ in looks[0][0])
        store.close()
    print(f"{held / growers:.0f} bytes a grower")
    for what, seconds, cpu in (
        ("a look-up, half take less", *(statistics.median(look[place] for look in looks) for place in (1, 2))),
        ("a look-up, at most", *(max(look[place] for look in looks) for place in (1, 2))),
        ("a walk over all growers", walk_s, walk_cpu),
        ("all lists made anew, once", old_s, old_cpu),
    ):
        print(f"{what:28} {seconds * 1000:9,.1f} ms by the clock, {cpu * 1000:9,.1f} ms of this process")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 100_000)
