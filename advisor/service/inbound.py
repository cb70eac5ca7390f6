"""A message comes in: read, decide, commit. Two trips to the store, and a repeat changes nothing."""

from __future__ import annotations

import itertools
import logging
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime, timedelta

from msgspec import Struct
from msgspec.structs import replace

from advisor.dialogue.talk import Effect, Outcome, Reply, Session
from advisor.service import contention
from advisor.service.breaker import Breaker
from advisor.service.caring import VEILED_BODY, Caring
from advisor.service.changing import UNCONSENTED_LIFE, Decided, Message, change_of, reply_to
from advisor.service.clock import Clock, unix_ms
from advisor.service.damage import Damage
from advisor.service.errors import Busy, MessageRefused, OtherBody, Stumbled
from advisor.service.identity import Ids
from advisor.service.journal import log_event, place_of
from advisor.service.meter import Meter, NoMeter
from advisor.service.patience import with_patience
from advisor.service.stored import Stored, from_bytes
from advisor.service.talking import Dialogues
from advisor.store.api import (
    Change,
    Committed,
    Conflict,
    Reading,
    Remembered,
    Store,
    StoreDamaged,
    StoreUnavailable,
)
from advisor.store.names import bucket_of

STUMBLES = 3

NOTHING = Outcome(None, Reply("", open=False))


class Answer(Struct, frozen=True):
    """What the gateway is told.

    Args:
        body: JSON, the same again for a repeat of the message.
        outcome: one word for logs and figures: ``moved``, ``repeated``, ``stale`` or ``parked``.
    """

    body: bytes
    outcome: str


