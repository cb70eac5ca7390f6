"""Seed: from a stand or a handbook rate to a mass, and back to the stand that a mass implies.

The two ways to a mass do not agree in general. The target stand divides by germination, emergence and purity.
A handbook rate was found in fields and has emergence in it, so it is only raised where germination is below
the one that the rate assumes.
"""

from __future__ import annotations

from advisor.agronomy.cautions import (
    DRESSED_SEED_IS_POISON,
)
from advisor.agronomy.errors import MissingFigure, OutOfRange
from advisor.agronomy.germination import Method
from advisor.agronomy.limits import above_zero, share, within
from advisor.agronomy.units import HECTARE_M2

_G_PER_KG = 1000
_SEEDS_PER_TSW = 1000


#: What must be said with any result of this module.
CAUTIONS = (DRESSED_SEED_IS_POISON,)


def stand_per_m2(plants_per_hole: float, row_m: float, hole_m: float) -> float:
    """Stand of a spacing.

    Args:
        plants_per_hole: plants in each hole, above 0.
        row_m: distance between rows [m], above 0.
        hole_m: distance between holes in the row [m], above 0.

    Returns:
        Plants per m².

    Raises:
        OutOfRange: a value that is not above 0.

    Source:
        ICRISAT, Plant stand estimation: 0.75 m by 0.10 m is 133,330 plants per hectare.

    >>> round(stand_per_m2(2, 0.6, 0.1), 1)
    33.3
    """
    plants = above_zero("plants per hole", plants_per_hole, "1")
    return plants / (above_zero("row", row_m, "m") * above_zero("hole", hole_m, "m"))


def seed_mass_by_population_kg(
    area_m2: float, stand: float, tsw_g: float, germination: float, emergence: float, purity: float = 1.0
) -> float:
    """Seed for a target stand.

    Args:
        area_m2: the field [m²], above 0.
        stand: plants to stand [plants/m²], above 0.
        tsw_g: mass of a thousand seeds [g], above 0.
        germination: part of the seeds that germinates, above 0, at most 1.
        emergence: part of the germinating seeds that becomes plants in the field, above 0, at most 1.
        purity: pure seed by mass, above 0, at most 1; 1 for hand-sorted seed.

    Returns:
        Seed [kg].

    Raises:
        OutOfRange: a value outside its range.

    Source:
        Saskatchewan Pulse Growers, Calculating seeding rates: plants/m² × TSW ÷ survival.

    >>> round(seed_mass_by_population_kg(10_000, 300, 51.9, 0.85, 1.0), 1)
    183.2
    """
    plants = above_zero("area", area_m2, "m2") * above_zero("stand", stand, "plants/m2")
    seeds = plants / (share("germination", germination) * share("emergence", emergence) * share("purity", purity))
    return seeds * above_zero("thousand-seed weight", tsw_g, "g") / _SEEDS_PER_TSW / _G_PER_KG


def seed_mass_by_rate_kg(
    area_m2: float, rate_kg_per_ha: float, germination: float, rate_germination: float | None
) -> float:
    """Seed by a handbook rate: more for seed below the germination that the rate assumes, never less.

    Args:
        area_m2: the field [m²], above 0.
        rate_kg_per_ha: handbook rate [kg/ha], above 0.
        germination: germination of the lot as a test on paper gives it, above 0, at most 1.
        rate_germination: germination that the rate assumes, above 0, at most 1; None where it is not known.

    Returns:
        Seed [kg].

    Raises:
        MissingFigure: the germination behind the rate is not known, so the rate cannot be adjusted.
        OutOfRange: a value outside its range.

    Source:
        Own choice: the rate has emergence in it and is never divided by it.

    >>> round(seed_mass_by_rate_kg(4046.8564224, 49.42107629, 0.6, 0.8), 2)
    26.67
    """
    if rate_germination is None:
        raise MissingFigure("rate_germination", "give the germination that the handbook rate assumes")
    rate_kg = above_zero("rate", rate_kg_per_ha, "kg/ha") * above_zero("area", area_m2, "m2") / HECTARE_M2
    return rate_kg * max(1.0, share("rate germination", rate_germination) / share("germination", germination))


