"""Two stores for tests of backups: one that is lived in, and one to restore into."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
import redis

from advisor.store import keys
from advisor.store.embedded import EmbeddedStore
from advisor.store.plans import Keeps
from advisor.store.redis_store import RedisStore
from tests.servers import RedisServer, redis_server
from tests.service.lived import (
    MARK,
)
from tests.service.stage import (
    IDS,
    grower_id,
)

Two = tuple[RedisStore, RedisStore]


@pytest.fixture(name="servers", scope="module")
def both_servers() -> Iterator[tuple[RedisServer, RedisServer]]:
    with redis_server() as one, redis_server() as other:
        yield one, other


@pytest.fixture(name="pair", params=["redis-redis", "redis-embedded", "embedded-redis"])
def lived_in_and_empty(
    request: pytest.FixtureRequest, servers: tuple[RedisServer, RedisServer]
) -> Iterator[tuple]:
    """A store that is lived in, and one to restore into, each with a client that looks behind it."""
    stores, clients = [], []
    for kind, server in zip(request.param.split("-"), servers, strict=True):
        if kind == "redis":
            clients.append(server.client())
            clients[-1].flushall()
            stores.append(RedisStore(server.address, Keeps(), MARK, timeout_s=10))
        else:
            stores.append(EmbeddedStore(secret_mark=MARK))
            clients.append(stores[-1]._client())
        stores[-1].open()
    yield (*stores, *clients)
    for closing in (*stores, *clients):
        closing.close()


@pytest.fixture(name="two")
def two_on_redis(servers: tuple[RedisServer, RedisServer]) -> Iterator[Two]:
    stores = []
    for server in servers:
        with server.client() as client:
            client.flushall()
        stores.append(RedisStore(server.address, Keeps(), MARK, timeout_s=10))
        stores[-1].open()
    yield stores[0], stores[1]
    for store in stores:
        store.close()


def contents(client: redis.Redis) -> dict[str, object]:
    """All that a server holds, in the words of its types; of what ends by itself only that it does.

    A figure of nought is as good as none. The state of a message that has ended is in no backup.
    """
    found: dict[str, object] = {}
    ended = {
        key.rpartition(b":")[2]
        for key in client.scan_iter("*:o:*", count=1000)
        if not client.get(key).startswith((b"queued", b"dead", b"unknown"))
    }
    for key in client.scan_iter(count=1000):
        name, kind = key.decode(), client.type(key).decode()
        if name.startswith("{meta}"):
            continue
        read = {
            "string": lambda key: client.get(key),
            "zset": lambda key: dict(client.zrange(key, 0, -1, withscores=True)),
            "set": client.smembers,
            "hash": client.hgetall,
            "stream": client.xrange,
        }[kind]
        held = read(key)
        if kind == "hash":
            held = {counter: count for counter, count in held.items() if count != b"0"}
            if not held:
                continue
        if key.rpartition(b":")[2] in ended:
            continue
        told = sorted(trace for trace in held if trace[2:] not in ended) if ":t:" in name else held
        found[name] = (told, client.pttl(key) > 0)
    return found


def without_erased(found: dict[str, object], *numbers: str) -> dict[str, object]:
    """But for what ends within the hour and belongs to nobody any more: marks of erased growers."""
    gone = {keys.of_message(grower_id(n), IDS.message(n, f"m{m}")) for n in numbers for m in (1, 2, 3)}
    gone |= {keys.of_traces(grower_id(number)) for number in numbers}
    return {name: held for name, held in found.items() if name not in gone}
