"""Who may still try a store that stands still. One for all threads of a process, so that not every request waits.

It is told the time, never asks it, and only a store that answers nobody is left alone: where one part of a
cluster is away, requests to the others keep succeeding and nobody is turned away.
"""

from __future__ import annotations

import threading

#: For so long after a request gave up, others are turned away at once.
REST_S = 0.5


class Breaker:
    """Turns requests away for a short while after one has given up, then lets one of them probe.

    >>> breaker = Breaker()
    >>> breaker.failed(begun_s=9.0, now_s=10.0)
    >>> [breaker.lets(now_s) for now_s in (10.1, 10.6, 10.7)]
    [False, True, False]
    >>> breaker.worked(now_s=10.8)
    >>> breaker.lets(10.9)
    True
    """

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._worked_s = float("-inf")
        self._failed_s: float | None = None

    def lets(self, now_s: float) -> bool:
        """Whether a request may try; who may after a rest is the only one for another rest.

        Args:
            now_s: seconds on a clock that nobody sets.
        """
        with self._lock:
            if self._failed_s is None:
                return True
            if now_s - self._failed_s < REST_S:
                return False
            self._failed_s = now_s
            return True

    def worked(self, now_s: float) -> None:
        """A request got its answer from the store, be it a refusal."""
        with self._lock:
            self._worked_s = now_s
            self._failed_s = None

    def failed(self, begun_s: float, now_s: float) -> None:
        """A request gave up on the store.

        Args:
            begun_s: when it began; where another one got its answer since, nobody is turned away.
            now_s: when it gave up.
        """
        with self._lock:
            if self._worked_s < begun_s:
                self._failed_s = now_s
