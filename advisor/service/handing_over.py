"""One sender's way through the buckets: answers and alerts of all first, then rounds, a slice at a time."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import partial

from advisor.service.clock import Clock, unix_ms
from advisor.service.sending import URGENT, Sender
from advisor.service.sound import Sound
from advisor.store.api import BUCKETS, Busy, Store

#: For so long one round hands over; an attempt that is under way is finished.
HAND_OVER_S = 5.0
#: After so long at a round's messages it is asked again whether an answer waits; asking 256 buckets costs too.
SLICE_S = 1.0


@dataclass(frozen=True, slots=True)
class HandingOver:
    """Hands over what is due in all buckets.

    Any number of senders may do so. Nothing but the lease of each message keeps them apart, so that nothing has to
    be given up when one of them dies; each begins at a bucket of its own and goes on where it stopped, so that
    they seldom ask for the same.

    Args:
        store: where the outboxes are.
        clock: what the time is.
        sender: hands over.
    """

    store: Store
    clock: Clock
    sender: Sender

    def go(self, busy: Busy, sound: Sound) -> int:
        """Passes over the buckets until nothing is due, a pass achieves nothing, or its time is up.

        A slow gateway must not keep relays and lapses waiting: what is left over is the next round's.

        A claim that meets a message past its time, stopped or damaged comes back empty though more is due, so an
        empty pass ends it only where no less waits after it than before.

        Returns:
            How many messages were tried.
        """
        tried = 0
        waits: int | None = None
        until_s = self.clock.monotonic_s() + HAND_OVER_S
        while sound.among(busy.outbox) and self.clock.monotonic_s() < until_s:
            went = self._pass(busy, sound, until_s)
            tried += went
            pause_s = self.sender.pause_s()
            if pause_s and self.clock.monotonic_s() + pause_s < until_s:
                self.clock.wait(pause_s)
            elif pause_s:
                break
            else:
                waited, waits = waits, None if went else self.store.backlog(self._now_ms()).outbox
                if waits is not None and waited is not None and waits >= waited:
                    break
            busy = self.store.busy(self._now_ms())
        return tried

    def _pass(self, busy: Busy, sound: Sound, until_s: float) -> int:
        """Answers and alerts of all buckets, then of all lanes for a short while."""
        urgent = partial(self.sender.send_due, until_s=until_s, lanes=URGENT)
        went = sum(sound.counted("outbox", urgent, bucket) for bucket in self._in_turn(sound.among(busy.urgent)))
        slice_s = min(until_s, self.clock.monotonic_s() + SLICE_S)
        any_lane = partial(self.sender.send_due, until_s=slice_s)
        for bucket in self._in_turn(sound.among(busy.outbox)):
            if self.clock.monotonic_s() >= slice_s or self.sender.pause_s():
                self.sender.pace.turn = bucket
                break
            went += sound.counted("outbox", any_lane, bucket)
        return went

    def _in_turn(self, buckets: Iterable[int]) -> list[int]:
        return sorted(buckets, key=lambda bucket: (bucket - self.sender.pace.turn) % BUCKETS)

    def _now_ms(self) -> int:
        return unix_ms(self.clock.now())
