"""What is played, and what came of it."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field

from tests.season.checks import Fault
from tests.season.sent_rounds import Begins

DAYS = 180


@dataclass(frozen=True, slots=True)
class Plan:
    """What is played.

    Args:
        growers: how many.
        seed: whose draw.
        days: how many days.
        rounds: the rounds that are sent.
    """

    growers: int
    seed: int = 1
    days: int = DAYS
    rounds: tuple[Begins, ...] = ()


@dataclass(slots=True)
class Played:
    """What happened.

    Args:
        digest: hash of all that was said on both sides.
        lines: how many lines that were.
        happened: counts, by what.
        faults: what did not hold.
    """

    digest: str
    lines: int
    happened: Counter[str]
    faults: list[Fault]
    log: list[str] = field(default_factory=list)
