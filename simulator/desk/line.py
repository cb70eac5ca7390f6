"""The service, seen from the screen: everything that may take time happens in threads of its own.

What a thread finds is handed to ``tell``, which has it done where the screen is kept. The threads hold up nobody
who leaves: a request that hangs is given up with the program.
"""

from __future__ import annotations

import threading
from collections.abc import Callable
from contextlib import AbstractContextManager, ExitStack
from functools import partial

from simulator.desk.watching import Seeing, Watched
from simulator.errors import SimulatorError
from simulator.gateway import Gateway
from simulator.wire import Wire

#: Starts a service that posts its messages to the address given, and says where it is; ending it ends the service.
Starts = Callable[[str], AbstractContextManager[str]]

_LOOK_EVERY_S = 1.0
_PATIENCE_S = 5.0
_ATTEMPTS = 3
_LONGEST_START_S = 35.0


class LineLost(SimulatorError):  # noqa: N818
    """Something else than the service's answer ended a request."""

    def __init__(self, fault: Exception) -> None:
        super().__init__(f"the phone could not ask the service ({type(fault).__name__}: {fault}): try again")


class Line:
    """The way to a service that is started, used, watched and ended beside the screen.

    Args:
        gateway: where the service's messages arrive.
        start: starts the service.
        tell: has something done where the screen is kept; called from any thread.
    """

    def __init__(self, gateway: Gateway, start: Starts, tell: Callable[[Callable[[], None]], None]) -> None:
        self._gateway = gateway
        self._start = start
        self.tell = tell
        self._stack = ExitStack()
        self._stopping = threading.Event()
        self._nudged = threading.Event()
        self._connecting: threading.Thread | None = None

    def connect(self, then: Callable[[Wire | Exception], None]) -> None:
        """Starts the service and connects with it; ``then`` gets the wire, or what went wrong."""
        self._connecting = self._thread(self._connected, then)

    def do(self, job: Callable[[], None], then: Callable[[SimulatorError | None], None]) -> None:
        """Has a job done; ``then`` gets None, or what went wrong."""
        self._thread(self._done, job, then)

    def watch(self, wire: Wire, number: Callable[[], str], then: Callable[[Watched], None]) -> None:
        """Asks a demo service every second about the phone in hand and its book; ``then`` gets what is new."""
        self._thread(self._watched, wire.patient(2.0, 1), number, then)

    def look(self) -> None:
        """Asks now, since something has happened."""
        self._nudged.set()

    def close(self) -> None:
        """Ends the service, where it was started here; one that is still starting is waited for."""
        self._stopping.set()
        self._nudged.set()
        if self._connecting is not None:
            self._connecting.join(_LONGEST_START_S)
        self._gateway.listen(None)
        self._gateway.send_receipts(None)
        self._stack.close()

    def _connected(self, then: Callable[[Wire | Exception], None]) -> None:
        found: Wire | Exception
        try:
            address = self._stack.enter_context(self._start(self._gateway.address))
            wire = self._stack.enter_context(self._wire(address))
            self._gateway.send_receipts(lambda message_id: wire.receipt(message_id, "delivered"))
            found = wire
        except Exception as fault:
            found = fault
        self.tell(partial(then, found))

    def _wire(self, address: str) -> Wire:
        return Wire(address, timeout_s=_PATIENCE_S, attempts=_ATTEMPTS, keys=self._gateway.keys)

    def _done(self, job: Callable[[], None], then: Callable[[SimulatorError | None], None]) -> None:
        found: SimulatorError | None = None
        try:
            job()
        except SimulatorError as fault:
            found = fault
        except Exception as fault:
            found = LineLost(fault)
        self.tell(partial(then, found))
        self.look()

    def _watched(self, wire: Wire, number: Callable[[], str], then: Callable[[Watched], None]) -> None:
        seeing = Seeing(wire)
        last: Watched | None = None
        with wire:
            while not self._stopping.is_set():
                found = seeing.look(number())
                if found != last:
                    self.tell(partial(then, found))
                last = found
                self._nudged.wait(_LOOK_EVERY_S)
                self._nudged.clear()

    def _thread(self, target: Callable[..., None], *arguments: object) -> threading.Thread:
        thread = threading.Thread(target=target, args=arguments, name="line", daemon=True)
        thread.start()
        return thread
