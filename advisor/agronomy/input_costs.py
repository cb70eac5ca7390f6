"""What seed, inoculant and fertiliser cost for a part of a field with a part of its phosphorus.

Seed and inoculant are never thinned out, so of them only the area counts; fertiliser is the cheapest purchase from
the dealer's list for what phosphorus is left. What it would cost if bags could be cut is had at once and is never
more, so a purse asks for the exact cost of a few parts only.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from decimal import Decimal
from functools import cache

from advisor.agronomy.budget_figures import Budget
from advisor.agronomy.buylist import Settled
from advisor.agronomy.errors import OutOfRange
from advisor.agronomy.fertiliser_choice import FertiliserCost
from advisor.agronomy.fertiliser_figures import Fertilising
from advisor.agronomy.fertiliser_need import Need
from advisor.agronomy.nutrients import P2O5
from advisor.agronomy.programme import Programme
from advisor.agronomy.purse import P_PARTS, PursePlan, purse_plan

#: Parts that a field is divided into, unless a part would be smaller than the smallest plot that is advised on.
_PARTS = 10

#: What inoculant for a mass of seed [kg] costs on a part of the field [m²].
InoculantCost = Callable[[float, float], Decimal]


@dataclass(frozen=True, slots=True)
class InputCosts:
    """Costs of the inputs of a field, part by part.

    Args:
        programme: limits of plots and purses.
        seed_and_inoculant: what both cost for a part of the field [m²].
        fertiliser: what fertiliser costs, by the part of the phosphorus that is given.
    """

    programme: Programme
    seed_and_inoculant: Callable[[float], Decimal]
    fertiliser: dict[float, FertiliserCost]

    @classmethod
    def of(
        cls, settled: Settled, fertilising: Fertilising, need: Need, inoculant: InoculantCost | None = None
    ) -> InputCosts:
        """The costs for a lot and a need.

        Args:
            settled: what seed and inoculant follow.
            fertilising: the dealer's list.
            need: what a hectare needs.
            inoculant: what inoculant costs for seed that is settled, None for the packs of the buy list.

        Raises:
            MissingFigure: no products on the list.
            CannotBe: no mixture of the list meets the need within the nitrogen limit.
        """

        @cache
        def seed_and_inoculant(part_m2: float) -> Decimal:
            if inoculant is None:
                return settled.package(part_m2).total
            seed_kg = settled.ways.kg(part_m2)
            seed = settled.bags(seed_kg)
            return inoculant(seed_kg, part_m2) + (Decimal(0) if seed is None else seed.cost)

        decimals = settled.programme.currency.decimals
        fertiliser = {
            p_part: FertiliserCost.of(
                fertilising.products, replace(need, p2o5=P2O5(need.p2o5.kg_per_ha * p_part)), decimals
            )
            for p_part in P_PARTS
        }
        return cls(settled.programme, seed_and_inoculant, fertiliser)

    def cost(self, part_m2: float, p_part: float) -> Decimal:
        """What all inputs cost."""
        return self.seed_and_inoculant(part_m2) + self.fertiliser[p_part].cost(part_m2)

    def least(self, part_m2: float, p_part: float) -> float:
        """What they never cost less than."""
        return float(self.seed_and_inoculant(part_m2)) + self.fertiliser[p_part].least(part_m2)

    def purse_plan(self, budget: Budget, area_m2: float, purse: Decimal) -> PursePlan:
        """What a purse buys for a field.

        Args:
            budget: harvest and money of the crop in the zone.
            area_m2: the field [m²], within the programme's plots.
            purse: money there is.

        Raises:
            OutOfRange: a purse outside the programme's limits.
        """
        programme = self.programme
        if not (purse.is_finite() and 0 <= purse <= programme.purse_max):
            raise OutOfRange("purse", purse, 0, programme.purse_max, programme.currency.symbol)
        # A part that is the smallest plot to a hair would be refused for the hair.
        parts = max(1, min(_PARTS, int(area_m2 / programme.plot_low_m2 - 1e-6)))
        return purse_plan(budget, area_m2, purse, self.cost, parts, self.least)
