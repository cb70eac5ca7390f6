"""What every store promises of many numbers that are looked up at once, and of a change that a stop forbids."""

from __future__ import annotations

from advisor.store import keys
from advisor.store.api import Committed, Conflict, Entry, Store, StoreDamaged
from advisor.store.names import bucket_of
from advisor.store.redis_store import RedisStore
from tests.servers import RedisServer
from tests.store.samples import ANN, BEN, change, neighbour_of, stranger_to

BUCKET = bucket_of(ANN)


def test_numbers_are_found_in_their_order_with_what_is_known_of_each(store: Store) -> None:
    store.commit(change(ANN, value=b"ann"))
    version, _ = store.value(ANN)

    assert store.entries(BUCKET, [neighbour_of(ANN), ANN]) == (
        Entry(neighbour_of(ANN), neighbour_of(ANN), 0, None, stops=False),
        Entry(ANN, ANN, version, b"ann", stops=False),
    )
    assert store.entries(BUCKET, []) == ()


def test_a_number_that_moved_is_its_growers_with_the_stops_of_both_buckets(store: Store) -> None:
    number, grower = neighbour_of(ANN), stranger_to(ANN)
    store.commit(change(grower, value=b"far"))
    store.commit(change(number, value=None, pointer=(number, grower)))
    version, _ = store.value(grower)

    assert store.entries(BUCKET, [number]) == (Entry(number, grower, version, b"far", stops=False),)

    store.commit(change(grower, version, value=b"far", stop=(number, True)))
    assert store.entries(BUCKET, [number]) == (Entry(number, grower, version + 1, b"far", stops=True),)


def test_a_change_that_a_stop_forbids_changes_nothing(store: Store) -> None:
    store.commit(change(neighbour_of(ANN), value=None, stop=(ANN, True)))

    assert store.entries(BUCKET, [ANN])[0] == Entry(ANN, ANN, 0, None, stops=True)
    assert store.commit(change(ANN, unless_stopped=ANN, counts=(("v1", "growers", 1),))) == Conflict()
    assert store.value(ANN) == (0, None)
    assert store.counts("v1").get("growers", 0) == 0

    store.commit(change(neighbour_of(ANN), value=None, stop=(ANN, False)))
    assert isinstance(store.commit(change(ANN, unless_stopped=ANN)), Committed)


def test_the_stop_of_another_number_forbids_nothing(store: Store) -> None:
    store.commit(change(neighbour_of(ANN), value=None, stop=(BEN, True)))

    assert isinstance(store.commit(change(ANN, unless_stopped=ANN)), Committed)


def test_a_damaged_value_or_pointer_is_named_in_its_place(
    real_store: RedisStore, emptied_redis: RedisServer
) -> None:
    far = neighbour_of(ANN)
    with emptied_redis.client() as client:
        client.set(keys.of_grower(ANN), "no version")
        client.set(keys.of_number(far), "no id")

    first, second = real_store.entries(BUCKET, [ANN, far])

    assert isinstance(first, StoreDamaged)
    assert isinstance(second, StoreDamaged)
    assert (first.key, second.key) == (keys.of_grower(ANN), keys.of_number(far))
