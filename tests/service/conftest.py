"""The stores that a service may run on."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from advisor.dialogue.book import Book
from advisor.loading import load_book
from advisor.store.api import Store
from advisor.store.memory import DictStore
from advisor.store.redis_store import RedisStore
from tests.servers import RedisServer
from tests.service.agents import ANN, BEN, CLEO, HILLS, OTHER, PIN, VALLEY, Village


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


@pytest.fixture(scope="session")
def book() -> Book:
    return load_book()


@pytest.fixture
def place(book: Book, store: Store) -> Village:
    """Both agents and three growers have called and agreed; the agents have PINs."""
    found = Village(book, store)
    for number, village in ((VALLEY, "1"), (HILLS, "4"), (ANN, "2"), (BEN, "2"), (CLEO, "4")):
        found.agrees(number, village)
    found.pins.set(found.agent(VALLEY), PIN)
    found.pins.set(found.agent(HILLS), OTHER)
    return found
