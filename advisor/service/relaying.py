"""Applies to one grower what a message of another has decided: late by a moment, never lost or doubled.

The second commit remembers the effect's id in the target's bucket; only then is the relay taken away, so a
crash between the two applies it again under the same id, which changes nothing.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta

import msgspec

from advisor.records.grower import Grower, Value
from advisor.service.clock import Clock, unix_ms
from advisor.service.figures import Bands, figure_changes
from advisor.service.inbound import CONFLICT_TRIES
from advisor.service.journal import log_event
from advisor.service.stored import from_bytes, to_bytes
from advisor.store.api import Change, Conflict, Store, Waiting

RELAYS_MOST = 100


class Told(msgspec.Struct, frozen=True):
    """The body of a relay: facts that somebody else has learnt of the target.

    Args:
        facts: names and values.
        learnt_ms: when they were learnt, Unix milliseconds.
    """

    facts: dict[str, Value]
    learnt_ms: int


@dataclass(frozen=True, slots=True)
class Relaying:
    """Applies waiting relays.

    Args:
        store: where they wait.
        clock: what the time is.
        bands: edges for the village figures of the target.
    """

    store: Store
    clock: Clock
    bands: Bands

    def apply_waiting(self, bucket: int) -> int:
        """Applies what waits in a bucket; returns how many relays are done with."""
        done = 0
        for waiting in self.store.relays(bucket, RELAYS_MOST):
            if self._applied(waiting):
                self.store.relay_done(bucket, waiting.effect)
                done += 1
        return done

    def _applied(self, waiting: Waiting) -> bool:
        for _ in range(CONFLICT_TRIES):
            version, value = self.store.value(waiting.target)
            stored = from_bytes(value)
            record = told(stored.record, msgspec.json.decode(waiting.body, type=Told))
            if record == stored.record:
                return True
            change = Change(
                grower=waiting.target,
                version=version,
                value=to_bytes(replace(stored, record=record)),
                at_ms=unix_ms(self.clock.now()),
                applied=waiting.effect,
                counts=figure_changes(stored.record, record, self.bands),
            )
            if not isinstance(self.store.commit(change), Conflict):
                log_event("relay", outcome="applied")
                return True
        return False


def told(record: Grower, told_of: Told) -> Grower:
    """The record with the relayed facts; one that has not agreed keeps none, a later fact is not overwritten.

    Args:
        record: what is known of the target.
        told_of: what was learnt elsewhere.
    """
    if record.agreed is None:
        return record
    learnt = datetime(1970, 1, 1, tzinfo=UTC) + timedelta(milliseconds=told_of.learnt_ms)
    for name, value in told_of.facts.items():
        known = record.fact(name)
        if known is None or known.learnt < learnt:
            record = record.knows(name, value, learnt)
    return record
