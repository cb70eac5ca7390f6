"""What became of a season, and whether that is what was promised."""

from __future__ import annotations

import re
import subprocess
import sys
from collections import Counter
from dataclasses import dataclass
from pathlib import Path

from advisor.store.recount import Difference
from tests.whole.faults.found import listed
from tests.whole.faults.people import SeasonSize
from tests.whole.faults.season_judge import Judgement
from tests.whole.faults.stage import ZONE

_ROOT = Path(__file__).parents[3]


@dataclass(frozen=True)
class SeasonFound:
    """What became of a season.

    Args:
        size: how large it was.
        judgement: the judge's.
        kills: how many of each kind.
        kills_met: those while the calendar went on.
        told: what ``advisor round status`` says.
        differences: village figures that are not what the growers add up to.
        tested: growers with a test, by the village figures.
        ended: what ended by itself or broke, with the end of what it logged.
        left: whether something still waited when the time was up.
        stopped: growers who stopped.
        fates: what the gateway did.
        days: days that passed.
        seconds: how long all of it took.
    """

    size: SeasonSize
    judgement: Judgement
    kills: Counter[str]
    kills_met: int
    told: tuple[str, ...]
    differences: tuple[Difference, ...]
    tested: int
    ended: list[str]
    left: bool
    stopped: int
    fates: Counter[str]
    days: int
    seconds: float

    @property
    def holds(self) -> bool:
        wrong = self.differences or self.ended or self.left or self.kills.total() != self.size.kills
        return self.judgement.holds and self.tested == self.judgement.tests and not wrong

    @property
    def lines(self) -> tuple[str, ...]:
        """For people."""
        size = self.size
        return (
            f"season: {size.growers} growers, {size.answering} of them may answer, {self.stopped} stops, "
            f"{self.days} days in {self.seconds:.0f} s, seed {size.seed}",
            f"kills: {listed(self.kills) or 'none'}; {self.kills_met} before the last day was over",
            f"gateway: {listed(self.fates)}",
            *self.judgement.lines,
            f"tested by the village figures: {self.tested}",
            f"recount: {len(self.differences)} differences",
            *self.told,
            *(f"ended by itself: {line}" for line in self.ended),
            *(["something still waited when the time was up"] if self.left else []),
        )


def season_judged(folder: Path, since: str, until: str) -> Judgement:
    """What the judge finds in the run's files, as a process of its own."""
    files = [str(folder / f"{name}.jsonl") for name in ("sent", "growers", "stops")]
    command = [sys.executable, "-S", "-m", "tests.whole.faults.season_judge", *files, ZONE, since, until]
    said = subprocess.run(command, check=False, timeout=120, capture_output=True, text=True, cwd=_ROOT)
    counts = {name.replace(" ", "_"): int(count) for name, count in re.findall(r"(?m)^(.+?) +(\d+)$", said.stdout)}
    try:
        found = Judgement(**counts)
    except TypeError:
        raise RuntimeError(said.stderr) from None
    if said.returncode != (not found.holds):
        raise RuntimeError(f"the judge ended with {said.returncode}: {said.stdout}{said.stderr}")
    return found
