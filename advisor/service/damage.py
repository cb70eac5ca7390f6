"""Keys of the store that hold what it never wrote: logged, counted, and named to the operator until mended."""

from __future__ import annotations

import logging
import threading
from collections.abc import Iterable
from dataclasses import dataclass, field

from advisor.service.clock import Clock
from advisor.service.journal import log_event
from advisor.service.meter import Meter, NoMeter

#: A key that nobody has met for so long is mended, or of no matter.
REMEMBERED_S = 600.0
#: A damaged key is met again in every round; one line in so long is enough.
LOGGED_EVERY_S = 600.0
KEYS_MOST = 100


@dataclass(frozen=True, slots=True)
class Damage:
    """The damaged keys that this process has met. Keys are hashes, so they may be shown.

    Args:
        clock: to forget by.
        meter: counts.
    """

    clock: Clock
    meter: Meter = field(default_factory=NoMeter)
    _met_s: dict[str, tuple[float, float]] = field(default_factory=dict)
    _lock: threading.Lock = field(default_factory=threading.Lock)

    def met(self, *keys: str) -> None:
        """Notes keys that were found damaged just now."""
        for key in keys:
            self.meter.damaged()
            if self._noted(key, self.clock.monotonic_s()):
                log_event("damaged", level=logging.ERROR, key=key)

    def keys(self) -> tuple[str, ...]:
        """The keys that were met lately, in order of their names, not more than a hundred."""
        now_s = self.clock.monotonic_s()
        with self._lock:
            return tuple(sorted(_fresh(self._met_s, now_s))[:KEYS_MOST])

    def _noted(self, key: str, now_s: float) -> bool:
        """Notes one key; says whether a line is due for it."""
        with self._lock:
            _, logged_s = self._met_s.get(key, (now_s, float("-inf")))
            due = now_s - logged_s >= LOGGED_EVERY_S
            self._met_s[key] = (now_s, now_s if due else logged_s)
            for old in self._met_s.keys() - set(_fresh(self._met_s, now_s)):
                del self._met_s[old]
            return due


def _fresh(met_s: dict[str, tuple[float, float]], now_s: float) -> Iterable[str]:
    return [key for key, (last_s, _) in met_s.items() if now_s - last_s < REMEMBERED_S]
