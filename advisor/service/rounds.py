"""What goes on without a message coming in: hand over, relay, let unconsented sessions lapse."""

from __future__ import annotations

import logging
import threading
from collections.abc import Callable
from dataclasses import dataclass, field
from functools import partial

from advisor.service.clock import Clock, unix_ms
from advisor.service.damage import Damage
from advisor.service.endings import Completing
from advisor.service.erasing import Erasing
from advisor.service.handing_over import HAND_OVER_S, HandingOver
from advisor.service.journal import log_event, place_of
from advisor.service.nudges import Nudges
from advisor.service.questions import OldQuestions
from advisor.service.relaying import Relaying
from advisor.service.sending import URGENT, Sender
from advisor.service.sound import Sound
from advisor.store.api import Store, StoreDamaged, StoreUnavailable

LAPSES_MOST = 500
#: Nobody waits for these, and each takes trips of its own.
ERASED_MOST = 50
#: After a nudge, so that all pages of one answer, a millisecond apart, are due.
GATHER_S = 0.05


@dataclass(frozen=True, slots=True)
class Rounds:
    """One round over the buckets that have work, and the loop around it.

    Args:
        store: what is gone over.
        clock: what the time is.
        relaying: applies relays.
        damage: told of damaged keys.
        sender: hands over messages, None where there is no gateway to hand them to.
        nudges: buckets into whose outbox this process has just put something; they are seen to between rounds.
        pause_s: seconds between rounds.
        old_questions: lets go of questions that nobody answered, None where nobody asks any.
        endings: completes the lists by which agents find growers, None where nobody looks.
        turn: held while it works in its loop; a demonstration holds it while its clock moves on.
    """

    store: Store
    clock: Clock
    relaying: Relaying
    damage: Damage
    sender: Sender | None = None
    nudges: Nudges = field(default_factory=Nudges)
    pause_s: float = 1.0
    old_questions: OldQuestions | None = None
    endings: Completing | None = None
    turn: threading.Lock = field(default_factory=threading.Lock)

    def go_over(self) -> int:
        """One round; what is wrong in one bucket holds no other back.

        Returns:
            How many outgoing messages were tried.

        Raises:
            StoreUnavailable: the store, or a part of it, did not answer; the rest is done.
        """
        busy = self.store.busy(self._now_ms())
        self.damage.met(*busy.damaged)
        sound = Sound(self.damage)
        for bucket in busy.relays:
            sound.counted("relays", self.relaying.apply_waiting, bucket)
        for bucket in busy.lapses:
            sound.counted("lapses", self._lapse, bucket)
        for bucket in busy.idle:
            sound.counted("idle", self._erase_idle, bucket)
        tried = HandingOver(self.store, self.clock, self.sender).go(busy, sound) if self.sender else 0
        if sound.away is not None:
            raise sound.away
        return tried

    def nudge(self, bucket: int) -> None:
        """Something was put into a bucket's outbox; where nobody hands over in this process it is left alone."""
        if self.sender is not None:
            self.nudges.give(bucket)

    def hand_over_nudged(self) -> int:
        """Hands over in the buckets that were named, without asking all others; raises as `go_over` does."""
        named = self.nudges.take()
        if self.sender is None or not named:
            return 0
        sound, until_s = Sound(self.damage), self.clock.monotonic_s() + HAND_OVER_S
        send_due = partial(self.sender.send_due, until_s=until_s, lanes=URGENT)
        tried = sum(sound.counted("outbox", send_due, bucket) for bucket in sorted(named))
        if sound.away is not None:
            raise sound.away
        return tried

    def run(self, stopping: threading.Event) -> None:
        """Goes round until told to stop; trouble with the store is waited out, other trouble is logged."""
        round_at_s = self.clock.monotonic_s() + self.pause_s
        while not stopping.is_set():
            left_s = min(max(round_at_s - self.clock.monotonic_s(), 0.0), self.pause_s)
            if self.nudges.wait(left_s):
                self.clock.wait(GATHER_S)
                if self.clock.monotonic_s() < round_at_s:
                    self._try(self.hand_over_nudged)
                    continue
            self._try(self.go_over)
            if self.old_questions is not None:
                self._try(self.old_questions.look)
            if self.endings is not None:
                self._try(self.endings.look)
            round_at_s = self.clock.monotonic_s() + self.pause_s

    def _try(self, work: Callable[[], int]) -> None:
        try:
            with self.turn:
                work()
        except StoreUnavailable as error:
            log_event("round", level=logging.WARNING, outcome="store_unavailable", what=error.what)
        except StoreDamaged as error:
            self.damage.met(error.key)
        except Exception as error:  # a round that dies would stop every message of everybody
            fault = type(error).__name__
            log_event("round", level=logging.ERROR, outcome="fault", fault=fault, place=place_of(error))

    def _lapse(self, bucket: int) -> int:
        return self.store.lapse(bucket, self._now_ms(), LAPSES_MOST)

    def _erase_idle(self, bucket: int) -> int:
        return Erasing(self.store, self.clock, self.relaying.bands).those_not_heard_of(bucket, ERASED_MOST)

    def _now_ms(self) -> int:
        return unix_ms(self.clock.now())
