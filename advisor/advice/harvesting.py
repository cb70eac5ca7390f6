"""The harvest for a dialogue: when it is ripe, what a field brings, what seed on the ground costs, threshing.

The usual variety is taken. Harvests are those of the growers of the zone, never a demonstration's, and are
brought home already. Seed on the ground is what a harvest lost, valued as grain.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from advisor.advice.harvest_budget import budgets_for, no_figures
from advisor.advice.keeping_seed import grain_figures
from advisor.advice.season import day_of
from advisor.agronomy import cautions
from advisor.agronomy.crop import Crop
from advisor.agronomy.errors import MissingFigure
from advisor.agronomy.programme import Programme
from advisor.agronomy.ripening import bags_of_grain, harvest_loss_kg_per_ha
from advisor.agronomy.season_calendar import Task, calendar
from advisor.agronomy.season_days import CropDays, variety_of
from advisor.agronomy.units import HECTARE_M2
from advisor.dialogue.registry import Brings, Calculation, Sight, Takes
from advisor.wording.kinds import Area, Day, Kind, Mass, Money, Number, OneOf, Percent, Whole

#: The most seeds on a square metre of ground that may be typed; flows ask within it.
MOST_FALLEN = 500
_DUST = (Brings(cautions.COVER_MOUTH_FROM_DUST, ("wettest", "driest")),)


def harvesting(programme: Programme, crop: Crop) -> tuple[Calculation, ...]:
    """The calculations of the harvest.

    Args:
        programme: its variety, budgets and bag.
        crop: the crop that is cut.
    """
    runs, kinds = _Harvesting(programme, crop), _kinds(programme, crop)
    village, area = Takes("grower.village", (OneOf,)), Takes("plot.area", (Area,))

    def given(*names: str) -> tuple[tuple[str, Kind], ...]:
        return tuple((name, kinds[name]) for name in names)

    return (
        Calculation(
            "harvest_dates",
            ("plot.sowing",),
            (),
            (("from", Day()), ("to", Day())),
            runs.dates,
            takes=(Takes("plot.sowing", (Day,)),),
        ),
        Calculation("cutting", (), (), given("within", "usual", "careful"), runs.cutting),
        Calculation("threshing", (), (), given("driest", "wettest"), runs.threshing, brings=_DUST),
        Calculation(
            "harvest_bags",
            ("plot.area",),
            ("grower.village",),
            given("area", "low", "middle", "high", "bags", "bag"),
            runs.bags,
            takes=(area, village),
        ),
        Calculation(
            "fallen_seed",
            ("plot.area", "fallen"),
            ("grower.village",),
            given("area", "lost", "worth"),
            runs.fallen,
            takes=(area, village, Takes("fallen", (Whole,))),
        ),
    )


@dataclass(frozen=True, slots=True)
class _Harvesting:
    """The calculations themselves, bound to a programme and its crop."""

    programme: Programme
    crop: Crop

    def dates(self, sight: Sight, _now: datetime) -> Mapping[str, object]:
        """First ripe pods, and the last day before they open."""
        try:
            variety = variety_of(self.programme.varieties, self.crop.key)
        except MissingFigure as missing:
            raise no_figures(missing.instead) from missing
        step = calendar(day_of(sight["plot.sowing"]), self._days(), variety).step(Task.HARVEST)
        return {"from": step.first, "to": step.last}

    def cutting(self, _sight: Sight, _now: datetime) -> Mapping[str, object]:
        figures = self.crop.harvest.yields if self.crop.harvest else None
        if figures is None:
            raise no_figures("add a [harvest.yield] section to the file of the crop")
        return {"within": self._days().harvest_within, "usual": figures.loss_high, "careful": figures.loss_low}

    def threshing(self, _sight: Sight, _now: datetime) -> Mapping[str, object]:
        grain = grain_figures(self.crop)
        if grain.thresh_low_percent is None or grain.thresh_high_percent is None:
            raise no_figures("add thresh_low and thresh_high to [harvest.grain] in the file of the crop")
        return {"driest": grain.thresh_low_percent, "wettest": grain.thresh_high_percent}

    def bags(self, sight: Sight, _now: datetime) -> Mapping[str, object]:
        """Grain to expect, and bags to have ready for a good season."""
        budgets = budgets_for(self.programme, self.crop.key, sight)
        if self.programme.bag_kg is None:
            raise no_figures("add bag to [harvest] in the programme file")
        area_m2 = float(str(sight["plot.area"]))
        low, middle, high = (
            kg_per_ha * area_m2 / HECTARE_M2
            for kg_per_ha in (
                min(each.harvest_low for each in budgets),
                min(each.harvest_middle for each in budgets),
                max(each.harvest_high for each in budgets),
            )
        )
        return {
            "area": area_m2,
            "low": low,
            "middle": middle,
            "high": high,
            "bags": bags_of_grain(round(high, 6), self.programme.bag_kg).needed,
            "bag": self.programme.bag_kg,
        }

    def fallen(self, sight: Sight, _now: datetime) -> Mapping[str, object]:
        """What lies on the whole field where so many seeds lie on a square metre."""
        price = min(each.grain_price for each in budgets_for(self.programme, self.crop.key, sight))
        area_m2 = float(str(sight["plot.area"]))
        lost_kg = harvest_loss_kg_per_ha(int(str(sight["fallen"])), self.crop.tsw_g) * area_m2 / HECTARE_M2
        return {"area": area_m2, "lost": lost_kg, "worth": _worth(lost_kg, price)}

    def _days(self) -> CropDays:
        if self.crop.days is None:
            raise no_figures("add a [calendar] section to the file of the crop")
        return self.crop.days


def _worth(grain_kg: float, price: Decimal) -> Decimal:
    """What grain fetches; a gram more or less is no money."""
    return Decimal(str(round(grain_kg, 3))) * price


def _kinds(programme: Programme, crop: Crop) -> dict[str, Kind]:
    """Kinds of what the calculations give; of a crop or place without figures nothing is given."""
    budgets = [each for each in programme.budgets if each.crop == crop.key]
    high_kg = max((each.harvest_high for each in budgets), default=0.0) * programme.plot_high_m2 / HECTARE_M2
    price = max((each.grain_price for each in budgets), default=Decimal(0))
    lost_kg = harvest_loss_kg_per_ha(MOST_FALLEN, crop.tsw_g) * programme.plot_high_m2 / HECTARE_M2
    grain = crop.harvest.grain if crop.harvest else None
    wettest = (grain.thresh_high_percent if grain else None) or 0
    driest = (grain.thresh_low_percent if grain else None) or 0
    bag_kg = programme.bag_kg or 1
    return {
        "area": Area(programme.plot_low_m2, programme.plot_high_m2),
        "low": Mass(0, high_kg, "kg", 0),
        "middle": Mass(0, high_kg, "kg", 0),
        "high": Mass(0, high_kg, "kg", 0),
        "bags": Whole(0, bags_of_grain(high_kg, bag_kg).needed),
        "bag": Mass(bag_kg, bag_kg, "kg", 0),
        "lost": Mass(0, lost_kg, "kg", 1),
        "worth": Money(Decimal(0), _worth(lost_kg, price) + 1),
        "within": Whole(0, crop.days.harvest_within if crop.days else 0),
        "usual": Percent(),
        "careful": Percent(),
        "driest": Number(driest, driest, 1),
        "wettest": Number(wettest, wettest, 1),
    }
