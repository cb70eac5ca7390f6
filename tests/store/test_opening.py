"""Addresses, what a store was made with, and settings that weaken its promises."""

from __future__ import annotations

import subprocess
import sys

import pytest

from advisor.store.api import StoreMismatch
from advisor.store.embedded import EmbeddedStore
from advisor.store.keys import STORE, secret_mark
from advisor.store.memory import DictStore
from advisor.store.opening import open_store
from advisor.store.redis_store import RedisStore
from tests.servers import RedisCluster, RedisServer, redis_server
from tests.store.samples import ANN, change


class TestAddresses:
    @pytest.mark.parametrize(
        ("address", "kind"),
        [
            ("memory:", DictStore),
            ("embedded:", EmbeddedStore),
            ("redis://127.0.0.1:1/0", RedisStore),
            ("rediss://127.0.0.1:1/0", RedisStore),
            ("unix:///none.sock", RedisStore),
            ("redis://127.0.0.1:1?cluster=1", RedisStore),
        ],
    )
    def test_an_address_gives_its_kind_of_store_without_speaking_to_it(self, address: str, kind: type) -> None:
        assert type(open_store(address)) is kind

    @pytest.mark.parametrize("address", ["", "localhost", "redis:", "http://example.org", "memory"])
    def test_another_address_is_refused_with_those_that_are_good(self, address: str) -> None:
        with pytest.raises(ValueError, match="embedded:, redis://host"):
            open_store(address)

    def test_a_store_on_a_server_does_not_load_the_fake(self) -> None:
        program = "import sys, advisor.store.opening; print('fakeredis' in sys.modules)"
        told = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)

        assert told.stdout.strip() == "False"

    def test_a_unix_socket_is_an_address(self, tmp_path_factory: pytest.TempPathFactory) -> None:
        socket = tmp_path_factory.mktemp("s") / "redis.sock"
        with redis_server("--unixsocket", str(socket)):
            store = open_store(f"unix://{socket}")
            store.open()
            store.commit(change())
            assert store.value(ANN)[1] == b"{}"
            store.close()

    def test_one_server_of_a_cluster_says_that_it_is_one(self, shared_cluster: RedisCluster) -> None:
        said = []
        for server in shared_cluster.servers:
            store = RedisStore(server.address)
            try:
                store.open()
            except StoreMismatch as mismatch:
                said.append(str(mismatch))
            store.close()

        assert len(said) == 2, "all but the one that holds the store's own description"
        assert all("add cluster=1" in line for line in said)


class TestWhatAStoreWasMadeWith:
    @pytest.mark.parametrize(("name", "value"), [("buckets", "128"), ("schema", "99")])
    def test_other_settings_are_refused(
        self, real_store: RedisStore, emptied_redis: RedisServer, name: str, value: str
    ) -> None:
        with emptied_redis.client() as client:
            client.hset(STORE, name, value)

        with pytest.raises(StoreMismatch, match=f"{name} {value}, not"):
            real_store.open()

    def test_another_id_secret_is_refused(self, emptied_redis: RedisServer) -> None:
        for mark in (secret_mark(b"first"), secret_mark(b"first"), ""):
            store = open_store(emptied_redis.address, secret_mark=mark)
            store.open()
            store.close()

        other = open_store(emptied_redis.address, secret_mark=secret_mark(b"second"))
        with pytest.raises(StoreMismatch, match="secret"):
            other.open()
        other.close()


class TestReadiness:
    def test_the_shipped_settings_are_ready_without_a_remark(self) -> None:
        with redis_server() as server:
            assert _ready(server) == (True, "ready")

    @pytest.mark.parametrize(
        ("name", "value"),
        [("appendonly", "no"), ("appendfsync", "no"), ("maxmemory-policy", "allkeys-lru")],
    )
    def test_a_setting_that_weakens_the_promise_is_named(self, name: str, value: str) -> None:
        with redis_server(f"--{name}", value) as server:
            can_write, remark = _ready(server)

        assert can_write
        assert f"{name} is {value}: set it to" in remark
        assert ";" not in remark, "and nothing else is"

    def test_what_may_not_be_asked_is_unknown(self, emptied_redis: RedisServer) -> None:
        address = emptied_redis.address.replace("redis://", "redis://plain:pass@")
        with emptied_redis.client() as client:
            client.execute_command("ACL", "SETUSER", "plain", "on", ">pass", "~*", "+@all", "-config")
        store = RedisStore(address)

        can_write, remark = store.ready()

        store.close()
        with emptied_redis.client() as client:
            client.execute_command("ACL", "DELUSER", "plain")
        assert can_write
        assert remark.count("unknown") == 3

    def test_who_may_not_write_is_not_ready(self, emptied_redis: RedisServer) -> None:
        address = emptied_redis.address.replace("redis://", "redis://reader:pass@")
        with emptied_redis.client() as client:
            client.execute_command("ACL", "SETUSER", "reader", "on", ">pass", "~*", "+@read")
        store = RedisStore(address)

        can_write, remark = store.ready()

        store.close()
        with emptied_redis.client() as client:
            client.execute_command("ACL", "DELUSER", "reader")
        assert not can_write
        assert "refuses us" in remark

    def test_a_replica_is_not_ready(self, emptied_redis: RedisServer) -> None:
        with redis_server("--replicaof", f"127.0.0.1 {emptied_redis.port}") as replica:
            assert _ready(replica)[0] is False

    @pytest.mark.parametrize("address", ["memory:", "embedded:"])
    def test_a_store_that_keeps_nothing_says_so(self, address: str) -> None:
        can_write, remark = open_store(address).ready()

        assert can_write
        assert "keeps nothing" in remark


def _ready(server: RedisServer) -> tuple[bool, str]:
    store = RedisStore(server.address)
    try:
        return store.ready()
    finally:
        store.close()
