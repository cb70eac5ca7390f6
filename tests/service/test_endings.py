"""Growers found by how their numbers end, in a store of this version and in one that an earlier version filled."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
import redis

from advisor.service.endings import BUCKETS_A_LOOK, Completing, Endings, ending_of
from advisor.store.names import BUCKETS
from advisor.store.plans import Keeps
from advisor.store.redis_store import RedisStore
from tests.servers import RedisServer, redis_server
from tests.service.importing import brought, line
from tests.service.stage import IDS, grower_id

ENDS = "*:ends"
NUMBERS = [f"+999{place:05}{place % 7:04}" for place in range(1, 60)]


@pytest.fixture(scope="module")
def server() -> Iterator[RedisServer]:
    with redis_server() as started:
        yield started


@pytest.fixture
def client(server: RedisServer) -> Iterator[redis.Redis]:
    with server.client() as found:
        found.flushall()
        yield found


@pytest.fixture
def store(server: RedisServer, client: redis.Redis) -> Iterator[RedisStore]:
    made = RedisStore(server.address, Keeps(), timeout_s=10)
    made.open()
    assert brought(made, *map(line, NUMBERS)).new == len(NUMBERS)
    yield made
    made.close()


def expected(digits: str) -> list[str]:
    return sorted(grower_id(number) for number in NUMBERS if number.endswith(digits))


def found(store: RedisStore, digits: str) -> list[str]:
    return sorted(grower for grower, _ in Endings(store, IDS).found(digits))


@pytest.mark.parametrize("digits", ["0003", "30003", "000210000", "9999"])
def test_all_are_found_that_end_so_by_four_digits_or_more(store: RedisStore, digits: str) -> None:
    assert found(store, digits) == expected(digits)


def test_growers_of_an_earlier_version_are_found_at_the_first_look(store: RedisStore, client: redis.Redis) -> None:
    client.delete(*client.keys(ENDS))

    assert found(store, "0003") == expected("0003")
    assert store.ending_in(0).missing == ()


def test_they_are_listed_some_buckets_at_a_time_before_anybody_looks(
    store: RedisStore, client: redis.Redis, monkeypatch: pytest.MonkeyPatch
) -> None:
    client.delete(*client.keys(ENDS))
    completing = Completing(Endings(store, IDS))

    looks = [completing.look() for _ in range(BUCKETS // BUCKETS_A_LOOK)]

    assert looks == list(range(BUCKETS - BUCKETS_A_LOOK, -1, -BUCKETS_A_LOOK))
    monkeypatch.setattr(RedisStore, "settled", lambda self, bucket: pytest.fail("a walk"))
    assert found(store, "0003") == expected("0003")
    assert Completing(Endings(store, IDS)).look() == 0, "another process has nothing to do"


def test_a_value_that_cannot_be_read_holds_up_no_other(store: RedisStore, client: redis.Redis) -> None:
    client.delete(*client.keys(ENDS))
    broken, *others = expected("0003")
    client.set(f"{{b{broken[:2]}}}:g:{broken}", b"0000000000000007?")

    assert found(store, "0003") == others


def test_no_number_and_no_digits_of_one_stand_in_keys_or_in_the_list(
    store: RedisStore, client: redis.Redis
) -> None:
    keys = [key.decode() for key in client.keys("*")]
    scores = {int(score) for key in client.keys(ENDS) for _, score in client.zrange(key, 0, -1, withscores=True)}
    assert not [key for key in keys for number in NUMBERS if number[1:] in key or number[-9:] in key]
    assert scores - {-1} == {ending_of(number, IDS) for number in NUMBERS}
    assert not scores & {int(number[-4:]) for number in NUMBERS}
