"""The same store four times: a dictionary, the fake, a real server, a cluster of three."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import pytest

from advisor.store.api import Store
from advisor.store.opening import open_store
from advisor.store.plans import Keeps
from advisor.store.redis_store import RedisStore
from tests.servers import RedisCluster, RedisServer

Made = Callable[[Keeps | None], Store]


@pytest.fixture(params=["memory", "embedded", "redis", "cluster"])
def made(request: pytest.FixtureRequest) -> Iterator[Made]:
    """Makes an empty store of each kind, which is closed when the test is over."""
    if request.param in ("memory", "embedded"):
        address = f"{request.param}:"
    else:
        fixture = {"redis": "emptied_redis", "cluster": "emptied_cluster"}[request.param]
        address = request.getfixturevalue(fixture).address
    stores = []

    def make(keeps: Keeps | None = None) -> Store:
        stores.append(open_store(address, keeps))
        return stores[-1]

    yield make
    for store in stores:
        store.close()


@pytest.fixture
def store(made: Made) -> Store:
    store = made(None)
    store.open()
    return store


@pytest.fixture
def emptied_redis(shared_redis: RedisServer) -> RedisServer:
    with shared_redis.client() as client:
        client.flushall()
    return shared_redis


@pytest.fixture
def emptied_cluster(shared_cluster: RedisCluster) -> RedisCluster:
    for server in shared_cluster.servers:
        with server.client() as client:
            client.flushall()
    return shared_cluster


@pytest.fixture
def real_store(emptied_redis: RedisServer) -> Iterator[RedisStore]:
    store = RedisStore(emptied_redis.address)
    store.open()
    yield store
    store.close()
