"""Fertiliser in the ground: grams for each metre and hole, how far a cap goes, how deep, and never on the seed.

A cap is a handy measure and an easy way to spread almost twice the plan: one cap every 30 cm of 60 cm rows is
22,500 caps an acre, and at 4.6 g a cap that is 103 kg where 60 were meant. So what a habit spreads is worked
out and held against the plan. Fertiliser in contact with seed burns the sprout, and kills the inoculant on it.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from advisor.agronomy.cautions import (
    ASK_DEALER_OR_EXTENSION,
    FERTILISER_APART_FROM_SEED,
    FOLLOW_THE_PACK,
    INOCULANT_APART_FROM_FERTILISER,
    KEEP_FROM_CHILDREN_AND_FOOD,
    NO_BARE_HANDS_WITH_FERTILISER,
    WASH,
    WEIGH_ONE_CAP,
)
from advisor.agronomy.errors import CannotBe
from advisor.agronomy.fertiliser_figures import Furrow
from advisor.agronomy.limits import above_zero, within

_G_PER_KG = 1000
#: A depth or a difference that meets its edge but for binary noise meets it.
_NOISE = 1e-9
_CAUTIONS = (
    FERTILISER_APART_FROM_SEED,
    INOCULANT_APART_FROM_FERTILISER,
    NO_BARE_HANDS_WITH_FERTILISER,
    WASH,
    KEEP_FROM_CHILDREN_AND_FOOD,
    FOLLOW_THE_PACK,
    ASK_DEALER_OR_EXTENSION,
)


class CapVerdict(StrEnum):
    """What a habit of caps does."""

    AS_PLANNED = "as_planned"
    TOO_MUCH = "too_much"
    TOO_LITTLE = "too_little"


@dataclass(frozen=True, slots=True)
class CapCheck:
    """What caps at a distance spread, against the plan.

    Args:
        caps: caps on the plot.
        kg: what they spread.
        planned_kg: what was meant.
        verdict: whether that is as planned.
        every_m: distance of caps at which it would be.
        cautions: keys of what must be said with it.
    """

    caps: float
    kg: float
    planned_kg: float
    verdict: CapVerdict
    every_m: float
    cautions: tuple[str, ...] = (WEIGH_ONE_CAP, *_CAUTIONS)


@dataclass(frozen=True, slots=True)
class Placement:
    """How a mass of fertiliser is laid.

    Args:
        g_per_m: grams for a metre of furrow.
        g_per_hole: grams for a hole.
        depth_from_m: least depth of the furrow.
        depth_to_m: greatest depth of it.
        cover_m: soil on the fertiliser before the seed is laid.
        beside_m: distance from the seed, where it lies in a hole of its own.
        cautions: keys of what must be said with it.
    """

    g_per_m: float
    g_per_hole: float
    depth_from_m: float
    depth_to_m: float
    cover_m: float
    beside_m: float
    cautions: tuple[str, ...] = _CAUTIONS


def grams_per_metre(kg: float, area_m2: float, row_m: float) -> float:
    """Fertiliser for a metre of furrow.

    Args:
        kg: fertiliser for the plot [kg], above 0.
        area_m2: the plot [m²], above 0.
        row_m: distance between rows [m], above 0.

    Returns:
        Grams for a metre.

    Raises:
        OutOfRange: a value that is not above 0.

    Source:
        Peace Corps, Soils, Crops and Fertilizer Use (1986), chapter 9: dosage by length of row.

    >>> grams_per_metre(100, 10_000, 0.75)
    7.5
    """
    furrow_m = above_zero("area", area_m2, "m2") / above_zero("row", row_m, "m")
    return above_zero("fertiliser", kg, "kg") * _G_PER_KG / furrow_m


def grams_per_hole(kg: float, area_m2: float, row_m: float, hole_m: float) -> float:
    """Fertiliser for a hole.

    Args:
        kg: fertiliser for the plot [kg], above 0.
        area_m2: the plot [m²], above 0.
        row_m: distance between rows [m], above 0.
        hole_m: distance between holes in the row [m], above 0.

    Returns:
        Grams for a hole.

    Raises:
        OutOfRange: a value that is not above 0.

    Source:
        As ``grams_per_metre``: dosage by plant.

    >>> round(grams_per_hole(50, 10_000, 1, 1), 2)
    5.0
    """
    return grams_per_metre(kg, area_m2, row_m) * above_zero("hole", hole_m, "m")


def metres_per_cap(cap_g: float, g_per_m: float) -> float:
    """How far one level cap goes along a furrow.

    Args:
        cap_g: what a level cap holds [g], above 0.
        g_per_m: fertiliser for a metre of furrow [g], above 0.

    Returns:
        Metres.

    Raises:
        OutOfRange: a value that is not above 0.

    Source:
        Arithmetic.

    >>> round(metres_per_cap(4.6, grams_per_metre(60, 4046.8564224, 0.6)), 2)
    0.52
    """
    return above_zero("cap", cap_g, "g") / above_zero("fertiliser for a metre", g_per_m, "g/m")


def holes_per_cap(cap_g: float, g_per_hole: float) -> float:
    """How many holes one level cap serves.

    Args:
        cap_g: what a level cap holds [g], above 0.
        g_per_hole: fertiliser for a hole [g], above 0.

    Returns:
        Holes; a fraction below 1 where a hole takes more than a cap.

    Raises:
        OutOfRange: a value that is not above 0.

    Source:
        ECHO Development Notes 100 (2008): a crown cap of 6 g serves two to three plants of 2 to 3 g.

    >>> holes_per_cap(6, 2), holes_per_cap(6, 3)
    (3.0, 2.0)
    """
    return above_zero("cap", cap_g, "g") / above_zero("fertiliser for a hole", g_per_hole, "g")


def check_caps(
    cap_g: float, every_m: float, row_m: float, area_m2: float, planned_kg: float, tolerance: float
) -> CapCheck:
    """What a cap every so many centimetres spreads on a plot, and whether that is the plan.

    Args:
        cap_g: what a level cap holds [g], above 0.
        every_m: distance of caps along the row [m], above 0.
        row_m: distance between rows [m], above 0.
        area_m2: the plot [m²], above 0.
        planned_kg: fertiliser that was meant for it [kg], above 0.
        tolerance: part by which it may differ, 0 to 1; the edges are as planned.

    Returns:
        Caps, kilograms and the verdict.

    Raises:
        OutOfRange: a value that cannot be.

    Source:
        Common practice, no source: 22,500 caps of 4.6 g an acre are 103 kg.

    >>> check = check_caps(4.6, 0.3, 0.6, 4046.8564224, planned_kg=60, tolerance=0.1)
    >>> round(check.caps), round(check.kg, 1), str(check.verdict), round(check.every_m, 2)
    (22483, 103.4, 'too_much', 0.52)
    """
    within("tolerance", tolerance, 0, 1, "1")
    above_zero("planned fertiliser", planned_kg, "kg")
    hole_m2 = above_zero("row", row_m, "m") * above_zero("distance of caps", every_m, "m")
    caps = above_zero("area", area_m2, "m2") / hole_m2
    kg = caps * above_zero("cap", cap_g, "g") / _G_PER_KG
    verdict = CapVerdict.AS_PLANNED
    if kg > planned_kg * (1 + tolerance + _NOISE):
        verdict = CapVerdict.TOO_MUCH
    elif kg < planned_kg * (1 - tolerance - _NOISE):
        verdict = CapVerdict.TOO_LITTLE
    return CapCheck(caps, kg, planned_kg, verdict, every_m * kg / planned_kg)


def fertiliser_placement(
    kg: float, area_m2: float, row_m: float, hole_m: float, furrow: Furrow, seed_depth_m: float
) -> Placement:
    """How a mass of fertiliser is laid in the furrow that seed lies in, with soil between the two.

    Args:
        kg: fertiliser for the plot [kg], above 0.
        area_m2: the plot [m²], above 0.
        row_m: distance between rows [m], above 0.
        hole_m: distance between holes in the row [m], above 0.
        furrow: depth, cover and distance that the programme sets.
        seed_depth_m: depth that seed lies at [m], 0.005 to 0.3.

    Returns:
        Grams, depth and cover.

    Raises:
        OutOfRange: a value that cannot be.
        CannotBe: seed so deep that it would lie on the fertiliser.

    Source:
        Common practice, no source: a furrow 5 to 7 cm deep, 2 cm of soil on the fertiliser.

    >>> furrow = Furrow(0.05, 0.07, 0.02, 0.05, 0.1)
    >>> laid = fertiliser_placement(60, 4046.8564224, 0.6, 0.1, furrow, seed_depth_m=0.03)
    >>> round(laid.g_per_m, 1), round(laid.g_per_hole, 2), laid.cautions[0]
    (8.9, 0.89, 'fertiliser_apart_from_seed')
    """
    within("depth of seed", seed_depth_m, 0.005, 0.3, "m")
    if seed_depth_m > furrow.from_m - furrow.cover_m + _NOISE:
        raise CannotBe(
            "fertiliser_touches_seed",
            f"seed {seed_depth_m * 100:g} cm deep lies on fertiliser {furrow.from_m * 100:g} cm deep "
            f"under {furrow.cover_m * 100:g} cm of soil",
            f"sow shallower, make the furrow deeper, or lay it {furrow.beside_m * 100:g} cm beside the seed",
        )
    g_per_m = grams_per_metre(kg, area_m2, row_m)
    return Placement(
        g_per_m,
        g_per_m * above_zero("hole", hole_m, "m"),
        furrow.from_m,
        furrow.to_m,
        furrow.cover_m,
        furrow.beside_m,
    )
