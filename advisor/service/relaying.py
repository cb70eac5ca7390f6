"""Applies to one grower what a message of another has decided: late by a moment, never lost or doubled.

The second commit remembers the effect's id in the target's bucket; only then is the relay taken away, so a
crash between the two applies it again under the same id, which changes nothing.
"""

from __future__ import annotations

import logging
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

import msgspec
from msgspec.structs import replace

from advisor.dialogue.talk import Tell
from advisor.records.grower import Grower, Value
from advisor.records.several import all_of, bags_of, place_in_hand, takes_up
from advisor.service.clock import Clock, unix_ms
from advisor.service.damage import Damage
from advisor.service.figures import Bands, figure_changes
from advisor.service.gauging import with_reading
from advisor.service.identity import Ids
from advisor.service.journal import log_event, place_of
from advisor.service.outgoing import Parcel, answer
from advisor.service.stored import from_bytes, to_bytes
from advisor.service.talking import Dialogues
from advisor.store.api import (
    Change,
    Conflict,
    Out,
    Relay,
    Store,
    StoreDamaged,
    StoreUnavailable,
    Waiting,
)
from advisor.store.names import bucket_of

RELAYS_MOST = 100
#: What an agent recorded is told among the alerts, and of no use to the grower after some days.
ALERT_LANE = 1
ALERT_LIFE_MS = timedelta(days=3) // timedelta(milliseconds=1)
#: An agent's list goes among the answers; it is of the morning on which it was asked for.
LIST_LIFE_MS = timedelta(hours=12) // timedelta(milliseconds=1)
#: Against whoever writes to the target meanwhile; what is not applied then waits for the next round.
CONFLICT_TRIES = 5


class Told(msgspec.Struct, frozen=True):
    """The body of a relay: facts that somebody else has learnt of the target.

    Args:
        facts: names and values.
        learnt_ms: when they were learnt, Unix milliseconds.
        gone: the target is a number whose grower was erased: it points to nobody now and wants no messages.
        by: key of the agent who recorded the facts, empty for the grower's own. It is kept beside each fact.
        forgets: facts that no longer hold with these.
        screen: the screen that tells the grower so, empty for none.
        values: what that screen may name.
        points_to: the target is a number that points to this grower from now on; what was open there is over.
        bag: number of the bag of seed that the facts are about, 0 for the one in hand.
        visits: the target is an agent, who wants the list of visits.
    """

    facts: dict[str, Value]
    learnt_ms: int
    gone: bool = False
    points_to: str = ""
    by: str = ""
    forgets: tuple[str, ...] = ()
    screen: str = ""
    values: dict[str, Value] = {}
    bag: int = 0
    visits: bool = False


def visits_wanted(agent: str, at_ms: int) -> bytes:
    """The body of a relay for an agent who wants the list of visits.

    Args:
        agent: key of the agent.
        at_ms: when it was asked for, Unix milliseconds.
    """
    return msgspec.json.encode(Told({}, at_ms, by=agent, visits=True))


def telling(tell: Tell, agent: str, at_ms: int) -> bytes:
    """The body of a relay for what an agent records.

    Args:
        tell: what, and of whom.
        agent: key of the agent.
        at_ms: when, Unix milliseconds.
    """
    told_of = Told(
        dict(tell.facts),
        at_ms,
        by=agent,
        forgets=tell.forgets,
        screen=tell.screen,
        values=dict(tell.values),
        bag=tell.bag,
    )
    return msgspec.json.encode(told_of)


def gone_relays(grower: str, numbers: Iterable[str], cause: str) -> tuple[Relay, ...]:
    """What an erase tells the buckets of numbers that pointed to the grower from elsewhere.

    Args:
        grower: id of the grower.
        numbers: hashes of the numbers.
        cause: what makes this erase this one, for the ids of the effects.

    >>> gone_relays("0f3a9c5500112233", ["0f00000000000001"], "m1")
    ()
    >>> gone_relays("0f3a9c5500112233", ["1f00000000000001"], "m1")[0].target
    '1f00000000000001'
    """
    body = msgspec.json.encode(Told({}, 0, gone=True))
    elsewhere = (number for number in numbers if bucket_of(number) != bucket_of(grower))
    return tuple(Relay(f"gone-{number}-{cause}", number, body) for number in elsewhere)


