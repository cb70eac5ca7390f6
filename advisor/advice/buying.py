"""The buy list for a dialogue: from what a grower answered to what the screens of the list name."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from decimal import Decimal

from advisor.agronomy.bounds import buy_list_bounds
from advisor.agronomy.buylist import Advice, BuyList, Choices, Lot, Origin, Poor, buy_list
from advisor.agronomy.crop import Crop
from advisor.agronomy.germination import Method, SeedTest
from advisor.agronomy.packs import Pack, Purchase
from advisor.agronomy.programme import Programme
from advisor.dialogue.registry import Calculation, Condition, Sight
from advisor.wording.kinds import Area, Kind, Length, Mass, Money, OneOf, Packs, Percent, Whole

_G_PER_KG = 1000


def buying(programme: Programme, crop: Crop) -> tuple[Calculation, ...]:
    """The calculations of the buy list.

    Args:
        programme: rules, products and prices.
        crop: the crop that the list is for.
    """

    def run_list(sight: Sight, _now: datetime) -> Mapping[str, object]:
        return _list_results(list_for(programme, crop, sight), sight, crop)

    def run_sowing(sight: Sight, _now: datetime) -> Mapping[str, object]:
        holes = list_for(programme, crop, sight).holes
        return {
            "row": holes.row_m,
            "hole": holes.hole_m,
            "seeds": holes.seeds,
            "every": holes.every,
            "then": holes.then,
        }

    used = ("lot.test", "lot.method", "plot.spacing", "money")
    needs = ("plot.area", "lot.origin")
    return (
        Calculation("buy_list", needs, used, tuple(_list_kinds(programme, crop).items()), run_list),
        Calculation("sowing", needs, used, tuple(_sowing_kinds(programme, crop).items()), run_sowing),
    )


def conditions() -> tuple[Condition, ...]:
    """The conditions on a buy list that flows may name."""

    def advice_is(name: str, *advices: Advice) -> Condition:
        return Condition(name, ("advice",), lambda sight: sight["advice"] in advices)

    return (
        advice_is("seed_is_bought", Advice.BUY_SEED),
        advice_is("seed_is_untested", Advice.TEST_FIRST),
        advice_is("seed_is_good", Advice.USE_OWN),
        advice_is("seed_is_middle", Advice.SOW_MORE),
        Condition("seed_is_half_dead", ("poor",), lambda sight: sight["poor"] == Poor.TWICE_OR_RETEST),
        Condition("test_is_rough", ("rough",), lambda sight: sight["rough"] is True),
        Condition("purse_is_short", (), lambda sight: "affordable" in sight),
        Condition("purse_is_empty", (), lambda sight: sight.get("nothing_affordable") is True),
        Condition("holes_are_mixed", ("every",), lambda sight: sight["every"] != 0),
    )


def list_for(programme: Programme, crop: Crop, sight: Sight) -> BuyList:
    """The buy list for what is known.

    Args:
        programme: rules, products and prices.
        crop: the crop.
        sight: ``plot.area`` and ``lot.origin``; where known test, method, spacing and money as well.
    """
    origin = Origin(str(sight["lot.origin"]))
    counts = sight.get("lot.test") if origin is Origin.SAVED else None
    test = None
    if isinstance(counts, tuple):
        test = SeedTest(counts[0], counts[1], Method(str(sight.get("lot.method", Method.PAPER.value))))
    money = sight.get("money")
    choices = Choices(
        spacing=int(str(sight.get("plot.spacing", "0"))),
        purse=None if money is None else Decimal(str(money)),
    )
    return buy_list(programme, crop, float(str(sight["plot.area"])), Lot(origin, test), choices)


def _list_results(found: BuyList, sight: Sight, crop: Crop) -> dict[str, object]:
    results: dict[str, object] = {
        "area": found.area_m2,
        "seed": found.seed_kg,
        "crop": crop.key,
        "total": found.total,
        "percent": _tested_part(sight, found),
        "advice": found.advice,
        "poor": found.poor,
        "rough": found.rough,
    }
    if found.grain_kg is not None:
        results["grain"] = found.grain_kg
    if found.seed_purchase is not None:
        results["bags"] = _packs(found.seed_purchase)
    if found.inoculant_purchase is not None:
        results["packs"] = _packs(found.inoculant_purchase)
    if found.affordable_area_m2 is not None:
        results["purse"] = Decimal(str(sight["money"]))
        results["affordable"] = found.affordable_area_m2
        results["nothing_affordable"] = found.affordable_area_m2 == 0
    return results


def _tested_part(sight: Sight, found: BuyList) -> float:
    """The part that grew in the grower's own test, as counted; the list itself may rest on another footing."""
    counts = sight.get("lot.test")
    return counts[0] / counts[1] if isinstance(counts, tuple) else found.germination


def _packs(purchase: Purchase) -> tuple[tuple[float, int], ...]:
    return tuple((pack.size / _G_PER_KG, count) for pack, count in purchase.lines)


def _list_kinds(programme: Programme, crop: Crop) -> dict[str, Kind]:
    bounds = buy_list_bounds(programme, crop)
    low, high = programme.plot_low_m2, programme.plot_high_m2
    return {
        "area": Area(low, high),
        "seed": Mass(0, bounds.seed_kg, "kg", 1),
        "grain": Mass(0, bounds.grain_kg, "kg", 1),
        "crop": OneOf(((crop.key, programme.crop_label(crop.key)),)),
        "total": Money(Decimal(0), bounds.total),
        "percent": Percent(),
        "bags": Packs("kg", _counts(bounds.seed_packs), len(bounds.seed_packs)),
        "packs": Packs("g", _counts(bounds.inoculant_packs), len(bounds.inoculant_packs)),
        "purse": Money(Decimal(0), programme.purse_max),
        "affordable": Area(0, high),
    }


def _counts(packs: tuple[tuple[Pack, int], ...]) -> tuple[tuple[float, int], ...]:
    return tuple((pack.size / _G_PER_KG, count) for pack, count in packs)


def _sowing_kinds(programme: Programme, crop: Crop) -> dict[str, Kind]:
    bounds = buy_list_bounds(programme, crop)
    spacings = programme.plan(crop.key).spacings
    rows, holes = [spacing.row_m for spacing in spacings], [spacing.hole_m for spacing in spacings]
    return {
        "row": Length(min(rows), max(rows), "cm"),
        "hole": Length(min(holes), max(holes), "cm"),
        "seeds": Whole(0, bounds.seeds_per_hole),
        "every": Whole(0, bounds.every),
        "then": Whole(0, bounds.seeds_per_hole),
    }
