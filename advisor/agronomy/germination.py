"""Germination tests: how many of the seeds grew, how sure that is, and what it means for the lot."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from math import fsum, sqrt

from advisor.agronomy.errors import CannotBe, OutOfRange
from advisor.agronomy.limits import above_zero, not_below, within

#: 97.5 % point of the standard normal distribution: two-sided 95 %.
_Z95 = 1.959963984540054


class Method(StrEnum):
    """How a test was done; it decides what the result says about the field."""

    PAPER = "paper"
    BED = "bed"


class Band(StrEnum):
    """What a lot is good for."""

    GOOD = "good"
    MIDDLE = "middle"
    POOR = "poor"


class Firmness(StrEnum):
    """How far a result can be relied on."""

    FIRM = "firm"
    ROUGH = "rough"


@dataclass(frozen=True, slots=True)
class SeedTest:
    """A germination test of one lot; lots are never pooled.

    Args:
        grown: whole, healthy seedlings at the final count.
        sown: seeds put to the test, 1 or more.
        method: on paper or cloth, or in a pot or bed of soil.

    Raises:
        OutOfRange: a negative count, or no seeds.
        CannotBe: more seedlings than seeds.

    >>> SeedTest(85, 100, Method.PAPER).germination
    0.85
    """

    grown: int
    sown: int
    method: Method = Method.PAPER

    def __post_init__(self) -> None:
        not_below("sown", self.sown, 1, "seeds")
        if self.grown < 0:
            raise OutOfRange("grown", self.grown, 0, self.sown, "seeds")
        if self.grown > self.sown:
            raise CannotBe(
                "more_grown_than_sown",
                f"{self.grown} seedlings cannot come from {self.sown} seeds",
                "count the seedlings again, then the seeds that were put out",
            )

    @property
    def germination(self) -> float:
        """Part of the seeds that grew, 0 to 1."""
        return self.grown / self.sown


def wilson_interval(grown: int, sown: int) -> tuple[float, float]:
    """Range in which the germination of the whole lot lies with 95 % confidence.

    Args:
        grown: seedlings, 0 to ``sown``.
        sown: seeds, 1 or more.

    Returns:
        Lower and upper limit, 0 to 1.

    Raises:
        OutOfRange, CannotBe: counts that cannot be.

    Source:
        E. B. Wilson, J. Am. Stat. Assoc. 22 (1927) 209, score interval without continuity correction.

    >>> [round(limit, 4) for limit in wilson_interval(80, 100)]
    [0.7112, 0.8666]
    """
    germination = SeedTest(grown, sown).germination
    z2 = _Z95**2 / sown
    middle = germination + z2 / 2
    spread = sqrt(z2 * (germination * (1 - germination) + z2 / 4))
    # Where all grew the limit is exactly 1, and binary fractions would miss it; where none did they give 0.
    high = 1.0 if grown == sown else (middle + spread) / (1 + z2)
    return (middle - spread) / (1 + z2), high


def band(test: SeedTest, good_over_percent: int, poor_under_percent: int) -> Band:
    """What a lot is good for, by exact counts: both edges lie in the middle.

    Args:
        test: the test.
        good_over_percent: above this the lot is good.
        poor_under_percent: below this the lot is poor; not above ``good_over_percent``.

    Returns:
        The band.

    Raises:
        OutOfRange: edges that are not in order within 0 to 100.

    Source:
        Common practice, no source; the edges are figures of the crop.

    >>> [str(band(SeedTest(grown, 100), 80, 60)) for grown in (81, 80, 60, 59)]
    ['good', 'middle', 'middle', 'poor']
    """
    within("upper edge", good_over_percent, 0, 100, "percent")
    within("lower edge", poor_under_percent, 0, good_over_percent, "percent")
    if test.grown * 100 > good_over_percent * test.sown:
        return Band.GOOD
    if test.grown * 100 < poor_under_percent * test.sown:
        return Band.POOR
    return Band.MIDDLE


def firmness(test: SeedTest, firm_from_seeds: int, least_seeds: int, most_seeds: int) -> Firmness:
    """How far a test can be relied on, by how many seeds it had.

    Args:
        test: the test.
        firm_from_seeds: from so many seeds the result is firm.
        least_seeds: fewer seeds give no answer.
        most_seeds: more seeds are not one test.

    Returns:
        Firm or rough.

    Raises:
        OutOfRange: too few or too many seeds for an answer.

    Source:
        Field judgement; the numbers are figures of the crop.

    >>> str(firmness(SeedTest(40, 49), 50, 20, 400))
    'rough'
    """
    within("sown", test.sown, least_seeds, most_seeds, "seeds")
    return Firmness.FIRM if test.sown >= firm_from_seeds else Firmness.ROUGH


def mixed_germination(lots: Sequence[tuple[float, float]]) -> float:
    """Germination of a mix of lots: each counts by its mass, never by its test counts.

    Args:
        lots: mass [kg], above 0, and germination, 0 to 1, of each lot; at least one.

    Returns:
        Germination of the mix, 0 to 1.

    Raises:
        CannotBe: no lot.
        OutOfRange: a mass or germination that cannot be.

    Source:
        Weighted mean; masses stand for counts while the lots have seeds of one size.

    >>> mixed_germination([(30.0, 0.9), (10.0, 0.5)])
    0.8
    """
    if not lots:
        raise CannotBe("no_lot", "a mix of no lots has no germination", "give at least one lot")
    masses_kg = [above_zero("lot", mass_kg, "kg") for mass_kg, _ in lots]
    grown_kg = [mass_kg * within("germination", part, 0, 1, "1") for mass_kg, part in lots]
    return fsum(grown_kg) / fsum(masses_kg)
