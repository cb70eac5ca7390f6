"""Takes growers who are due in a round, decides from what is known of each, commits message and next look in one.

A crash in between repeats the same decision once the lease ends: the message has the same id, and the grower's
value says what was done.
"""

from __future__ import annotations

import logging
from dataclasses import dataclass, field
from datetime import datetime

import msgspec
from msgspec.structs import replace

from advisor.campaign.deciding import Decision, Running, Window, next_step
from advisor.dialogue.unasked import BY_SMS
from advisor.records.grower import Grower
from advisor.records.several import bags_of, place_in_hand, takes_up
from advisor.service.clock import Clock, unix_ms
from advisor.service.damage import Damage
from advisor.service.figures import figure_changes
from advisor.service.identity import Ids
from advisor.service.journal import log_event, place_of
from advisor.service.outgoing import Parcel
from advisor.service.planning import look_ms
from advisor.service.speaking import Speech
from advisor.service.stored import Stored, from_bytes, to_bytes
from advisor.store.api import ROUNDS, Change, Out, Store, StoreDamaged, Valued
from advisor.store.keys import outgoing_id

#: Growers a lease.
MOST = 100
#: Longer than a reading and a commit of so many can take.
LEASE_MS = 30_000
#: So many messages of rounds may wait in a bucket to leave now: texts are made shortly before they leave, not a
#: million ahead.
ROOM = 200

#: The figures of a round: messages made, steps that came too late, steps that another took the place of,
#: growers put on the agent's list.
FIGURES = ("made", "late", "merged", "closed")
#: Says why a grower is on the agent's list; it goes with the lot that it is about.
CLOSED = "lot.closed"


@dataclass(frozen=True, slots=True)
class Ticker:
    """Makes the messages of rounds.

    Args:
        store: where growers and lists are.
        clock: what the time is.
        ids: derives hashes of numbers.
        damage: told of damaged keys.
        language: language of a grower who has not chosen one.
        speech: how it speaks.
    """

    store: Store
    clock: Clock
    ids: Ids
    damage: Damage
    language: str
    speech: Speech = field(default_factory=Speech)

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
            decision = self._decided(running, stored, now)
            key, after = running.round.key, stored
            marks = decision.marks
            if marks:
                after = replace(stored, record=_closed(stored.record.passes(key, marks), decision, now))
            outs: tuple[Out, ...] = ()
            if decision.send is not None:
                outs = (self._out(running, valued.grower, after.record, decision.send, now),)
                after = self._asked(after, decision.send, now)
        except Exception as error:
            log_event("due", level=logging.ERROR, grower=valued.grower, place=place_of(error))
            return None
        return Change(
            grower=valued.grower,
            version=valued.version,
            value=to_bytes(after) if marks else valued.value,
            at_ms=unix_ms(now),
            outs=outs,
            dues=((key, look_ms(decision.look_at, now)),),
            counts=figure_changes(stored.record, after.record, self.speech.bands) if self.speech.bands else (),
            tallies=tuple(
                (key, figure, count)
                for figure, count in zip(
                    FIGURES,
                    (len(outs), len(decision.late), len(decision.merged), len(decision.closed)),
                    strict=True,
                )
                if count
            ),
            heard=False,
        )

    def _out(self, running: Running, grower: str, record: Grower, window: Window, now: datetime) -> Out:
        key, text = running.round.key, self.speech.text(running, record, window, now, self.language)
        return Out(
            oid=outgoing_id(grower, "round", key, window.step.key, _which_time(window)),
            lane=ROUNDS,
            not_before_ms=unix_ms(now),
            expires_ms=unix_ms(window.until),
            body=msgspec.json.encode(Parcel(record.number, text)),
            to=self.ids.number(record.number),
            round=key,
        )

    def _decided(self, running: Running, stored: Stored, now: datetime) -> Decision:
        """The decision; nothing is to come for who has not agreed or wants no messages.

        Nobody is interrupted on a call by a question: it waits until the call is over or has lapsed, for as long
        as the question is of use.
        """
        record = stored.record
        if not self.speech.may_hear(record):
            return Decision()
        passed = record.passed_in(running.round.key)
        decision = next_step(running, self.speech.facts(record, now), passed, now)
        call, send = stored.session, decision.send
        if send is None or not send.step.asks or call is None or call.place == BY_SMS:
            return decision
        if now < call.until < send.until:
            return Decision(look_at=call.until)
        return decision

    def _asked(self, stored: Stored, window: Window, now: datetime) -> Stored:
        """With the question that a message asks open for its answer by SMS, and the bag in hand that it is of."""
        asks, record = window.step.asks, _with_bag(stored.record, window)
        session = self.speech.asks(record, asks, now) if asks else None
        return stored if session is None else Stored(record, session)


def _closed(record: Grower, decision: Decision, now: datetime) -> Grower:
    """The record with the reason for which its grower is on the agent's list, the last of several of each bag."""
    in_hand = place_in_hand(record, "lot")
    for window in decision.closed:
        record = _with_bag(record, window).knows(CLOSED, window.step.closes, now)
        record = takes_up(record, "lot", in_hand)
    return record


def _with_bag(record: Grower, window: Window) -> Grower:
    """The record with the bag of seed in hand that a step is about, so that what is answered is of that bag."""
    if not window.bags:
        return record
    return takes_up(record, "lot", bags_of(record).index(window.bags[0]))


def _which_time(window: Window) -> str:
    """Tells one message of a step from another; of the first bag as where there is but one."""
    return window.mark.removeprefix(window.step.key).removeprefix(".") or "0"
