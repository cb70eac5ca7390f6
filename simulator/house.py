"""Starts a demo service for a phone or a test, and ends it with them."""

from __future__ import annotations

import os
import signal
import socket
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import AbstractContextManager, contextmanager, nullcontext, suppress
from pathlib import Path
from types import FrameType
from typing import IO

from simulator.errors import SimulatorError
from simulator.gateway import Gateway
from simulator.signing import NO_KEYS, Keys
from simulator.wire import Wire

#: The command that starts the demo service, but for its port and its gateway.
SERVICE = (sys.executable, "-m", "advisor", "serve", "--demo")
#: What an author may want to have in it; the settings of an installation have no business there.
KEPT_SETTINGS = ("SOWING_PROGRAMME", "SOWING_FLOWS", "SOWING_LOCALES")

_LOOK_EVERY_S = 0.05
_LAST_LINES = 20


class ServiceNotStarted(SimulatorError):  # noqa: N818
    """The service did not get ready; what it logged follows."""

    def __init__(self, why: str, log: str) -> None:
        last = "\n".join(f"    {line}" for line in log.splitlines()[-_LAST_LINES:]) or "    (nothing)"
        super().__init__(f"the demo service did not start: {why}. Its log ends:\n{last}")


@contextmanager
def running_service(gateway: str, *, command: Sequence[str] = SERVICE, patience_s: float = 30.0) -> Iterator[str]:
    """A service of one's own, while the block runs.

    Args:
        gateway: address to which it is to post its messages.
        command: starts it; ``--port`` and ``--gateway`` are added.
        patience_s: how long it may take to get ready.

    Yields:
        its address.

    Raises:
        ServiceNotStarted: when it ends early or does not get ready, with the end of its log.
    """
    port = free_port()
    address = f"http://127.0.0.1:{port}"
    with tempfile.TemporaryFile() as log:
        child = subprocess.Popen(
            [*command, "--port", str(port), "--gateway", gateway],
            env=child_environment(os.environ),
            stdin=subprocess.DEVNULL,
            stdout=log,
            stderr=subprocess.STDOUT,
            start_new_session=True,  # Ctrl-C in the phone's terminal is for the phone, which then ends the service
        )
        try:
            _await_ready(child, address, log, patience_s)
            yield address
        finally:
            end(child)


def child_environment(environment: Mapping[str, str]) -> dict[str, str]:
    """The surroundings of a demo service: without the settings of an installation.

    >>> child_environment({"PATH": "/bin", "SOWING_STORE": "redis://127.0.0.1", "SOWING_PROGRAMME": "mine.toml"})
    {'PATH': '/bin', 'SOWING_PROGRAMME': 'mine.toml'}
    """
    return {
        name: value
        for name, value in environment.items()
        if name in KEPT_SETTINGS or not name.startswith("SOWING_")
    }


def end(child: subprocess.Popen[bytes], patience_s: float = 5.0) -> None:
    """Ends a child that leads its own process group: asks it first, then leaves it and its own no choice."""
    child.terminate()
    with suppress(subprocess.TimeoutExpired):
        child.wait(patience_s)
    with suppress(ProcessLookupError):
        os.killpg(child.pid, signal.SIGKILL)
    child.wait()


@contextmanager
def connected(
    service: str | None = None,
    *,
    port: int = 0,
    receipts: bool = True,
    command: Sequence[str] = SERVICE,
    keys: Keys = NO_KEYS,
) -> Iterator[tuple[Wire, Gateway]]:
    """A wire and a gateway, joined with a service.

    Args:
        service: address of a service that runs; None starts a demo service and ends it afterwards.
        port: port of the gateway, 0 for a free one.
        receipts: whether the gateway tells the service what was delivered.
        command: starts the service where none is given.
        keys: what is signed with between them.
    """
    start = starting(service, command)
    with (
        Gateway(port, keys) as gateway,
        start(gateway.address) as address,
        joined(address, gateway, receipts) as wire,
    ):
        yield wire, gateway


def starting(
    service: str | None = None, command: Sequence[str] = SERVICE
) -> Callable[[str], AbstractContextManager[str]]:
    """What says where the service is, starting a demo service where none runs, for a gateway's address."""
    if service is not None:
        return lambda _: nullcontext(service)
    return lambda gateway: running_service(gateway, command=command)


@contextmanager
def leaving_on_signals() -> Iterator[None]:
    """Lets a closed window or a kill end the demo service too, as leaving does."""

    def leave(number: int, _: FrameType | None) -> None:
        sys.exit(128 + number)

    before = {number: signal.signal(number, leave) for number in (signal.SIGTERM, signal.SIGHUP)}
    try:
        yield
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)


def free_port() -> int:
    """A port on the loopback address that nothing listened on just now."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port: int = probe.getsockname()[1]
        return port


@contextmanager
def joined(address: str, gateway: Gateway, receipts: bool = True) -> Iterator[Wire]:
    """A wire to the service at an address, which is told what was delivered unless ``receipts`` is false."""
    with Wire(address, keys=gateway.keys) as wire:
        gateway.send_receipts((lambda message_id: wire.receipt(message_id, "delivered")) if receipts else None)
        try:
            yield wire
        finally:
            gateway.send_receipts(None)


def _await_ready(child: subprocess.Popen[bytes], address: str, log: IO[bytes], patience_s: float) -> None:
    until_s = time.monotonic() + patience_s
    with Wire(address, timeout_s=1.0) as wire:
        while not wire.is_ready():
            if child.poll() is not None:
                raise ServiceNotStarted(f"it ended with code {child.returncode}", _text(log))
            if time.monotonic() > until_s:
                raise ServiceNotStarted(f"it was not ready after {patience_s:g} s", _text(log))
            time.sleep(_LOOK_EVERY_S)


def _text(log: IO[bytes]) -> str:
    log.seek(0)
    return log.read().decode(errors="replace")


def conversations() -> tuple[Path, ...]:
    """The conversation files that ship with the simulator, sorted by name."""
    return tuple(sorted((Path(__file__).parent / "conversations").glob("*.txt")))
