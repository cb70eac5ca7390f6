"""Whom an agent visits first: growers whose seed is bad, untested, or who have no plan, by the time that is left.

A visit helps while something can still be done. Bad seed comes first, since other seed must be found; then seed
that nobody tested; then growers without a plan. Within each the grower who sows soonest is first, and of two who
sow on one day the one with the larger field. Who has sown already needs no visit for this.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from advisor.agronomy.crop import Crop
from advisor.agronomy.germination import Band, SeedTest, band
from advisor.agronomy.season_calendar import When, day_for_test


class Lacks(StrEnum):
    """Why a grower is visited, the most pressing first."""

    GOOD_SEED = "good_seed"
    TEST = "test"
    PLAN = "plan"


@dataclass(frozen=True, slots=True)
class Standing:
    """How a grower stands before the season.

    Args:
        grower: key of the grower.
        place: key of the village, or of the dealer.
        area_m2: the field [m²], None while it is not known.
        sowing: the day of sowing, None while there is no plan.
        test: the last germination test, None while there is none.
        buys_seed: whether labelled seed is bought, which needs no test to plan with.
    """

    grower: str
    place: str
    area_m2: float | None = None
    sowing: date | None = None
    test: SeedTest | None = None
    buys_seed: bool = False


@dataclass(frozen=True, slots=True)
class Visit:
    """A grower to visit.

    Args:
        grower: key of the grower.
        lacks: what is wanting, the most pressing first.
        days_left: days to sowing, None without a plan.
        test_when: how today suits for a test where one is wanting, None where none is or no day is planned.
    """

    grower: str
    lacks: tuple[Lacks, ...]
    days_left: int | None
    test_when: When | None


@dataclass(frozen=True, slots=True)
class PlaceStanding:
    """How the growers of a place stand.

    Args:
        place: key of the village or dealer.
        growers: all of them.
        with_bad_seed: growers whose test was poor.
        without_test: growers with seed of their own and no test.
        without_plan: growers with no day of sowing or no field.
    """

    place: str
    growers: int
    with_bad_seed: int
    without_test: int
    without_plan: int


def lacks(standing: Standing, crop: Crop) -> tuple[Lacks, ...]:
    """What a grower wants for.

    Args:
        standing: how the grower stands.
        crop: the crop.

    Returns:
        The wants, the most pressing first; none where all is well.

    Raises:
        OutOfRange: edges of the crop that are not in order.

    Source:
        Own choice; the band is the crop's.

    >>> crop = Crop("x", 130, 0.85, 0.95, 80, 60, 50, 50, 20, 400, 4, ())
    >>> [str(each) for each in lacks(Standing("ann", "v1", test=SeedTest(59, 100)), crop)]
    ['good_seed', 'plan']
    """
    test = standing.test
    wants = {
        Lacks.GOOD_SEED: test is not None
        and band(test, crop.good_over_percent, crop.poor_under_percent) is Band.POOR,
        Lacks.TEST: test is None and not standing.buys_seed,
        Lacks.PLAN: standing.sowing is None or standing.area_m2 is None,
    }
    return tuple(each for each, wanting in wants.items() if wanting)


def visits(standings: Iterable[Standing], crop: Crop, today: date, slowed_by: float = 1.0) -> tuple[Visit, ...]:
    """Whom to visit, first to last.

    Args:
        standings: how the growers stand.
        crop: the crop.
        today: the day to judge by.
        slowed_by: factor by which cool soil stretches a seed test, 1 to 3.

    Returns:
        Growers who want for something and have not sown.

    Raises:
        OutOfRange: a factor that cannot be, or a sowing day over two years ahead.

    Source:
        Own choice.

    >>> crop = Crop("x", 130, 0.85, 0.95, 80, 60, 50, 50, 20, 400, 4, ())
    >>> soon, later = date(2026, 11, 20), date(2026, 12, 20)
    >>> growers = [
    ...     Standing("ann", "v1", 4000, soon),
    ...     Standing("ben", "v1", 4000, later, SeedTest(40, 100)),
    ...     Standing("eva", "v1", 4000, soon, SeedTest(90, 100)),
    ... ]
    >>> [visit.grower for visit in visits(growers, crop, date(2026, 11, 5))]
    ['ben', 'ann']
    """
    ranked = []
    for standing in standings:
        wants = lacks(standing, crop)
        left = None if standing.sowing is None else (standing.sowing - today).days
        if not wants or (left is not None and left < 0):
            continue
        when = None
        if standing.sowing is not None and crop.days is not None and wants[0] is not Lacks.PLAN:
            when = day_for_test(today, standing.sowing, crop.days, slowed_by).when
        rank = (tuple(Lacks).index(wants[0]), left is None, left or 0, -(standing.area_m2 or 0), standing.grower)
        ranked.append((rank, Visit(standing.grower, wants, left, when)))
    return tuple(visit for _, visit in sorted(ranked, key=lambda each: each[0]))


def places(standings: Sequence[Standing], crop: Crop) -> tuple[PlaceStanding, ...]:
    """How many growers of each place want for what.

    Args:
        standings: how the growers stand.
        crop: the crop.

    Returns:
        The places by their keys.

    Raises:
        OutOfRange: edges of the crop that are not in order.

    Source:
        Counting.

    >>> crop = Crop("x", 130, 0.85, 0.95, 80, 60, 50, 50, 20, 400, 4, ())
    >>> places([Standing("ann", "v1"), Standing("ben", "v1", 4000, date(2026, 11, 20), SeedTest(90, 100))], crop)
    (PlaceStanding(place='v1', growers=2, with_bad_seed=0, without_test=1, without_plan=1),)
    """
    counts: dict[str, list[int]] = {}
    for standing in standings:
        found = counts.setdefault(standing.place, [0, 0, 0, 0])
        wants = lacks(standing, crop)
        for at, counted in enumerate((True, *(each in wants for each in Lacks))):
            found[at] += counted
    return tuple(PlaceStanding(place, *found) for place, found in sorted(counts.items()))
