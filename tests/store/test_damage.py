"""A key of the wrong type stops a commit before its first write, since Redis cannot take a write back."""

from __future__ import annotations

import fakeredis
import pytest
import redis

from advisor.store import keys, plans
from advisor.store.api import Change, Committed, StoreDamaged, StoreUnavailable
from advisor.store.plans import Keeps
from advisor.store.redis_store import RedisStore
from tests.servers import RedisServer, redis_server
from tests.store.samples import ANN, MINUTE_MS, NOON_MS, change, full_change, message, out

BUCKET = int(ANN[:2], 16)

KEYS_OF_A_FULL_CHANGE = plans.change_plan(full_change(), Keeps()).keys


def everything_in(client: redis.Redis) -> dict[bytes, bytes | None]:
    """All keys with their contents, byte by byte."""
    return {key: client.dump(key) for key in client.scan_iter()}


def plant(client: redis.Redis, key: str) -> None:
    """Puts a list there: no key of the store is one."""
    client.delete(key)
    client.rpush(key, "planted")


def test_a_full_change_touches_every_kind_of_key_that_a_change_can_touch() -> None:
    kinds = {key.split(":")[1] for key in KEYS_OF_A_FULL_CHANGE}

    assert kinds == {"g", "n", "m", "o", "out", "r", "relay", "seen", "v", "h", "lapse", "stop"}


@pytest.mark.parametrize("key", KEYS_OF_A_FULL_CHANGE)
@pytest.mark.parametrize("server", ["embedded", "redis"])
def test_a_wrong_type_on_any_key_leaves_the_whole_store_unchanged(
    request: pytest.FixtureRequest, server: str, key: str
) -> None:
    if server == "redis":
        client = request.getfixturevalue("emptied_redis").client()
    else:
        client = fakeredis.FakeStrictRedis(server=fakeredis.FakeServer(version=(7,)), protocol=2)
    store = RedisStore(lambda: client)
    version = _committed(store, full_change(message=message("earlier"), applied="effect-earlier"))
    plant(client, key)
    before = everything_in(client)

    with pytest.raises(StoreDamaged) as damaged:
        store.commit(full_change(version=version))

    assert damaged.value.key == key
    assert everything_in(client) == before
    store.close()


def test_a_figure_that_is_no_number_leaves_the_whole_store_unchanged(
    real_store: RedisStore, emptied_redis: RedisServer
) -> None:
    village = keys.of_village(BUCKET, "doma")
    with emptied_redis.client() as client:
        client.hset(village, "started", "many")
        before = everything_in(client)

        with pytest.raises(StoreDamaged, match="doma"):
            real_store.commit(full_change())

        assert everything_in(client) == before


def test_a_value_without_a_version_is_damage_and_not_a_new_grower(
    real_store: RedisStore, emptied_redis: RedisServer
) -> None:
    with emptied_redis.client() as client:
        client.set(keys.of_grower(ANN), "{}")

    with pytest.raises(StoreDamaged, match=ANN):
        real_store.read(ANN, message("m1"))


@pytest.mark.parametrize("key", [keys.of_stops(BUCKET), keys.of_lane(BUCKET, 2), keys.of_out(out().oid)])
def test_a_wrong_type_in_the_outbox_stops_a_claim_before_its_first_write(
    real_store: RedisStore, emptied_redis: RedisServer, key: str
) -> None:
    real_store.commit(change(outs=(out(), out(name="other"))))
    with emptied_redis.client() as client:
        plant(client, key)
        before = everything_in(client)

        with pytest.raises(StoreDamaged) as damaged:
            real_store.claim(BUCKET, NOON_MS, MINUTE_MS, 10)

        assert damaged.value.key == key
        assert everything_in(client) == before


def test_a_store_that_is_full_says_so_and_changes_nothing() -> None:
    with redis_server() as server, server.client() as client:
        store = RedisStore(server.address)
        client.config_set("maxmemory", "1")
        before = everything_in(client)

        ready, why = store.ready()
        with pytest.raises(StoreUnavailable, match="cannot do this now"):
            store.commit(full_change())

        assert (ready, "cannot do this now" in why) == (False, True)
        assert everything_in(client) == before

        client.config_set("maxmemory", "0")
        assert isinstance(store.commit(full_change()), Committed)
        store.close()


def _committed(store: RedisStore, first: Change) -> int:
    verdict = store.commit(first)
    assert isinstance(verdict, Committed)
    return verdict.version
