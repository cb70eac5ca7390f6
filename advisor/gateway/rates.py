"""How often somebody may ask, counted by all workers of one machine together, without a trip to the store.

The figures lie in a piece of memory that the workers share, of a fixed size whoever asks: a hash, and a moment.
They are gone with the service, hold no address and no number, and cost a few microseconds.

Source:
    The rule is the virtual scheduling of the generic cell rate algorithm, ITU-T I.371, annex A (recalled; the
    property that counts is tested: never more than the burst and the rate together allow).
"""

from __future__ import annotations

import fcntl
import mmap
import os
import struct
import tempfile
import threading
import weakref
from dataclasses import dataclass
from hashlib import blake2b
from math import ceil
from secrets import token_bytes

#: Each set has four places; of more askers with one set, the one who has been quiet for longest is forgotten.
_SET = struct.Struct("=QdQdQdQd")
_SETS = 16_384


@dataclass(frozen=True, slots=True)
class Limit:
    """How often.

    Args:
        a_second: how many in the long run, above 0.
        burst: how many at once after a rest, 1 or more.
    """

    a_second: float
    burst: int


class Tally:
    """Who asked how often, shared by this process and those that it forks afterwards.

    Args:
        sets: how many sets of four there are.
    """

    def __init__(self, sets: int = _SETS) -> None:
        self._sets = sets
        self._key = token_bytes(16)
        # a file, since a lock on a file goes with the process that held it, however that ends
        self._file, path = tempfile.mkstemp()
        os.unlink(path)  # noqa: PTH108 - nobody else needs its name
        weakref.finalize(self, os.close, self._file)
        os.ftruncate(self._file, sets * _SET.size)
        self._memory = mmap.mmap(self._file, sets * _SET.size)
        self._lock = threading.Lock()

    def wait_s(self, who: str, limit: Limit, now_s: float) -> int:
        """Counts one more of somebody, or says how long to wait first.

        Args:
            who: whom, an address or a number, which never look alike; only a keyed hash is kept.
            limit: how often.
            now_s: seconds on the machine's clock that only goes forward, the same for all processes.

        Returns:
            0 where it is within the limit, and counted; else whole seconds after which it will be, 1 or more.

        >>> tally, limit = Tally(), Limit(a_second=0.5, burst=2)
        >>> [tally.wait_s("ann", limit, now_s) for now_s in (10.0, 10.0, 10.0, 11.5, 12.0)]
        [0, 0, 2, 1, 0]
        """
        mark, number = struct.unpack("=QQ", blake2b(who.encode(), digest_size=16, key=self._key).digest())
        offset = number % self._sets * _SET.size
        # a file's lock is a process's, so its threads need one of their own
        with self._lock:
            fcntl.lockf(self._file, fcntl.LOCK_EX, _SET.size, offset)
            try:
                return self._counted(offset, mark, 1 / limit.a_second, limit.burst, now_s)
            finally:
                fcntl.lockf(self._file, fcntl.LOCK_UN, _SET.size, offset)

    def _counted(self, offset: int, mark: int, apart_s: float, burst: int, now_s: float) -> int:
        places = _SET.unpack_from(self._memory, offset)
        marks, dues_s = places[::2], places[1::2]
        due_s = now_s
        if mark in marks:
            place = marks.index(mark)
            due_s = max(dues_s[place], now_s)
        else:
            place = dues_s.index(min(dues_s))
        early_s = due_s - now_s - (burst - 1) * apart_s
        # a rounding error is no reason to send somebody away
        if early_s > 1e-6:
            return ceil(early_s)
        struct.pack_into("=Qd", self._memory, offset + place * 16, mark, due_s + apart_s)
        return 0
