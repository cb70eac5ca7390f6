"""``make faults``: a season of the seed test, then two rounds side by side, each through its kills, each judged.

``python -m tests.whole.faults season 2000 8 3`` is one of them in another size: growers, kills,
seed; ``rounds`` is the other.
"""

from __future__ import annotations

import sys
import time
from dataclasses import replace

from tests.whole.faults.running import run
from tests.whole.faults.season import run_season
from tests.whole.faults.sizes import ALL_S, ROUNDS, SEASON

_RUNS = {"season": (run_season, SEASON), "rounds": (run, ROUNDS)}


def main(*words: str) -> int:
    given = dict(zip(("growers", "kills", "seed"), map(int, words[1:]), strict=False))
    holds, begun_s = True, time.monotonic()
    for name in words[:1] or _RUNS:
        run_one, whole = _RUNS[name]
        left_s = ALL_S - (time.monotonic() - begun_s)
        size = replace(whole, **given, limit_s=min(whole.limit_s, left_s))
        found = run_one(size.with_parts_of(whole))
        print("\n".join(found.lines), flush=True)
        holds &= found.holds
    return 0 if holds else 1


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
