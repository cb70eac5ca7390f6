"""Nitrogen that a legume leaves for the next cereal: a range, and near nothing once the straw has gone.

Most of what a legume fixes leaves the field in the grain. What helps the next cereal is in roots, leaves and
straw, so carrying the straw away takes the help with it. Guides differ from nothing to over 60 kg a hectare;
the range is therefore data of the crop or of the zone, and the lower end is what may be counted on.
"""

from __future__ import annotations

from dataclasses import dataclass

from advisor.agronomy.cautions import ASK_DEALER_OR_EXTENSION
from advisor.agronomy.harvest_figures import NitrogenLeft
from advisor.agronomy.limits import above_zero, within
from advisor.agronomy.nutrients import N
from advisor.agronomy.units import HECTARE_M2


@dataclass(frozen=True, slots=True)
class NitrogenCredit:
    """Nitrogen that the next cereal finds.

    Args:
        low: least, on a hectare; what may be counted on.
        high: most, on a hectare.
        low_kg: least, on the whole field.
        high_kg: most, on the whole field.
        cautions: keys of what must be said with it.
    """

    low: N
    high: N
    low_kg: float
    high_kg: float
    cautions: tuple[str, ...]


def nitrogen_credit(figures: NitrogenLeft, straw_left: float, area_m2: float) -> NitrogenCredit:
    """Nitrogen left for the next cereal, by how much of the straw stays.

    Args:
        figures: the range with all straw left, and with all of it taken away.
        straw_left: part of the straw that stays on the field, 0 to 1.
        area_m2: the field [m²], above 0.

    Returns:
        The range.

    Raises:
        OutOfRange: a value outside its range.

    Source:
        The ranges are figures with their own sources (15 to 30 kg/ha where little is known; Ontario counts on 30,
        trials in Nigeria found 55, Minnesota none); even steps between the two ends are our own choice.

    >>> figures = NitrogenLeft(N(15), N(30), N(0), N(5))
    >>> credit = nitrogen_credit(figures, 1, 10_000)
    >>> credit.low, credit.high, nitrogen_credit(figures, 0, 10_000).high
    (N(kg_per_ha=15), N(kg_per_ha=30), N(kg_per_ha=5))
    """
    left = within("straw left", straw_left, 0, 1, "1")
    hectares = above_zero("area", area_m2, "m2") / HECTARE_M2
    low = _between(figures.removed_low, figures.returned_low, left)
    high = _between(figures.removed_high, figures.returned_high, left)
    told = (ASK_DEALER_OR_EXTENSION,)
    return NitrogenCredit(low, high, low.kg_per_ha * hectares, high.kg_per_ha * hectares, told)


def _between(removed: N, returned: N, left: float) -> N:
    return N(removed.kg_per_ha * (1 - left) + returned.kg_per_ha * left)