def implied_stand_per_m2(
    seed_kg: float, area_m2: float, tsw_g: float, germination: float, emergence: float, purity: float = 1.0
) -> float:
    """Stand that a mass of seed gives: the target-stand formula turned round.

    Args:
        seed_kg: seed sown [kg], above 0.
        area_m2: the field [m²], above 0.
        tsw_g: mass of a thousand seeds [g], above 0.
        germination: part of the seeds that germinates, above 0, at most 1.
        emergence: part of the germinating seeds that becomes plants in the field, above 0, at most 1.
        purity: pure seed by mass, above 0, at most 1.

    Returns:
        Plants per m².

    Raises:
        OutOfRange: a value outside its range.

    Source:
        As ``seed_mass_by_population_kg``.

    >>> round(implied_stand_per_m2(20, 4046.8564224, 130, 0.85, 0.85), 1)
    27.5
    """
    grams = above_zero("seed", seed_kg, "kg") * _G_PER_KG * share("purity", purity)
    seeds = grams / above_zero("thousand-seed weight", tsw_g, "g") * _SEEDS_PER_TSW
    return (
        seeds
        * share("germination", germination)
        * share("emergence", emergence)
        / above_zero("area", area_m2, "m2")
    )


def grain_for_seed_kg(seed_kg: float, sorting_loss: float) -> float:
    """Raw grain that gives a mass of sorted seed.

    Args:
        seed_kg: sorted seed [kg], above 0.
        sorting_loss: part of the grain that sorting takes away, 0 to below 1.

    Returns:
        Raw grain [kg].

    Raises:
        OutOfRange: a value outside its range.

    Source:
        Arithmetic.

    >>> grain_for_seed_kg(45, 0.1)
    50.0
    """
    if not 0 <= sorting_loss < 1:
        raise OutOfRange("sorting loss", sorting_loss, 0, "below 1", "1")
    return above_zero("seed", seed_kg, "kg") / (1 - sorting_loss)


def emergence_after(method: Method, emergence: float, bed_emergence: float) -> float:
    """Part of the seedlings of a test that the field will show.

    Seed that came up in a pot or bed of soil has most of field emergence behind it, so what is left to
    lose is smaller.

    Args:
        method: how the test was done.
        emergence: part that emerges after a test on paper, above 0, at most 1.
        bed_emergence: part that emerges after a test in soil, from ``emergence`` to 1.

    Returns:
        The part that applies, above 0, at most 1.

    Raises:
        OutOfRange: a value outside its range.

    Source:
        Own choice; both parts are figures of the crop.

    >>> emergence_after(Method.PAPER, 0.85, 0.95), emergence_after(Method.BED, 0.85, 0.95)
    (0.85, 0.95)
    """
    within("bed emergence", bed_emergence, share("emergence", emergence), 1, "1")
    return emergence if method is Method.PAPER else bed_emergence


def paper_germination(germination: float, method: Method, emergence: float, bed_emergence: float) -> float:
    """Germination on the footing of a test on paper, which is what a handbook rate assumes.

    A bed result b stands for the paper result g with g × emergence = b × bed emergence, at most 1.

    Args:
        germination: result of the test, above 0, at most 1.
        method: how the test was done.
        emergence: part that emerges after a test on paper, above 0, at most 1.
        bed_emergence: part that emerges after a test in soil, from ``emergence`` to 1.

    Returns:
        Germination, above 0, at most 1.

    Raises:
        OutOfRange: a value outside its range.

    Source:
        Own choice.

    >>> round(paper_germination(0.68, Method.BED, 0.85, 0.95), 2)
    0.76
    """
    plants = share("germination", germination) * emergence_after(method, emergence, bed_emergence)
    return min(1.0, plants / emergence)
