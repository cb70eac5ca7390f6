"""What goes over the line: two trips a message, declared keys only, one slot, and no number in any key."""

from __future__ import annotations

import re
import socket
import threading
from collections.abc import Callable
from dataclasses import dataclass

import pytest

from advisor.store import plans
from advisor.store.api import Place, RoundRow, RoundState, Store, StoreUnavailable, Terms
from advisor.store.link import TIMEOUT_S
from advisor.store.plans import Keeps
from advisor.store.redis_store import RedisStore
from tests.servers import RedisCluster, RedisServer, redis_server
from tests.store.samples import (
    ANN,
    BEN,
    DAY_MS,
    HOUR_MS,
    MINUTE_MS,
    NOON_MS,
    NUMBERS,
    change,
    forgetting,
    full_change,
    message,
    neighbour_of,
    out,
    settle,
)

BUCKET = int(ANN[:2], 16)
NEAR = neighbour_of(ANN)

_WORD = re.compile(r'"((?:\\.|[^"\\])*)"')


@dataclass(frozen=True)
class Heard:
    """What a server was asked: by clients, and by scripts on their own account."""

    by_clients: list[list[str]]
    by_scripts: list[list[str]]

    @property
    def names(self) -> list[str]:
        return [words[0].upper() for words in self.by_clients]


def heard(server: RedisServer, act: Callable[[], object]) -> Heard:
    """Listens with MONITOR while something happens."""
    by_clients: list[list[str]] = []
    by_scripts: list[list[str]] = []
    with socket.create_connection(("127.0.0.1", server.port), timeout=10) as line, line.makefile("rb") as told:
        line.sendall(b"MONITOR\r\n")
        assert told.readline() == b"+OK\r\n"
        act()
        with server.client() as marking:
            marking.echo("the end")
        while True:
            said = told.readline().decode()
            words = _WORD.findall(said)
            if words == ["ECHO", "the end"]:
                return Heard(by_clients, by_scripts)
            if words[0] != "CLIENT":
                (by_scripts if " lua] " in said else by_clients).append(words)


def test_a_message_takes_one_read_and_one_commit(real_store: RedisStore, emptied_redis: RedisServer) -> None:
    version = real_store.read(ANN, message("m0")).version
    real_store.commit(change(version=version, message=message("m0")))

    def one_message(**more: object) -> None:
        reading = real_store.read(ANN, message("full"))
        real_store.commit(full_change(version=reading.version, **more))

    assert heard(emptied_redis, lambda: one_message(stop=None)).names == ["MGET", "EVALSHA"]


def test_a_stop_takes_two_trips_more_to_find_what_waits_and_which_rounds_there_are(
    real_store: RedisStore, emptied_redis: RedisServer
) -> None:
    real_store.commit(change())

    def stop() -> None:
        real_store.commit(full_change(version=real_store.read(ANN, message("full")).version))

    assert heard(emptied_redis, stop).names == ["MGET", "ZRANGE", "HKEYS", "EVALSHA"]


def test_a_message_that_comes_again_takes_one_read(real_store: RedisStore, emptied_redis: RedisServer) -> None:
    real_store.commit(full_change())

    assert heard(emptied_redis, lambda: real_store.read(ANN, message("full"))).names == ["MGET"]


def test_an_empty_outbox_takes_one_trip_and_a_full_one_two(
    real_store: RedisStore, emptied_redis: RedisServer
) -> None:
    def claim() -> object:
        return real_store.claim(BUCKET, NOON_MS, MINUTE_MS, 10)

    assert heard(emptied_redis, claim).names == ["ZRANGEBYSCORE"] * 3
    real_store.commit(change(outs=(out(),)))
    claim()
    real_store.commit(change(version=real_store.value(ANN)[0], outs=(out(name="second"),)))
    assert heard(emptied_redis, claim).names == ["ZRANGEBYSCORE"] * 3 + ["EVALSHA"]


def test_a_commit_that_times_out_was_sent_once() -> None:
    """The client's own habit of sending again is off: repeating is for those who have the message's id."""
    with redis_server() as server:
        store = RedisStore(server.address)
        store.commit(change(BEN))

        def time_out() -> None:
            server.freeze()
            thaw = threading.Timer(1.5 * TIMEOUT_S, server.thaw)
            thaw.start()
            with pytest.raises(StoreUnavailable):
                store.commit(change())
            thaw.join()

        assert heard(server, time_out).names == ["EVALSHA"]
        store.close()


def live(store: Store) -> None:
    """A day in the life of a store: every method that writes, in every way that it can end."""
    first = full_change()
    store.commit(first)
    store.commit(first)
    store.commit(full_change(message=message("other"), applied="effect-9"))
    version, _ = store.value(ANN)
    store.commit(change(version=version, outs=(out(name="third", expires_ms=NOON_MS - 1),), lapses_ms=NOON_MS))
    oids = [claimed.oid for claimed in store.claim(BUCKET, NOON_MS, MINUTE_MS, 10)]
    for oid, state in zip(oids, ("later", "sent"), strict=False):
        settle(store, oid, 1, state, NOON_MS, NOON_MS + HOUR_MS)
    settle(store, out(name="second page").oid, None, "delivered", NOON_MS)
    hand_over(store)
    store.relay_done(BUCKET, "effect-1")
    store.stumble(ANN, message("m1"))
    store.park(ANN, message("m1"), NOON_MS)
    take_a_round(store)
    store.lapse(BUCKET, NOON_MS + DAY_MS, 10)
    store.busy(NOON_MS)


