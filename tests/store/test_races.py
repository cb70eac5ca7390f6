"""Several processes on one real server: one effect a message, no lost update, one sender a message."""

from __future__ import annotations

import threading

import pytest

from advisor.store.api import Committed, Conflict
from advisor.store.keys import grower_id
from advisor.store.redis_store import RedisStore
from tests.servers import RedisServer
from tests.store.racing import add_own_lines, answer_the_same_messages, claim_all, race
from tests.store.samples import ANN, DAY_MS, NOON_MS, NUMBERS, SECRET, change, out

pytestmark = pytest.mark.alone


def test_one_message_in_two_processes_at_once_has_one_effect_and_one_reply(
    real_store: RedisStore, emptied_redis: RedisServer
) -> None:
    rounds = 60

    ones, twos = race(answer_the_same_messages, emptied_redis.address, rounds)

    for one, two in zip(ones, twos, strict=True):
        assert {one[0], two[0]} == {"first", "repeat"}
        assert one[1] == two[1]
    assert real_store.counts("dovi") == {"answered": rounds}
    assert len(real_store.history(ANN)) == rounds
    sent = real_store.claim(int(ANN[:2], 16), NOON_MS, DAY_MS, 1000)
    assert sorted(claimed.body for claimed in sent) == sorted(reply for _, reply in ones)


def test_two_processes_on_one_grower_lose_nothing(real_store: RedisStore, emptied_redis: RedisServer) -> None:
    rounds = 120

    race(add_own_lines, emptied_redis.address, rounds)

    _, value = real_store.value(ANN)
    assert value is not None
    lines = value.decode().split()
    for name in ("one", "two"):
        assert [line for line in lines if line.startswith(name)] == [f"{name}-{place}" for place in range(rounds)]
    assert real_store.counts("dovi") == {"lines": 2 * rounds}


def test_two_senders_never_hold_the_same_message(real_store: RedisStore, emptied_redis: RedisServer) -> None:
    many = 90
    real_store.commit(change(outs=tuple(out(name=f"page {page}", lane=page % 3) for page in range(many))))

    ones, twos = race(claim_all, emptied_redis.address, many)

    assert len(ones) + len(twos) == many
    assert len({*ones, *twos}) == many


def test_a_grower_who_agrees_while_sessions_lapse_is_kept(real_store: RedisStore) -> None:
    """Consent and clearing up run against each other; whoever's consent was acknowledged is still there."""
    growers = [grower_id(SECRET, number)[2:] for number in NUMBERS]
    growers = ["00" + grower for grower in growers]
    versions = {}
    for grower in growers:
        verdict = real_store.commit(change(grower, lapses_ms=NOON_MS))
        assert isinstance(verdict, Committed)
        versions[grower] = verdict.version
    done = threading.Event()

    def clear_up() -> None:
        while not done.is_set():
            real_store.lapse(0, NOON_MS, 5)

    clearing = threading.Thread(target=clear_up)
    clearing.start()
    agreed = {
        grower: real_store.commit(change(grower, versions[grower], value=b"agreed"))
        for grower in reversed(growers)
    }
    done.set()
    clearing.join()

    for grower, verdict in agreed.items():
        _, value = real_store.value(grower)
        assert value == (b"agreed" if verdict != Conflict() else None)
    assert {type(verdict) for verdict in agreed.values()} == {Committed, Conflict}, "both sides won some"
