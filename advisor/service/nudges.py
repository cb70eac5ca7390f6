"""Which buckets have just got something to hand over, from the threads that put it there to the one that sends."""

from __future__ import annotations

import threading

_NONE: frozenset[int] = frozenset()


class Nudges:
    """Buckets that were named since somebody last took them.

    >>> nudges = Nudges()
    >>> nudges.give(7)
    >>> nudges.wait(1.0), sorted(nudges.take()), nudges.wait(0.0)
    (True, [7], False)
    """

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._given = threading.Event()
        self._buckets: set[int] = set()

    def give(self, bucket: int) -> None:
        """Names a bucket."""
        with self._lock:
            self._buckets.add(bucket)
            self._given.set()

    def wait(self, seconds: float) -> bool:
        """Waits until a bucket is named, at most so long; whether one is."""
        return self._given.wait(seconds)

    def take(self) -> frozenset[int]:
        """The buckets, which are forgotten."""
        if not self._buckets:
            return _NONE
        with self._lock:
            taken = frozenset(self._buckets)
            self._buckets.clear()
            self._given.clear()
        return taken
