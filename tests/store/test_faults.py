"""Servers that are killed, frozen and away. ``kill -9`` says nothing about power cuts: what the kernel had taken
stays; ``appendfsync always`` is what a power cut is left to."""

from __future__ import annotations

import threading
import time
from collections.abc import Iterator

import pytest
from msgspec.structs import replace

from advisor.store.api import Change, Committed, Remembered, StoreUnavailable, Verdict
from advisor.store.opening import open_store
from advisor.store.redis_store import RedisStore
from tests.servers import RedisCluster, RedisServer, redis_cluster, redis_server
from tests.store.samples import ANN, BEN, COR, MINUTE_MS, NOON_MS, change, full_change, message, out

WITHIN_S = 1.0


@pytest.fixture
def server() -> Iterator[RedisServer]:
    with redis_server() as server:
        yield server


@pytest.fixture
def own_store(server: RedisServer) -> Iterator[RedisStore]:
    store = RedisStore(server.address)
    store.open()
    yield store
    store.close()


def five_times(store: RedisStore, message_change: Change) -> Verdict:
    """What the service does with a message: the whole message again, at most five times."""
    for _ in range(4):
        try:
            return store.commit(message_change)
        except StoreUnavailable:
            continue
    return store.commit(message_change)


def seconds_until_unavailable(store: RedisStore) -> float:
    """How long a commit takes to say that the store is not there."""
    begun = time.monotonic()
    with pytest.raises(StoreUnavailable):
        store.commit(change())
    return time.monotonic() - begun


class TestKilled:
    def test_nothing_acknowledged_is_lost_when_redis_is_killed_during_commits(
        self, server: RedisServer, own_store: RedisStore
    ) -> None:
        acknowledged: dict[str, list[int]] = {ANN: [], BEN: [], COR: []}
        enough = threading.Barrier(len(acknowledged) + 1, timeout=30)
        writers = [
            threading.Thread(target=_write_until_gone, args=(own_store, grower, done, enough))
            for grower, done in acknowledged.items()
        ]
        for writer in writers:
            writer.start()
        enough.wait()
        server.kill()
        for writer in writers:
            writer.join()

        server.start()

        for grower, done in acknowledged.items():
            told = {int(line[0][1]) for line in own_store.history(grower)}
            assert set(done) <= told
            assert told <= {*done, len(done)}, "at most the one commit that was under way is there besides"
            for place in done:
                assert own_store.read(grower, message(f"{place}")).remembered == Remembered("", b"%d" % place)
        assert own_store.counts("dovi")["lines"] == sum(len(own_store.history(grower)) for grower in acknowledged)

    def test_everything_a_commit_wrote_is_there_after_a_kill(
        self, server: RedisServer, own_store: RedisStore
    ) -> None:
        own_store.commit(full_change())
        before = own_store.read(ANN, message("full")), own_store.busy(NOON_MS), own_store.counts("dovi")

        server.restart()

        assert (own_store.read(ANN, message("full")), own_store.busy(NOON_MS), own_store.counts("dovi")) == before

    def test_the_script_finds_its_way_to_a_server_that_does_not_know_it(
        self, server: RedisServer, own_store: RedisStore
    ) -> None:
        own_store.commit(change(BEN))
        with server.client() as client:
            client.script_flush()

        assert isinstance(own_store.commit(change(ANN)), Committed)

    def test_a_lease_held_by_a_sender_that_died_ends_and_the_same_message_goes_out(
        self, server: RedisServer, own_store: RedisStore
    ) -> None:
        own_store.commit(change(outs=(out(),)))
        (held,) = own_store.claim(int(ANN[:2], 16), NOON_MS, MINUTE_MS, 10)

        server.restart()

        assert len(own_store.claim(int(ANN[:2], 16), NOON_MS, MINUTE_MS, 10)) == 0
        (again,) = own_store.claim(int(ANN[:2], 16), NOON_MS + MINUTE_MS, MINUTE_MS, 10)
        assert (again.oid, again.body) == (held.oid, held.body)


def _write_until_gone(store: RedisStore, grower: str, done: list[int], enough: threading.Barrier) -> None:
    version = 0
    for place in range(100_000):
        if place == 60:
            enough.wait()
        try:
            verdict = store.commit(
                change(
                    grower,
                    version,
                    b"x" * 300,
                    message=message(f"{place}"),
                    reply=b"%d" % place,
                    history=(("line", str(place)),),
                    counts=(("dovi", "lines", 1),),
                )
            )
        except StoreUnavailable:
            return
        assert isinstance(verdict, Committed)
        version = verdict.version
        done.append(place)


class TestFrozen:
    @pytest.mark.parametrize("frozen_s", [0.1, 0.6])
    def test_a_stall_applies_nothing_twice(
        self, server: RedisServer, own_store: RedisStore, frozen_s: float
    ) -> None:
        own_store.commit(change(BEN))
        server.freeze()
        thaw = threading.Timer(frozen_s, server.thaw)
        thaw.start()

        verdict = five_times(own_store, full_change())

        thaw.join()
        again = own_store.commit(full_change())
        assert again == Remembered("d1", b"first answer")
        assert isinstance(verdict, Committed) or verdict == again
        assert own_store.counts("dovi") == {"growers": 1, "started": 1}
        assert len(own_store.history(ANN)) == 1

    def test_a_change_without_a_message_is_applied_at_most_once_too(
        self, server: RedisServer, own_store: RedisStore
    ) -> None:
        version = _version(own_store.commit(change(counts=(("dovi", "growers", 1),))))
        server.freeze()
        assert seconds_until_unavailable(own_store) < WITHIN_S
        threading.Timer(0.05, server.thaw).start()

        five_times(own_store, change(version=version, counts=(("dovi", "tested", 1),)))

        assert own_store.counts("dovi") == {"growers": 1, "tested": 1}
        assert own_store.value(ANN)[0] == version + 1


