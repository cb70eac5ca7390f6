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
        told: what ``advisor round status`` says of the round.
        differences: village figures that are not what the growers add up to.
        ended: senders that ended by themselves, with the end of what they logged.
        left: whether something still waited when the time was up.
        stopped: growers who stopped.
        handed_to: growers for whom the gateway was handed the step, without a stop and with one.
        fates: what the gateway did.
        before_night: requests before quiet hours began.
        seconds: how long all of it took.
    """

    size: Size
    judgement: Judgement
    kills: Counter[str]
    kills_met: int
    told: dict[str, int]
    differences: tuple[Difference, ...]
    ended: list[str]
    left: bool
    stopped: int
    handed_to: tuple[int, int]
    fates: Counter[str]
    before_night: int
    seconds: float

    @property
    def status_agrees(self) -> bool:
        """Messages made are those that were handed over, and some of growers who stopped before theirs was."""
        kept_back = self.told["made"] - sum(self.handed_to)
        is_done = self.told["waiting"] == self.told["late"] == self.told["merged"] == 0
        return is_done and 0 <= kept_back <= self.stopped - self.handed_to[1]

    @property
    def holds(self) -> bool:
        wrong = self.differences or self.ended or self.left or self.kills.total() != self.size.kills
        return self.judgement.holds and self.status_agrees and not wrong

    @property
    def lines(self) -> tuple[str, ...]:
        """For people."""
        status = "agrees" if self.status_agrees else "DIFFERS"
        return (
            f"{self.size.growers} growers, {self.stopped} stops, {self.seconds:.0f} s, seed {self.size.seed}",
            f"kills: {_listed(self.kills) or 'none'}; {self.kills_met} between the first request and the last",
            f"gateway: {_listed(self.fates)}; {self.before_night} requests before quiet hours began",
            *self.judgement.lines,
            f"round status {status}: {_listed(self.told)}",
            f"recount: {len(self.differences)} differences",
            *(f"ended by itself: {line}" for line in self.ended),
            *(["something still waited when the time was up"] if self.left else []),
        )


def _listed(counts: dict[str, int]) -> str:
    return ", ".join(f"{name} {count}" for name, count in sorted(counts.items()))