def hand_over(store: Store) -> None:
    """What goes out, in every way that it can end."""
    steps = tuple(out(name=f"step {number}", lane=2, round="weeding", to=ANN) for number in range(3))
    for step in steps:
        store.commit(change(version=store.value(ANN)[0], outs=(step,), stop=(ANN, False)))
    terms = Terms("20270115", 1, tomorrow_ms=NOON_MS + DAY_MS)
    for step, state in zip(steps, ("unknown", "dead"), strict=False):
        store.claim(BUCKET, NOON_MS, MINUTE_MS, 10, terms)
        settle(store, step.oid, 2, state, NOON_MS, grower=ANN, round="weeding")
    settle(store, steps[0].oid, None, "delivered", NOON_MS)
    store.commit(change(version=store.value(ANN)[0], stop=(ANN, True)))
    store.aside(BUCKET)
    store.grant(NOON_MS, 10, 1)
    store.hold(NOON_MS, 1)
    store.unpark(ANN, message("m1"))


def take_a_round(store: Store) -> None:
    """A round from its start to its end."""
    store.start_round(RoundRow("demo", RoundState.RUNNING, NOON_MS, b"key = 'demo'"))
    store.commit(change(NEAR))
    for _ in range(2):
        store.plan(BUCKET, "demo", store.place(BUCKET, "demo"), Place(NOON_MS, NEAR), [(NEAR, NOON_MS)])
    store.due_in(["demo"], NOON_MS)
    (near,) = store.claim_due(BUCKET, "demo", NOON_MS, MINUTE_MS, 10, 10).taken
    given = {"dues": (("demo", NOON_MS),), "tallies": (("demo", "sent", 1),), "heard": False}
    store.commit_all([change(NEAR, near.version, **given), change(NEAR, near.version, **given)])
    store.commit(change(NEAR, near.version + 1, stop=(NEAR, True)))
    store.standing("demo")
    store.set_round("demo", RoundState.PAUSED)
    store.set_round("demo", RoundState.STOPPED)


def end(store: Store) -> None:
    """And its end: somebody comes back, and is erased."""
    store.commit(full_change(message=message("before"), applied="effect-10", lapses_ms=None, pointer=(ANN, ANN)))
    version, _ = store.value(ANN)
    store.park(ANN, message("m1"), NOON_MS)
    store.commit(forgetting(version=version, message=message("erase")))


def test_no_script_touches_a_key_that_was_not_declared(real_store: RedisStore, emptied_redis: RedisServer) -> None:
    told = heard(emptied_redis, lambda: (live(real_store), end(real_store)))

    declared = {key for words in told.by_clients if words[0].startswith("EVAL") for key in _keys_of(words)}
    touched = {words[2 if words[0] == "XINFO" else 1] for words in told.by_scripts if words[0] != "TIME"}
    assert touched <= declared
    assert {key.split(":")[1] for key in touched} >= {
        "g",
        "m",
        "o",
        "out",
        "relay",
        "r",
        "seen",
        "h",
        "v",
        "lapse",
        "idle",
        "t",
        "moved",
        "parked",
        "n",
        "due",
        "round",
        "rounds",
        "pause",
    }


def _keys_of(words: list[str]) -> list[str]:
    return words[3 : 3 + int(words[2])]


def test_all_keys_of_a_commit_lie_in_one_slot(shared_cluster: RedisCluster) -> None:
    declared = plans.change_plan(full_change(), Keeps(), rounds=("demo",)).keys
    assert len(declared) > 10

    with shared_cluster.servers[0].client() as client:
        slots = {client.execute_command("CLUSTER", "KEYSLOT", key) for key in declared}

    assert len(slots) == 1


def test_buckets_spread_over_all_servers_of_a_cluster(emptied_cluster: RedisCluster) -> None:
    store = RedisStore(emptied_cluster.address)
    for bucket in range(256):
        store.commit(change(f"{bucket:02x}0123456789abcd"))
    sizes = []
    for server in emptied_cluster.servers:
        with server.client() as client:
            sizes.append(client.dbsize())

    store.close()
    assert sum(sizes) == 2 * 256, "a value and its place among those of its bucket"
    assert min(sizes) > 80


def test_no_key_carries_a_phone_number(real_store: RedisStore, emptied_redis: RedisServer) -> None:
    body = f"{NUMBERS[0]} two bags".encode()
    live(real_store)
    real_store.commit(full_change(stop=(ANN, True), outs=(out(name=NUMBERS[0], body=body, to=ANN),)))

    with emptied_redis.client() as client:
        names = [key.decode() for key in client.scan_iter()]
        ended = client.get(f"{{b{ANN[:2]}}}:o:{out(name='second page').oid}")

    assert len(names) > 8
    assert not [name for name in names if "+" in name or NUMBERS[0][1:] in name]
    assert all(re.fullmatch(r"\{(b[0-9a-f]{2}|meta)\}:.+", name) for name in names)
    assert ended is not None
    assert ended.endswith(b" - "), "text and number are gone once a message has ended"


@pytest.mark.parametrize("kind", ["g", "lapse", "h", "v", "stop"])
def test_what_must_not_be_forgotten_has_no_expiry(
    real_store: RedisStore, emptied_redis: RedisServer, kind: str
) -> None:
    real_store.commit(full_change())

    with emptied_redis.client() as client:
        found = [key for key in client.scan_iter(f"*:{kind}*") if key.decode().split(":")[1] == kind]
        assert found
        assert {client.pttl(key) for key in found} == {-1}


@pytest.mark.parametrize(("kind", "days"), [("m", 3), ("seen", 7)])
def test_answers_are_kept_three_days_and_marks_a_week(
    real_store: RedisStore, emptied_redis: RedisServer, kind: str, days: int
) -> None:
    real_store.commit(full_change())

    with emptied_redis.client() as client:
        (key,) = client.scan_iter(f"*:{kind}:*")
        assert (days - 1) * DAY_MS < client.pttl(key) <= days * DAY_MS
