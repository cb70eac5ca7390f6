"""Whatever a commit cannot add to stops it before its first write, since Redis cannot take a write back."""

from __future__ import annotations

from collections.abc import Iterator

import fakeredis
import pytest
import redis

from advisor.store import keys, plans
from advisor.store.api import Change, Committed, StoreDamaged, StoreUnavailable
from advisor.store.plans import Keeps
from advisor.store.redis_store import RedisStore
from tests.servers import redis_server
from tests.store.samples import ANN, BEN, NOON_MS, change, full_change, message

BUCKET = int(ANN[:2], 16)

KEYS_OF_A_FULL_CHANGE = plans.change_plan(full_change(), Keeps()).keys


@pytest.fixture(params=["embedded", "redis"])
def client(request: pytest.FixtureRequest) -> Iterator[redis.Redis]:
    """A client that can put into a store what the store never would, on the fake and the real server."""
    if request.param == "redis":
        made = request.getfixturevalue("emptied_redis").client()
    else:
        made = fakeredis.FakeStrictRedis(server=fakeredis.FakeServer(version=(7,)), protocol=2)
    yield made
    made.close()


def everything_in(client: redis.Redis) -> dict[bytes, bytes | None]:
    """All keys with their contents, byte by byte."""
    return {key: client.dump(key) for key in client.scan_iter()}


def plant(client: redis.Redis, key: str) -> None:
    """Puts a list there: no key of the store is one."""
    client.delete(key)
    client.rpush(key, "planted")


def test_a_full_change_touches_every_kind_of_key_that_a_change_can_touch() -> None:
    kinds = {key.split(":")[1] for key in KEYS_OF_A_FULL_CHANGE}

    assert kinds == {*"glnmorvht", "out", "relay", "seen", "lapse", "idle", "moved", "stop", "round"}


@pytest.mark.parametrize("key", KEYS_OF_A_FULL_CHANGE)
def test_a_wrong_type_on_any_key_leaves_the_whole_store_unchanged(client: redis.Redis, key: str) -> None:
    store = RedisStore(lambda: client)
    version = _committed(store, full_change(message=message("earlier"), applied="effect-earlier"))
    plant(client, key)
    before = everything_in(client)

    with pytest.raises(StoreDamaged) as damaged:
        store.commit(full_change(version=version))

    assert damaged.value.key == key
    assert everything_in(client) == before
    store.close()


@pytest.mark.parametrize("key", [keys.of_due(BUCKET, "demo"), keys.of_pauses(BUCKET)])
def test_a_stop_is_not_held_up_by_a_damaged_list_of_who_is_due(client: redis.Redis, key: str) -> None:
    store = RedisStore(lambda: client)
    version = _committed(store, full_change(stop=None, message=message("earlier"), applied="effect-earlier"))
    client.hset(keys.of_pauses(BUCKET), "demo", "running")
    plant(client, key)

    _committed(store, full_change(version=version))

    assert store.stopped(ANN, ANN)


def test_who_is_due_is_not_written_over_a_damaged_list(client: redis.Redis) -> None:
    plant(client, keys.of_due(BUCKET, "demo"))
    before = everything_in(client)

    with pytest.raises(StoreDamaged) as damaged:
        RedisStore(lambda: client).commit(full_change(stop=None))

    assert damaged.value.key == keys.of_due(BUCKET, "demo")
    assert everything_in(client) == before


@pytest.mark.parametrize(
    "figure",
    ["many", "", "07", "-0", "+1", " 1", "1.0", "9223372036854775807", "-9223372036854775808", "9" * 20, "1" * 16],
)
def test_a_figure_that_cannot_be_added_to_leaves_the_whole_store_unchanged(
    client: redis.Redis, figure: str
) -> None:
    village = keys.of_village(BUCKET, "dovi")
    client.hset(village, "started", figure)
    before = everything_in(client)

    with pytest.raises(StoreDamaged) as damaged:
        RedisStore(lambda: client).commit(full_change())

    assert damaged.value.key == village
    assert everything_in(client) == before


@pytest.mark.parametrize("figure", ["0", "-1", "-10", "9" * 15])
def test_any_figure_that_people_can_reach_is_added_to(client: redis.Redis, figure: str) -> None:
    client.hset(keys.of_village(BUCKET, "dovi"), "started", figure)
    store = RedisStore(lambda: client)

    store.commit(full_change(counts=(("dovi", "started", 10**9), ("dovi", "started", 10**9))))

    assert store.counts("dovi") == {"started": int(figure) + 2 * 10**9}


def test_a_figure_that_is_no_number_is_named_when_it_is_read(client: redis.Redis) -> None:
    client.hset(keys.of_village(BUCKET, "dovi"), "started", "many")

    with pytest.raises(StoreDamaged, match="dovi"):
        RedisStore(lambda: client).counts("dovi")


