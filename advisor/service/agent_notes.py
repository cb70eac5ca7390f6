"""Tells agents what a round does with the growers in their care: one SMS with how many they are, once.

Who was told is marked in the agent's own record, in the commit of the message, as a grower's steps are.
"""

from __future__ import annotations

import logging
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta

import msgspec
from msgspec.structs import replace

from advisor.agronomy.programme import Agent
from advisor.campaign.deciding import Running
from advisor.campaign.reading import DAY, GROWERS
from advisor.campaign.rounds import AgentNote, LateStart
from advisor.dialogue.held import LANGUAGE
from advisor.records.grower import Grower
from advisor.service.caring import is_in_care
from advisor.service.clock import Clock, unix_ms
from advisor.service.damage import Damage
from advisor.service.identity import Ids
from advisor.service.journal import log_event, place_of
from advisor.service.outgoing import Parcel
from advisor.service.speaking import Speech
from advisor.service.stored import Stored, from_bytes, to_bytes
from advisor.store.api import BUCKETS, ROUNDS, Change, Out, Reading, Store, StoreDamaged, StoreUnavailable
from advisor.store.keys import outgoing_id

#: From the beginning of one look to the next.
LOOK = timedelta(minutes=1)
#: Growers a trip.
STEP = 500


@dataclass(frozen=True, slots=True)
class Due:
    """A note that is of use now.

    Args:
        running: its round.
        note: the note.
        zone: the zone that it is about, empty where it is about none.
        mark: what says that an agent was told.
        day: the day that it may name.
        until: the last moment at which it is of use.
    """

    running: Running
    note: AgentNote
    zone: str
    mark: str
    day: date
    until: datetime

    @property
    def kept_in(self) -> str:
        """Beside the agent's own steps, since an agent may be a grower of the same round."""
        return f"{self.running.round.key}@agents"


@dataclass(slots=True)
class AgentNotes:
    """Looks once a minute whether agents are to be told something; growers are gone over only where they are.

    Args:
        store: where growers and agents are.
        clock: what the time is.
        ids: derives hashes of numbers.
        damage: told of damaged keys.
        agents: the agents of the programme.
        language: language of an agent who has not chosen one.
        speech: how it speaks.
    """

    store: Store
    clock: Clock
    ids: Ids
    damage: Damage
    agents: tuple[Agent, ...]
    language: str
    speech: Speech = field(default_factory=Speech)
    _looked: dict[tuple[str, int], datetime] = field(default_factory=dict)

    def tell(self, under_way: Sequence[Running]) -> int:
        """Queues what agents are to be told.

        Args:
            under_way: the rounds that are running.

        Returns:
            How many messages it made. Agents who have not agreed, or want no messages, are told nothing.
        """
        now = self.clock.now()
        dues = [due for running in under_way if self._is_time(running, now) for due in _dues(running, now)]
        waiting = [(agent, todo) for agent in self.agents if (todo := self._todo(agent, dues))] if dues else []
        if not waiting:
            return 0
        counts = self._counts([agent for agent, _ in waiting], dues, now)
        return sum(self._told(agent, counts, dues, now) for agent, _ in waiting)

    def _is_time(self, running: Running, now: datetime) -> bool:
        if not running.round.notes:
            return False
        # what is new of the rain is told at once
        key = running.round.key, running.rains_ms
        looked = self._looked.get(key)
        if looked is not None and abs(now - looked) < LOOK:
            return False
        self._looked[key] = now
        return True

    def _todo(self, agent: Agent, dues: Iterable[Due]) -> list[Due]:
        found = self._stands(agent)
        return [] if found is None else _not_told(found[1].record, dues)

    def _stands(self, agent: Agent) -> tuple[Reading, Stored] | None:
        """What is kept of an agent; None where it cannot be read, which keeps neither others nor the rounds."""
        try:
            reading = self.store.read(self.ids.number(agent.number), self.ids.message(agent.number, ""))
            return reading, from_bytes(reading.value)
        except StoreUnavailable:
            raise
        except StoreDamaged as error:
            self.damage.met(error.key)
        except Exception as error:
            log_event("notes", level=logging.ERROR, agent=agent.key, place=place_of(error))
        return None

    def _counts(
        self, agents: Sequence[Agent], dues: Sequence[Due], now: datetime
    ) -> Counter[tuple[str, str, str]]:
        """How many growers of each agent each note is about, by agent, round and mark."""
        counts: Counter[tuple[str, str, str]] = Counter()
        for record in self._records():
            facts = self.speech.facts(record, now)
            about = [due for due in dues if due.running.is_about(due.note, due.zone, facts)]
            if about:
                mine = [agent.key for agent in agents if is_in_care(record, agent)]
                counts.update((key, due.kept_in, due.mark) for key in mine for due in about)
        return counts

    def _records(self) -> Iterator[Grower]:
        for bucket in range(BUCKETS):
            left = list(self.store.settled(bucket))
            for first in range(0, len(left), STEP):
                found = self.store.values(left[first : first + STEP])
                self.damage.met(*found.damaged)
                for valued in found.taken:
                    try:
                        record = from_bytes(valued.value).record
                    except Exception as error:
                        log_event("notes", level=logging.ERROR, grower=valued.grower, place=place_of(error))
                        continue
                    if self.speech.may_hear(record):
                        yield record

    def _told(
        self, agent: Agent, counts: Counter[tuple[str, str, str]], dues: Sequence[Due], now: datetime
    ) -> int:
        """Tells an agent, by what is kept now, since to count growers takes a while."""
        found = self._stands(agent)
        todo = [] if found is None else _not_told(found[1].record, dues)
        if found is None or not todo:
            return 0
        (reading, stored), outs = found, []
        record = stored.record
        for due in todo:
            record = record.passes(due.kept_in, (due.mark,))
            growers = counts[agent.key, due.kept_in, due.mark]
            if growers:
                outs.append(self._out(reading.grower, record, due, growers, now))
        change = Change(
            grower=reading.grower,
            version=reading.version,
            value=to_bytes(replace(stored, record=record)),
            at_ms=unix_ms(now),
            outs=tuple(outs),
            heard=False,
        )
        # who wrote meanwhile is told at the next look
        self.store.commit(change)
        return len(outs)

    def _out(self, grower: str, record: Grower, due: Due, growers: int, now: datetime) -> Out:
        known = record.fact(LANGUAGE)
        language = str(known.value) if known is not None else self.language
        text = due.note.text(language).replace(GROWERS, str(growers))
        text = text.replace(DAY, self.speech.day(language, due.day.isoformat()))
        return Out(
            oid=outgoing_id(grower, "agents", due.running.round.key, due.mark, ""),
            lane=ROUNDS,
            not_before_ms=unix_ms(now),
            expires_ms=unix_ms(due.until),
            body=msgspec.json.encode(Parcel(record.number, text)),
            to=self.ids.number(record.number),
        )


def _not_told(record: Grower, dues: Iterable[Due]) -> list[Due]:
    """What an agent is still to be told; nothing where she has not agreed or wants no messages."""
    if record.agreed is None or record.stopped is not None:
        return []
    return [due for due in dues if due.mark not in record.passed_in(due.kept_in)]


def _dues(running: Running, now: datetime) -> list[Due]:
    found = []
    zones = sorted({days.zone for _, days in running.rains})
    for note in running.round.notes:
        for zone in [""] if isinstance(note.on, LateStart) else zones:
            told = running.told(note, zone, now)
            if told is not None:
                found.append(Due(running, note, zone, *told))
    return found