@dataclass(frozen=True, slots=True)
class Relaying:
    """Applies waiting relays.

    Args:
        store: where they wait.
        clock: what the time is.
        bands: edges for the village figures of the target.
        damage: told of damaged keys.
        retention: for how long a record is kept of which nothing is heard.
        current: the dialogues in which a grower is told what an agent recorded, None where nobody is told.
        ids: derives the ids of these messages.
        makes_lists: whether this process goes over all growers for an agent's list; else another one does.
    """

    store: Store
    clock: Clock
    bands: Bands
    damage: Damage
    retention: timedelta = timedelta(days=730)
    current: Callable[[], Dialogues] | None = None
    ids: Ids | None = None
    makes_lists: bool = True

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
        if not self.makes_lists and msgspec.json.decode(waiting.body, type=Told).visits:
            return False
        for _ in range(CONFLICT_TRIES):
            version, value = self.store.value(waiting.target)
            change = self._change(waiting, version, value)
            if change is None:
                return True
            if not isinstance(self.store.commit(change), Conflict):
                log_event("relay", outcome="applied")
                return True
        return False

    def _change(self, waiting: Waiting, version: int, value: bytes | None) -> Change | None:
        body, at_ms = msgspec.json.decode(waiting.body, type=Told), unix_ms(self.clock.now())
        if body.gone:
            pointer, stop = (waiting.target, None), (waiting.target, True)
            return Change(
                waiting.target, version, value, at_ms, applied=waiting.effect, pointer=pointer, stop=stop
            )
        if "rain.mm" in body.facts:
            read = with_reading(value, body.facts, body.by)
            idle_ms = at_ms + self.retention // timedelta(milliseconds=1)
            return (
                None
                if read is None
                else Change(waiting.target, version, read, at_ms, applied=waiting.effect, idle_ms=idle_ms)
            )
        stored = from_bytes(value)
        if body.visits:
            outs = self._list(waiting, body, stored.record, at_ms)
            return Change(waiting.target, version, value, at_ms, applied=waiting.effect, outs=outs, heard=False)
        if body.points_to:
            # a record that came about meanwhile is no conversation, nor is that of a grower who moves back
            kept = value if stored.record.agreed is not None else None
            points = (waiting.target, None if body.points_to == waiting.target else body.points_to)
            heard = kept is None
            return Change(
                waiting.target, version, kept, at_ms, applied=waiting.effect, pointer=points, heard=heard
            )
        record = told(stored.record, body)
        if record == stored.record:
            return None
        return Change(
            grower=waiting.target,
            version=version,
            value=to_bytes(replace(stored, record=record)),
            at_ms=at_ms,
            applied=waiting.effect,
            counts=figure_changes(stored.record, record, self.bands),
            idle_ms=at_ms + self.retention // timedelta(milliseconds=1),
            outs=self._outs(waiting, body, record, at_ms),
        )

    def _list(self, waiting: Waiting, body: Told, record: Grower, at_ms: int) -> tuple[Out, ...]:
        """The list of visits for an agent who asked for it; it is an answer, so that a stop does not hold it."""
        if self.current is None or self.ids is None or record.agreed is None:
            return ()
        dialogues = self.current()
        agent = next((agent for agent in dialogues.agents.values() if agent.key == body.by), None)
        if agent is None:
            return ()
        pages = dialogues.visit_list(self.store, self.clock, agent, _language_of(record, dialogues))
        oids = [self.ids.outgoing(waiting.target, (waiting.effect, "visits"), at) for at in range(len(pages))]
        to = "" if record.stopped is not None else self.ids.number(record.number)
        return answer(oids, pages, record.number, to=to, made_ms=at_ms, life_ms=LIST_LIFE_MS)

    def _outs(self, waiting: Waiting, body: Told, record: Grower, at_ms: int) -> tuple[Out, ...]:
        """The message that says what was recorded; none for who wants no messages."""
        if self.current is None or self.ids is None or not body.screen or record.stopped is not None:
            return ()
        dialogues = self.current()
        pages = dialogues.told_text(body.screen, body.values, _language_of(record, dialogues), self.clock.now())
        return tuple(
            Out(
                oid=self.ids.outgoing(waiting.target, (waiting.effect, body.screen), at),
                lane=ALERT_LANE,
                not_before_ms=at_ms + at,
                expires_ms=at_ms + ALERT_LIFE_MS,
                body=msgspec.json.encode(Parcel(record.number, page)),
                to=self.ids.number(record.number),
            )
            for at, page in enumerate(pages)
        )


def _language_of(record: Grower, dialogues: Dialogues) -> str:
    spoken = record.fact("grower.language")
    return str(spoken.value) if spoken and spoken.value in dialogues.languages else dialogues.language


def told(record: Grower, told_of: Told) -> Grower:
    """The record with the relayed facts; one that has not agreed keeps none, a later fact is not overwritten.

    Args:
        record: what is known of the target.
        told_of: what was learnt elsewhere.
    """
    if record.agreed is None:
        return record
    if not told_of.bag:
        return _with_facts(record, told_of)
    numbers, in_hand = bags_of(record), place_in_hand(record, "lot")
    if told_of.bag not in numbers:
        return record  # the grower keeps it no more
    place = numbers.index(told_of.bag)
    if place == in_hand:
        return _with_facts(record, told_of)
    after = _with_facts(takes_up(record, "lot", place), told_of)
    # a bag of which nothing is known is not kept aside
    return takes_up(after, "lot", in_hand) if all_of(record, "lot")[in_hand] else after


def _with_facts(record: Grower, told_of: Told) -> Grower:
    learnt = datetime(1970, 1, 1, tzinfo=UTC) + timedelta(milliseconds=told_of.learnt_ms)
    if told_of.by and any((known := record.fact(name)) and known.learnt > learnt for name in told_of.facts):
        return record  # the grower has said something since; half of what the agent knew would be neither
    if told_of.by and all(_is_told(record, name, value, told_of.by) for name, value in told_of.facts.items()):
        return record  # the agent went back and said yes once more
    record = record.forgets(told_of.forgets)
    for name, value in told_of.facts.items():
        known = record.fact(name)
        if known is None or known.learnt < learnt:
            record = record.knows(name, value, learnt)
            if told_of.by:
                record = record.knows(f"{name}_by", told_of.by, learnt)
    return record


def _is_told(record: Grower, name: str, value: Value, by: str) -> bool:
    known, who = record.fact(name), record.fact(f"{name}_by")
    return (
        known is not None and who is not None and (known.value, who.value, who.learnt) == (value, by, known.learnt)
    )