@dataclass(frozen=True, slots=True)
class Inbound:
    """Takes inbound messages.

    Args:
        current: the dialogues that decide now, asked anew for each step; a demonstration changes them.
        store: what remembers.
        clock: what the time is.
        ids: derives ids.
        memory: for how long a message id is remembered; an older message changes nothing.
        damage: told of damaged keys.
        meter: counts.
        nudge: told the bucket after a commit that put something into its outbox.
        watch: told number, effects and book of each committed step; the demonstration shows them to authors.
        breaker: what the other threads of this process have met.
        open_first: opens the store, where that is not done yet.
        caring: judges PINs and finds growers for agents, None where no agent works by phone.
    """

    current: Callable[[], Dialogues]
    store: Store
    clock: Clock
    ids: Ids
    memory: timedelta
    damage: Damage
    meter: Meter = field(default_factory=NoMeter)
    nudge: Callable[[int], None] = lambda _bucket: None
    watch: Callable[[str, tuple[Effect, ...], str], None] = lambda _number, _effects, _book: None
    breaker: Breaker = field(default_factory=Breaker)
    open_first: Callable[[], None] = lambda: None
    caring: Caring | None = None

    def take(self, message: Message) -> Answer:
        """Takes one message.

        Raises:
            OtherBody: its id was used before with another body.
            Busy: the store did not take it in time, or others kept writing to the same grower.
            Stumbled: a fault of ours; the session is as it was.
        """
        started_s = self.clock.monotonic_s()
        try:
            answer = with_patience(lambda: self._settled(message), self.clock, self.breaker)
        except MessageRefused as refused:
            self._note(message, type(refused).__name__.lower(), started_s)
            raise
        except Exception:
            self._note(message, "fault", started_s)
            raise
        self._note(message, answer.outcome, started_s)
        return answer

    def _settled(self, message: Message) -> Answer:
        self.open_first()
        try:
            return self._moved(message)
        except StoreDamaged as error:
            self.damage.met(error.key)
            return self._past_damage(message, error)

    def _moved(self, message: Message) -> Answer:
        """Reads and decides again while somebody else writes first, for a second in all."""
        begun_s = self.clock.monotonic_s()
        for tries in itertools.count(1):
            answer = self._tried(message)
            if answer is not None:
                return answer
            self.meter.conflict()
            pause_s = contention.pause_s(self.ids.message(message.number, message.id), tries)
            if self.clock.monotonic_s() - begun_s + pause_s > contention.BUDGET_S:
                break
            self.clock.wait(pause_s)
        raise Busy(1)

    def _tried(self, message: Message) -> Answer | None:
        now, hashed = self.clock.now(), self.ids.message(message.number, message.id)
        reading = self.store.read(self.ids.number(message.number), hashed)
        if reading.remembered is not None:
            return self._repeated(message, reading.remembered)
        if now - message.at > self.memory or self._may_be_forgotten(message, reading, now):
            return Answer(reply_to(message, NOTHING), "stale")
        dialogues = self.current()
        outcome, change, word = self._decided(message, hashed, reading, now, dialogues)
        verdict = self.store.commit(change)
        match verdict:
            case Conflict():
                return None
            case Remembered():
                return self._repeated(message, verdict)
            case Committed():
                self.watch(message.number, outcome.effects, dialogues.fingerprint)
                if change.outs:
                    self.nudge(bucket_of(change.grower))
                return Answer(change.reply or reply_to(message, outcome), word)

    def _may_be_forgotten(self, message: Message, reading: Reading, now: datetime) -> bool:
        """Whether it may have been answered and forgotten: before consent ids are kept for an hour only."""
        if now - message.at <= UNCONSENTED_LIFE:
            return False
        try:
            agreed = from_bytes(reading.value).record.agreed
        except Exception:
            return False  # what cannot be read is dealt with where the step is decided
        return agreed is None or message.at < agreed

    def _repeated(self, message: Message, remembered: Remembered) -> Answer:
        # of a message that was veiled nothing is kept, its digest neither
        if remembered.digest not in (self.ids.digest(message.body), self.ids.digest(VEILED_BODY)):
            raise OtherBody
        # an erase has taken the reply away
        return Answer(remembered.reply or reply_to(message, NOTHING), "repeated")

    def _decided(
        self, message: Message, hashed: str, reading: Reading, now: datetime, dialogues: Dialogues
    ) -> tuple[Outcome, Change, str]:
        before = Stored()
        try:
            before = self._open(from_bytes(reading.value), now)
            event = message.event
            if self.caring is not None:
                event, message, before = self.caring.veiled(message, before, dialogues, now)
            outcome = dialogues.step(before.session, before.record, event, now)
            change = change_of(reading, before, Decided(message, hashed, outcome, now), self.ids, dialogues)
        except (StoreUnavailable, StoreDamaged):
            raise
        except Exception as error:
            outcome, change = self._stumbled(message, hashed, reading, before, error, now, dialogues)
            return outcome, change, "parked"
        return outcome, change, "moved"

    def _open(self, stored: Stored, now: datetime) -> Stored:
        """What is still there: an unconsented session that lapsed may wait for the sweep, but is over."""
        session = stored.session
        if stored.record.agreed is None and session is not None and session.until <= now:
            return replace(stored, session=None)
        return stored

    def _stumbled(
        self,
        message: Message,
        hashed: str,
        reading: Reading,
        before: Stored,
        error: Exception,
        now: datetime,
        dialogues: Dialogues,
    ) -> tuple[Outcome, Change]:
        """Twice the gateway may try again; the third time the grower is told to, and the id is parked."""
        self._give_up_late(self.store.stumble(reading.grower, hashed), error)
        outcome = _try_later(before.session, dialogues)
        change = change_of(reading, before, Decided(message, hashed, outcome, now), self.ids, dialogues)
        self.store.park(reading.grower, hashed, change.at_ms)
        # the value stays byte for byte, even one that this version could not read; one that must lapse still does
        unread = before == Stored() and reading.value is not None
        lapses = before.record.agreed is None and reading.value is not None and not unread
        lapses_ms = unix_ms(now + UNCONSENTED_LIFE) if lapses else None
        return outcome, replace(change, value=reading.value, lapses_ms=lapses_ms)

    def _past_damage(self, message: Message, error: StoreDamaged) -> Answer:
        """As for any fault, but nothing can be committed: an SMS is taken and gets no reply."""
        grower = self.ids.number(message.number)
        hashed = self.ids.message(message.number, message.id)
        try:
            times = self.store.stumble(grower, hashed)
        except StoreDamaged as other:
            self.damage.met(other.key)
            times = STUMBLES
        self._give_up_late(times, error)
        try:
            self.store.park(grower, hashed, unix_ms(self.clock.now()))
        except StoreDamaged as other:
            self.damage.met(other.key)
        return Answer(reply_to(message, _try_later(None, self.current())), "parked")

    def _give_up_late(self, times: int, error: Exception) -> None:
        """Notes one more failure; raises while the gateway may still try again."""
        log_event("stumble", level=logging.ERROR, fault=type(error).__name__, place=place_of(error), times=times)
        if times < STUMBLES:
            raise Stumbled(times) from error

    def _note(self, message: Message, outcome: str, started_s: float) -> None:
        seconds = self.clock.monotonic_s() - started_s
        self.meter.message(message.channel, message.kind.value, outcome, seconds)
        log_event(
            "message", channel=message.channel, kind=message.kind.value, outcome=outcome, ms=round(seconds * 1000)
        )


def _try_later(session: Session | None, dialogues: Dialogues) -> Outcome:
    language = session.language if session is not None else dialogues.language
    return Outcome(session, Reply(dialogues.try_later(language), open=False))
