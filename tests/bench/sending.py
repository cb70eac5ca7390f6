"""How fast a sender is against bare Redis: the same messages, the same keys and bytes, in turns of one run.

A turn hands over a round's messages, spread over all buckets. The bare side decides nothing and keeps no
promise: it lists what is due, reads each message, writes it back and its lease, writes its end and takes it out
of its lane, all of it a hundred messages a pipeline. The sender does the same through its scripts, which look
at stop, consent, pause, quiet hours and the day's most on the way; it reads and writes the JSON of each
message, counts segments, writes a line of log, and hands over: to nobody, who takes it at once, or over HTTP to
a server on this machine. Its own time is the processor time of its process, without Redis.
"""

from __future__ import annotations

import logging
import os
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from statistics import median
from typing import Any

import msgspec
import redis

from advisor.service.clock import SystemClock
from advisor.service.damage import Damage
from advisor.service.handing_over import HandingOver
from advisor.service.outgoing import Parcel
from advisor.service.posting import Post, Response, http_post
from advisor.service.sending import URGENT, Sender
from advisor.service.signing import Keys
from advisor.service.sound import Sound
from advisor.store import keys
from advisor.store.api import BUCKETS, MOST_MS, Out, Terms
from advisor.store.encoding import OutRecord
from advisor.store.names import bucket_of_out
from advisor.store.redis_store import RedisStore
from tests.servers import RedisServer, redis_server

MESSAGES = 10_000
TURNS = 3
_TOGETHER = 100
_TEXT = "Weed between the rows now, before the crop closes. Reply 1 when it is done, 2 to be asked again."


def sending(messages: int = MESSAGES, turns: int = TURNS) -> list[tuple[str, ...]]:
    """Rows of a table: which side, messages a second, ratio to bare Redis; processor time in µs a message of its
    process and of Redis, and the ratio of the sums, which is the steadier one beside other work."""
    rows = []
    with _logged_to_nobody(), redis_server("--appendfsync", "everysec") as server, _taking() as address:
        sides: tuple[tuple[str, int, Callable[[RedisServer, int], None]], ...] = (
            ("bare Redis, pipelined", 2, _bare),
            ("a sender, rounds, handed to nobody", 2, lambda server, lane: _send(server, _takes)),
            ("a sender, answers one at a time, to nobody", 0, lambda server, lane: _send(server, _takes)),
            ("a sender, rounds, over HTTP", 2, lambda server, lane: _send(server, _over_http(address))),
        )
        taken: dict[str, list[tuple[float, float, float]]] = {name: [] for name, _, _ in sides}
        for turn in range(turns):
            for name, lane, act in sides if turn % 2 == 0 else sides[::-1]:
                _seed(server, lane, messages)
                before = (time.perf_counter(), time.process_time(), _redis_s(server))
                act(server, lane)
                after = (time.perf_counter(), time.process_time(), _redis_s(server))
                wall_s, own_s, redis_s = (then - now for now, then in zip(before, after, strict=True))
                taken[name].append((wall_s, own_s, redis_s))
                _assert_all_gone(server, lane)
        bare = taken[sides[0][0]]
        for name, found in taken.items():
            pairs = list(zip(bare, found, strict=True))
            ratio = median(there[0] / ours[0] for there, ours in pairs)
            worked = median(sum(there[1:]) / sum(ours[1:]) for there, ours in pairs)
            rate = median(messages / wall for wall, _, _ in found)
            own_us, redis_us = (median(turn[place] for turn in found) / messages * 1e6 for place in (1, 2))
            rows.append(
                (name, f"{rate:,.0f}", f"{ratio:.2f}", f"{own_us:.0f}", f"{redis_us:.0f}", f"{worked:.2f}")
            )
    return rows


def _seed(server: RedisServer, lane: int, messages: int) -> None:
    """Queues messages as the commit does, without its time."""
    now_ms = int(time.time() * 1000)
    with server.client() as client:
        client.flushall()
        pipeline = client.pipeline(transaction=False)
        for number in range(messages):
            grower = f"{number % BUCKETS:02x}{number:014x}"
            body = msgspec.json.encode(Parcel(f"+99900{number:07}", _TEXT))
            oid, round_ = f"b{grower[:2]}-{number:024x}", "weeding" if lane not in URGENT else ""
            one = Out(oid, lane, now_ms - 1, now_ms + 10**8, body, grower, round_)
            pipeline.set(keys.of_out(oid), OutRecord.of(one, grower).text, px=10**8)
            pipeline.zadd(keys.of_lane(bucket_of_out(oid), lane), {oid: now_ms - 1})
            pipeline.zadd(keys.of_idle(bucket_of_out(oid)), {grower: MOST_MS})
            if number % 500 == 0:
                pipeline.execute()
        pipeline.execute()


