"""How many messages all senders together may hand over, and when nobody may."""

from __future__ import annotations

import time
from concurrent.futures import ThreadPoolExecutor

import pytest

from advisor.store import keys
from advisor.store.api import Grant, Store
from advisor.store.redis_store import RedisStore
from tests.servers import RedisServer
from tests.store.samples import NOON_MS

SECOND_MS = 1000


def test_a_second_holds_no_more_than_it_may(store: Store) -> None:
    assert store.grant(NOON_MS, 20, 15) == Grant(15)
    again = store.grant(NOON_MS, 20, 15)

    assert 5 <= again.many <= 7, "what has grown meanwhile is small"


def test_whoever_comes_too_soon_is_told_when(store: Store) -> None:
    store.grant(NOON_MS, 2, 9)

    told = store.grant(NOON_MS, 2, 9)

    assert told.many == 0
    assert 0 < told.wait_ms <= 500


def test_what_is_left_for_others_is_left(store: Store) -> None:
    assert store.grant(NOON_MS, 20, 99, reserve=5).many == 15
    assert store.grant(NOON_MS, 20, 99, reserve=5).many <= 2
    assert store.grant(NOON_MS, 20, 3).many == 3


def test_it_grows_at_its_rate(store: Store) -> None:
    store.grant(NOON_MS, 40, 99)
    time.sleep(0.2)

    many = store.grant(NOON_MS + 200, 40, 99).many

    assert 8 <= many <= 40


def test_a_hold_is_everybodys_and_a_shorter_one_does_not_end_a_longer_one(store: Store) -> None:
    store.hold(NOON_MS, 30 * SECOND_MS)
    store.hold(NOON_MS, SECOND_MS)

    told = store.grant(NOON_MS, 50, 9)

    assert told.many == 0
    assert 29 * SECOND_MS < told.wait_ms <= 30 * SECOND_MS


def test_a_hold_ends(store: Store) -> None:
    store.hold(NOON_MS, 50)
    time.sleep(0.06)

    assert store.grant(NOON_MS + 60, 50, 9).many == 9


def test_a_hold_is_an_hour_at_most(store: Store) -> None:
    store.hold(NOON_MS, 10**9)

    assert store.grant(NOON_MS, 50, 9).wait_ms <= 3600 * SECOND_MS


def test_many_processes_together_get_no_more_than_one(emptied_redis: RedisServer) -> None:
    stores = [RedisStore(emptied_redis.address) for _ in range(4)]
    begun = time.monotonic()
    with ThreadPoolExecutor(4) as pool:
        granted = sum(pool.map(lambda store: sum(store.grant(0, 100, 7).many for _ in range(50)), stores))
    passed_s = time.monotonic() - begun
    for store in stores:
        store.close()

    assert 100 <= granted <= 100 + 100 * passed_s + 1


@pytest.mark.parametrize("ahead_ms", [-3600 * SECOND_MS, 3600 * SECOND_MS])
def test_a_clock_that_jumps_neither_stops_nor_floods(
    real_store: RedisStore, emptied_redis: RedisServer, ahead_ms: int
) -> None:
    """As if the server's clock had been set after the last grant."""
    real_store.grant(0, 20, 99)
    with emptied_redis.client() as client:
        at_ms = int(client.hget(keys.RATE, "at"))
        client.hset(keys.RATE, "at", str(at_ms - ahead_ms))

    many = real_store.grant(0, 20, 99).many
    time.sleep(0.2)

    assert many <= 20
    assert real_store.grant(0, 20, 99).many + many >= 4
