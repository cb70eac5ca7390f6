"""Growers by how their numbers end: the list goes with the record; a list that is missing is completed once."""

from __future__ import annotations

from advisor.store import keys
from advisor.store.api import Committed, Conflict, Store
from advisor.store.names import BUCKETS, bucket_of
from advisor.store.redis_store import RedisStore
from tests.store.samples import ANN, BEN, change, neighbour_of

ENDING, OTHER = 2233, 4_294_967_295
NEAR = neighbour_of(ANN)


def growers(store: Store, ending: int = ENDING) -> list[str]:
    return [valued.grower for valued in store.ending_in(ending).growers]


class TestTheListOfEndings:
    def test_finds_growers_of_all_buckets_with_their_values(self, store: Store) -> None:
        for grower in (ANN, BEN, NEAR):
            store.commit(change(grower, value=grower.encode(), ending=ENDING))

        found = store.ending_in(ENDING).growers

        assert [(valued.grower, valued.value) for valued in found] == [
            (grower, grower.encode()) for grower in sorted((ANN, BEN, NEAR))
        ]
        assert growers(store, OTHER) == []

    def test_has_a_grower_once_at_the_newest_number(self, store: Store) -> None:
        store.commit(change(version=_version(store, ending=ENDING), ending=OTHER))

        assert (growers(store), growers(store, OTHER)) == ([], [ANN])

    def test_stays_as_it_is_with_a_change_that_names_no_number(self, store: Store) -> None:
        store.commit(change(version=_version(store, ending=ENDING)))

        assert growers(store) == [ANN]

    def test_is_not_written_by_a_change_that_is_refused(self, store: Store) -> None:
        version = _version(store, ending=ENDING)

        assert store.commit(change(version=version + 7, ending=OTHER)) == Conflict()

        assert (growers(store), growers(store, OTHER)) == ([ANN], [])

    def test_lets_go_of_whom_a_change_forgets(self, store: Store) -> None:
        store.commit(change(version=_version(store, ending=ENDING), value=b"session", forgets=True, ending=ENDING))

        assert growers(store) == []


def test_a_new_store_lacks_nobody(real_store: RedisStore) -> None:
    assert real_store.ending_in(ENDING).missing == ()


class TestAListThatAnEarlierVersionLacks:
    def test_is_told_of_until_all_growers_are_there(self, real_store: RedisStore) -> None:
        _without_lists(real_store)
        bucket, version = bucket_of(ANN), _version(real_store)
        assert real_store.ending_in(ENDING).missing == tuple(range(BUCKETS))

        assert real_store.complete_endings(bucket, [(ANN, version, ENDING)])

        assert growers(real_store) == [ANN]
        assert bucket not in real_store.ending_in(ENDING).missing

    def test_is_not_complete_where_one_had_changed_meanwhile(self, real_store: RedisStore) -> None:
        _without_lists(real_store)
        version = _version(real_store)
        real_store.commit(change(version=version))

        assert not real_store.complete_endings(bucket_of(ANN), [(ANN, version, ENDING)])

        assert growers(real_store) == []
        assert bucket_of(ANN) in real_store.ending_in(ENDING).missing

    def test_that_is_damaged_hides_no_other(self, real_store: RedisStore) -> None:
        for grower in (ANN, BEN):
            real_store.commit(change(grower, ending=ENDING))
        real_store.link.one("SET", keys.of_endings(bucket_of(ANN)), "?")

        assert growers(real_store) == [BEN]
        assert bucket_of(ANN) not in real_store.ending_in(ENDING).missing


def _without_lists(store: RedisStore) -> None:
    store.link.many(("DEL", keys.of_endings(bucket)) for bucket in range(BUCKETS))


def _version(store: Store, ending: int | None = None) -> int:
    verdict = store.commit(change(ending=ending))
    assert isinstance(verdict, Committed)
    return verdict.version
