"""Seed of one's own: how long to keep it, what it is worth beside bought seed, and how much to keep at harvest.

Seed that a household grows on from year to year mixes, and picks up disease; after some seasons fresh seed is
bought. A kilogram of cheap seed that does not grow is dear, so prices are compared for a thousand plants to be
expected. What is kept at harvest must last through sorting, through the loss of germination in store and through
a failed sowing, so it is more than what will be sown; groundnuts are kept in the shell.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from advisor.agronomy.limits import above_zero, not_below, share, within
from advisor.agronomy.money import checked_money
from advisor.agronomy.seed import grain_for_seed_kg


class Cheaper(StrEnum):
    """Which seed costs less for the plants to be expected of it."""

    OWN = "own"
    BOUGHT = "bought"
    ALIKE = "alike"


@dataclass(frozen=True, slots=True)
class SeedAge:
    """How long a household has grown its own seed on.

    Args:
        seasons: seasons since it was bought.
        left: seasons for which it can be sown still, 0 when it is time to replace it.
    """

    seasons: int
    left: int

    @property
    def replace(self) -> bool:
        """Whether fresh seed is due now."""
        return self.left == 0


@dataclass(frozen=True, slots=True)
class SeedPrices:
    """What a thousand plants cost of either seed.

    Args:
        own: of one's own seed, at what it would have sold for as grain.
        bought: of bought seed.
        cheaper: which is cheaper.
    """

    own: Decimal
    bought: Decimal
    cheaper: Cheaper


@dataclass(frozen=True, slots=True)
class SeedOffer:
    """Seed that can be had.

    Args:
        price_per_kg: what a kilogram costs, 0 or more; of one's own grain, what it would sell for.
        germination: part of the seeds that germinates, above 0, at most 1.
        purity: pure seed by mass, above 0, at most 1; 1 for hand-sorted seed.
        sorting_loss: part that sorting takes away, 0 to below 1; 0 for bought seed.
    """

    price_per_kg: Decimal
    germination: float
    purity: float = 1.0
    sorting_loss: float = 0.0


def seed_age(seasons: int, replace_after: int) -> SeedAge:
    """Whether it is time for fresh seed.

    Args:
        seasons: times that seed of one's own was harvested since it was bought, 0 or more.
        replace_after: seasons after which it is replaced, 1 or more.

    Returns:
        Its age and the seasons that are left.

    Raises:
        OutOfRange: a value outside its range.

    Source:
        Common practice, no source: after three seasons; the number is a figure of the programme.

    >>> seed_age(2, 3).replace, seed_age(3, 3).replace
    (False, True)
    """
    not_below("seasons", seasons, 0, "1")
    not_below("replace after", replace_after, 1, "1")
    return SeedAge(seasons, max(0, replace_after - seasons))


def cost_of_thousand_plants(offer: SeedOffer, tsw_g: float, emergence: float) -> Decimal:
    """What seed for a thousand expected plants costs.

    Args:
        offer: the seed and its price.
        tsw_g: mass of a thousand seeds [g], above 0.
        emergence: part of the germinating seeds that becomes plants in the field, above 0, at most 1.

    Returns:
        The cost, not rounded to coins.

    Raises:
        OutOfRange: a value outside its range.

    Source:
        Arithmetic: a thousand plants take a thousand seeds over germination, emergence and purity.

    >>> cost_of_thousand_plants(SeedOffer(Decimal(100), 0.8), tsw_g=160, emergence=0.5)
    Decimal('40.0')
    """
    price = checked_money("price", offer.price_per_kg)
    up = share("germination", offer.germination) * share("emergence", emergence) * share("purity", offer.purity)
    sorted_kg = above_zero("thousand-seed weight", tsw_g, "g") / 1000 / up
    return price * Decimal(str(round(grain_for_seed_kg(sorted_kg, offer.sorting_loss), 9)))


def own_or_bought(own: SeedOffer, bought: SeedOffer, tsw_g: float, emergence: float) -> SeedPrices:
    """Which seed is cheaper for the plants to be expected of it.

    Args:
        own: one's own seed.
        bought: seed on sale.
        tsw_g: mass of a thousand seeds [g], above 0.
        emergence: part of the germinating seeds that becomes plants in the field, above 0, at most 1.

    Returns:
        Both costs for a thousand plants.

    Raises:
        OutOfRange: a value outside its range.

    Source:
        As ``cost_of_thousand_plants``.

    >>> own, bought = SeedOffer(Decimal(60), 0.6, sorting_loss=0.1), SeedOffer(Decimal(110), 0.9, 0.98)
    >>> str(own_or_bought(own, bought, tsw_g=130, emergence=0.85).cheaper)
    'own'
    """
    costs = cost_of_thousand_plants(own, tsw_g, emergence), cost_of_thousand_plants(bought, tsw_g, emergence)
    if costs[0] == costs[1]:
        return SeedPrices(*costs, Cheaper.ALIKE)
    return SeedPrices(*costs, Cheaper.OWN if costs[0] < costs[1] else Cheaper.BOUGHT)


def seed_to_keep_kg(seed_kg: float, sorting_loss: float, spare: float) -> float:
    """Grain to keep at harvest for the next sowing.

    Args:
        seed_kg: sorted seed that the next sowing takes at the germination that is expected then [kg], above 0.
        sorting_loss: part that sorting takes away, 0 to below 1.
        spare: more to keep for a second sowing or a poor store, as a part of the whole, 0 to 2.

    Returns:
        Raw grain to keep [kg].

    Raises:
        OutOfRange: a value outside its range.

    Source:
        Arithmetic; both parts are figures of the programme.

    >>> round(seed_to_keep_kg(45, 0.1, 0.2), 6)
    60.0
    """
    return grain_for_seed_kg(seed_kg, sorting_loss) * (1 + within("spare", spare, 0, 2, "1"))


def in_shell_kg(kernels_kg: float, kernel_part: float) -> float:
    """Crop in the shell that gives a mass of kernels; it is sown as kernels and kept, sold and counted in shells.

    Args:
        kernels_kg: kernels [kg], above 0.
        kernel_part: kernels as a part of the crop in the shell by mass, above 0, at most 1.

    Returns:
        Crop in the shell [kg].

    Raises:
        OutOfRange: a value outside its range.

    Source:
        University slide set, Seed rate calculation: 23 kg of kernels are 38.33 kg in the shell at 60 %.

    >>> round(in_shell_kg(23, 0.6), 2)
    38.33
    """
    return above_zero("kernels", kernels_kg, "kg") / share("kernel part", kernel_part)


def kernels_kg(shell_kg: float, kernel_part: float) -> float:
    """Kernels in a mass of crop in the shell.

    Args:
        shell_kg: crop in the shell [kg], above 0.
        kernel_part: kernels as a part of the crop in the shell by mass, above 0, at most 1.

    Returns:
        Kernels [kg].

    Raises:
        OutOfRange: a value outside its range.

    Source:
        As ``in_shell_kg``.

    >>> round(kernels_kg(100, 0.7), 6)
    70.0
    """
    return above_zero("crop in the shell", shell_kg, "kg") * share("kernel part", kernel_part)
