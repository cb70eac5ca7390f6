"""Takes growers who are due in a round, decides from what is known of each, commits message and next look in one.

A crash in between repeats the same decision once the lease ends: the message has the same id, and the grower's
value says what was done.
"""

from __future__ import annotations

import logging
from dataclasses import dataclass, replace
from datetime import datetime

import msgspec

from advisor.campaign.deciding import Decision, Running, Window, next_step
from advisor.dialogue.held import LANGUAGE
from advisor.records.grower import Grower
from advisor.service.clock import Clock, unix_ms
from advisor.service.damage import Damage
from advisor.service.identity import Ids
from advisor.service.journal import log_event, place_of
from advisor.service.outgoing import Parcel
from advisor.service.planning import look_ms
from advisor.service.stored import from_bytes, to_bytes
from advisor.store.api import ROUNDS, Change, Out, Store, StoreDamaged, Valued
from advisor.store.keys import outgoing_id

#: Growers a lease.
MOST = 100
#: Longer than a reading and a commit of so many can take.
LEASE_MS = 30_000
#: So many messages of rounds may wait in a bucket to leave now: texts are made shortly before they leave, not a
#: million ahead.
ROOM = 200

#: The figures of a round: messages made, steps that came too late, steps that another took the place of.
FIGURES = ("made", "late", "merged")


@dataclass(frozen=True, slots=True)
class Ticker:
    """Makes the messages of rounds.

    Args:
        store: where growers and lists are.
        clock: what the time is.
        ids: derives hashes of numbers.
        damage: told of damaged keys.
        language: language of a grower who has not chosen one.
    """

    store: Store
    clock: Clock
    ids: Ids
    damage: Damage
    language: str

    def tick(self, running: Running, bucket: int) -> int:
        """Decides on growers of a bucket who are due.

        Returns:
            How many it took; 0 when nobody is due, the round is held, or enough waits to be handed over.

        Raises:
            StoreDamaged: the bucket's list cannot be read.
        """
        key, now_ms = running.round.key, unix_ms(self.clock.now())
        dues = self.store.claim_due(bucket, key, now_ms, LEASE_MS, MOST, ROOM)
        self.damage.met(*dues.damaged)
        changes = [Change(grower, 0, None, now_ms, dues=((key, None),)) for grower in dues.gone]
        changes += [change for valued in dues.taken if (change := self._change(running, valued)) is not None]
        for verdict in self.store.commit_all(changes):
            if isinstance(verdict, StoreDamaged):
                self.damage.met(verdict.key)
        # who wrote meanwhile is left to the end of the lease
        return len(dues.gone) + len(dues.taken) + len(dues.damaged)

    def _change(self, running: Running, valued: Valued) -> Change | None:
        """What becomes of a grower, None where the value cannot be read; that one comes again after each lease."""
        now = self.clock.now()
        try:
            stored = from_bytes(valued.value)
            decision = _decided(running, stored.record, now)
            key, record = running.round.key, stored.record
            if decision.marks:
                record = record.passes(key, decision.marks)
            outs = () if decision.send is None else (self._out(key, valued.grower, record, decision.send, now),)
        except Exception as error:
            log_event("due", level=logging.ERROR, grower=valued.grower, place=place_of(error))
            return None
        return Change(
            grower=valued.grower,
            version=valued.version,
            value=to_bytes(replace(stored, record=record)) if decision.marks else valued.value,
            at_ms=unix_ms(now),
            outs=outs,
            dues=((key, look_ms(decision.look_at, now)),),
            tallies=tuple(
                (key, figure, count)
                for figure, count in zip(
                    FIGURES, (len(outs), len(decision.late), len(decision.merged)), strict=True
                )
                if count
            ),
            heard=False,
        )

    def _out(self, key: str, grower: str, record: Grower, window: Window, now: datetime) -> Out:
        language = record.fact(LANGUAGE)
        text = window.step.text(str(language.value) if language is not None else self.language)
        return Out(
            oid=outgoing_id(grower, "round", key, window.step.key, str(window.occurrence)),
            lane=ROUNDS,
            not_before_ms=unix_ms(now),
            expires_ms=unix_ms(window.until),
            body=msgspec.json.encode(Parcel(record.number, text)),
            to=self.ids.number(record.number),
            round=key,
        )


def _decided(running: Running, record: Grower, now: datetime) -> Decision:
    """The decision; nothing is to come for who has not agreed or wants no messages."""
    if record.agreed is None or record.stopped is not None or not record.number:
        return Decision()
    facts = {fact.name: fact.value for fact in record.facts}
    return next_step(running, facts, record.passed_in(running.round.key), now)
