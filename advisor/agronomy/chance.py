"""The chance that a hole is not empty: for information, never the rule that seed is bought by.

The rule is the mean stand: gaps here are filled by neighbours there. Asking for plants in every single hole would
ask for seeds that nobody should buy. Still people want to know how often a hole stays empty, and the binomial
distribution says it, if seeds come up independently of each other.
"""

from __future__ import annotations

from math import comb, fsum

from advisor.agronomy.errors import OutOfRange
from advisor.agronomy.limits import not_below, share, within

#: More seeds than this in one hole is no hole.
_MOST_SEEDS = 100


def chance_of_plants(plants: int, seeds: int, germination: float, emergence: float) -> float:
    """Chance that at least so many plants stand in a hole.

    Args:
        plants: plants wanted, 0 or more.
        seeds: seeds in the hole, 0 to 100.
        germination: part of the seeds that germinates, above 0, at most 1.
        emergence: part of the germinating seeds that becomes plants in the field, above 0, at most 1.

    Returns:
        The chance, 0 to 1.

    Raises:
        OutOfRange: a value outside its range.

    Source:
        Binomial distribution.

    >>> round(chance_of_plants(1, 2, 0.8, 0.85), 4)
    0.8976
    """
    not_below("plants", plants, 0, "1")
    within("seeds for a hole", seeds, 0, _MOST_SEEDS, "seeds")
    up = share("germination", germination) * share("emergence", emergence)
    # The shorter tail is summed, so that a chance close to 0 or to 1 keeps its digits.
    if plants > seeds * up:
        return fsum(comb(seeds, n) * up**n * (1 - up) ** (seeds - n) for n in range(plants, seeds + 1))
    return 1 - fsum(comb(seeds, n) * up**n * (1 - up) ** (seeds - n) for n in range(plants))


def seeds_for_chance(plants: int, chance: float, germination: float, emergence: float) -> int:
    """Fewest seeds in a hole for a chance of so many plants.

    Args:
        plants: plants wanted, 1 or more.
        chance: the chance asked for, above 0, below 1.
        germination: part of the seeds that germinates, above 0, at most 1.
        emergence: part of the germinating seeds that becomes plants in the field, above 0, at most 1.

    Returns:
        Seeds for a hole.

    Raises:
        OutOfRange: a value outside its range, or more than 100 seeds.

    Source:
        Binomial distribution.

    >>> seeds_for_chance(2, 0.95, 0.8, 0.85)
    5
    """
    within("plants", plants, 1, _MOST_SEEDS, "1")
    if not 0 < chance < 1:
        raise OutOfRange("chance", chance, "above 0", "below 1", "1")
    for seeds in range(plants, _MOST_SEEDS + 1):
        if chance_of_plants(plants, seeds, germination, emergence) >= chance:
            return seeds
    raise OutOfRange("seeds for a hole", f"more than {_MOST_SEEDS}", plants, _MOST_SEEDS, "seeds")
