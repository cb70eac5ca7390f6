"""The arithmetic of the bench: medians, percentiles, ratios of rounds."""

from __future__ import annotations

import statistics
import time
from collections.abc import Callable, Iterable, Sequence


def percentile(values: Iterable[float], percent: float) -> float:
    """The smallest value that so many per cent of all do not exceed (the nearest-rank method).

    >>> percentile([4.0, 1.0, 3.0, 2.0], 50), percentile([4.0, 1.0, 3.0, 2.0], 99)
    (2.0, 4.0)
    """
    ordered = sorted(values)
    if not ordered or not 0 < percent <= 100:
        raise ValueError("a percentile needs values, and a percentage above 0 and up to 100")
    # as whole numbers: in floats, 55 % of 100 would be a little more than 55
    rank = -(-round(percent * 100) * len(ordered) // 10_000)
    return ordered[rank - 1]


def ratio_of_rounds(ours: Sequence[float], theirs: Sequence[float]) -> float:
    """Median of the rounds' ratios: each round is compared with itself, so that a slow minute touches both.

    >>> ratio_of_rounds([1.0, 30.0, 6.0], [2.0, 40.0, 10.0])
    0.6
    """
    return statistics.median(mine / other for mine, other in zip(ours, theirs, strict=True))


def spread(ours: Sequence[float], theirs: Sequence[float]) -> tuple[float, float]:
    """The lowest and the highest ratio of a round."""
    ratios = [mine / other for mine, other in zip(ours, theirs, strict=True)]
    return min(ratios), max(ratios)


def times_us(act: Callable[[], object], turns: int) -> list[float]:
    """How long each of so many turns takes, in microseconds."""
    taken = []
    for _ in range(turns):
        begun = time.perf_counter_ns()
        act()
        taken.append((time.perf_counter_ns() - begun) / 1000)
    return taken
