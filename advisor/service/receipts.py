"""Delivery receipts: early, twice, out of order or for a message nobody knows, none of them is an error."""

from __future__ import annotations

from dataclasses import dataclass

from advisor.service.clock import Clock, unix_ms
from advisor.service.patience import with_patience
from advisor.store.api import Store
from advisor.store.names import bucket_of_out


@dataclass(frozen=True, slots=True)
class Receipts:
    """Notes what became of outgoing messages.

    Args:
        store: where their states are.
        clock: what the time is.
    """

    store: Store
    clock: Clock

    def note(self, oid: str, status: str) -> None:
        """Notes one receipt. An id that is not one of ours changes nothing.

        Args:
            oid: id of the outgoing message.
            status: ``delivered``, ``failed`` or ``expired``.

        Raises:
            Busy: the store did not take it in time.
        """
        try:
            bucket_of_out(oid)
        except ValueError:
            return
        at_ms = unix_ms(self.clock.now())
        with_patience(lambda: self.store.settle(oid, None, status, at_ms), self.clock)
