"""``python -m tests.whole.faults.moved MODULE …``: service or simulator on a clock that is moved.

The clock runs as fast as any, and in the midst of it is moved to another day: how far it is ahead of the machine's
stands in a file that all processes of a run look into. Bugs of `planted.py` that the surroundings name are in it.
"""

from __future__ import annotations

import mmap
import os
import runpy
import struct
import sys
import time
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path

#: Where the file is, and what is planted.
CLOCK, PLANTS = "FAULTS_CLOCK", "FAULTS_PLANTS"
_AHEAD = struct.Struct("<d")
_real_s = time.time


@dataclass
class Moved:
    """The clock of a file; the file is made where there is none.

    Args:
        file: holds by how many seconds it is ahead.
    """

    file: Path
    _map: mmap.mmap = field(init=False, repr=False)

    def __post_init__(self) -> None:
        if not self.file.exists():
            self.file.write_bytes(_AHEAD.pack(0.0))
        with self.file.open("r+b") as held:
            self._map = mmap.mmap(held.fileno(), _AHEAD.size)

    def now_s(self) -> float:
        """Unix seconds."""
        return _real_s() + float(_AHEAD.unpack_from(self._map)[0])

    def now(self) -> datetime:
        return datetime.fromtimestamp(self.now_s(), UTC)

    def move_to(self, at: datetime) -> None:
        """Makes it that moment for all processes; time runs on from there."""
        # eight bytes at an even address: nobody reads half of it
        self._map[:] = _AHEAD.pack(at.timestamp() - _real_s())


def main() -> None:
    from advisor.service.clock import SystemClock
    from simulator.clock import Clock
    from tests.whole.faults.planted import FAULTS

    clock = Moved(Path(os.environ[CLOCK]))
    sys.argv.pop(0)
    if sys.argv[0] == "simulator":
        time.time = clock.now_s
        Clock.__init__.__defaults__ = (clock.now,)  # type: ignore[attr-defined]
    SystemClock.now = lambda self: clock.now()  # type: ignore[method-assign]
    for plant in os.environ.get(PLANTS, "").split():
        FAULTS[plant]()
    runpy.run_module(sys.argv[0], run_name="__main__", alter_sys=True)


if __name__ == "__main__":
    main()
