"""An agent's PIN set or unlocked at the operator's word. It stands in the agent's record, as a slow keyed hash."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from msgspec.structs import replace

from advisor.agronomy.programme import Agent
from advisor.records.grower import Grower, Pin
from advisor.service.caring import new_mark
from advisor.service.clock import Clock, unix_ms
from advisor.service.erasing import TRIES
from advisor.service.errors import Busy
from advisor.service.identity import Ids
from advisor.service.journal import log_event
from advisor.service.stored import from_bytes, to_bytes
from advisor.store.api import Change, Committed, Store


class NoRecord(Exception):  # noqa: N818 - named for what is missing
    """Of the agent's phone nothing is kept, so that a PIN has no place; the text says what to do."""


@dataclass(frozen=True, slots=True)
class Pins:
    """Sets and unlocks PINs.

    Args:
        store: where the agents' records are.
        clock: what the time is.
        ids: hashes numbers and holds the secret.
    """

    store: Store
    clock: Clock
    ids: Ids

    def set(self, agent: Agent, pin: str) -> None:
        """Gives an agent a PIN in place of any before; the work is shut until it is typed.

        Raises:
            UnfitPin: it is too short or too easy.
            NoRecord: the agent has not agreed yet that a record is kept.
            Busy: the agent kept writing; nothing is changed.
        """
        mark = new_mark(pin, agent.key, self.ids.secret)
        self._change(agent, lambda _before: Pin(mark))
        log_event("pin", outcome="set", agent=agent.key)

    def unlock(self, agent: Agent) -> None:
        """Gives an agent five new tries with the same PIN.

        Raises:
            NoRecord: there is no PIN.
            Busy: the agent kept writing; nothing is changed.
        """

        def unlocked(before: Pin | None) -> Pin:
            if before is None:
                raise NoRecord("this agent has no PIN: set one with `advisor agents pin`")
            return Pin(before.mark)

        self._change(agent, unlocked)
        log_event("pin", outcome="unlocked", agent=agent.key)

    def record(self, agent: Agent) -> Grower:
        """What is kept of an agent's phone."""
        return from_bytes(
            self.store.read(self.ids.number(agent.number), self.ids.message(agent.number, "")).value
        ).record

    def _change(self, agent: Agent, changed: Callable[[Pin | None], Pin]) -> None:
        for _ in range(TRIES):
            reading = self.store.read(self.ids.number(agent.number), self.ids.message(agent.number, ""))
            stored = from_bytes(reading.value)
            if stored.record.agreed is None:
                raise NoRecord(
                    "nothing is kept of this agent's phone: let the agent call once and agree, then set the PIN"
                )
            after = replace(stored, record=replace(stored.record, pin=changed(stored.record.pin)))
            at_ms = unix_ms(self.clock.now())
            change = Change(reading.grower, reading.version, to_bytes(after), at_ms, heard=False)
            if isinstance(self.store.commit(change), Committed):
                return
        raise Busy(1)
