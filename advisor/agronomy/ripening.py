"""Yield before harvest, from what stands in the field, and grain lost on the ground after it.

Plants on a square metre, pods on a plant, seeds in a pod and the mass of a seed multiply to what stands there.
Counts are always made on the better plants, and a harvest leaves grain behind, so the answer is a range below
the product. A product beyond what the crop has ever been seen to yield is not refused but flagged: one of the
four counts is most likely wrong. Seeds on the ground turn into a loss by the same mass of a seed.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from advisor.agronomy.errors import OutOfRange
from advisor.agronomy.harvest_figures import YieldFigures
from advisor.agronomy.limits import above_zero, whole_up, within
from advisor.agronomy.units import HECTARE_M2

_G_PER_KG = 1000
_SEEDS_PER_TSW = 1000
#: More seeds than can lie side by side.
_MOST_SEEDS_PER_M2 = 100_000


class Belief(StrEnum):
    """Whether a yield can be believed."""

    PLAUSIBLE = "plausible"
    BEYOND = "beyond"


@dataclass(frozen=True, slots=True)
class YieldEstimate:
    """What a field will yield.

    Args:
        standing_kg_per_ha: grain that stands in the field.
        low_kg_per_ha: grain brought home after a usual harvest loss.
        high_kg_per_ha: grain brought home after a careful harvest.
        belief: whether the crop can yield that at all; beyond it a count is most likely wrong.
    """

    standing_kg_per_ha: float
    low_kg_per_ha: float
    high_kg_per_ha: float
    belief: Belief


@dataclass(frozen=True, slots=True)
class Bags:
    """Grain in bags.

    Args:
        full: bags that are full.
        rest_kg: grain in the last one, 0 when all are full.
        needed: bags to have ready.
    """

    full: int
    rest_kg: float
    needed: int


def standing_kg_per_ha(stand: float, pods_per_plant: float, seeds_per_pod: float, tsw_g: float) -> float:
    """Grain that stands in a field.

    Args:
        stand: plants that bear pods [plants/m²], 0 or more.
        pods_per_plant: pods with seed on a plant, 0 or more.
        seeds_per_pod: seeds in a pod, 0 or more.
        tsw_g: mass of a thousand seeds [g], above 0.

    Returns:
        Grain [kg/ha].

    Raises:
        OutOfRange: a value outside its range.

    Source:
        Purdue University, Estimating soybean yields: pods on a ten-thousandth of an acre × seeds in a pod ÷ 18 for
        3,000 seeds a pound is bushels an acre; the same in metric units.

    >>> round(standing_kg_per_ha(39.537, 25, 2.5, 151.2))
    3736
    """
    seeds_per_m2 = 1.0
    for name, value, unit in (
        ("stand", stand, "plants/m2"),
        ("pods per plant", pods_per_plant, "pods/plant"),
        ("seeds per pod", seeds_per_pod, "seeds/pod"),
    ):
        seeds_per_m2 *= within(name, value, 0, _MOST_SEEDS_PER_M2, unit)
    return seeds_per_m2 * above_zero("thousand-seed weight", tsw_g, "g") / _SEEDS_PER_TSW / _G_PER_KG * HECTARE_M2


def yield_before_harvest(
    figures: YieldFigures, stand: float, pods_per_plant: float, tsw_g: float, seeds_per_pod: float | None = None
) -> YieldEstimate:
    """Yield to expect, as a range, and whether the counts can be believed.

    Args:
        figures: what the crop can bear and what a harvest loses.
        stand: plants that bear pods [plants/m²].
        pods_per_plant: pods with seed on a plant, the mean of several plants.
        tsw_g: mass of a thousand seeds [g], above 0.
        seeds_per_pod: seeds in a pod, the mean of several pods; None takes the crop's figure.

    Returns:
        The estimate.

    Raises:
        OutOfRange: a count that the crop cannot bear.

    Source:
        As ``standing_kg_per_ha``; RealAgriculture, Soybean School, 2016: take off 10 to 12 % for harvest loss.

    >>> figures = YieldFigures(2.5, 5, 300, 150, 0.10, 0.12, 4000)
    >>> estimate = yield_before_harvest(figures, 30, 25, 130)
    >>> round(estimate.low_kg_per_ha), round(estimate.high_kg_per_ha), str(estimate.belief)
    (2145, 2194, 'plausible')
    """
    in_pod = figures.seeds_per_pod if seeds_per_pod is None else seeds_per_pod
    within("stand", stand, 0, figures.stand_most_per_m2, "plants/m2")
    within("pods per plant", pods_per_plant, 0, figures.pods_per_plant_most, "pods/plant")
    within("seeds per pod", in_pod, 0, figures.seeds_per_pod_most, "seeds/pod")
    standing = standing_kg_per_ha(stand, pods_per_plant, in_pod, tsw_g)
    return YieldEstimate(
        standing_kg_per_ha=standing,
        low_kg_per_ha=standing * (1 - figures.loss_high),
        high_kg_per_ha=standing * (1 - figures.loss_low),
        belief=Belief.PLAUSIBLE if standing <= figures.plausible_kg_per_ha else Belief.BEYOND,
    )


def harvest_loss_kg_per_ha(seeds_per_m2: float, tsw_g: float) -> float:
    """Grain that a harvest left on the ground.

    Args:
        seeds_per_m2: seeds on a square metre of ground, loose and in pods, 0 to 100,000.
        tsw_g: mass of a thousand seeds [g], above 0.

    Returns:
        Grain lost [kg/ha].

    Raises:
        OutOfRange: a value outside its range.

    Source:
        Ontario, Field Crop News, Harvest losses, quality and storage, 2025: 43 on a square metre, or 4 on a square
        foot, are 67 kg/ha, or 1 bushel an acre.

    >>> round(harvest_loss_kg_per_ha(43, 156))
    67
    """
    lost = within("seeds on the ground", seeds_per_m2, 0, _MOST_SEEDS_PER_M2, "seeds/m2")
    return lost * above_zero("thousand-seed weight", tsw_g, "g") / _SEEDS_PER_TSW / _G_PER_KG * HECTARE_M2


def lost_part(lost_kg_per_ha: float, brought_home_kg_per_ha: float) -> float:
    """Part of the standing grain that a harvest lost.

    Args:
        lost_kg_per_ha: grain left on the ground [kg/ha], 0 or more.
        brought_home_kg_per_ha: grain brought home [kg/ha], above 0.

    Returns:
        The part, 0 to below 1.

    Raises:
        OutOfRange: a value outside its range.

    Source:
        Arithmetic.

    >>> round(lost_part(100, 900), 2)
    0.1
    """
    lost = within("loss", lost_kg_per_ha, 0, 1e9, "kg/ha")
    return lost / (lost + above_zero("grain brought home", brought_home_kg_per_ha, "kg/ha"))


def bags_of_grain(grain_kg: float, bag_kg: float) -> Bags:
    """Bags that grain fills, and bags to have ready.

    Args:
        grain_kg: grain [kg], 0 or more.
        bag_kg: grain in a full bag [kg], a gram to a thousand tonnes.

    Returns:
        The bags.

    Raises:
        OutOfRange: a value outside its range.

    Source:
        Arithmetic.

    >>> bags_of_grain(1130, 50)
    Bags(full=22, rest_kg=30, needed=23)
    """
    if not 0 <= grain_kg < 1e9:
        raise OutOfRange("grain", grain_kg, 0, "below 1e9", "kg")
    filled = grain_kg / within("bag", bag_kg, 0.001, 1e6, "kg")
    # Down as up: a bag that lacks no more than the noise of binary fractions is full.
    full, needed = -whole_up(-filled), whole_up(filled)
    return Bags(full, grain_kg - full * bag_kg if full < needed else 0.0, needed)