@pytest.mark.parametrize("last", [f"{2**64 - 1}-{2**64 - 1}", f"{2**64 - 1}-0", f"{2**53 - 1}-0"])
def test_a_history_without_a_place_for_another_line_leaves_the_whole_store_unchanged(
    client: redis.Redis, last: str
) -> None:
    client.xadd(keys.of_history(ANN), {"what": "planted"}, id=last)
    before = everything_in(client)

    with pytest.raises(StoreDamaged) as damaged:
        RedisStore(lambda: client).commit(full_change())

    assert damaged.value.key == keys.of_history(ANN)
    assert everything_in(client) == before


@pytest.mark.parametrize("last", [f"{NOON_MS + 1}-5", f"{NOON_MS}-0", f"{NOON_MS + 1}-{2**64 - 1}"])
@pytest.mark.parametrize("emptied", [True, False])
def test_a_history_whose_last_line_lies_ahead_of_the_clock_takes_the_next_place(
    client: redis.Redis, last: str, emptied: bool
) -> None:
    client.xadd(keys.of_history(ANN), {"what": "planted"}, id=last)
    if emptied:
        client.xtrim(keys.of_history(ANN), maxlen=0, approximate=False)
    store = RedisStore(lambda: client)

    store.commit(full_change())

    assert store.history(ANN)[-1] == (("what", "began"),)
    assert len(store.history(ANN)) == (1 if emptied else 2)


class TestGarbage:
    @pytest.mark.parametrize("text", ["", "garbage", "d\u00e9 reply"])
    @pytest.mark.parametrize("key", [keys.of_message(ANN, message("full")), keys.of_seen(ANN, "effect-0")])
    def test_an_answer_that_is_none_is_never_given(self, client: redis.Redis, key: str, text: str) -> None:
        client.set(key, text)
        before = everything_in(client)

        with pytest.raises(StoreDamaged) as damaged:
            RedisStore(lambda: client).commit(full_change())

        assert damaged.value.key == key
        assert everything_in(client) == before

    @pytest.mark.parametrize("text", ["", "garbage"])
    def test_an_answer_that_is_none_is_no_reading(self, client: redis.Redis, text: str) -> None:
        client.set(keys.of_message(ANN, message("m1")), text)

        with pytest.raises(StoreDamaged, match=message("m1")):
            RedisStore(lambda: client).read(ANN, message("m1"))

    @pytest.mark.parametrize("text", ["", "garbage"])
    @pytest.mark.parametrize("place", [BEN, ANN])
    def test_nor_is_it_for_a_number_that_moved(self, client: redis.Redis, place: str, text: str) -> None:
        store = RedisStore(lambda: client)
        store.commit(change(BEN, value=None, pointer=(BEN, ANN)))
        client.set(keys.of_message(place, message("m1")), text)

        with pytest.raises(StoreDamaged) as damaged:
            store.read(BEN, message("m1"))

        assert damaged.value.key == keys.of_message(place, message("m1"))

    @pytest.mark.parametrize("text", ["", "garbage", "+999001000001", b"\xff"])
    def test_a_pointer_to_nobody_is_no_reading(self, client: redis.Redis, text: str) -> None:
        client.set(keys.of_number(ANN), text)

        with pytest.raises(StoreDamaged) as damaged:
            RedisStore(lambda: client).read(ANN, message("m1"))

        assert damaged.value.key == keys.of_number(ANN)

    def test_a_pointer_of_another_type_makes_nobody_a_stranger(self, client: redis.Redis) -> None:
        """A reading cannot tell it from no pointer, so the commit looks."""
        plant(client, keys.of_number(ANN))
        before = everything_in(client)
        store = RedisStore(lambda: client)
        reading = store.read(ANN, message("m1"))

        with pytest.raises(StoreDamaged) as damaged:
            store.commit(change(reading.grower, reading.version, message=message("m1")))

        assert damaged.value.key == keys.of_number(ANN)
        assert everything_in(client) == before

    @pytest.mark.parametrize("text", ["{}", "", "0000000000000000{}", "9" * 16 + "{}"])
    def test_a_value_without_a_version_is_damage_and_not_a_new_grower(
        self, client: redis.Redis, text: str
    ) -> None:
        client.set(keys.of_grower(ANN), text)

        with pytest.raises(StoreDamaged, match=ANN):
            RedisStore(lambda: client).read(ANN, message("m1"))

    def test_failures_that_cannot_be_counted_are_damage(self, client: redis.Redis) -> None:
        client.set(keys.of_stumbles(ANN, message("m1")), "garbage")

        with pytest.raises(StoreDamaged, match=message("m1")):
            RedisStore(lambda: client).stumble(ANN, message("m1"))


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