class TestAway:
    def test_a_frozen_server_is_unavailable_within_a_second(
        self, server: RedisServer, own_store: RedisStore
    ) -> None:
        server.freeze()

        assert seconds_until_unavailable(own_store) < WITHIN_S
        assert own_store.ready()[0] is False

    def test_a_stopped_server_is_unavailable_within_a_second_and_comes_back_by_itself(
        self, server: RedisServer, own_store: RedisStore
    ) -> None:
        version = _version(own_store.commit(change(value=b"kept")))
        server.kill()

        assert seconds_until_unavailable(own_store) < WITHIN_S
        ready, why = own_store.ready()
        assert (ready, "repeat the message" in why) == (False, True)

        server.start()

        assert own_store.ready() == (True, "ready")
        assert own_store.value(ANN) == (version, b"kept")

    def test_a_store_may_be_made_before_its_server_is_there(self, server: RedisServer) -> None:
        server.kill()
        early = open_store(server.address)
        with pytest.raises(StoreUnavailable):
            early.open()

        server.start()

        early.open()
        assert isinstance(early.commit(change()), Committed)
        early.close()

    def test_the_error_says_what_to_do(self, server: RedisServer, own_store: RedisStore) -> None:
        server.kill()

        with pytest.raises(StoreUnavailable, match="repeat the message with the same id") as unavailable:
            own_store.read(ANN, message("m1"))

        assert unavailable.value.retry_after_s >= 1


@pytest.fixture(scope="module")
def cluster() -> Iterator[RedisCluster]:
    with redis_cluster() as cluster:
        yield cluster


class TestClusterFaults:
    @pytest.fixture
    def cluster_store(self, cluster: RedisCluster) -> Iterator[RedisStore]:
        for server in cluster.servers:
            with server.client() as client:
                client.flushall()
        store = RedisStore(cluster.address)
        store.open()
        yield store
        store.close()

    def test_nothing_acknowledged_is_lost_when_all_servers_are_killed(
        self, cluster: RedisCluster, cluster_store: RedisStore
    ) -> None:
        growers = [f"{bucket:02x}0123456789abcd" for bucket in range(0, 256, 16)]
        versions = {grower: _version(cluster_store.commit(change(grower))) for grower in growers}

        cluster.restart()

        assert {grower: _patient_version(cluster_store, grower) for grower in growers} == versions

    def test_a_half_moved_slot_is_unavailable_and_whole_again_after_the_move(
        self, cluster: RedisCluster, cluster_store: RedisStore
    ) -> None:
        """A commit asks for keys that are not there yet, so a cluster refuses it until the move has ended."""
        first = full_change(lapses_ms=None, applied=None, message=message("earlier"))
        version = _version(cluster_store.commit(first))
        with cluster.servers[0].client() as client:
            slot = client.execute_command("CLUSTER", "KEYSLOT", f"{{b{ANN[:2]}}}")
        source = cluster.owner(slot)
        target = next(server for server in cluster.servers if server is not source)
        _begin_move(source, target, slot)
        _move_keys(source, target, slot, 2)
        second = full_change(version=version, applied=None)

        with pytest.raises(StoreUnavailable):
            cluster_store.commit(second)

        _move_keys(source, target, slot, 1000)
        _end_move(cluster, target, slot)
        assert isinstance(cluster_store.commit(second), Committed)
        assert cluster_store.commit(replace(second, version=0)) == Remembered("d1", b"first answer")
        assert cluster_store.counts("dovi") == {"growers": 2, "started": 2}

        _begin_move(target, source, slot)
        _move_keys(target, source, slot, 1000)
        _end_move(cluster, source, slot)
        assert cluster_store.counts("dovi") == {"growers": 2, "started": 2}


def _patient_version(store: RedisStore, grower: str) -> int:
    """The version, asked again like the service would while the client finds the servers again."""
    for _ in range(4):
        try:
            return store.value(grower)[0]
        except StoreUnavailable:
            continue
    return store.value(grower)[0]


def _begin_move(source: RedisServer, target: RedisServer, slot: int) -> None:
    with source.client() as giving, target.client() as taking:
        names = [client.execute_command("CLUSTER", "MYID").decode() for client in (giving, taking)]
        taking.execute_command("CLUSTER", "SETSLOT", slot, "IMPORTING", names[0])
        giving.execute_command("CLUSTER", "SETSLOT", slot, "MIGRATING", names[1])


def _move_keys(source: RedisServer, target: RedisServer, slot: int, most: int) -> None:
    with source.client() as giving:
        for key in giving.execute_command("CLUSTER", "GETKEYSINSLOT", slot, most):
            giving.execute_command("MIGRATE", "127.0.0.1", target.port, key, 0, 5000)


def _end_move(cluster: RedisCluster, target: RedisServer, slot: int) -> None:
    with target.client() as taking:
        name = taking.execute_command("CLUSTER", "MYID").decode()
    for server in sorted(cluster.servers, key=lambda server: server is not target):
        with server.client() as client:
            client.execute_command("CLUSTER", "SETSLOT", slot, "NODE", name)


def _version(verdict: Verdict) -> int:
    assert isinstance(verdict, Committed)
    return verdict.version
