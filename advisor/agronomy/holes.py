"""Seeds for each hole, in a mix that can be said in one breath: "two, every third hole three".

Seeds for each hole and the mass of seed come from one number. Under the target stand the plan comes first and
the mass follows from it; under a handbook rate the mass comes first and the plan spreads it over the holes.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from itertools import takewhile
from math import floor

from advisor.agronomy.cautions import (
    DRESSED_SEED_IS_POISON,
)
from advisor.agronomy.limits import above_zero, not_below, share, within
from advisor.agronomy.seed import stand_per_m2

#: A mix is the next whole number above or below a mean by so much less or more; binary noise must not decide.
_NOISE = 1e-9

#: What each mix adds to a whole number of seeds: (added, every so-manieth hole differs, the others have one more).
_MIXES = (
    (0.0, 0, False),
    (1 / 6, 6, False),
    (1 / 5, 5, False),
    (1 / 4, 4, False),
    (1 / 3, 3, False),
    (1 / 2, 2, False),
    (2 / 3, 3, True),
    (3 / 4, 4, True),
    (4 / 5, 5, True),
    (5 / 6, 6, True),
)

#: The rarest other hole that one can still count while sowing.
MOST_BETWEEN = max(every for _, every, _ in _MIXES)


#: What must be said with any result of this module.
CAUTIONS = (DRESSED_SEED_IS_POISON,)


@dataclass(frozen=True, slots=True)
class HolePlan:
    """Seeds for each hole: so many, and in every so-manieth hole another number.

    Args:
        row_m: distance between rows.
        hole_m: distance between holes in the row.
        seeds: seeds for each hole.
        every: every so-manieth hole gets ``then`` seeds; 0 when all holes are alike.
        then: seeds for those holes; the same as ``seeds`` when all are alike.
        capped: whether the most seeds for a hole cut the plan short.

    >>> round(HolePlan(0.6, 0.1, seeds=2, every=3, then=3).mean, 3)
    2.333
    """

    row_m: float
    hole_m: float
    seeds: int
    every: int
    then: int
    capped: bool = False

    @property
    def mean(self) -> float:
        """Mean seeds for each hole."""
        return float(self.seeds) if self.every == 0 else self.seeds + (self.then - self.seeds) / self.every


def hole_plan_for_stand(
    stand: float, row_m: float, hole_m: float, germination: float, emergence: float, most: int
) -> HolePlan:
    """Seeds for each hole that reach a target stand on average: the smallest mix that is enough.

    Args:
        stand: plants to stand [plants/m²], above 0.
        row_m: distance between rows [m], above 0.
        hole_m: distance between holes in the row [m], above 0.
        germination: part of the seeds that germinates, above 0, at most 1.
        emergence: part of the germinating seeds that becomes plants in the field, above 0, at most 1.
        most: most seeds for a hole, 1 or more.

    Returns:
        The plan; ``capped`` when the target is out of reach.

    Raises:
        OutOfRange: a value outside its range.

    Source:
        Own choice: the mean stand is the rule, not the chance of a full hole.

    >>> plan = hole_plan_for_stand(33.3, 0.6, 0.1, germination=0.9, emergence=0.85, most=4)
    >>> plan.seeds, plan.every, plan.then
    (3, 3, 2)
    """
    within("most seeds for a hole", most, 1, 9, "seeds")
    plants = above_zero("stand", stand, "plants/m2") / stand_per_m2(1, row_m, hole_m)
    mean = plants / (share("germination", germination) * share("emergence", emergence))
    plans = (plan for plan in _plans(row_m, hole_m, floor(mean), most) if plan.mean >= mean - _NOISE)
    return next(plans, HolePlan(row_m, hole_m, most, 0, most, capped=True))


def hole_plan_for_mass(
    seed_kg: float, area_m2: float, row_m: float, hole_m: float, tsw_g: float, purity: float, most: int
) -> HolePlan:
    """Seeds for each hole that a mass of seed allows: the largest mix that it is enough for.

    Args:
        seed_kg: seed to sow [kg], above 0.
        area_m2: the field [m²], above 0.
        row_m: distance between rows [m], above 0.
        hole_m: distance between holes in the row [m], above 0.
        tsw_g: mass of a thousand seeds [g], above 0.
        purity: pure seed by mass, above 0, at most 1.
        most: most seeds for a hole, 1 or more.

    Returns:
        The plan; ``capped`` when seed is left over.

    Raises:
        OutOfRange: a value outside its range, or seed for less than one seed a hole.

    Source:
        Own choice.

    >>> plan = hole_plan_for_mass(50, 10117.141056, 0.6, 0.1, tsw_g=130, purity=1, most=4)
    >>> plan.seeds, plan.every, plan.then
    (2, 4, 3)
    """
    within("most seeds for a hole", most, 1, 9, "seeds")
    holes = above_zero("area", area_m2, "m2") * stand_per_m2(1, row_m, hole_m)
    seeds = above_zero("seed", seed_kg, "kg") * share("purity", purity) * 1e6
    mean = seeds / above_zero("thousand-seed weight", tsw_g, "g") / holes
    not_below("seeds for a hole", mean, 1 - _NOISE, "seeds")
    if mean >= most + 1 / 6:
        return HolePlan(row_m, hole_m, most, 0, most, capped=True)
    *_, largest = takewhile(lambda plan: plan.mean <= mean + _NOISE, _plans(row_m, hole_m, floor(mean), most))
    return largest


def seed_mass_by_plan_kg(plan: HolePlan, area_m2: float, tsw_g: float, purity: float, spill: float) -> float:
    """Seed that a plan takes.

    Args:
        plan: seeds for each hole.
        area_m2: the field [m²], above 0.
        tsw_g: mass of a thousand seeds [g], above 0.
        purity: pure seed by mass, above 0, at most 1.
        spill: seed spilt, as a part of what the holes take, 0 to 1.

    Returns:
        Seed [kg].

    Raises:
        OutOfRange: a value outside its range.

    Source:
        Arithmetic.

    >>> round(seed_mass_by_plan_kg(HolePlan(0.6, 0.1, 2, 0, 2), 10_000, 130, purity=1, spill=0), 2)
    43.33
    """
    holes = above_zero("area", area_m2, "m2") * stand_per_m2(1, plan.row_m, plan.hole_m)
    pure_kg = holes * plan.mean * above_zero("thousand-seed weight", tsw_g, "g") / 1e6
    return pure_kg / share("purity", purity) * (1 + within("spill", spill, 0, 1, "1"))


@lru_cache(maxsize=256)
def _plans(row_m: float, hole_m: float, least: int, most: int) -> tuple[HolePlan, ...]:
    """Every plan from one seed a hole to the most, in order of its mean."""
    return tuple(
        HolePlan(
            row_m, hole_m, *((base + 1, every, base) if higher else (base, every, base + 1 if every else base))
        )
        for base in range(max(1, least), most + 1)
        for _, every, higher in (_MIXES if base < most else _MIXES[:1])
    )
