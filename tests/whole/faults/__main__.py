"""``make faults``: the whole fault run; ``python -m tests.whole.faults 5000 20`` a part of it.

Arguments: growers, kills, seed.
"""

from __future__ import annotations

import sys
from dataclasses import replace

from tests.whole.faults.running import run
from tests.whole.faults.stage import WHOLE

if __name__ == "__main__":
    given = dict(zip(("growers", "kills", "seed"), map(int, sys.argv[1:]), strict=False))
    if "growers" in given:
        given["stops"] = WHOLE.stops * given["growers"] // WHOLE.growers
    found = run(replace(WHOLE, **given))
    print("\n".join(found.lines))
    sys.exit(0 if found.holds else 1)
