"""Tells the service how its messages fared; by bad luck twice, or later ones first."""

from __future__ import annotations

import threading
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass

from simulator.errors import SimulatorError
from simulator.mishaps import Mishaps


@dataclass(slots=True)
class _Held:
    message_id: str
    lets_pass: int


class Receipts:
    """Sends receipts from a thread of its own, one after the other.

    Args:
        mishaps: what becomes of them.
        note: told of those that the service did not take.
    """

    def __init__(self, mishaps: Mishaps, note: Callable[[str], None]) -> None:
        self._mishaps, self._note = mishaps, note
        self._sending = ThreadPoolExecutor(max_workers=1, thread_name_prefix="receipts")
        self._lock = threading.Lock()
        self._held: list[_Held] = []

    def close(self) -> None:
        """Ends it; what was not sent yet never is."""
        self._sending.shutdown(cancel_futures=True)

    def submit(self, send: Callable[[str], None], message_id: str) -> None:
        """Has the receipt of a message sent soon.

        Args:
            send: sends one.
            message_id: of which message.
        """
        for due in self._due(message_id):
            for _ in range(self._mishaps.copies(due)):
                self._sending.submit(self._confirm, send, due)

    def _due(self, message_id: str) -> list[str]:
        """This one or, where it is held back, nothing; then those that have let enough pass."""
        lets_pass = self._mishaps.lets_pass(message_id)
        with self._lock:
            due = [] if lets_pass else [message_id]
            for held in self._held:
                held.lets_pass -= 1
            due += [held.message_id for held in self._held if held.lets_pass <= 0]
            self._held = [held for held in self._held if held.lets_pass > 0]
            if lets_pass:
                self._held.append(_Held(message_id, lets_pass))
        return due

    def _confirm(self, send: Callable[[str], None], message_id: str) -> None:
        try:
            send(message_id)
        except SimulatorError as fault:
            self._note(f"no receipt for {message_id}: {fault}")
