"""Planning a round against raw pipelined Redis commands on the same keys; memory a grower and reminder; a pause.

Raw: each grower's value is read with a GET and the grower put into a list with a ZADD, 500 commands a pipeline, by
the same client on the same server; nothing is decoded and nothing decided. That is one command a grower, as a
plain program would send them; below it stands the same with one MGET and one ZADD for 500 growers, which is the
least that Redis can be asked. The sides take turns, each on lists of its own; a ratio is how fast planning is
against that side, the turns' median, once by the clock and once by the processor time of client and Redis.

By hand with another number of growers, and of turns: ``python -m tests.bench.rounds 1000000 1``.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from functools import partial
from math import inf
from statistics import median

import redis

from advisor.by_book import quiet_of
from advisor.campaign.deciding import Running
from advisor.campaign.reading import read_round
from advisor.loading import load_book, load_round
from advisor.records.grower import Grower
from advisor.service.clock import SystemClock, unix_ms
from advisor.service.damage import Damage
from advisor.service.identity import Ids
from advisor.service.planning import STEP, Planner
from advisor.service.stored import Stored, to_bytes
from advisor.store import keys
from advisor.store.api import BUCKETS, MOST_MS, RoundRow, RoundState
from advisor.store.encoding import version_text
from advisor.store.link import client_at
from advisor.store.redis_store import RedisStore
from tests.bench.tables import table
from tests.servers import RedisServer, redis_server

GROWERS = 100_000
TURNS = 3
#: Days of sowing that growers have named.
SOWING_DAYS = 60


@dataclass(frozen=True, slots=True)
class Took:
    """What one turn of one side took.

    Args:
        elapsed_s: seconds by the clock.
        worked_s: seconds of processor time, of the client and of Redis together: other work beside it changes
            these least.
    """

    elapsed_s: float
    worked_s: float


@dataclass(frozen=True, slots=True)
class Measured:
    """What was measured.

    Args:
        growers: how many there were.
        planned: planning them, each turn.
        raw: as many GETs and ZADDs, each turn.
        batched: MGETs and ZADDs of 500, each turn.
        idle_bytes: memory of a grower with value and place among those of the bucket.
        due_bytes: memory of a reminder that waits.
        pause_s: seconds until a pause was told to every bucket.
    """

    growers: int
    planned: list[Took]
    raw: list[Took]
    batched: list[Took]
    idle_bytes: float
    due_bytes: float
    pause_s: float

    def ratio(self, side: list[Took], figure: str) -> float:
        """How fast planning is against a side: 1 as fast, 0.5 half as fast."""
        pairs = zip(side, self.planned, strict=True)
        return median(getattr(theirs, figure) / getattr(ours, figure) for theirs, ours in pairs)

    def us(self, side: list[Took], figure: str) -> float:
        """Microseconds a grower."""
        return median(getattr(took, figure) for took in side) * 1e6 / self.growers


def measured(growers: int = GROWERS, turns: int = TURNS) -> Measured:
    """Fills a server with growers and plans them."""
    with redis_server("--appendonly", "no") as server, server.client() as looking:
        empty = used(looking)
        names = fill(server, growers)
        idle_bytes = (used(looking) - empty) / growers
        planned_in, raw_in, batched_in, due_bytes = [], [], [], []
        for turn in range(turns):
            before = used(looking)
            planned_in.append(planned(server, looking, f"round-{turn}", growers))
            due_bytes.append((used(looking) - before) / growers)
            raw_in.append(_took(looking, partial(raw, server, names, f"raw-{turn}")))
            batched_in.append(_took(looking, partial(batched, server, names, f"batched-{turn}")))
            _forget(looking, f"raw-{turn}", f"batched-{turn}")
        store = RedisStore(server.address, timeout_s=30)
        pause = _took(looking, partial(store.set_round, "round-0", RoundState.PAUSED))
        store.close()
        return Measured(growers, planned_in, raw_in, batched_in, idle_bytes, median(due_bytes), pause.elapsed_s)


def season() -> str:
    """A round of the size that a season has, in the languages of the demonstration."""
    text = load_round("demo").partition("[[steps]]")[2].partition("[steps.text]")[2].partition("[[steps]]")[0]
    days = (-21, -16, -14, -12, -10, -9, -6, -5, -3, -1, 8)
    steps = (
        f'[[steps]]\nkey = "s{at}"\nfrom = "plot.sowing_day"\nday = {day}\nat = 17:00:00\ngood_for_hours = 24\n'
        f'unless = ["lot.test"]\n[steps.text]{text}'
        for at, day in enumerate(days)
    )
    begin = (
        f'key = "bench"\n[[steps]]\nkey = "begin"\nafter_minutes = 600\ngood_for_hours = 40\n[steps.text]{text}'
    )
    return begin + "".join(steps)


def used(client: redis.Redis) -> int:
    """Bytes that the server has in use."""
    return int(client.info("memory")["used_memory"])


def fill(server: RedisServer, growers: int) -> list[list[str]]:
    """Growers who have agreed, each with the facts that a first conversation leaves; their ids by bucket."""
    ids, now = Ids(b"a secret of the bench, long enough"), datetime.now(UTC)
    names: list[list[str]] = [[] for _ in range(BUCKETS)]
    with server.client() as client:
        for first in range(0, growers, STEP):
            pipeline = client.pipeline(transaction=False)
            for place in range(first, min(first + STEP, growers)):
                number = f"+99900{place:08}"
                grower = ids.number(number)
                bucket = int(grower[:2], 16)
                names[bucket].append(grower)
                value = to_bytes(Stored(_record(number, place, now))) or b""
                pipeline.set(keys.of_grower(grower), version_text(unix_ms(now)) + value)
                pipeline.zadd(keys.of_idle(bucket), {grower: MOST_MS})
            pipeline.execute()
    return [sorted(of_bucket) for of_bucket in names]


def _record(number: str, place: int, now: datetime) -> Grower:
    facts = {
        "grower.language": ("en", "sw", "hi", "fr")[place % 4],
        "grower.village": f"v{place % 6}",
        "grower.step": 0.75,
        "lot.origin": "saved",
        "lot.method": "sorted",
        "plot.area": 4046.86 + place % 97,
        "plot.spacing": "0.5 x 0.1",
        "plot.sowing_day": (now.date() + timedelta(days=17 + place % SOWING_DAYS)).isoformat(),
    }
    record = Grower(number, agreed=now)
    for name, value in facts.items():
        record = record.knows(name, value, now)
    return record


def planned(server: RedisServer, looking: redis.Redis, key: str, growers: int) -> Took:
    """Plans all growers in a round, by the code that does it."""
    store, clock = RedisStore(server.address, timeout_s=30), SystemClock()
    book = load_book()
    damage = Damage(clock)
    now = clock.now()
    store.start_round(RoundRow(key, RoundState.RUNNING, unix_ms(now), season().encode()))
    round_ = replace(read_round(season(), book.programme.languages), key=key)
    running = Running(round_, now, quiet_of(book.programme))
    planner = Planner(store, clock, damage)
    looked_at: list[int] = []
    took = _took(looking, lambda: looked_at.extend(planner.plan(running, at, inf) for at in range(BUCKETS)))
    waiting = store.standing(key).waiting
    store.close()
    if (sum(looked_at), waiting, damage.keys()) != (growers, growers, ()):
        raise RuntimeError(f"{sum(looked_at)} of {growers} growers were planned, {waiting} wait")
    return took


def raw(server: RedisServer, names: list[list[str]], key: str) -> None:
    """One GET and one ZADD a grower, in pipelines."""
    for client, bucket, some in _steps(server, names):
        reading = client.pipeline(transaction=False)
        for grower in some:
            reading.get(keys.of_grower(grower))
        reading.execute()
        writing = client.pipeline(transaction=False)
        for grower in some:
            writing.execute_command("ZADD", keys.of_due(bucket, key), "1800000000000", grower)
        writing.execute()


def batched(server: RedisServer, names: list[list[str]], key: str) -> None:
    """One MGET and one ZADD for 500 growers."""
    for client, bucket, some in _steps(server, names):
        client.execute_command("MGET", *(keys.of_grower(grower) for grower in some))
        told = [word for grower in some for word in ("1800000000000", grower)]
        client.execute_command("ZADD", keys.of_due(bucket, key), *told)


def _steps(server: RedisServer, names: list[list[str]]) -> Iterator[tuple[redis.Redis, int, list[str]]]:
    client = client_at(server.address, lambda _: None, 30.0)
    assert isinstance(client, redis.Redis)
    for bucket, of_bucket in enumerate(names):
        for first in range(0, len(of_bucket), STEP):
            yield client, bucket, of_bucket[first : first + STEP]
    client.close()


def _forget(client: redis.Redis, *made: str) -> None:
    for key in made:
        client.delete(*(keys.of_due(bucket, key) for bucket in range(BUCKETS)))


def _took(looking: redis.Redis, act: Callable[[], object]) -> Took:
    before = (time.perf_counter(), time.process_time(), _redis_s(looking))
    act()
    after = (time.perf_counter(), time.process_time(), _redis_s(looking))
    elapsed_s, client_s, redis_s = (then - first for first, then in zip(before, after, strict=True))
    return Took(elapsed_s, client_s + redis_s)


def _redis_s(looking: redis.Redis) -> float:
    told = looking.info("cpu")
    return float(told["used_cpu_user"]) + float(told["used_cpu_sys"])


def rounds_table(found: Measured) -> str:
    """The measures as a table."""
    sides = {
        "planning": found.planned,
        "GET and ZADD of each, in pipelines of 500": found.raw,
        "MGET and ZADD of 500": found.batched,
    }
    rows = [
        (
            f"{what}, µs a grower",
            f"{found.us(side, 'elapsed_s'):.1f}",
            f"{found.ratio(side, 'elapsed_s'):.2f}",
            f"{found.us(side, 'worked_s'):.1f}",
            f"{found.ratio(side, 'worked_s'):.2f}",
        )
        for what, side in sides.items()
    ]
    rows += [
        ("bytes of Redis a grower, value and place", f"{found.idle_bytes:.0f}", "", "", ""),
        ("bytes of Redis a reminder that waits", f"{found.due_bytes:.0f}", "", "", ""),
        ("a pause told to all buckets, ms", f"{found.pause_s * 1000:.1f}", "", "", ""),
    ]
    head = (f"a round, {found.growers:,} growers", "elapsed", "ratio", "processors", "ratio")
    return table(head, rows)


if __name__ == "__main__":
    print(rounds_table(measured(*map(int, sys.argv[1:]))))
