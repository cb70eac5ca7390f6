"""The two sides of the comparison as they run, each on a Redis of its own, and what the system says of them."""

from __future__ import annotations

import base64
import contextlib
import os
import signal
import tempfile
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

import msgspec

from tests.bench.shapes import Shape
from tests.servers import RedisServer, redis_server
from tests.whole.services import OPEN, SECRET, Service, service, serving

#: The append-only file grows without being written anew, so that no turn pays for another.
QUIET = ("--auto-aof-rewrite-percentage", "0")
_TICK_S = 1 / os.sysconf("SC_CLK_TCK")


@dataclass(frozen=True, slots=True)
class Side:
    """One side.

    Args:
        name: ``service`` or ``bare``; ``signed`` or ``open`` where two services are compared.
        server: its web server.
        redis: its store.
        workers: process ids of its workers.
    """

    name: str
    server: Service
    redis: RedisServer
    workers: tuple[int, ...]

    def pin(self) -> None:
        """Keeps each worker, with all its threads, on one core."""
        cores = sorted(os.sched_getaffinity(0))
        for number, worker in enumerate(self.workers):
            for thread in Path(f"/proc/{worker}/task").iterdir():
                os.sched_setaffinity(int(thread.name), {cores[number % len(cores)]})

    def stop(self) -> None:
        """Stops its processes, so that they take no time while the other side is asked."""
        self._signal(signal.SIGSTOP)

    def resume(self) -> None:
        """Lets its processes go on."""
        self._signal(signal.SIGCONT)

    def _signal(self, number: signal.Signals) -> None:
        for process in (self.server.process.pid, *self.workers):
            os.kill(process, number)

    def cpu_s(self) -> float:
        """Processor time of the workers so far."""
        return sum(_cpu_s(process) for process in self.workers)

    def redis_figures(self) -> dict[str, float]:
        """What Redis has done so far: calls by command, bytes in, out and appended, processor time."""
        with self.redis.client() as client:
            told = client.info("everything")
        figures = {
            name.removeprefix("cmdstat_"): float(value["calls"])
            for name, value in told.items()
            if name.startswith("cmdstat_")
        }
        return figures | {
            "bytes in": told["total_net_input_bytes"],
            "bytes out": told["total_net_output_bytes"],
            "bytes appended": told["aof_current_size"],
            "cpu_s": told["used_cpu_user"] + told["used_cpu_sys"],
        }

    def appendfsync(self, setting: str) -> None:
        """Sets how the append-only file reaches the disk."""
        with self.redis.client() as client:
            client.config_set("appendfsync", setting)


#: A key of the bench, of no use elsewhere, and the settings of a service that takes what it signs.
KEY = "whsec_" + base64.b64encode(bytes(range(32))).decode()
SIGNED = {"SOWING_INBOUND_KEYS": KEY, "SOWING_ADDRESS_RATE": "1000000", "SOWING_GROWER_RATE": "1000000"}


@contextlib.contextmanager
def both_sides(shapes: dict[str, Shape], workers: int, *, pinned: bool) -> Iterator[tuple[Side, Side]]:
    """The service and the bare application, both stopped.

    Args:
        shapes: what the bare application reads and writes.
        workers: processes that answer, on either side.
        pinned: whether each of these is kept on a core of its own.
    """
    with contextlib.ExitStack() as stack:
        stores = [stack.enter_context(redis_server(*QUIET)) for _ in range(2)]
        folder = Path(stack.enter_context(tempfile.TemporaryDirectory()))
        file = folder / "shapes.json"
        file.write_bytes(msgspec.json.encode(shapes))
        ours = stack.enter_context(service(stores[0].address, workers=workers))
        environment = {"SOWING_STORE": stores[1].address, "SOWING_ID_SECRET": SECRET}
        bare = stack.enter_context(
            serving("tests.bench.bare", str(file), "--workers", str(workers), **environment)
        )
        yield _stopped(stack, ("service", "bare"), (ours, bare), stores, pinned)


@contextlib.contextmanager
def signed_and_open(workers: int, *, pinned: bool) -> Iterator[tuple[Side, Side]]:
    """The service with signatures, and the service without, both stopped; arguments as for `both_sides`."""
    with contextlib.ExitStack() as stack:
        stores = [stack.enter_context(redis_server(*QUIET)) for _ in range(2)]
        servers = [
            stack.enter_context(service(store.address, workers=workers, speaking=speaking))
            for store, speaking in zip(stores, (SIGNED, OPEN), strict=True)
        ]
        yield _stopped(stack, ("signed", "open"), servers, stores, pinned)


def _stopped(
    stack: contextlib.ExitStack,
    names: tuple[str, str],
    servers: Sequence[Service],
    stores: Sequence[RedisServer],
    pinned: bool,
) -> tuple[Side, Side]:
    first, second = (
        Side(name, server, store, tuple(server.workers()))
        for name, server, store in zip(names, servers, stores, strict=True)
    )
    for side in (first, second):
        if pinned:
            side.pin()
        # whatever happens, what is stopped could not be ended
        stack.callback(side.resume)
        side.stop()
    return first, second


def _cpu_s(process: int) -> float:
    fields = Path(f"/proc/{process}/stat").read_text().rpartition(")")[2].split()
    return (int(fields[11]) + int(fields[12])) * _TICK_S
