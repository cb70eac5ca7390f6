"""Delivery receipts: early, twice, out of order or for a message nobody knows, none of them is an error."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

from advisor.service.breaker import Breaker
from advisor.service.clock import Clock, unix_ms
from advisor.service.damage import Damage
from advisor.service.patience import with_patience
from advisor.store.api import Settlement, Store
from advisor.store.names import bucket_of_out


@dataclass(frozen=True, slots=True)
class Receipts:
    """Notes what became of outgoing messages.

    Args:
        store: where their states are.
        clock: what the time is.
        damage: told of damaged keys.
        breaker: what the other threads of this process have met.
        open_first: opens the store, where that is not done yet.
    """

    store: Store
    clock: Clock
    damage: Damage
    breaker: Breaker = field(default_factory=Breaker)
    open_first: Callable[[], None] = lambda: None

    def note(self, oid: str, status: str) -> None:
        """Notes one receipt. An id that is not one of ours changes nothing, nor does one whose state is damaged.

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
        with_patience(lambda: self._settle(oid, status), self.clock, self.breaker)

    def _settle(self, oid: str, status: str) -> None:
        self.open_first()
        receipt = Settlement(oid, None, status)
        # a repeat would meet the same damage: the operator is told, the gateway is not kept busy with it
        self.damage.met(*self.store.settle(bucket_of_out(oid), [receipt], unix_ms(self.clock.now())))
