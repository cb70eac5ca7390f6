"""Results of seed tests by village: how many growers and lots, how many good, weak and poor, and how sure that is.

The pooled germination adds up the seeds of all tests of a village, with the Wilson interval of these counts.
That interval speaks of seed drawn from one lot, and a village has many: it says how exact the sum is, and nothing
of any grower's lot. So the median and the range of the lots stand beside it, and no lot is judged by its village.
"""

from __future__ import annotations

from dataclasses import dataclass
from statistics import median

from advisor.agronomy.crop import Crop
from advisor.agronomy.germination import Band, band, wilson_interval
from advisor.campaign.seen import Seen


@dataclass(frozen=True, slots=True)
class VillageResult:
    """The results of a village.

    Args:
        village: key of the village, empty for growers of whom it is not known.
        growers: growers who have agreed.
        growers_tested: those with a finished test of at least one lot.
        lots: lots of which something is known.
        good: lots that tested good.
        weak: lots in the middle band, of which more is sown.
        poor: lots that failed.
        running: lots whose test is open.
        untested: lots without a test, finished or open, those that were closed among them; bought seed among them.
        closed: lots whose test a round gave up.
        grown: seedlings of all tests.
        sown: seeds of all tests.
        lowest: germination of the worst lot, None without tests; so are the next two.
        middle: median germination of the lots.
        highest: germination of the best lot.
    """

    village: str
    growers: int = 0
    growers_tested: int = 0
    lots: int = 0
    good: int = 0
    weak: int = 0
    poor: int = 0
    running: int = 0
    untested: int = 0
    closed: int = 0
    grown: int = 0
    sown: int = 0
    lowest: float | None = None
    middle: float | None = None
    highest: float | None = None

    @property
    def tested(self) -> int:
        """Lots with a finished test."""
        return self.good + self.weak + self.poor

    @property
    def pooled(self) -> float | None:
        """Part of all seeds that grew, None without tests."""
        return self.grown / self.sown if self.sown else None

    @property
    def interval(self) -> tuple[float, float] | None:
        """The Wilson interval of the pooled counts, None without tests."""
        return wilson_interval(self.grown, self.sown) if self.sown else None


class _Sum:
    """A result as it grows."""

    __slots__ = ("bands", "closed", "growers", "growers_tested", "grown", "lots", "parts", "running", "sown")

    def __init__(self) -> None:
        self.growers = self.growers_tested = self.lots = self.running = self.closed = self.grown = self.sown = 0
        self.bands = dict.fromkeys(Band, 0)
        self.parts: list[float] = []

    def add(self, seen: Seen, crop: Crop) -> None:
        self.growers += 1
        self.growers_tested += any(lot.test is not None for lot in seen.lots)
        for lot in seen.lots:
            if not lot.is_told:
                continue
            self.lots += 1
            if lot.test is None:
                self.closed += bool(lot.closed)
                self.running += lot.begun is not None and not lot.closed
                continue
            self.grown += lot.test.grown
            self.sown += lot.test.sown
            self.parts.append(lot.test.germination)
            self.bands[band(lot.test, crop.good_over_percent, crop.poor_under_percent)] += 1

    def result(self, village: str) -> VillageResult:
        parts = self.parts
        return VillageResult(
            village,
            growers=self.growers,
            growers_tested=self.growers_tested,
            lots=self.lots,
            good=self.bands[Band.GOOD],
            weak=self.bands[Band.MIDDLE],
            poor=self.bands[Band.POOR],
            running=self.running,
            untested=self.lots - len(parts) - self.running,
            closed=self.closed,
            grown=self.grown,
            sown=self.sown,
            lowest=min(parts, default=None),
            middle=median(parts) if parts else None,
            highest=max(parts, default=None),
        )


class Results:
    """Adds up growers one by one; the one thing here that changes, since a district has a hundred thousand.

    Args:
        crop: edges of good and poor seed.

    >>> from advisor.agronomy.germination import SeedTest
    >>> from advisor.campaign.seen import SeenLot
    >>> crop = Crop("x", 130, 0.85, 0.95, 80, 60, 50, 50, 20, 400, 4, ())
    >>> results = Results(crop)
    >>> for grown in (90, 70, 40):
    ...     results.add(Seen("a", "v1", lots=(SeenLot("saved", SeedTest(grown, 100)),)))
    >>> (dovi,) = results.by_village()
    >>> dovi.good, dovi.weak, dovi.poor, dovi.middle, [round(limit, 3) for limit in dovi.interval]
    (1, 1, 1, 0.7, [0.612, 0.718])
    """

    def __init__(self, crop: Crop) -> None:
        self._crop = crop
        self._sums: dict[str, _Sum] = {}
        self._all = _Sum()

    def add(self, seen: Seen) -> None:
        """Adds a grower."""
        self._sums.setdefault(seen.village, _Sum()).add(seen, self._crop)
        self._all.add(seen, self._crop)

    def by_village(self) -> tuple[VillageResult, ...]:
        """The results by keys of villages."""
        return tuple(found.result(village) for village, found in sorted(self._sums.items()))

    def of_all(self) -> VillageResult:
        """All villages together, under an empty key."""
        return self._all.result("")
