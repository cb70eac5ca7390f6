"""The clients of the bench: processes that ask over one kept-alive connection each, and note how long it took."""

from __future__ import annotations

import contextlib
import hashlib
import socket
import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import islice
from multiprocessing import get_context
from multiprocessing.connection import Connection
from pathlib import Path
from typing import Any

from tests.bench.talks import bodies
from tests.gateway.signed import headers

#: So often a client connects again to find the worker it is meant for, then it takes any.
TRIES = 200
PATIENCE_S = 60.0
HEALTH = b"GET /health HTTP/1.1\r\nHost: 127.0.0.1\r\n\r\n"


@dataclass(frozen=True, slots=True)
class Job:
    """What one client does in one turn.

    Args:
        client: its number.
        port: where the server listens.
        worker: process id of the worker to connect to.
        first: number of its first grower.
        warm: requests before it counts.
        count: requests that count.
        key: what requests are signed with, empty for not at all.
    """

    client: int
    port: int
    worker: int
    first: int
    warm: int
    count: int
    key: str = ""


@dataclass(frozen=True, slots=True)
class Done:
    """What one client did.

    Args:
        began_s: when it began what counts, on the machine's monotonic clock.
        ends_s: when each answer was there.
        took_s: how long each took.
        cpu_s: processor time of the client, the warm-up included.
    """

    began_s: float
    ends_s: tuple[float, ...]
    took_s: tuple[float, ...]
    cpu_s: float


class Clients:
    """Client processes that live as long as the bench."""

    def __init__(self, many: int) -> None:
        context = get_context("spawn")
        self._lines: list[Connection] = []
        self._processes = []
        for _ in range(many):
            ours, theirs = context.Pipe()
            process = context.Process(target=_serve, args=(theirs,), daemon=True)
            process.start()
            theirs.close()
            self._lines.append(ours)
            self._processes.append(process)

    def __len__(self) -> int:
        return len(self._lines)

    def connect(self, jobs: Sequence[Job]) -> None:
        """Gives out jobs and waits until all clients are connected. Raises as ``go`` does."""
        for line, job in zip(self._lines, jobs, strict=True):
            line.send(job)
        self._heard()

    def go(self) -> list[Done]:
        """Lets all clients begin at once, and waits until they are done.

        Raises:
            RuntimeError: a client got another answer than 200, or none.
        """
        for line in self._lines:
            line.send("go")
        return self._heard()

    def close(self) -> None:
        """Ends the processes."""
        for line in self._lines:
            line.close()
        for process in self._processes:
            process.join(5)
            if process.is_alive():
                process.kill()
                process.join()

    def _heard(self) -> list[Any]:
        said = []
        for line in self._lines:
            if not line.poll(PATIENCE_S):
                raise RuntimeError(f"a client said nothing for {PATIENCE_S:.0f} s")
            said.append(line.recv())
        faults = [answer for answer in said if isinstance(answer, str)]
        if faults:
            raise RuntimeError("; ".join(faults))
        return said


def _serve(line: Connection) -> None:
    with contextlib.suppress(EOFError):
        while True:
            job = line.recv()
            try:
                line.send(_done(job, line))
            except (OSError, RuntimeError) as error:
                line.send(f"client {job.client}: {error}")


def _done(job: Job, line: Connection) -> Done:
    requests = [_request(body, job.key) for body in islice(bodies(job.client, job.first), job.warm + job.count)]
    ends, took = [], []
    with _connected(job) as wire:
        line.send(None)
        # on a busy machine the others may take longer than the server keeps a silent connection
        while not line.poll(1.0):
            _asked(wire, HEALTH)
        line.recv()
        cpu_s = time.process_time()
        for request in requests[: job.warm]:
            _asked(wire, request)
        began_s = time.monotonic()
        for request in requests[job.warm :]:
            sent_s = time.monotonic()
            _asked(wire, request)
            ended_s = time.monotonic()
            ends.append(ended_s)
            took.append(ended_s - sent_s)
        cpu_s = time.process_time() - cpu_s
    return Done(began_s, tuple(ends), tuple(took), cpu_s)


def _request(body: bytes, key: str) -> bytes:
    head = "POST /gateway/ussd HTTP/1.1\r\nHost: 127.0.0.1\r\nContent-Type: application/json\r\n"
    if key:
        message_id = hashlib.sha256(body).hexdigest()[:24]
        said = headers(body, time.time(), key, message_id=message_id)
        head += "".join(f"{name}: {value}\r\n" for name, value in said.items())
    return f"{head}Content-Length: {len(body)}\r\n\r\n".encode() + body


def _asked(wire: socket.socket, request: bytes) -> None:
    """Sends a request and reads its whole answer."""
    wire.sendall(request)
    heard = b""
    while True:
        part = wire.recv(65536)
        heard += part
        head, found, body = heard.partition(b"\r\n\r\n")
        if found:
            at = head.lower().index(b"content-length:") + 15
            if len(body) >= int(head[at:].split(b"\r\n", 1)[0]):
                break
        if not part:
            raise RuntimeError("the server closed the connection")
    if not heard.startswith(b"HTTP/1.1 200 "):
        raise RuntimeError(heard.decode(errors="replace"))


@contextlib.contextmanager
def _connected(job: Job) -> Iterator[socket.socket]:
    """A connection to the worker that is meant: which one takes it is luck, and luck is no measure."""
    for left in reversed(range(TRIES)):
        wire = socket.create_connection(("127.0.0.1", job.port), timeout=PATIENCE_S)
        wire.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
        _asked(wire, HEALTH)
        if left == 0 or _is_held_by(job.worker, job.port, wire.getsockname()[1]):
            break
        wire.close()
    with wire:
        yield wire


def _is_held_by(process: int, server_port: int, client_port: int) -> bool:
    """Whether a process holds the server's end of a connection (``/proc``: Linux only)."""
    ends = f":{server_port:04X}", f":{client_port:04X}"
    for row in Path("/proc/net/tcp").read_text().splitlines()[1:]:
        fields = row.split()
        if fields[1].endswith(ends[0]) and fields[2].endswith(ends[1]):
            wanted = f"socket:[{fields[9]}]"
            files = Path(f"/proc/{process}/fd")
            return any(_target(file) == wanted for file in files.iterdir())
    return False


def _target(file: Path) -> str:
    try:
        return str(file.readlink())
    except OSError:
        return ""
