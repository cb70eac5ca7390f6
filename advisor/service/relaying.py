"""Applies to one grower what a message of another has decided: late by a moment, never lost or doubled.

The second commit remembers the effect's id in the target's bucket; only then is the relay taken away, so a
crash between the two applies it again under the same id, which changes nothing.
"""

from __future__ import annotations

import logging
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta

import msgspec

from advisor.records.grower import Grower, Value
from advisor.service.clock import Clock, unix_ms
from advisor.service.damage import Damage
from advisor.service.figures import Bands, figure_changes
from advisor.service.journal import log_event, place_of
from advisor.service.stored import from_bytes, to_bytes
from advisor.store.api import Change, Conflict, Store, StoreDamaged, StoreUnavailable, Waiting

RELAYS_MOST = 100
#: Against whoever writes to the target meanwhile; what is not applied then waits for the next round.
CONFLICT_TRIES = 5


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
        damage: told of damaged keys.
    """

    store: Store
    clock: Clock
    bands: Bands
    damage: Damage

    def apply_waiting(self, bucket: int) -> int:
        """Applies what waits in a bucket; one that cannot be applied stays, and holds no other back.

        Returns:
            How many relays are done with.
        """
        return sum(self._done(bucket, waiting) for waiting in self.store.relays(bucket, RELAYS_MOST))

    def _done(self, bucket: int, waiting: Waiting) -> bool:
        try:
            if not self._applied(waiting):
                return False
            self.store.relay_done(bucket, waiting.effect)
        except StoreUnavailable:
            raise
        except StoreDamaged as error:
            self.damage.met(error.key)
            return False
        except Exception as error:
            fault, place = type(error).__name__, place_of(error)
            log_event("relay", level=logging.ERROR, effect=waiting.effect, fault=fault, place=place)
            return False
        return True

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
