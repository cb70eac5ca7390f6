"""A private Redis server for whoever starts the service without naming one. It keeps its data in a folder."""

from __future__ import annotations

import fcntl
import shutil
import socket
import subprocess
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import IO

from advisor.service.clock import Clock

PATIENCE_S = 10.0
PAUSE_S = 0.02
LINE_S = 0.5


class NoPrivateStore(Exception):  # noqa: N818 - named for what is missing
    """The private server could not be started.

    Args:
        what: one line that says why and what to do.
    """


def server_program() -> str | None:
    """Path of ``redis-server`` on this machine, None when there is none."""
    return shutil.which("redis-server")


def free_port() -> int:
    """A port of the loopback address that nobody listens on."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port: int = probe.getsockname()[1]
        return port


def arguments(port: int, folder: Path) -> tuple[str, ...]:
    """Arguments by which nothing acknowledged is lost: every write is on disk before its answer."""
    settings = {
        "port": str(port),
        "bind": "127.0.0.1",
        "dir": str(folder),
        "appendonly": "yes",
        "appendfsync": "always",
        "save": "",
        "maxmemory-policy": "noeviction",
        # a history has few lines: of the usual 4 kB set aside for the first of them most would stay empty
        "stream-node-max-bytes": "1024",
        "logfile": str(folder / "redis.log"),
    }
    return tuple(part for name, value in settings.items() for part in (f"--{name}", value))


@contextmanager
def private_redis(program: str, folder: Path, clock: Clock) -> Iterator[str]:
    """Runs a server on the folder for as long as the context lasts.

    Two servers on one append-only file would spoil it. So the server holds a lock of its own for as long as it
    lives; one that outlived a killed service is told to end before the next one starts.

    Args:
        program: path of ``redis-server``.
        folder: where its append-only file lies; made if it is not there.
        clock: to wait by.

    Yields:
        The address of its store.

    Raises:
        NoPrivateStore: another service uses the folder, or the server does not start.
    """
    folder = folder.resolve()
    try:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    except OSError as error:
        raise NoPrivateStore(f"folder {folder.name} cannot be made: set SOWING_DATA to another") from error
    with (folder / "service.lock").open("a") as service_lock, (folder / "server.lock").open("a") as server_lock:
        if not _taken(service_lock):
            raise NoPrivateStore(
                f"another service uses the folder {folder.name}: stop it, or set SOWING_DATA to another folder"
            )
        _end_orphan(folder, server_lock, clock)
        port = free_port()
        (folder / "port").write_text(str(port), encoding="ascii")
        server = subprocess.Popen(
            (program, *arguments(port, folder)),
            stdout=subprocess.DEVNULL,
            pass_fds=(server_lock.fileno(),),
            umask=0o077,  # what it writes is for its owner alone, as a backup is
            # an interrupt from the keyboard is for the service, which still has answers to write
            start_new_session=True,
        )
        try:
            _wait_until(lambda: server.poll() is not None or _said(port, b"PING").startswith(b"+PONG"), clock)
            if server.poll() is not None:
                raise NoPrivateStore(f"redis-server did not start: read {folder.name}/redis.log")
            yield f"redis://127.0.0.1:{port}/0"
        finally:
            _end(server)


def _end(server: subprocess.Popen[bytes]) -> None:
    server.terminate()
    try:
        server.wait(PATIENCE_S)
    except subprocess.TimeoutExpired:
        server.kill()
        server.wait()


def _end_orphan(folder: Path, server_lock: IO[str], clock: Clock) -> None:
    if _taken(server_lock):
        return
    port = (folder / "port").read_text(encoding="ascii")
    _said(int(port), b"SHUTDOWN NOSAVE")
    _wait_until(lambda: _taken(server_lock), clock)


def _taken(lock: IO[str]) -> bool:
    """Takes a lock that dies with the last process that holds its file open; False when others hold it."""
    try:
        fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        return False
    return True


def _wait_until(happened: Callable[[], bool], clock: Clock) -> None:
    until_s = clock.monotonic_s() + PATIENCE_S
    while not happened():
        if clock.monotonic_s() >= until_s:
            raise NoPrivateStore("the private redis-server does not answer: look for one that hangs, and end it")
        clock.wait(PAUSE_S)


def _said(port: int, command: bytes) -> bytes:
    """What a server says to a command, empty when it says nothing; while it loads its file it says -LOADING."""
    try:
        with socket.create_connection(("127.0.0.1", port), LINE_S) as line:
            line.settimeout(LINE_S)
            line.sendall(command + b"\r\n")
            return line.recv(64)
    except OSError:
        return b""
