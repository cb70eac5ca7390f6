"""What became of a fault run, and whether that is what was promised."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

from advisor.store.recount import Difference
from tests.whole.faults.judge import Judgement
from tests.whole.faults.stage import Size


@dataclass(frozen=True)
class Found:
    """What became of a run.

    Args:
        size: how large it was.
        judgement: the judge's.
        kills: how many of each kind.
        kills_met: those between the first request and the last.
        told: what ``advisor round status`` says of each round.
        differences: village figures that are not what the growers add up to.
        ended: senders that ended by themselves, with the end of what they logged.
        left: whether something still waited when the time was up.
        stopped: growers who stopped.
        handed_to: of each round, for how many growers the gateway was handed it, without a stop and with one.
        fates: what the gateway did.
        before_night: requests before quiet hours began.
        seconds: how long all of it took.
    """

    size: Size
    judgement: Judgement
    kills: Counter[str]
    kills_met: int
    told: dict[str, dict[str, int]]
    differences: tuple[Difference, ...]
    ended: list[str]
    left: bool
    stopped: int
    handed_to: dict[str, tuple[int, int]]
    fates: Counter[str]
    before_night: int
    seconds: float

    def status_agrees(self, key: str) -> bool:
        """Messages made are those that were handed over, and some of growers who stopped before theirs was."""
        told, handed_to = self.told[key], self.handed_to[key]
        kept_back = told["made"] - sum(handed_to)
        is_done = told["waiting"] == told["late"] == told["merged"] == 0
        return is_done and 0 <= kept_back <= self.stopped - handed_to[1]

    @property
    def holds(self) -> bool:
        wrong = self.differences or self.ended or self.left or self.kills.total() != self.size.kills
        return self.judgement.holds and all(map(self.status_agrees, self.told)) and not wrong

    @property
    def lines(self) -> tuple[str, ...]:
        """For people."""
        agrees = {key: "agrees" if self.status_agrees(key) else "DIFFERS" for key in self.told}
        return (
            f"{self.size.growers} growers, {self.stopped} stops, {self.seconds:.0f} s, seed {self.size.seed}",
            f"kills: {listed(self.kills) or 'none'}; {self.kills_met} between the first request and the last",
            f"gateway: {listed(self.fates)}; {self.before_night} requests before quiet hours began",
            *self.judgement.lines,
            *(f"status of round {key} {agrees[key]}: {listed(told)}" for key, told in self.told.items()),
            f"recount: {len(self.differences)} differences",
            *(f"ended by itself: {line}" for line in self.ended),
            *(["something still waited when the time was up"] if self.left else []),
        )


def listed(counts: dict[str, int]) -> str:
    return ", ".join(f"{name} {count}" for name, count in sorted(counts.items()))
