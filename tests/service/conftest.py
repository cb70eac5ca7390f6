"""The stores that a service may run on."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from advisor.store.api import Store
from advisor.store.memory import DictStore
from advisor.store.redis_store import RedisStore
from tests.servers import RedisServer


@pytest.fixture(params=["memory", "redis"])
def store(request: pytest.FixtureRequest) -> Iterator[Store]:
    made: Store
    if request.param == "memory":
        made = DictStore()
    else:
        server: RedisServer = request.getfixturevalue("shared_redis")
        with server.client() as client:
            client.flushall()
        made = RedisStore(server.address, timeout_s=10)
    made.open()
    yield made
    made.close()
