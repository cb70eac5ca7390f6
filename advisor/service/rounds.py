"""What goes on without a message coming in: hand over, relay, let unconsented sessions lapse."""

from __future__ import annotations

import logging
import threading
from dataclasses import dataclass, field

from advisor.service.clock import Clock, unix_ms
from advisor.service.journal import log_event, place_of
from advisor.service.relaying import Relaying
from advisor.service.sending import Sender
from advisor.store.api import Store, StoreUnavailable

LAPSES_MOST = 500
#: After a nudge, so that all pages of one answer, a millisecond apart, are due.
GATHER_S = 0.05


@dataclass(frozen=True, slots=True)
class Rounds:
    """One round over the buckets that have work, and the loop around it.

    Args:
        store: what is gone over.
        clock: what the time is.
        relaying: applies relays.
        sender: hands over messages, None where there is no gateway to hand them to.
        nudged: set by whoever in this process has just put something into the outbox.
        pause_s: seconds between rounds when nobody nudges.
    """

    store: Store
    clock: Clock
    relaying: Relaying
    sender: Sender | None = None
    nudged: threading.Event = field(default_factory=threading.Event)
    pause_s: float = 1.0

    def go_over(self) -> int:
        """One round; returns how many outgoing messages were tried."""
        now_ms = unix_ms(self.clock.now())
        busy = self.store.busy(now_ms)
        for bucket in busy.relays:
            self.relaying.apply_waiting(bucket)
        for bucket in busy.lapses:
            self.store.lapse(bucket, now_ms, LAPSES_MOST)
        tried = 0
        # a claim that meets a message past its time or stopped comes back empty, so the store is asked again
        while self.sender is not None and busy.outbox:
            tried += sum(self.sender.send_due(bucket) for bucket in busy.outbox)
            busy = self.store.busy(now_ms)
        return tried

    def run(self, stopping: threading.Event) -> None:
        """Goes round until told to stop; trouble with the store is waited out, other trouble is logged."""
        while not stopping.is_set():
            if self.nudged.wait(self.pause_s):
                self.nudged.clear()
                self.clock.wait(GATHER_S)
            try:
                self.go_over()
            except StoreUnavailable:
                log_event("round", level=logging.WARNING, outcome="store_unavailable")
            except Exception as error:  # a round that dies would stop every message of everybody
                fault = type(error).__name__
                log_event("round", level=logging.ERROR, outcome="fault", fault=fault, place=place_of(error))
