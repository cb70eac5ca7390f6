"""Erases growers without a message of theirs: at the operator's word, and those not heard of for too long."""

from __future__ import annotations

import logging
import secrets
from dataclasses import dataclass

from advisor.records.grower import Grower
from advisor.records.several import count_of_facts
from advisor.service.clock import Clock, unix_ms
from advisor.service.errors import Busy
from advisor.service.figures import Bands, figure_changes
from advisor.service.identity import Ids
from advisor.service.journal import log_event, place_of
from advisor.service.relaying import gone_relays
from advisor.service.stored import from_bytes
from advisor.store.api import Change, Committed, Idle, Store

#: Against a grower who writes meanwhile.
TRIES = 20


@dataclass(frozen=True, slots=True)
class Removed:
    """What an erase took away.

    Args:
        known: whether there was a record or an open conversation.
        facts: how many facts the record held.
        lines: how many lines of history there were.
    """

    known: bool
    facts: int
    lines: int


@dataclass(frozen=True, slots=True)
class Erasing:
    """Erases growers.

    Args:
        store: where they are.
        clock: what the time is.
        bands: edges for the village figures, which are counted down.
    """

    store: Store
    clock: Clock
    bands: Bands

    def at_the_operators_word(self, number: str, ids: Ids) -> Removed:
        """Erases whoever a number belongs to and puts the number on the do-not-contact list, known or not.

        Works while the service runs: it is one commit, tried again when the grower writes meanwhile.

        Args:
            number: E.164 number.
            ids: derives ids.

        Raises:
            Busy: the grower kept writing; nothing is changed.
            StoreUnavailable: the store does not answer; the same again does no harm.
            StoreDamaged: something of the grower cannot be read; nothing is changed.
        """
        hashed, cause = ids.number(number), secrets.token_hex(8)
        for _ in range(TRIES):
            reading = self.store.read(hashed, ids.message(number, cause))
            lines = len(self.store.history(reading.grower))
            stored = from_bytes(reading.value)
            change = Change(
                grower=reading.grower,
                version=reading.version,
                value=None,
                at_ms=unix_ms(self.clock.now()),
                forgets=True,
                counts=figure_changes(stored.record, Grower(), self.bands),
                relays=gone_relays(reading.grower, (hashed,), cause),
                stop=(hashed, True),
            )
            if isinstance(self.store.commit(change), Committed):
                log_event("erase", by="operator")
                return Removed(reading.value is not None, count_of_facts(stored.record), lines)
        raise Busy(1)

    def those_not_heard_of(self, bucket: int, most: int) -> int:
        """Erases growers of a bucket whose time is over; they may come again, so they are not put on the list.

        Returns:
            How many it erased. One who wrote meanwhile stays; one whose value cannot be read is logged and stays.
        """
        found = self.store.idle(bucket, unix_ms(self.clock.now()), most)
        return sum(self._let_go(idle) for idle in found)

    def _let_go(self, idle: Idle) -> bool:
        try:
            record = from_bytes(idle.value).record
        except Exception as error:
            log_event("erase", level=logging.ERROR, by="time", grower=idle.grower, place=place_of(error))
            return False
        change = Change(
            grower=idle.grower,
            version=idle.version,
            value=None,
            at_ms=unix_ms(self.clock.now()),
            forgets=True,
            counts=figure_changes(record, Grower(), self.bands),
        )
        if not isinstance(self.store.commit(change), Committed):
            return False
        log_event("erase", by="time")
        return True
