"""Poor seed: what to do about a lot that tests under the lower edge.

The first answer is always to find other seed. Where there is none, seed of which at least half grows may be sown
twice as thick, or tested a second time while somebody comes to see it; doubling makes up for the plants, not for
the weak seedlings among them. Seed of which less than half grows is not sown at all: it rots in the hole, and the
days that it costs are lost. The edges are figures of the crop, and exact counts decide.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from advisor.agronomy.cautions import ASK_DEALER_OR_EXTENSION, DRESSED_SEED_IS_POISON
from advisor.agronomy.errors import CannotBe
from advisor.agronomy.germination import SeedTest
from advisor.agronomy.limits import above_zero, within

_TWICE = 2
_CAUTIONS = (DRESSED_SEED_IS_POISON, ASK_DEALER_OR_EXTENSION)


class Poor(StrEnum):
    """What to do about a poor lot when no other seed can be found."""

    TWICE_OR_RETEST = "twice_or_retest"
    DO_NOT_SOW = "do_not_sow"


@dataclass(frozen=True, slots=True)
class PoorSeed:
    """What to do about a poor lot; finding other seed comes before all of it.

    Args:
        without_other: what to do when no other seed can be found.
        seed_kg: sorted seed to sow then [kg], None where it is not sown.
        second_test: whether a second test is the other way.
        visit: whether somebody should come and see the seed.
        cautions: keys of what must be said with it: seed that is not sown is food only if nobody dressed it.
    """

    without_other: Poor
    seed_kg: float | None
    second_test: bool
    visit: bool
    cautions: tuple[str, ...]


def without_other_seed(test: SeedTest, poor_under_percent: int, refuse_under_percent: int) -> Poor:
    """What to do about a poor lot when no other seed can be found.

    Args:
        test: a test under the lower edge.
        poor_under_percent: the lower edge, 0 to 100.
        refuse_under_percent: below this the lot is not sown, 0 to ``poor_under_percent``.

    Returns:
        Twice the seed or a second test, or do not sow.

    Raises:
        OutOfRange: edges that are not in order.
        CannotBe: the lot is not poor.

    Source:
        Field judgement; the edges are figures of the crop.

    >>> [str(without_other_seed(SeedTest(grown, 100), 60, 50)) for grown in (59, 50, 49)]
    ['twice_or_retest', 'twice_or_retest', 'do_not_sow']
    """
    within("lower edge", poor_under_percent, 0, 100, "percent")
    within("not sown under", refuse_under_percent, 0, poor_under_percent, "percent")
    if test.grown * 100 >= poor_under_percent * test.sown:
        raise CannotBe(
            "seed_is_not_poor",
            f"{test.grown} of {test.sown} seeds are not under {poor_under_percent} percent",
            "sow more of it, as for any seed in the middle band",
        )
    hopeless = test.grown * 100 < refuse_under_percent * test.sown
    return Poor.DO_NOT_SOW if hopeless else Poor.TWICE_OR_RETEST


def poor_seed(test: SeedTest, usual_kg: float, poor_under_percent: int, refuse_under_percent: int) -> PoorSeed:
    """What to do about a poor lot, with the seed that it takes.

    Args:
        test: a test under the lower edge.
        usual_kg: sorted seed that the field takes of good seed [kg], above 0.
        poor_under_percent: the lower edge, 0 to 100.
        refuse_under_percent: below this the lot is not sown, 0 to ``poor_under_percent``.

    Returns:
        What to do.

    Raises:
        OutOfRange: a value outside its range.
        CannotBe: the lot is not poor.

    Source:
        As ``without_other_seed``.

    >>> poor_seed(SeedTest(55, 100), 50, 60, 50).seed_kg, poor_seed(SeedTest(45, 100), 50, 60, 50).seed_kg
    (100, None)
    """
    above_zero("seed", usual_kg, "kg")
    choice = without_other_seed(test, poor_under_percent, refuse_under_percent)
    sown = choice is Poor.TWICE_OR_RETEST
    return PoorSeed(choice, _TWICE * usual_kg if sown else None, sown, sown, _CAUTIONS)
