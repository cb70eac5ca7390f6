"""What kills senders, web workers and Redis, and starts them again."""

from __future__ import annotations

import contextlib
import os
import random
import signal
import subprocess
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path

from tests.servers import RedisServer
from tests.whole.faults.stage import Size
from tests.whole.services import Service

KINDS = ("sender", "worker", "redis")


@dataclass
class Senders:
    """Senders that come back when they are killed.

    Args:
        command: starts one.
        environment: added to that of this process.
        folder: where they log.
        ended: those that ended by themselves, with the end of what they logged.
    """

    command: tuple[str, ...]
    environment: dict[str, str]
    folder: Path
    ended: list[str] = field(default_factory=list)
    _running: list[subprocess.Popen[bytes]] = field(default_factory=list)

    def __enter__(self) -> Senders:
        return self

    def __exit__(self, *_: object) -> None:
        for process in self._running:
            process.kill()
            process.wait()

    @property
    def many(self) -> int:
        return len(self._running)

    def start(self, many: int) -> None:
        self._running += [self._started(place) for place in range(many)]

    def kill(self, place: int) -> None:
        """Kills one and starts another in its place."""
        process = self._running[place]
        self._look_at(place, process)
        process.kill()
        process.wait()
        self._running[place] = self._started(place)

    def look(self) -> None:
        """Notes those that ended by themselves."""
        for place, process in enumerate(self._running):
            self._look_at(place, process)

    def _look_at(self, place: int, process: subprocess.Popen[bytes]) -> None:
        if process.poll() is not None:
            self.ended.append(f"sender {place} with {process.returncode}: {self._log(place).read_text()[-400:]}")

    def _log(self, place: int) -> Path:
        return self.folder / f"sender-{place}.log"

    def _started(self, place: int) -> subprocess.Popen[bytes]:
        with self._log(place).open("ab") as out:
            return subprocess.Popen(self.command, env=os.environ | self.environment, stdout=out, stderr=out)


class Killer(threading.Thread):
    """Kills at random, by a seed, each kind as often; ``done`` says when it killed what.

    Args:
        handed: how many requests the gateway was handed so far, where kills go by these and not by seconds: on a
            busy machine the killed would else never come back to work before the next is killed.
    """

    def __init__(
        self,
        size: Size,
        redis: RedisServer,
        service: Service,
        senders: Senders,
        handed: Callable[[], int] | None = None,
    ) -> None:
        super().__init__(daemon=True)
        self._redis, self._service, self._senders = redis, service, senders
        self._chance, self._size, self._handed = random.Random(size.seed), size, handed
        self._todo = [KINDS[place % len(KINDS)] for place in range(size.kills)]
        self._chance.shuffle(self._todo)
        self._ending = threading.Event()
        self.done: list[tuple[float, str]] = []

    def run(self) -> None:
        for kind in self._todo:
            if not self._waited(0.5 + self._chance.random()):
                return
            {"redis": self._redis.restart, "sender": self._kill_sender, "worker": self._kill_worker}[kind]()
            self.done.append((time.time(), kind))

    def end(self, patience_s: float) -> None:
        """Waits until all is killed that is to be, so long at most."""
        self.join(patience_s)
        self._ending.set()
        self.join()

    def _waited(self, part: float) -> bool:
        """Whether it is time for the next, and not for an end."""
        if self._handed is None:
            return not self._ending.wait(part * self._size.kill_every_s)
        until = self._handed() + part * self._size.kill_every
        while self._handed() < until:
            if self._ending.wait(0.05):
                return False
        return True

    def _kill_sender(self) -> None:
        self._senders.kill(self._chance.randrange(self._senders.many))

    def _kill_worker(self) -> None:
        while not self._ending.wait(0.05):
            with contextlib.suppress(ProcessLookupError, IndexError):
                os.kill(self._chance.choice(self._service.workers()), signal.SIGKILL)
                return
