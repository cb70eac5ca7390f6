"""What fertiliser is bought for what a grower answered: the need, the purse, and the purchase that follows."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from advisor.agronomy.crop import Crop
from advisor.agronomy.errors import CannotBe, MissingFigure
from advisor.agronomy.fertiliser_choice import FertiliserChoice
from advisor.agronomy.fertiliser_figures import Fertilising, ZoneNeed
from advisor.agronomy.fertiliser_need import LastSeason, Need, fertiliser_need, soil_class_of
from advisor.agronomy.fertiliser_purse import Dressing, choose_few, dressing_for_purse
from advisor.agronomy.grades import delivered
from advisor.agronomy.limits import above_zero
from advisor.agronomy.programme import Programme
from advisor.agronomy.units import HECTARE_M2
from advisor.dialogue.registry import Sight

#: Parts that a field is divided into where money is short, unless a part would be smaller than any plot.
_PARTS = 10


class Short(StrEnum):
    """What money that is not enough for the whole dressing buys, before it was said which list is wanted."""

    NO = "no"
    PART = "part"
    NOTHING = "nothing"


@dataclass(frozen=True, slots=True)
class FertiliserPlan:
    """What is bought.

    Args:
        area_m2: the part of the field that is dressed.
        choice: the purchase for it.
        whole: what the whole dressing of the whole field costs.
        short: what the money does not pay for, where that was not answered yet.
        purse: money that is not enough, None where it is or nobody said.
        dressing: what it buys, None where it is enough or buys nothing.
    """

    area_m2: float
    choice: FertiliserChoice
    whole: Decimal
    short: Short = Short.NO
    purse: Decimal | None = None
    dressing: Dressing | None = None


def figures_of(programme: Programme) -> Fertilising:
    """What the programme says of fertiliser. Raises MissingFigure where it says nothing."""
    if programme.fertilising is None:
        raise MissingFigure("fertilising", "add a [fertilising] table to the programme file")
    return programme.fertilising


def need_for(programme: Programme, crop: Crop, sight: Sight) -> Need:
    """What a hectare of the field needs.

    Args:
        programme: needs by zone and soil test.
        crop: the crop.
        sight: ``grower.village``; where known the soil test, and what last season's dressing and harvest were.

    Raises:
        MissingFigure: the programme says nothing of the place.
        OutOfRange: an amount that cannot be.
    """
    figures = figures_of(programme)
    village = programme.village(str(sight["grower.village"]))
    if village is None:
        raise MissingFigure("zone", "choose one of the programme's villages")
    zone, soil = figures.need(crop.key, village.zone), None
    if sight.get("plot.soil") == "number" and "plot.soil_p" in sight:
        soil = soil_class_of(figures.soil_classes_of(crop.key), float(str(sight["plot.soil_p"])))
    elif sight.get("plot.soil") == "word" and "plot.soil_class" in sight:
        word = sight["plot.soil_class"]
        soil = next((each for each in figures.soil_classes_of(crop.key) if each.key == word), None)
        if soil is None:
            raise CannotBe("soil_class", f"'{word}' is no class of a soil test", "use one of the programme's")
    return fertiliser_need(zone, soil, _last_season(figures, crop, zone, sight), figures.credit_part)


def _last_season(figures: Fertilising, crop: Crop, zone: ZoneNeed, sight: Sight) -> LastSeason | None:
    """What is remembered, None where it is not all of it: a credit by guess starves the crop."""
    asked = ("plot.last_product", "plot.last_kg", "plot.last_harvest")
    if sight.get("plot.last") != "dressed" or any(name not in sight for name in asked) or crop.removal is None:
        return None
    area_m2 = above_zero("area", float(str(sight["plot.area"])), "m2")
    product = figures.product(str(sight["plot.last_product"]))
    applied = delivered(product.grade, float(str(sight["plot.last_kg"])), area_m2).p2o5
    harvest = float(str(sight["plot.last_harvest"])) / area_m2 * HECTARE_M2
    return LastSeason(applied, harvest, crop.removal.p2o5_g_per_kg, zone.p2o5)


def fertiliser_plan(programme: Programme, crop: Crop, sight: Sight) -> FertiliserPlan:
    """What is bought for what is known.

    Args:
        programme: needs, the dealer's list, and the smallest plot.
        crop: the crop.
        sight: as ``need_for``, with ``plot.area``; ``fertiliser_money`` where money is short, and with it
            ``dressing``: ``fits`` for what it buys, ``all`` for the whole dressing whatever it costs.

    Raises:
        As ``need_for`` and ``choose_fertiliser``.
    """
    need, area_m2 = need_for(programme, crop, sight), float(str(sight["plot.area"]))
    products, decimals = figures_of(programme).products, programme.currency.decimals
    whole = choose_few(products, need, area_m2, decimals)
    money, wanted = sight.get("fertiliser_money"), sight.get("dressing")
    if money is None or whole.cost <= Decimal(str(money)):
        return FertiliserPlan(area_m2, whole, whole.cost)
    # A part that is the smallest plot to a hair would be refused for the hair.
    parts = max(1, min(_PARTS, int(area_m2 / programme.plot_low_m2 - 1e-6)))
    purse = Decimal(str(money))
    dressing = dressing_for_purse(products, need, area_m2, decimals, purse, parts)
    if wanted == "fits" and dressing is not None:
        return FertiliserPlan(dressing.area_m2, dressing.choice, whole.cost, Short.NO, purse, dressing)
    short = Short.NO if wanted == "all" else Short.PART if dressing else Short.NOTHING
    return FertiliserPlan(area_m2, whole, whole.cost, short, purse, dressing)
