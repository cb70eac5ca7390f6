"""Inoculant for a mass of seed that is settled, and how many packs it takes by mass and by time."""

from __future__ import annotations

from collections.abc import Sequence

from advisor.agronomy.cautions import (
    FOLLOW_THE_PACK,
    INOCULANT_APART_FROM_FERTILISER,
    INOCULANT_IN_SHADE,
    OPENED_PACK_DOES_NOT_KEEP,
    TREAT_ONLY_THE_BATCH,
)
from advisor.agronomy.limits import above_zero, not_below, whole_up
from advisor.agronomy.packs import Pack, Purchase, cheapest_purchase

#: What must be said with any result of this module.
CAUTIONS = (
    FOLLOW_THE_PACK,
    INOCULANT_IN_SHADE,
    INOCULANT_APART_FROM_FERTILISER,
    OPENED_PACK_DOES_NOT_KEEP,
    TREAT_ONLY_THE_BATCH,
)


def inoculant_g(seed_kg: float, dose_g_per_kg: float) -> float:
    """Inoculant for a mass of seed.

    Args:
        seed_kg: sorted seed to sow [kg], above 0.
        dose_g_per_kg: dose on the pack [g per kg of seed], above 0.

    Returns:
        Inoculant [g].

    Raises:
        OutOfRange: a mass or dose that is not above 0.

    Source:
        Common practice, no source: 250 g for 50 kg of seed. Published doses run from 1 to 20 g/kg, so the
        pack's own dose is the input.

    >>> inoculant_g(50, 5)
    250
    """
    return above_zero("seed", seed_kg, "kg") * above_zero("dose", dose_g_per_kg, "g/kg")


def water_ml(seed_kg: float, water_ml_per_kg: float) -> float:
    """Water, or sticker, that wets a mass of seed for its inoculant.

    Args:
        seed_kg: sorted seed to sow [kg], above 0.
        water_ml_per_kg: water on the pack [mL per kg of seed], above 0.

    Returns:
        Water [mL].

    Raises:
        OutOfRange: a mass or amount that is not above 0.

    Source:
        Common practice, no source: 6 teaspoons of 5 mL for 15 kg.

    >>> water_ml(15, 2)
    30
    """
    return above_zero("seed", seed_kg, "kg") * above_zero("water", water_ml_per_kg, "ml/kg")


def sowing_days(area_m2: float, sown_per_day_m2: float) -> int:
    """Whole days that sowing takes.

    Args:
        area_m2: the field [m²], above 0.
        sown_per_day_m2: area sown in a day [m²], above 0.

    Returns:
        Days, 1 or more.

    Raises:
        OutOfRange: an area that is not above 0.

    Source:
        Own choice: a day that is begun counts.

    >>> sowing_days(10117.141056, 5058.570528), sowing_days(10200, 5058.570528)
    (2, 3)
    """
    days = above_zero("area", area_m2, "m2") / above_zero("area a day", sown_per_day_m2, "m2/day")
    return max(1, whole_up(days))


def packs_by_mass(grams: float, pack_g: int) -> int:
    """Packs of one size that hold a mass of inoculant.

    Args:
        grams: inoculant needed [g], above 0.
        pack_g: content of a pack [g], above 0.

    Returns:
        Packs, 1 or more.

    Raises:
        OutOfRange: a mass that is not above 0.

    Source:
        Arithmetic.

    >>> packs_by_mass(250, 250), packs_by_mass(251, 250)
    (1, 2)
    """
    needed_g = max(1, whole_up(above_zero("inoculant", grams, "g")))
    return int(-(-needed_g // above_zero("pack", pack_g, "g")))


def packs_by_days(sowing_days: int, opened_life_days: int) -> int:
    """Packs that must be opened one after the other, since an opened pack does not keep.

    Args:
        sowing_days: whole days that sowing takes, 1 or more.
        opened_life_days: whole days in which an opened pack must be used up, 1 or more.

    Returns:
        Packs, 1 or more.

    Raises:
        OutOfRange: days below 1.

    Source:
        Common practice, no source: an opened pack is used within two to three days.

    >>> packs_by_days(2, 2), packs_by_days(3, 2)
    (1, 2)
    """
    not_below("sowing days", sowing_days, 1, "day")
    not_below("life of an opened pack", opened_life_days, 1, "day")
    return -(-sowing_days // opened_life_days)


def packs_needed(grams: float, pack_g: int, sowing_days: int, opened_life_days: int) -> int:
    """Packs of one size to buy: by mass or by time, whichever is more.

    Args:
        grams: inoculant needed [g], above 0.
        pack_g: content of a pack [g], above 0.
        sowing_days: whole days that sowing takes, 1 or more.
        opened_life_days: whole days in which an opened pack must be used up, 1 or more.

    Returns:
        Packs, 1 or more.

    Raises:
        OutOfRange: a value that cannot be.

    Source:
        As ``packs_by_mass`` and ``packs_by_days``.

    >>> packs_needed(100, 250, sowing_days=5, opened_life_days=2)
    3
    """
    return max(packs_by_mass(grams, pack_g), packs_by_days(sowing_days, opened_life_days))


def inoculant_purchase(packs: Sequence[Pack], grams: float, sowing_days: int, opened_life_days: int) -> Purchase:
    """The cheapest packs that hold the inoculant and are fresh for every day of sowing.

    A pack serves only the days of its opened life, so of a large pack no more than the share of those days
    counts. With one pack size this is ``packs_needed``.

    Args:
        packs: packs on sale, at least one.
        grams: inoculant needed [g], above 0.
        sowing_days: whole days that sowing takes, 1 or more.
        opened_life_days: whole days in which an opened pack must be used up, 1 or more.

    Returns:
        What to buy.

    Raises:
        OutOfRange: a value that cannot be.
        MissingFigure: no packs on sale.

    Source:
        As ``packs_needed``; sowing is taken as even over its days.

    >>> from decimal import Decimal
    >>> small, large = Pack(100, Decimal(50)), Pack(1000, Decimal(200))
    >>> bought = inoculant_purchase([small, large], 1000, sowing_days=4, opened_life_days=2)
    >>> [(pack.size, count) for pack, count in bought.lines]
    [(1000, 2)]
    """
    quantity_g = max(1, whole_up(above_zero("inoculant", grams, "g")))
    return cheapest_purchase(packs, quantity_g, shares=packs_by_days(sowing_days, opened_life_days))
