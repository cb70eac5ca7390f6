"""How large the numbers of a buy list can get in a programme, so that a message can be proven to fit."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from advisor.agronomy.buylist import Choices, Lot, Origin, buy_list
from advisor.agronomy.crop import Crop
from advisor.agronomy.germination import Method, SeedTest
from advisor.agronomy.holes import MOST_BETWEEN
from advisor.agronomy.inoculant import packs_needed
from advisor.agronomy.limits import whole_up
from advisor.agronomy.packs import Pack, most_packs
from advisor.agronomy.programme import Programme

#: Mixes of seeds for a hole lie at most this far apart, and a plan for a stand takes the next one up.
_MIX_STEP = 1 / 6


@dataclass(frozen=True, slots=True)
class BuyListBounds:
    """The largest value that each number of a buy list can have; the smallest is 0 or more.

    Args:
        area_m2: the field, and what a purse is enough for.
        seed_kg: sorted seed to sow.
        grain_kg: raw grain to keep back.
        inoculant_g: inoculant.
        water_ml: water for it.
        sowing_days: days that sowing takes.
        total: what all purchases cost.
        stand_per_m2: any of the three stands.
        seed_kg_by_rate: mass by the handbook rate.
        seed_kg_by_population: mass by the target stand.
        seeds_per_hole: seeds for a hole.
        every: every so-manieth hole with another number.
        seed_packs: of each bag, the most in one purchase.
        inoculant_packs: of each pack, the most in one purchase.
    """

    area_m2: float
    seed_kg: float
    grain_kg: float
    inoculant_g: float
    water_ml: float
    sowing_days: int
    total: Decimal
    stand_per_m2: float
    seed_kg_by_rate: float
    seed_kg_by_population: float
    seeds_per_hole: int
    every: int
    seed_packs: tuple[tuple[Pack, int], ...]
    inoculant_packs: tuple[tuple[Pack, int], ...]


def buy_list_bounds(programme: Programme, crop: Crop) -> BuyListBounds:
    """The largest values over all plots, lots, spacings and purses that the programme allows.

    Masses and costs never fall with area and never rise with germination, so the largest plot with each kind
    of the worst seed that is still sown gives them; nothing is guessed.

    Args:
        programme: rules, products and prices.
        crop: a crop that the programme grows.

    Returns:
        The bounds.

    Raises:
        MissingFigure: the programme does not grow the crop or sells nothing for it.

    Source:
        Own derivation from ``buy_list``.

    >>> round(buy_list_bounds(programme, crop).seed_kg, 1)
    533.3
    """
    worst = SeedTest(crop.poor_under_percent, 100)
    lots = [Lot(origin, test) for origin in Origin for test in (None, worst)]
    extremes = [
        buy_list(programme, crop, programme.plot_high_m2, lot, Choices(spacing))
        for lot in lots
        for spacing in range(len(programme.plan(crop.key).spacings))
    ]
    inoculant = programme.inoculant(crop.key)
    grams, days = max(each.inoculant_g for each in extremes), max(each.sowing_days for each in extremes)
    seed_g = max(whole_up(each.seed_kg * 1000) for each in extremes if each.seed_purchase is not None)
    return BuyListBounds(
        area_m2=programme.plot_high_m2,
        seed_kg=max(each.seed_kg for each in extremes),
        grain_kg=max(each.grain_kg for each in extremes if each.grain_kg is not None),
        inoculant_g=grams,
        water_ml=max(each.water_ml for each in extremes),
        sowing_days=days,
        total=max(each.total for each in extremes),
        stand_per_m2=_largest_stand(programme, crop),
        seed_kg_by_rate=max(each.seed_kg_by_rate for each in extremes),
        seed_kg_by_population=max(each.seed_kg_by_population for each in extremes),
        seeds_per_hole=crop.seeds_per_hole_max,
        every=MOST_BETWEEN,
        seed_packs=most_packs(programme.seed(crop.key).packs, seed_g),
        inoculant_packs=tuple(
            (pack, packs_needed(grams, pack.size, days, inoculant.opened_life_days)) for pack in inoculant.packs
        ),
    )


def _largest_stand(programme: Programme, crop: Crop) -> float:
    plan = programme.plan(crop.key)
    # The rate is not raised for the best seed, which stands thickest; the target stand is passed by a mix at most.
    best = Lot(Origin.SAVED, SeedTest(100, 100, Method.BED))
    by_plan = [
        max(plan.stand_per_m2 + _MIX_STEP * crop.bed_emergence / hole, crop.bed_emergence / hole)
        for hole in (spacing.row_m * spacing.hole_m for spacing in plan.spacings)
    ]
    return max(buy_list(programme, crop, programme.plot_high_m2, best).stand_by_rate_per_m2, *by_plan)
