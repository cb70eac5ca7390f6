"""The service as it runs: processes of ``advisor serve`` on a real Redis, and a client that never gives up."""

from __future__ import annotations

import contextlib
import itertools
import json
import os
import socket
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path

import httpx

from simulator.signing import NO_KEYS, Keys

SECRET = "a secret of the tests, of no use elsewhere"
#: A service that takes what is not signed, as often as it comes: what most tests are not about.
OPEN = {"SOWING_OPEN": "yes", "SOWING_ADDRESS_RATE": "1000000", "SOWING_GROWER_RATE": "1000000"}
_START_S = 120.0


def free_port() -> int:
    with socket.socket() as listening:
        listening.bind(("127.0.0.1", 0))
        return int(listening.getsockname()[1])


@dataclass
class Service:
    """One server with its workers."""

    port: int
    process: subprocess.Popen[bytes]
    log: Path

    @property
    def address(self) -> str:
        return f"http://127.0.0.1:{self.port}"

    def workers(self) -> list[int]:
        """Process ids of the workers, which die and come back."""
        children = Path(f"/proc/{self.process.pid}/task/{self.process.pid}/children").read_text()
        return [int(pid) for pid in children.split()]


@contextlib.contextmanager
def service(store: str, *, workers: int = 1, gateway: str = "", speaking: dict[str, str] | None = None):
    """Starts a service, waits until it answers, ends it.

    Args:
        speaking: settings of who may speak; without them whoever comes.
    """
    environment = {"SOWING_STORE": store, "SOWING_ID_SECRET": SECRET} | (OPEN if speaking is None else speaking)
    if gateway:
        environment |= {"SOWING_GATEWAY": gateway, "SOWING_SENDER": "2500"}
    with serving("advisor", "serve", "--workers", str(workers), **environment) as found:
        yield found


@contextlib.contextmanager
def serving(*arguments: str, **environment: str):
    """Starts a module that serves on ``--port``, waits until it answers, ends it.

    Args:
        arguments: the module, then its arguments without the port.
        environment: what is added to the environment.
    """
    port = free_port()
    with tempfile.TemporaryDirectory() as folder:
        log = Path(folder, "service.log")
        command = [sys.executable, "-m", *arguments, "--port", str(port)]
        with log.open("wb") as out:
            process = subprocess.Popen(command, env={**os.environ, **environment}, stdout=out, stderr=out)
        try:
            found = Service(port, process, log)
            _wait(found)
            yield found
        finally:
            process.terminate()
            with contextlib.suppress(subprocess.TimeoutExpired):
                process.wait(10)
            process.kill()
            process.wait()


def _wait(found: Service) -> None:
    until = time.monotonic() + _START_S
    while time.monotonic() < until:
        if found.process.poll() is not None:
            raise RuntimeError(found.log.read_text()[-3000:])
        with contextlib.suppress(httpx.HTTPError):
            if httpx.get(f"{found.address}/health", trust_env=False).status_code == 200:
                return
        time.sleep(0.05)
    raise RuntimeError(found.log.read_text()[-3000:])


@dataclass
class Phone:
    """A phone behind a gateway that repeats a message, with the same id, until it is answered.

    Its ledger holds what was acknowledged, in order: the event, what was typed, the answer. Every attempt is
    signed with the keys, by its own clock. Many phones may share a client.
    """

    number: str
    addresses: tuple[str, ...]
    keys: Keys = NO_KEYS
    now_s: Callable[[], float] = time.time
    client: httpx.Client | None = None
    ledger: list[tuple[str, str, dict]] = field(default_factory=list)
    repeats: int = 0
    calls: int = 0

    def __post_init__(self) -> None:
        self._ids = itertools.count(1)
        self._client = self.client or httpx.Client(timeout=5.0, trust_env=False)
        self._last: tuple[str, dict] | None = None

    def close(self) -> None:
        if self.client is None:
            self._client.close()

    def use_ids_from(self, first: int) -> None:
        """Counts message ids from another number: those before it were used."""
        self._ids = itertools.count(first)

    def dial(self) -> dict:
        self.calls += 1
        return self.ussd("begin", "")

    def type(self, *answers: str) -> dict:
        for answer in answers:
            said = self.ussd("answer", answer)
        return said

    def ussd(self, event: str, text: str) -> dict:
        body = self._body() | {"session": f"{self.number}-{self.calls}", "event": event, "input": text}
        return self._send("/gateway/ussd", body, event, text)

    def sms(self, text: str) -> dict:
        return self._send("/gateway/sms", self._body() | {"text": text}, "sms", text)

    def say_again(self) -> None:
        """The last message once more, under its id, as a gateway sends it that lost the answer; it is the same."""
        assert self._last is not None
        path, body = self._last
        *_, (event, text, said) = self.ledger
        assert self._send(path, body, event, text) | {"session": said["session"]} == said
        self.ledger.pop()

    def _body(self) -> dict:
        at = datetime.fromtimestamp(self.now_s(), UTC).isoformat()
        return {"id": f"{self.number}-{next(self._ids)}", "from": self.number, "to": "2500", "at": at}

    def _send(self, path: str, body: dict, event: str, text: str) -> dict:
        self._last = path, body
        for attempt in itertools.count():
            address = self.addresses[attempt % len(self.addresses)]
            with contextlib.suppress(httpx.HTTPError):
                content = json.dumps(body).encode()
                signed = self.keys.headers("POST", path, content, self.now_s())
                headers = {"Content-Type": "application/json"} | signed
                answer = self._client.post(address + path, content=content, headers=headers)
                if answer.status_code < 500:
                    assert answer.status_code in (200, 202), answer.text
                    said = answer.json() | {"session": body.get("session", "")}
                    self.ledger.append((event, text, said))
                    return answer.json()
            self.repeats += 1
            if attempt > 400:
                raise RuntimeError(f"no answer to {body}")
            time.sleep(0.02)
        raise AssertionError


def agree(phone: Phone) -> None:
    """From the first call to the menu, with consent."""
    phone.dial()
    phone.type("1", "1", "2")
