"""Real Redis servers for tests: started on free ports, killed, frozen and started again on the same folder."""

from __future__ import annotations

import contextlib
import os
import random
import shutil
import signal
import socket
import subprocess
import tempfile
import time
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

import redis

#: What the service ships with, less the snapshots that only cost time in a test.
SHIPPED = (
    *("--appendonly", "yes", "--appendfsync", "always", "--maxmemory-policy", "noeviction", "--save", ""),
    *("--stream-node-max-bytes", "1024"),
)

_START_S = 20.0
_SLOTS = 16384


@dataclass
class RedisServer:
    """A ``redis-server`` of our own in a folder of its own."""

    folder: Path
    port: int
    options: tuple[str, ...] = SHIPPED
    process: subprocess.Popen[bytes] | None = field(default=None, repr=False)

    @property
    def address(self) -> str:
        return f"redis://127.0.0.1:{self.port}/0"

    def client(self) -> redis.Redis:
        """A patient client for the test's own looking around."""
        return redis.Redis(port=self.port, socket_timeout=10, protocol=2)

    def start(self) -> RedisServer:
        """Starts it, on what its folder holds, and waits until it answers."""
        program = shutil.which("redis-server")
        if program is None:
            raise RuntimeError("no redis-server on this machine: run tests/install-servers")
        command = [
            program,
            "--port",
            str(self.port),
            "--bind",
            "127.0.0.1",
            "--dir",
            str(self.folder),
            *self.options,
        ]
        with (self.folder / "redis.log").open("ab") as log:
            self.process = subprocess.Popen(command, stdout=log, stderr=log)
        self._wait()
        return self

    def kill(self) -> None:
        """SIGKILL: it has no chance to write anything more."""
        self._signal(signal.SIGKILL)
        assert self.process is not None
        self.process.wait()
        self.process = None

    def restart(self) -> None:
        """Kills it and starts it again on the same folder."""
        self.kill()
        self.start()

    def freeze(self) -> None:
        """SIGSTOP: connections stay open and nothing answers."""
        self._signal(signal.SIGSTOP)

    def thaw(self) -> None:
        """SIGCONT: it carries on with what has been sent meanwhile."""
        self._signal(signal.SIGCONT)

    def stop(self) -> None:
        """Ends it, whatever state it is in."""
        if self.process is not None:
            self.thaw()
            self.kill()

    def _signal(self, number: signal.Signals) -> None:
        if self.process is None:
            raise RuntimeError("the server is not running")
        os.kill(self.process.pid, number)

    def _wait(self) -> None:
        assert self.process is not None
        until = time.monotonic() + _START_S
        while time.monotonic() < until:
            if self.process.poll() is not None:
                raise RuntimeError((self.folder / "redis.log").read_text()[-2000:])
            with contextlib.suppress(redis.RedisError), self.client() as client:
                if client.ping():
                    return
            time.sleep(0.02)
        raise RuntimeError("redis-server does not answer")


@contextlib.contextmanager
def redis_server(*options: str) -> Iterator[RedisServer]:
    """One server with its append-only file in a folder of its own.

    Args:
        options: more settings, for example ``"--appendfsync", "everysec"``; later ones win.
    """
    with tempfile.TemporaryDirectory() as folder:
        server = _started(Path(folder), (*SHIPPED, *options))
        try:
            yield server
        finally:
            server.stop()


@dataclass
class RedisCluster:
    """Three servers that share the slots."""

    servers: tuple[RedisServer, ...]

    @property
    def address(self) -> str:
        return self.servers[0].address + "?cluster=1"

    def owner(self, slot: int) -> RedisServer:
        """The server that a slot was given to."""
        return self.servers[next(place for place, slots in enumerate(_shares()) if slot in slots)]

    def restart(self) -> None:
        """Kills all servers and starts them again on the same folders."""
        for server in self.servers:
            server.kill()
        for server in self.servers:
            server.start()
        self.wait()

    def wait(self) -> None:
        """Waits until every server sees every slot served."""
        until = time.monotonic() + _START_S
        while not all(self._whole(server) for server in self.servers):
            if time.monotonic() > until:
                raise RuntimeError("the cluster does not come together")
            time.sleep(0.05)

    def _whole(self, server: RedisServer) -> bool:
        with server.client() as client:
            said = client.execute_command("CLUSTER INFO")
            return said["cluster_state"] == "ok" and said["cluster_known_nodes"] == str(len(self.servers))


@contextlib.contextmanager
def redis_cluster() -> Iterator[RedisCluster]:
    """A cluster of three servers, each with a third of the slots."""
    with contextlib.ExitStack() as stack:
        servers = []
        for _ in range(3):
            folder = stack.enter_context(tempfile.TemporaryDirectory())
            server = _started(Path(folder), (*SHIPPED, "--cluster-enabled", "yes"), cluster=True)
            stack.callback(server.stop)
            servers.append(server)
        _join(servers)
        cluster = RedisCluster(tuple(servers))
        cluster.wait()
        yield cluster


def _join(servers: list[RedisServer]) -> None:
    first = servers[0]
    for place, (server, slots) in enumerate(zip(servers, _shares(), strict=True)):
        with server.client() as client:
            client.execute_command("CLUSTER", "SET-CONFIG-EPOCH", place + 1)
            client.execute_command("CLUSTER", "ADDSLOTSRANGE", slots.start, slots.stop - 1)
            if server is not first:
                client.execute_command("CLUSTER", "MEET", "127.0.0.1", first.port, first.port + 10_000)


def _shares() -> tuple[range, range, range]:
    third = _SLOTS // 3
    return range(third), range(third, 2 * third), range(2 * third, _SLOTS)


def _started(folder: Path, options: tuple[str, ...], cluster: bool = False) -> RedisServer:
    """Another process may take the port between looking and starting, so a few ports are tried."""
    for attempt in range(5):
        try:
            return RedisServer(folder, _free_port(cluster), options).start()
        except RuntimeError:
            if attempt == 4 or shutil.which("redis-server") is None:
                raise
    raise AssertionError("unreachable")


def _free_port(with_bus: bool) -> int:
    """A port below those that the system hands to clients, with its cluster bus 10000 above when asked."""
    while True:
        port = random.randrange(12_000, 22_000)
        with contextlib.suppress(OSError), contextlib.ExitStack() as stack:
            for wanted in (port, port + 10_000) if with_bus else (port,):
                stack.enter_context(socket.socket()).bind(("127.0.0.1", wanted))
            return port