def _bare(server: RedisServer, lane: int) -> None:
    """Reads and writes what a sender does, a hundred messages a pipeline."""
    now_ms = int(time.time() * 1000)
    with redis.Redis(port=server.port, protocol=2) as client:
        for bucket in range(BUCKETS):
            queue = keys.of_lane(bucket, lane)
            while due := client.zrangebyscore(queue, "-inf", now_ms, start=0, num=_TOGETHER):
                names = [keys.of_out(oid.decode()) for oid in due]
                reading = client.pipeline(transaction=False)
                for name in names:
                    reading.get(name)
                held = reading.execute()
                leasing = client.pipeline(transaction=False)
                for oid, name, text in zip(due, names, held, strict=True):
                    leasing.set(name, text, keepttl=True)
                    leasing.zadd(queue, {oid: now_ms + 30_000})
                leasing.execute()
                ending = client.pipeline(transaction=False)
                for oid, name in zip(due, names, strict=True):
                    ending.set(name, b"sent 1 1800000000000 - ", px=7 * 86_400_000)
                    ending.zrem(queue, oid)
                ending.execute()


def _send(server: RedisServer, post: Post) -> None:
    clock, store = SystemClock(), RedisStore(server.address, timeout_s=9)
    store.open()
    damage = Damage(clock)
    day = Terms("20270115", 3, tomorrow_ms=MOST_MS)
    sender = Sender(
        store, clock, "http://127.0.0.1:9/", "2500", post, damage, terms=lambda _now: day, per_second=10**6
    )
    handing = HandingOver(store, clock, sender)
    while (busy := store.busy(int(time.time() * 1000))).outbox:
        handing.go(busy, Sound(damage))
    store.close()


def _redis_s(server: RedisServer) -> float:
    with server.client() as client:
        told = client.info("cpu")
    return float(told["used_cpu_user"]) + float(told["used_cpu_sys"])


def _assert_all_gone(server: RedisServer, lane: int) -> None:
    with server.client() as client:
        left = sum(client.zcard(keys.of_lane(bucket, lane)) for bucket in range(BUCKETS))
        sample = client.get(keys.of_out(f"b00-{0:024x}"))
    if left or not sample.startswith(b"sent"):
        raise RuntimeError(f"{left} messages were not handed over")


def _takes(_oid: str, _body: bytes, _may_begin: object, /) -> Response:
    return Response(200)


def _over_http(address: str) -> Post:
    return http_post(address, Keys(), SystemClock())


@contextmanager
def _taking() -> Iterator[str]:
    """A server in a process of its own that takes everything."""

    class Handler(BaseHTTPRequestHandler):
        protocol_version = "HTTP/1.1"

        def do_POST(self) -> None:
            self.rfile.read(int(self.headers["content-length"]))
            self.wfile.write(b"HTTP/1.1 200 OK\r\ncontent-length: 0\r\n\r\n")

        def log_message(self, *_: Any) -> None:
            pass

    server = ThreadingHTTPServer(("127.0.0.1", 0), Handler)
    child = os.fork()
    if not child:
        server.serve_forever()
    try:
        yield f"http://127.0.0.1:{server.server_port}/sms"
    finally:
        os.kill(child, 9)
        os.waitpid(child, 0)
        server.server_close()


@contextmanager
def _logged_to_nobody() -> Iterator[None]:
    """The log as it is written in a process of ``advisor send``, but for the place it goes to."""
    logger = logging.getLogger("advisor")
    before, propagates = logger.level, logger.propagate
    with open(os.devnull, "w", encoding="utf-8") as nowhere:  # noqa: PTH123 - it is a device
        handler = logging.StreamHandler(nowhere)
        handler.setFormatter(logging.Formatter("%(asctime)s %(levelname)s %(message)s"))
        logger.addHandler(handler)
        logger.setLevel(logging.INFO)
        logger.propagate = False
        try:
            yield
        finally:
            logger.removeHandler(handler)
            logger.setLevel(before)
            logger.propagate = propagates


if __name__ == "__main__":
    for row in sending():
        print("  ".join(row))
