"""What an import costs, against a bare pipelined write of the same bytes, in one run on one real server.

Bare is the least that Redis can be asked to keep the same: a SET of each value, its place in the bucket's list and
its figures, in pipelines of as many growers, nothing read, compared or checked. ``python -m tests.bench.importing
100000``. Machines differ, so compare ratios only; processor time is this process's alone.
"""

from __future__ import annotations

import io
import sys
import time
from collections.abc import Callable, Iterator
from typing import Any

from advisor.service.clock import SystemClock
from advisor.service.importing import TOGETHER, Importing, check
from advisor.service.listing import terms_of
from advisor.store import keys
from advisor.store.encoding import version_text
from advisor.store.names import BUCKETS
from advisor.store.plans import Keeps
from advisor.store.redis_store import RedisStore
from tests.servers import RedisServer, redis_server
from tests.service.importing import BOOK, DAYS, RETENTION
from tests.service.stage import BANDS, IDS

HEAD = "number,language,village,field_area,field_unit,sowing_date,seed_origin,consent_how,consent_on\n"


def table(growers: int) -> bytes:
    """A list of so many growers, told yesterday."""
    day = DAYS.day_of(SystemClock().now()).replace(day=1).isoformat()
    lines = (f"0{place:09},sw,v{place % 6 + 1},2.5,acre,{day},saved,paper,{day}\n" for place in range(growers))
    return (HEAD + "".join(lines)).encode()


def timed(work: Callable[[], Any]) -> tuple[Any, float, float]:
    """What it gave, seconds by the clock, seconds of this process."""
    began, used = time.perf_counter(), time.process_time()
    given = work()
    return given, time.perf_counter() - began, time.process_time() - used


def bare(server: RedisServer, rows: list[tuple[str, bytes, str]]) -> None:
    """The same bytes, as they are."""
    with server.client() as client:
        for first in range(0, len(rows), TOGETHER):
            pipeline = client.pipeline(transaction=False)
            for grower, value, village in rows[first : first + TOGETHER]:
                bucket = int(grower[:2], 16)
                pipeline.set(keys.of_grower(grower), value)
                pipeline.zadd(keys.of_idle(bucket), {grower: 1})
                for counter in ("growers", "started"):
                    pipeline.hincrby(keys.of_village(bucket, village), counter, 1)
            pipeline.execute()


def kept(store: RedisStore) -> Iterator[tuple[str, bytes, str]]:
    for bucket in range(BUCKETS):
        for valued in store.values(store.settled(bucket)).taken:
            yield valued.grower, version_text(valued.version) + valued.value, "v1"


def main(growers: int) -> None:
    """Measures and prints."""
    raw = table(growers)
    with redis_server() as server:
        store = RedisStore(server.address, Keeps(), timeout_s=30)
        store.open()
        importing = Importing(store, SystemClock(), IDS, BANDS, DAYS, RETENTION)
        checked, read_s, read_cpu = timed(
            lambda: check(io.BytesIO(raw), terms_of(BOOK.programme, SystemClock().now()))
        )
        done, in_s, in_cpu = timed(lambda: importing.bring_in(checked.rows))
        assert done.new == growers, done
        _, again_s, again_cpu = timed(lambda: importing.bring_in(checked.rows))
        rows = list(kept(store))
        store.close()
        with server.client() as client:
            client.flushall()
        _, bare_s, bare_cpu = timed(lambda: bare(server, rows))
    for what, seconds, cpu in (
        ("the file read and judged", read_s, read_cpu),
        ("taken in", in_s, in_cpu),
        ("the same again, nothing new", again_s, again_cpu),
        ("bare write of the same bytes", bare_s, bare_cpu),
    ):
        rate, cost_us = growers / seconds, cpu / growers * 1e6
        print(f"{what:30} {rate:10,.0f} rows a second, {cost_us:6.0f} µs of this process a row")
    print(f"an import is {bare_s / (read_s + in_s):.2f} times as fast as the bare write by the clock,")
    print(f"{bare_cpu / (read_cpu + in_cpu):.2f} by processor time; without reading the file {bare_s / in_s:.2f}")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 100_000)
