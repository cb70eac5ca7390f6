"""How the parts of a season's plan are made, one after the other; one that fails is noted and passed over."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal
from functools import partial
from typing import TypeVar

from advisor.agronomy.batches import uses_a_day_g
from advisor.agronomy.budget_figures import Budget, budget_of
from advisor.agronomy.buylist import Advice, BuyList, Settled
from advisor.agronomy.crop import Crop
from advisor.agronomy.errors import AgronomyError, MissingFigure, OutOfRange
from advisor.agronomy.fertiliser_choice import choose_fertiliser
from advisor.agronomy.fertiliser_figures import Fertilising
from advisor.agronomy.fertiliser_need import LastSeason, Need, fertiliser_need, soil_class_of
from advisor.agronomy.inoculation import InoculationPlan, inoculation_plan
from advisor.agronomy.inoculation_figures import Inoculation
from advisor.agronomy.input_costs import InoculantCost, InputCosts
from advisor.agronomy.land_figures import needed
from advisor.agronomy.limits import whole_up, within
from advisor.agronomy.opened_packs import opening_cost
from advisor.agronomy.packs import Purchase
from advisor.agronomy.placement import Placement, fertiliser_placement
from advisor.agronomy.programme import Programme, Spacing, Zone
from advisor.agronomy.purse import PursePlan
from advisor.agronomy.row_plans import RowPlan, row_plan
from advisor.agronomy.rows import furrow_length_m
from advisor.agronomy.season_calendar import calendar
from advisor.agronomy.season_days import ZoneSeason, variety_of, zone_season
from advisor.agronomy.season_money import SeasonMoney, season_money
from advisor.agronomy.season_parts import (
    Absent,
    BuyLine,
    FertiliserPlan,
    FieldPlan,
    HarvestRange,
    Part,
    SeasonDates,
    StandAim,
    Why,
)
from advisor.agronomy.season_request import SeasonRequest
from advisor.agronomy.sowing_window import last_safe_sowing, likely_sowing, window_for, window_meant
from advisor.agronomy.units import HECTARE_M2

_G_PER_KG = 1000
_T = TypeVar("_T")


class SeasonMaking:
    """A plan as it is made; parts that fail are noted and passed over."""

    def __init__(
        self, programme: Programme, crop: Crop, zone: Zone, request: SeasonRequest, last: LastSeason | None
    ) -> None:
        self.programme, self.crop, self.zone, self.request, self.last = programme, crop, zone, request, last
        self.area_m2 = request.field_m2()
        self.settled = Settled.of(programme, crop, request.lot, request.spacing)
        self.settled.check(self.area_m2)
        if request.people is not None:
            within("people", request.people, 1, 1000, "people")
        if request.purse is not None and not (
            request.purse.is_finite() and 0 <= request.purse <= programme.purse_max
        ):
            raise OutOfRange("purse", request.purse, 0, programme.purse_max, programme.currency.symbol)
        self.spacing: Spacing = self.settled.plan.spacings[request.spacing]
        self.absent: list[Absent] = []

    def field(self) -> FieldPlan:
        """The field and its rows."""
        row_m, hole_m = self.spacing.row_m, self.spacing.hole_m
        furrow_m = furrow_length_m(self.area_m2, row_m)
        sides, rows = self.request.sides_m, None
        if sides is None:
            self._leave(Part.ROWS, Why.NOT_ASKED, "the sides of the field", "give its width and length")
        else:
            rows = self.part(Part.ROWS, partial(self.rows, *sides))
        return FieldPlan(self.area_m2, row_m, hole_m, furrow_m, int(furrow_m / hole_m), rows)

    def rows(self, width_m: float, length_m: float) -> RowPlan:
        """Whole rows, for one person where nobody said how many come."""
        people = self.request.people or 1
        return row_plan(self.programme, self.crop, width_m, length_m, people, self.request.spacing)

    def inoculation(self, bought: BuyList) -> InoculationPlan | None:
        """Batches and packs."""
        people = self.request.people
        if self._waits_for_test(Part.INOCULATION):
            return None
        if people is None:
            self._leave(Part.INOCULATION, Why.NOT_ASKED, "the people who sow", "say how many come")
            return None
        programme, product = self.programme, self.settled.inoculant
        return self.part(
            Part.INOCULATION,
            lambda: inoculation_plan(
                product, programme.inoculation, programme.measures, self.area_m2, bought.seed_kg, people
            ),
        )

    def fertilising(self) -> Fertilising:
        """What the programme says of fertiliser."""
        found = self.programme.fertilising
        return needed(found, "fertilising", "a [fertilising] table to the programme file")

    def need(self) -> Need:
        """What a hectare needs."""
        fertilising, tested = self.fertilising(), self.request.soil_mg_per_kg
        zone = fertilising.need(self.crop.key, self.zone.key)
        soil = None if tested is None else soil_class_of(fertilising.soil_classes_of(self.crop.key), tested)
        return fertiliser_need(zone, soil, self.last, fertilising.credit_part)

    def fertiliser(self, need: Need) -> FertiliserPlan:
        """Purchase and placement."""
        decimals = self.programme.currency.decimals
        choice = choose_fertiliser(self.fertilising().products, need, self.area_m2, decimals)
        laid = self.part(
            Part.PLACEMENT,
            lambda: tuple(
                (line.product, self.placed(line.applied_kg)) for line in choice.lines if line.applied_kg
            ),
        )
        return FertiliserPlan(need, choice, laid or ())

    def placed(self, kg: float) -> Placement:
        """How a mass of one product is laid."""
        sowing = needed(self.crop.land.sowing, f"{self.crop.key}.sowing", "a [sowing] section to its file")
        furrow = self.fertilising().furrow
        # As deep as the crop's own depths and the soil over the fertiliser allow.
        depth_m = max(sowing.depth_low_m, min(sowing.depth_high_m, furrow.from_m - furrow.cover_m))
        row_m, hole_m = self.spacing.row_m, self.spacing.hole_m
        return fertiliser_placement(kg, self.area_m2, row_m, hole_m, furrow, depth_m)

    def dates(self) -> SeasonDates | None:
        """Calendar and window."""
        request, today = self.request, self.request.today or self.request.sowing
        if today is None:
            self._leave(Part.CALENDAR, Why.NOT_ASKED, "the day of sowing", "give it, or today for the window")
            return None
        season = self.part(Part.WINDOW, self.season)
        if season is None and request.sowing is None:
            self._leave(Part.CALENDAR, Why.NO_FIGURES, "the day of sowing", "give it: no window is known here")
            return None

        def dates() -> SeasonDates:
            days = needed(self.crop.days, f"{self.crop.key}.calendar", "a [calendar] section to its file")
            variety = variety_of(self.programme.varieties, self.crop.key, request.variety)
            if season is None:
                return SeasonDates(calendar(request.sowing or today, days, variety), None, None, None)
            if request.sowing is None:
                window = window_for(season, today)
                sowing = likely_sowing(window, today)
            else:
                window, sowing = window_meant(season, request.sowing), request.sowing
            last_safe = last_safe_sowing(window.rains_end, variety, days)
            made = calendar(sowing, days, variety, season.slowed_by)
            return SeasonDates(made, window, last_safe, sowing <= last_safe)

        return self.part(Part.CALENDAR, dates)

    def season(self) -> ZoneSeason:
        """When the crop is sown in the zone."""
        return zone_season(self.programme.seasons, self.crop.key, self.zone.key)

    def stand(self) -> StandAim:
        """What to count after emergence."""
        rules = needed(self.programme.land.stand, "stand_check", "a [stand_check] section to the programme file")
        per_m2 = self.settled.plan.stand_per_m2
        on_row = per_m2 * self.spacing.row_m
        leave, resow = on_row * rules.leave_over, on_row * rules.resow_under
        return StandAim(per_m2, on_row, leave, resow, rules.fill_days, rules.resow_days)

    def budget(self) -> Budget:
        """Harvest and money of the crop in the zone."""
        return budget_of(self.programme.budgets, self.crop.key, self.zone.key)

    def harvest(self, budget: Budget, fertiliser: FertiliserPlan | None) -> HarvestRange:
        """What to expect."""
        # Where no dressing could be worked out none is given, and the budget's harvests are those of a full one.
        part = 1.0 if fertiliser is not None else budget.part_no_p
        hectares = part * self.area_m2 / HECTARE_M2
        low, middle, high = (each * hectares for each in budget.harvest)
        return HarvestRange(low, middle, high, part)

    def money(self, budget: Budget | None, inputs: Decimal, harvest: HarvestRange | None) -> SeasonMoney | None:
        """Break-even, income and the chance of a loss."""
        if self._waits_for_test(Part.MONEY):
            return None
        if budget is None or harvest is None:
            self._leave_with(Part.MONEY, Part.HARVEST)
            return None
        decimals = self.programme.currency.decimals
        return self.part(Part.MONEY, lambda: season_money(budget, self.area_m2, inputs, decimals, harvest.part))

    def purse(
        self, budget: Budget | None, need: Need | None, inoculation: InoculationPlan | None
    ) -> PursePlan | None:
        """What the purse pays for."""
        purse = self.request.purse
        if purse is None:
            self._leave(Part.PURSE, Why.NOT_ASKED, "the money there is", "give a purse")
            return None
        if self._waits_for_test(Part.PURSE):
            return None
        if budget is None or need is None:
            self._leave_with(Part.PURSE, Part.HARVEST if budget is None else Part.FERTILISER)
            return None
        rules, people = self.programme.inoculation, self.request.people
        packs = self._opened(rules, people) if inoculation and rules and people else None

        def steps() -> PursePlan:
            costs = InputCosts.of(self.settled, self.fertilising(), need, packs)
            return costs.purse_plan(budget, self.area_m2, purse)

        return self.part(Part.PURSE, steps)

    def _opened(self, rules: Inoculation, people: int) -> InoculantCost:
        """What the packs cost that people open on the days that a part of the field takes."""
        product = self.settled.inoculant

        def cost(seed_kg: float, part_m2: float) -> Decimal:
            uses_g = uses_a_day_g(part_m2, seed_kg, people, rules, product.dose_g_per_kg)
            return opening_cost(product.packs, uses_g, product.opened_life_days)

        return cost

    def _waits_for_test(self, part: Part) -> bool:
        """Whether seed is tested before anything is bought; the part is then left out."""
        if self.settled.advice is not Advice.TEST_FIRST:
            return False
        self._leave(part, Why.NOT_SETTLED, "seed that is not tested yet", "test it, then plan again")
        return True

    def part(self, part: Part, make: Callable[[], _T]) -> _T | None:
        """A part, or its reason to be absent."""
        try:
            return make()
        except MissingFigure as missing:
            self._leave(part, Why.NO_FIGURES, missing.name, missing.instead)
        except AgronomyError as refused:
            what, _, instead = str(refused).rpartition(": ")
            self._leave(part, Why.CANNOT_BE, what, instead)
        return None

    def _leave(self, part: Part, why: Why, what: str, instead: str) -> None:
        self.absent.append(Absent(part, why, what, instead))

    def _leave_with(self, part: Part, other: Part) -> None:
        """Leaves a part out for the reason for which another is."""
        reason = next(absent for absent in self.absent if absent.part is other)
        self._leave(part, reason.why, reason.what, reason.instead)


def with_their_days(field: FieldPlan, inoculation: InoculationPlan) -> FieldPlan:
    """The field with the days of those who sow treated seed, which is sown in its windows only."""
    if field.rows is None:
        return field
    return replace(field, rows=replace(field.rows, days=max(field.rows.days, inoculation.batches.days)))


def with_packs_opened(bought: BuyList, inoculation: InoculationPlan) -> BuyList:
    """The list with the packs that are opened on the days of those who sow."""
    opening = inoculation.opening
    held_g = sum(pack.size * count for pack, count in opening.bought)
    seed_cost = Decimal(0) if bought.seed_purchase is None else bought.seed_purchase.cost
    return replace(
        bought,
        inoculant_purchase=Purchase(opening.bought, opening.cost, held_g - whole_up(bought.inoculant_g)),
        sowing_days=inoculation.batches.days,
        total=seed_cost + opening.cost,
    )


def buy_lines(bought: BuyList, fertiliser: FertiliserPlan | None) -> tuple[BuyLine, ...]:
    lines = []
    for product, needed_kg, purchase in (
        (bought.seed_product, bought.seed_kg, bought.seed_purchase),
        (bought.inoculant_product, bought.inoculant_g / _G_PER_KG, bought.inoculant_purchase),
    ):
        if product is not None and purchase is not None:
            grams = sum(pack.size * count for pack, count in purchase.lines)
            lines.append(BuyLine(product, needed_kg, grams / _G_PER_KG, purchase.cost))
    of_dealer = fertiliser.choice.lines if fertiliser else ()
    lines += [BuyLine(line.product, line.applied_kg, line.bought_kg, line.cost) for line in of_dealer]
    return tuple(lines)
