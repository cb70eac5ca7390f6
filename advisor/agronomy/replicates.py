"""A germination test in replicates: up to four sets of seeds from one lot, counted twice, that must agree.

Sets of one lot under the same conditions still differ by chance, and it is known by how much. Sets that lie
further apart were not treated alike or not mixed well: such a test says nothing and is done again. Only sets of
one lot are put together; two lots are two tests, and a mix takes the mass-weighted mean. The first count shows how
fast the seeds are, the final count how many grow; the verdict rests on the final count. The tolerances follow from
chance alone and are the same for every crop and place, so they stand here and not in a data file.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from math import floor, sqrt
from types import MappingProxyType

from advisor.agronomy.errors import CannotBe, OutOfRange
from advisor.agronomy.germination import Method, SeedTest
from advisor.agronomy.limits import within

#: Seeds of a replicate for which the tolerances were published, and the most a replicate may have.
_FULL = 100
_MOST_REPLICATES = 4

#: Widest range that two and four replicates of 100 seeds may have, from 97 (99) percent down; also for 101 - mean.
#: 99 to 71 percent: United States, Federal Seed Act regulations, 7 CFR 201.55. 70 to 51 percent: International
#: Seed Testing Association, table 5B, from memory, not seen.
_TWO_FROM_97 = (
    6, 6, 7, 8, 8, 9, 9, 9, 10, 10, 11, 11, 11, 11, 12, 12, 12, 13, 13, 13, 13, 13, 14, 14, 14, 14, 14,
)  # fmt: skip
_FOUR_FROM_99 = (
    5, 6, 7, 8, 9, 10, 10, 11, 11, 12, 12, 13, 13, 14, 14, 14, 15, 15, 15, 16, 16, 16, 17, 17, 17, 17, 17, 18, 18,
    18, 18, 18, 18, 19, 19, 19, 19, 19, 19, 19, 19, 19, 19, 19, 20, 20, 20, 20, 20,
)  # fmt: skip
_TOLERATED: Mapping[int, Mapping[int, int]] = MappingProxyType(
    {
        2: MappingProxyType({97 - place: widest for place, widest in enumerate(_TWO_FROM_97)}),
        4: MappingProxyType({99 - place: widest for place, widest in enumerate(_FOUR_FROM_99)}),
    }
)

#: 97.5 % point of the range of two, three and four standard normal values (the studentized range).
_RANGE_975: Mapping[int, float] = MappingProxyType({2: 3.16982, 3: 3.68227, 4: 3.98401})


#: The lowest mean of which the row was seen in print; rows below it are from memory.
_SEEN_FROM = 71


class Basis(StrEnum):
    """What a tolerance rests on."""

    PUBLISHED = "published"
    FROM_MEMORY = "from_memory"
    FORMULA = "formula"


@dataclass(frozen=True, slots=True)
class Replicate:
    """One set of seeds of a test.

    Args:
        grown: whole, healthy seedlings at the final count, those taken off at the first count among them.
        sown: seeds put out, 1 to 100.
        early: seedlings that were there at the first count, None where nobody looked.

    Raises:
        OutOfRange: a negative count, no seeds, or more than 100.
        CannotBe: more seedlings than seeds, or fewer at the final than at the first count.

    >>> Replicate(88, 100, early=61).grown
    88
    """

    grown: int
    sown: int
    early: int | None = None

    def __post_init__(self) -> None:
        SeedTest(self.grown, self.sown)
        within("sown in a replicate", self.sown, 1, _FULL, "seeds")
        if self.early is None:
            return
        if self.early < 0:
            raise OutOfRange("first count", self.early, 0, self.grown, "seeds")
        if self.early > self.grown:
            raise CannotBe(
                "fewer_at_the_final_count",
                f"{self.grown} seedlings at the final count cannot be fewer than {self.early} at the first",
                "add what was taken off at the first count to the final count",
            )


@dataclass(frozen=True, slots=True)
class ReplicatedTest:
    """What replicates of one lot say together.

    Args:
        test: all replicates as one test.
        spread: seeds between the best and the worst replicate.
        tolerated: most seeds that may lie between them, None for a single replicate.
        basis: what that rests on, None for a single replicate.
        early: part of the seeds that was up at the first count, 0 to 1; None where nobody looked.
    """

    test: SeedTest
    spread: int
    tolerated: int | None
    basis: Basis | None
    early: float | None

    @property
    def test_again(self) -> bool:
        """Whether the replicates lie too far apart for an answer."""
        return self.tolerated is not None and self.spread > self.tolerated


def replicated_test(replicates: Sequence[Replicate], method: Method) -> ReplicatedTest:
    """What replicates of one lot say together, and whether they agree.

    Args:
        replicates: sets of as many seeds each, of one lot; one to four.
        method: on paper or cloth, or in a pot or bed of soil.

    Returns:
        The test and how far its replicates lie apart.

    Raises:
        OutOfRange: no replicate, or more than four.
        CannotBe: replicates of unlike size, or a first count in some of them only.

    Source:
        International Seed Testing Association: up to four replicates of 100 seeds.

    >>> found = replicated_test([Replicate(grown, 100) for grown in (95, 90, 85, 82)], Method.PAPER)
    >>> found.test.grown, found.spread, found.tolerated, found.test_again
    (352, 13, 13, False)
    """
    within("replicates", len(replicates), 1, _MOST_REPLICATES, "1")
    sizes = {replicate.sown for replicate in replicates}
    if len(sizes) > 1:
        raise CannotBe(
            "unlike_replicates",
            f"replicates of {' and '.join(str(size) for size in sorted(sizes))} seeds cannot be compared",
            "put out as many seeds in each set",
        )
    early = [replicate.early for replicate in replicates if replicate.early is not None]
    if early and len(early) < len(replicates):
        raise CannotBe(
            "first_count_missing",
            f"the first count is there for {len(early)} of {len(replicates)} sets",
            "give the first count of every set, or of none",
        )
    grown, (size,) = [replicate.grown for replicate in replicates], sizes
    test = SeedTest(sum(grown), size * len(grown), method)
    tolerated, basis = tolerated_range(test, len(grown)) if len(grown) > 1 else (None, None)
    return ReplicatedTest(
        test=test,
        spread=max(grown) - min(grown),
        tolerated=tolerated,
        basis=basis,
        early=sum(early) / test.sown if early else None,
    )


def tolerated_range(test: SeedTest, replicates: int) -> tuple[int, Basis]:
    """How far apart replicates may lie by chance alone, in seeds of a replicate.

    Args:
        test: all replicates as one test.
        replicates: how many it was made of, 2 to 4; all of one size.

    Returns:
        The widest range, and whether a row of the table gives it; else it is the formula behind the table,
        which serves for three replicates, for fewer than 100 seeds, and where the table has no row.

    Raises:
        OutOfRange: a number of replicates outside that.
        CannotBe: seeds that do not make so many replicates of one size.

    Source:
        United States, Federal Seed Act regulations, 7 CFR 201.55; S. R. Miles, Proceedings of the International
        Seed Testing Association 28 (1963) 525, from memory: the 97.5 % point of the range of binomial counts.

    >>> [(widest, str(basis)) for widest, basis in (tolerated_range(SeedTest(352, 400), 4),)]
    [(13, 'published')]
    """
    within("replicates", replicates, 2, _MOST_REPLICATES, "1")
    size, over = divmod(test.sown, replicates)
    if over:
        raise CannotBe(
            "unlike_replicates",
            f"{test.sown} seeds are not {replicates} sets of one size",
            "put out as many seeds in each set",
        )
    if size == _FULL:
        percent = (200 * test.grown + test.sown) // (2 * test.sown)
        # The table is the same for seeds that grow and for those that do not: 99 with 2 percent, 51 with 50.
        mean = max(percent, 101 - percent)
        row = _TOLERATED.get(replicates, {}).get(mean)
        if row is not None:
            return row, Basis.PUBLISHED if mean >= _SEEN_FROM else Basis.FROM_MEMORY
    spread = _RANGE_975[replicates] * sqrt(size * test.germination * (1 - test.germination))
    # Cut off a quarter above: so the formula gives the published rows for four from 71 to 93 percent.
    return floor(spread + 0.25), Basis.FORMULA
