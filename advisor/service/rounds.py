"""What goes on without a message coming in: hand over, relay, let unconsented sessions lapse."""

from __future__ import annotations

import logging
import threading
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from functools import partial

from advisor.service.clock import Clock, unix_ms
from advisor.service.damage import Damage
from advisor.service.erasing import Erasing
from advisor.service.journal import log_event, place_of
from advisor.service.nudges import Nudges
from advisor.service.relaying import Relaying
from advisor.service.sending import Sender
from advisor.store.api import Store, StoreDamaged, StoreUnavailable

LAPSES_MOST = 500
#: Nobody waits for these, and each takes trips of its own.
ERASED_MOST = 50
#: For so long one round hands over; an attempt that is under way is finished.
HAND_OVER_S = 5.0
#: After a nudge, so that all pages of one answer, a millisecond apart, are due.
GATHER_S = 0.05
#: So many buckets in a row that do not answer mean that the store is away, not a part of it.
AWAY_MOST = 3


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
    """

    store: Store
    clock: Clock
    relaying: Relaying
    damage: Damage
    sender: Sender | None = None
    nudges: Nudges = field(default_factory=Nudges)
    pause_s: float = 1.0

    def go_over(self) -> int:
        """One round; what is wrong in one bucket holds no other back.

        Returns:
            How many outgoing messages were tried.

        Raises:
            StoreUnavailable: the store, or a part of it, did not answer; the rest is done.
        """
        busy = self.store.busy(self._now_ms())
        self.damage.met(*busy.damaged)
        sound = _Sound(self.damage)
        for bucket in busy.relays:
            sound.counted("relays", self.relaying.apply_waiting, bucket)
        for bucket in busy.lapses:
            sound.counted("lapses", self._lapse, bucket)
        for bucket in busy.idle:
            sound.counted("idle", self._erase_idle, bucket)
        tried = self._hand_over(self.sender, busy.outbox, sound) if self.sender is not None else 0
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
        if self.sender is None:
            return 0
        sound, until_s = _Sound(self.damage), self.clock.monotonic_s() + HAND_OVER_S
        send_due = partial(self.sender.send_due, until_s=until_s)
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
            round_at_s = self.clock.monotonic_s() + self.pause_s

    def _try(self, work: Callable[[], int]) -> None:
        try:
            work()
        except StoreUnavailable as error:
            log_event("round", level=logging.WARNING, outcome="store_unavailable", what=error.what)
        except StoreDamaged as error:
            self.damage.met(error.key)
        except Exception as error:  # a round that dies would stop every message of everybody
            fault = type(error).__name__
            log_event("round", level=logging.ERROR, outcome="fault", fault=fault, place=place_of(error))

    def _hand_over(self, sender: Sender, due: Iterable[int], sound: _Sound) -> int:
        """Passes over the buckets until nothing is due, a pass achieves nothing, or its time is up.

        A slow gateway must not keep relays and lapses waiting: what is left over is the next round's.

        A claim that meets a message past its time, stopped or damaged comes back empty though more is due, so an
        empty pass ends it only where no less waits after it than before.
        """
        tried = 0
        waits: int | None = None
        until_s = self.clock.monotonic_s() + HAND_OVER_S
        send_due = partial(sender.send_due, until_s=until_s)
        while (due := sound.among(due)) and self.clock.monotonic_s() < until_s:
            went = sum(sound.counted("outbox", send_due, bucket) for bucket in due)
            tried += went
            waited, waits = waits, None if went else self.store.backlog(self._now_ms()).outbox
            if waits is not None and waited is not None and waits >= waited:
                break
            due = self.store.busy(self._now_ms()).outbox
        return tried

    def _lapse(self, bucket: int) -> int:
        return self.store.lapse(bucket, self._now_ms(), LAPSES_MOST)

    def _erase_idle(self, bucket: int) -> int:
        return Erasing(self.store, self.clock, self.relaying.bands).those_not_heard_of(bucket, ERASED_MOST)

    def _now_ms(self) -> int:
        return unix_ms(self.clock.now())


@dataclass(slots=True)
class _Sound:
    """The buckets that gave no trouble in this round.

    Args:
        damage: told of damaged keys.
        away: the last bucket's not answering, None where all did.
    """

    damage: Damage
    away: StoreUnavailable | None = None
    _left_out: set[int] = field(default_factory=set)
    _away_in_a_row: int = 0

    def among(self, buckets: Iterable[int]) -> tuple[int, ...]:
        """Those that may be worked on."""
        return tuple(bucket for bucket in buckets if bucket not in self._left_out)

    def counted(self, work: str, action: Callable[[int], int], bucket: int) -> int:
        """Does one bucket's work; one that gives trouble is left out of what remains of the round."""
        try:
            done = action(bucket)
        except StoreUnavailable as error:
            self.away = error
            self._away_in_a_row += 1
            if self._away_in_a_row >= AWAY_MOST:
                raise
        except StoreDamaged as error:
            self.damage.met(error.key)
        except Exception as error:
            fault, place = type(error).__name__, place_of(error)
            log_event(
                "round", level=logging.ERROR, outcome="fault", work=work, bucket=bucket, fault=fault, place=place
            )
        else:
            self._away_in_a_row = 0
            return done
        self._left_out.add(bucket)
        return 0
