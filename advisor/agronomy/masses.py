"""Seed for a field by both ways, side by side, with the stand that each implies and the seeds for each hole."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Self

from advisor.agronomy.cautions import DRESSED_SEED_IS_POISON
from advisor.agronomy.crop import Crop
from advisor.agronomy.germination import Method
from advisor.agronomy.holes import HolePlan, hole_plan_for_mass, hole_plan_for_stand, seed_mass_by_plan_kg
from advisor.agronomy.programme import BuyingRule, CropPlan, Spacing
from advisor.agronomy.seed import (
    emergence_after,
    implied_stand_per_m2,
    paper_germination,
    seed_mass_by_rate_kg,
    stand_per_m2,
)

#: What must be said with any result of this module.
CAUTIONS = (DRESSED_SEED_IS_POISON,)


@dataclass(frozen=True, slots=True)
class SeedQuality:
    """What a lot of seed is worth in the field.

    Args:
        germination: as tested, as labelled or as assumed, above 0, at most 1.
        method: how it was tested; a label rests on a test on paper.
        purity: pure seed by mass, above 0, at most 1; 1 for hand-sorted seed.
    """

    germination: float
    method: Method
    purity: float


@dataclass(frozen=True, slots=True)
class SeedMasses:
    """Seed by both ways.

    Args:
        kg: mass by the way that the programme buys by.
        stand_per_m2: stand that it implies.
        by_rate_kg: mass by the handbook rate.
        stand_by_rate_per_m2: stand that it implies.
        by_population_kg: mass by the target stand.
        stand_by_population_per_m2: stand that it implies.
        holes: seeds for each hole that belong to ``kg``.
    """

    kg: float
    stand_per_m2: float
    by_rate_kg: float
    stand_by_rate_per_m2: float
    by_population_kg: float
    stand_by_population_per_m2: float
    holes: HolePlan


@dataclass(frozen=True, slots=True)
class SeedWays:
    """Both ways to a mass, all but the area: what a programme, a spacing and a lot settle.

    Args:
        plan: how the programme grows the crop.
        crop: the crop.
        spacing: the spacing.
        quality: what the seed is worth.
        emergence: part of the seedlings of its test that the field will show.
        on_paper: its germination on the footing of a test on paper.
        holes: seeds for each hole that reach the target stand.
    """

    plan: CropPlan
    crop: Crop
    spacing: Spacing
    quality: SeedQuality
    emergence: float
    on_paper: float
    holes: HolePlan

    @classmethod
    def settled(cls, plan: CropPlan, crop: Crop, spacing: Spacing, quality: SeedQuality) -> Self:
        """Both ways for fields of any size that are sown alike.

        Raises:
            OutOfRange: a value outside its range.
        """
        emergence = emergence_after(quality.method, crop.emergence, crop.bed_emergence)
        on_paper = paper_germination(quality.germination, quality.method, crop.emergence, crop.bed_emergence)
        holes = hole_plan_for_stand(
            plan.stand_per_m2,
            spacing.row_m,
            spacing.hole_m,
            quality.germination,
            emergence,
            crop.seeds_per_hole_max,
        )
        return cls(plan, crop, spacing, quality, emergence, on_paper, holes)

    def exact_rate_kg(self, area_m2: float) -> float:
        """Seed for a field by the handbook rate, to the last digit."""
        return seed_mass_by_rate_kg(area_m2, self.plan.rate_kg_per_ha, self.on_paper, self.plan.rate_germination)

    def stand_kg(self, area_m2: float) -> float:
        """Seed for a field by the target stand."""
        spill, tsw_g = self.plan.spill, self.crop.tsw_g
        return _clean(seed_mass_by_plan_kg(self.holes, area_m2, tsw_g, self.quality.purity, spill))

    def kg(self, area_m2: float) -> float:
        """Seed for a field by the way that the programme buys by."""
        by_stand = self.plan.buying_rule is BuyingRule.POPULATION
        return self.stand_kg(area_m2) if by_stand else _clean(self.exact_rate_kg(area_m2))

    def masses(self, area_m2: float) -> SeedMasses:
        """Seed for a field by both ways, with the stand that each implies.

        Raises:
            OutOfRange: an area that is not above 0, or a rate that gives less than one seed for a hole.
        """
        grown, tsw_g, purity = self.quality.germination, self.crop.tsw_g, self.quality.purity
        row_m, hole_m, most = self.spacing.row_m, self.spacing.hole_m, self.crop.seeds_per_hole_max
        exact_kg = self.exact_rate_kg(area_m2)
        by_rate_kg, by_stand_kg = _clean(exact_kg), self.stand_kg(area_m2)
        by_rate_stand = implied_stand_per_m2(by_rate_kg, area_m2, tsw_g, grown, self.emergence, purity)
        by_stand_stand = stand_per_m2(self.holes.mean * grown * self.emergence, row_m, hole_m)
        if self.plan.buying_rule is BuyingRule.POPULATION:
            kg, stand, holes = by_stand_kg, by_stand_stand, self.holes
        else:
            kg, stand = by_rate_kg, by_rate_stand
            holes = hole_plan_for_mass(exact_kg, area_m2, row_m, hole_m, tsw_g, purity, most)
        return SeedMasses(kg, stand, by_rate_kg, by_rate_stand, by_stand_kg, by_stand_stand, holes)


def seed_masses(plan: CropPlan, crop: Crop, spacing: Spacing, area_m2: float, quality: SeedQuality) -> SeedMasses:
    """Seed for a field by both ways.

    Args:
        plan: how the programme grows the crop.
        crop: the crop.
        spacing: the spacing.
        area_m2: the field [m²], above 0.
        quality: what the seed is worth.

    Returns:
        Both masses [kg] and stands [plants/m²].

    Raises:
        OutOfRange: a value outside its range, or a rate that gives less than one seed for a hole.

    Source:
        The formulas of ``seed`` and ``holes``.

    >>> from advisor.agronomy.labels import Label
    >>> plan = CropPlan("x", Label("x"), BuyingRule.RATE, 50, 0.8, 33.3, (), 0.02, 0.1, 0.6, 5000)
    >>> crop = Crop("x", 130, 0.85, 0.95, 80, 60, 50, 50, 20, 400, 4, ())
    >>> masses = seed_masses(plan, crop, Spacing(0.6, 0.1), 10_000, SeedQuality(0.6, Method.PAPER, 1))
    >>> round(masses.by_rate_kg, 1), round(masses.by_population_kg, 1)
    (66.7, 88.4)
    """
    return SeedWays.settled(plan, crop, spacing, quality).masses(area_m2)


def _clean(kg: float) -> float:
    """The mass to a milligram, so that 2.5 acres of a rate of 20 kg an acre are 50 kg and not a hair less."""
    return round(kg, 6)
