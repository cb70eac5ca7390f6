"""The rounds that are under way: planned and made by every process that hands messages over, side by side."""

from __future__ import annotations

import logging
import threading
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime, timedelta

from advisor.agronomy.errors import DataFault
from advisor.campaign.deciding import Running
from advisor.campaign.quiet import Quiet
from advisor.campaign.reading import read_round
from advisor.service.agent_notes import AgentNotes
from advisor.service.clock import Clock, unix_ms
from advisor.service.damage import Damage
from advisor.service.journal import log_event, place_of
from advisor.service.onsets import Onsets
from advisor.service.planning import Planner
from advisor.service.ticking import MOST, Ticker
from advisor.store.api import BUCKETS, RoundRow, RoundState, Store, StoreDamaged, StoreUnavailable

_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
#: For so long one go plans, and for so long it makes messages: neither keeps the other waiting.
GO_S = 1.0


@dataclass(slots=True)
class Campaigns:
    """Goes over the rounds that are running.

    Args:
        store: where they are.
        clock: what the time is.
        planner: puts growers into due lists.
        ticker: makes the messages of who is due.
        damage: told of damaged keys.
        quiet: when nothing is sent.
        languages: languages of the programme.
        first: the bucket to begin with; processes that begin elsewhere get less into each other's way.
        pause_s: seconds between goes in which there was nothing to do.
        onsets: says where the rains have begun, None where no gauge is looked at.
        notes: tells agents of rounds, None where nobody tells them.
    """

    store: Store
    clock: Clock
    planner: Planner
    ticker: Ticker
    damage: Damage
    quiet: Quiet
    languages: tuple[str, ...]
    first: int = 0
    pause_s: float = 1.0
    onsets: Onsets | None = None
    notes: AgentNotes | None = None
    _read: dict[RoundRow, Running | None] = field(default_factory=dict)

    def go_over(self) -> int:
        """Makes messages of who is due and plans on, each for `GO_S` at most; trouble in a bucket holds no other.

        Returns:
            How many growers it looked at.

        Raises:
            StoreUnavailable: the store does not answer.
        """
        under_way = {running.round.key: running for running in self._running()}
        if not under_way:
            return 0
        if self.notes is not None:
            self.notes.tell(tuple(under_way.values()))
        return self._tick(under_way) + self._plan(under_way)

    def run(self, stopping: threading.Event) -> None:
        """Goes over them until told to stop; trouble with the store is waited out."""
        while not stopping.is_set():
            try:
                if self.go_over():
                    continue
            except StoreUnavailable as error:
                log_event("campaigns", level=logging.WARNING, outcome="store_unavailable", what=error.what)
            except StoreDamaged as error:
                self.damage.met(error.key)
            except Exception as error:  # as for rounds over the outbox: a loop that dies would stop every round
                fault = type(error).__name__
                log_event("campaigns", level=logging.ERROR, outcome="fault", fault=fault, place=place_of(error))
            stopping.wait(self.pause_s)

    def _tick(self, under_way: dict[str, Running]) -> int:
        until_s, done = self.clock.monotonic_s() + GO_S, 0
        found, damaged = self.store.due_in(tuple(under_way), unix_ms(self.clock.now()))
        self.damage.met(*damaged)
        for key, bucket in sorted(found, key=lambda place: (place[1] - self.first) % BUCKETS):
            while self.clock.monotonic_s() < until_s:
                try:
                    taken = self.ticker.tick(under_way[key], bucket)
                except StoreDamaged as error:
                    self.damage.met(error.key)
                    break
                done += taken
                if taken < MOST:
                    break  # nobody else is due, or there is no room for more
        return done

    def _plan(self, under_way: dict[str, Running]) -> int:
        until_s, done = self.clock.monotonic_s() + GO_S, 0
        due = [running for running in under_way.values() if self.planner.may_plan(running)]
        for turn in range(BUCKETS) if due else ():
            for running in due:
                if self.clock.monotonic_s() >= until_s:
                    return done
                try:
                    done += self.planner.plan(running, (self.first + turn) % BUCKETS, until_s)
                except StoreDamaged as error:
                    self.damage.met(error.key)
        return done

    def _running(self) -> list[Running]:
        rows = [row for row in self.store.rounds() if row.state is RoundState.RUNNING]
        for row in rows:
            if row not in self._read:
                self._read[row] = self.running(row)
            running = self._read[row]
            self._read[row] = None if running is None else self.with_rains(running)
        return [running for row in rows if (running := self._read[row]) is not None]

    def with_rains(self, running: Running) -> Running:
        """A round with the rains as they are noted now; the same one where they are as they were."""
        if not running.round.hangs_on_rain or self.onsets is None:
            return running
        rains, since_ms = self.onsets.rains()
        if (running.rains, running.rains_ms) == (rains, since_ms):
            return running  # it remembers what it worked out
        return replace(running, rains=rains, rains_ms=since_ms)

    def running(self, row: RoundRow) -> Running | None:
        """A round as it is under way; None, and a line in the log, where its row cannot be read any more."""
        try:
            found = read_round(row.text.decode(), self.languages)
        except DataFault as fault:
            # the programme has languages now that the round was not written in
            log_event(
                "campaigns", level=logging.ERROR, round=row.key, outcome="unreadable", faults=len(fault.faults)
            )
            return None
        started = _EPOCH + timedelta(milliseconds=row.started_ms)
        return Running(replace(found, key=row.key), started, self.quiet, self.ticker.speech.slowed_by)
