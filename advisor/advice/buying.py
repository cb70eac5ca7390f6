"""The buy list for a dialogue: from what a grower answered to what the screens of the list name."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import date, datetime, timedelta
from decimal import Decimal
from enum import StrEnum
from functools import lru_cache
from math import ceil, floor
from types import MappingProxyType
from typing import TypeVar

from advisor.advice.counting_days import days_of_test, seeds_of_test
from advisor.advice.days import day_in
from advisor.advice.season import day_of
from advisor.advice.time_to_test import is_after_sowing, no_time_to_test
from advisor.agronomy.bounds import buy_list_bounds
from advisor.agronomy.buylist import Advice, BuyList, Choices, Lot, Origin, buy_list
from advisor.agronomy.cautions import ASK_DEALER_OR_EXTENSION, DRESSED_SEED_IS_POISON, FOLLOW_THE_PACK
from advisor.agronomy.crop import Crop
from advisor.agronomy.errors import CannotBe
from advisor.agronomy.germination import Method, SeedTest
from advisor.agronomy.holes import HolePlan
from advisor.agronomy.packs import Pack, Purchase
from advisor.agronomy.poor_seed import Poor
from advisor.agronomy.programme import Programme, Spacing
from advisor.dialogue.registry import Brings, Calculation, Condition, Sight, Takes, assumed
from advisor.wording.kinds import (
    Area,
    CountOf,
    Day,
    Kind,
    Length,
    Mass,
    Money,
    Number,
    OneOf,
    Packs,
    Percent,
    Whole,
)

_G_PER_KG = 1000
#: What every talk about the list must say. Of the other cautions of a list (gloves, washing, shade) those who
#: treat seed are told where it is treated: a phone that says eight things says none. Whom to ask in doubt has no
#: room in an SMS in one line, which sends people to the pack.
_OF_LIST = (
    # Seed that failed its test as well: what is not sown is food only if nobody dressed it.
    Brings(DRESSED_SEED_IS_POISON, ("seed", "grain", "bags", "packs", "percent")),
    Brings(FOLLOW_THE_PACK, ("bags", "packs")),
    Brings(ASK_DEALER_OR_EXTENSION, ("seed", "grain", "bags", "packs"), in_one_line=False),
)
#: How seed is laid is only told of seed that may be dressed.
_OF_SOWING = (Brings(DRESSED_SEED_IS_POISON),)
#: Results of some kilobyte each.
_REMEMBERED = 1024
_E = TypeVar("_E", bound=StrEnum)


def buying(programme: Programme, crop: Crop) -> tuple[Calculation, ...]:
    """The calculations of the buy list.

    Args:
        programme: rules, products and prices.
        crop: the crop that the list is for.
    """

    used = (
        "lot.test",
        "lot.method",
        "plot.spacing",
        "money",
        "portion",
        "rough_seen",
        "grower.village",
        "lot.test_day",
        "plot.sowing",
    )
    also = ("advice", "poor", "is_tested", "rough_unread", "nothing_affordable", "no_time", "ends_late")
    sometimes = ("final_on", "grain", "bags", "packs", "purse", "affordable", "nothing_affordable")
    needs = ("plot.area", "lot.origin")
    takes = _takes(programme, crop)

    def list_of(sight: Sight) -> Mapping[str, object]:
        return _list_results(list_for(programme, crop, sight), sight, programme, crop)

    def sowing_of(sight: Sight) -> Mapping[str, object]:
        holes = list_for(programme, crop, {**sight, "portion": "all"}).holes
        return {**results_of_holes(holes), **_depth_cm(crop)}

    list_once, run_sowing = (_once((*needs, *used), worked_out) for worked_out in (list_of, sowing_of))

    def run_list(sight: Sight, now: datetime) -> Mapping[str, object]:
        """The list of whatever day, and whether a test that runs, or begins today, is counted in time."""
        found, today = list_once(sight, now), day_in(programme, now)
        final = found.get("final_on")
        ends_late = isinstance(final, date) and is_after_sowing(final, sight, today)
        return {**found, "no_time": no_time_to_test(programme, crop, sight, today), "ends_late": ends_late}

    list_kinds, sowing_kinds = (tuple(kinds(programme, crop).items()) for kinds in (_list_kinds, _sowing_kinds))
    return (
        Calculation("buy_list", needs, used, list_kinds, run_list, also, sometimes, takes, _OF_LIST),
        Calculation("sowing", needs, used, sowing_kinds, run_sowing, takes=takes, brings=_OF_SOWING),
    )


def _once(
    names: tuple[str, ...], worked_out: Callable[[Sight], Mapping[str, object]]
) -> Callable[[Sight, datetime], Mapping[str, object]]:
    """A calculation that remembers its last results: one list is shown, turned over, sent and looked at again.

    Args:
        names: all that it looks at.
        worked_out: from what is known of that to the results.
    """

    @lru_cache(maxsize=_REMEMBERED)
    def results(known: tuple[object, ...]) -> Mapping[str, object]:
        pairs = zip(names, known, strict=True)
        return MappingProxyType(worked_out({name: value for name, value in pairs if value is not None}))

    return lambda sight, _now: results(tuple(map(sight.get, names)))


def _takes(programme: Programme, crop: Crop) -> tuple[Takes, ...]:
    spacings = tuple(spacing_key(spacing) for spacing in programme.plan(crop.key).spacings)
    return (
        Takes("plot.area", (Area,)),
        Takes("lot.origin", values=tuple(Origin)),
        Takes("lot.test", (CountOf,)),
        Takes("lot.method", values=tuple(Method)),
        Takes("plot.spacing", (OneOf,), spacings),
        Takes("money", (Money,)),
        # "change" stands for neither: the list is not made before the money is asked for again.
        Takes("portion", values=("part", "all", "change")),
        Takes("grower.village", (OneOf,)),
        Takes("lot.test_day", (Day,)),
        Takes("plot.sowing", (Day,)),
    )


def conditions() -> tuple[Condition, ...]:
    """The conditions on a buy list that flows may name."""

    def advice_is(name: str, advice: Advice, *shows: str) -> Condition:
        return Condition(name, ("advice",), lambda sight: sight["advice"] is advice, shows)

    return (
        Condition(
            "seed_is_bought",
            ("advice",),
            lambda sight: sight["advice"] is Advice.BUY_SEED and not sight["is_tested"],
            ("bags", "packs"),
        ),
        advice_is("seed_is_bought_and_tested", Advice.BUY_SEED, "bags", "packs"),
        advice_is("seed_is_bad", Advice.FIND_OTHER, "bags", "packs"),
        advice_is("seed_is_untested", Advice.TEST_FIRST, "grain"),
        Condition(
            "seed_test_runs",
            ("advice", "final_on"),
            lambda sight: sight["advice"] is Advice.TEST_FIRST and "final_on" in sight,
            ("grain", "final_on"),
        ),
        Condition(
            "seed_test_ends_late",
            ("advice", "ends_late"),
            lambda sight: sight["advice"] is Advice.TEST_FIRST and sight["ends_late"] is True,
            ("grain", "final_on"),
        ),
        Condition(
            "running_test_is_in_time",
            ("final_on", "ends_late"),
            lambda sight: "final_on" in sight and sight["ends_late"] is False,
            ("final_on",),
        ),
        Condition(
            "no_time_to_test",
            ("advice", "no_time"),
            lambda sight: sight["advice"] is Advice.TEST_FIRST and sight["no_time"] is True,
            ("grain",),
        ),
        Condition(
            "no_time_to_test_again",
            ("rough_unread", "no_time"),
            lambda sight: sight["rough_unread"] is True and sight["no_time"] is True,
        ),
        Condition(
            "no_time_to_test_other",
            ("advice", "is_tested", "no_time"),
            lambda sight: sight["no_time"] is True and _is_to_be_bought(sight),
            ("bags", "packs"),
        ),
        advice_is("seed_is_good", Advice.USE_OWN, "grain", "packs"),
        advice_is("seed_is_middle", Advice.SOW_MORE, "grain", "packs"),
        Condition("seed_is_half_dead", ("poor",), lambda sight: sight["poor"] == Poor.TWICE_OR_RETEST),
        Condition("origin_is_assumed", (), lambda sight: assumed("lot.origin") in sight),
        Condition("lot_is_bought", ("lot.origin",), lambda sight: sight.get("lot.origin") == Origin.BOUGHT),
        Condition("rough_is_unread", ("rough_unread",), lambda sight: sight["rough_unread"] is True),
        Condition("purse_is_short", ("affordable",), lambda sight: "affordable" in sight, ("purse", "affordable")),
        Condition(
            "purse_is_empty", ("nothing_affordable",), lambda sight: sight.get("nothing_affordable") is True
        ),
        Condition("holes_are_mixed", ("every",), lambda sight: sight["every"] != 0),
    )


def _is_to_be_bought(sight: Sight) -> bool:
    """Whether the list is for seed that nobody has tested: what is bought, be it for seed that failed its test."""
    advice = sight["advice"]
    return advice is Advice.FIND_OTHER or (advice is Advice.BUY_SEED and not sight["is_tested"])


def list_for(programme: Programme, crop: Crop, sight: Sight) -> BuyList:
    """The buy list for what is known.

    Args:
        programme: rules, products and prices.
        crop: the crop.
        sight: ``plot.area`` and ``lot.origin``; where known test, method, spacing and money as well; ``portion``
            is ``part`` for the part of the field that the money is enough for, ``all`` for the field whatever
            it costs.
    """
    lot = lot_of(sight)
    area_m2 = float(str(sight["plot.area"]))
    spacing = spacing_of(programme, crop, sight)
    money, portion = sight.get("money"), sight.get("portion")
    purse = None if money is None or portion == "all" else Decimal(str(money))
    found = buy_list(programme, crop, area_m2, lot, Choices(spacing, purse))
    if portion == "part" and found.affordable_area_m2:
        return buy_list(programme, crop, found.affordable_area_m2, lot, Choices(spacing))
    return found


def lot_of(sight: Sight) -> Lot:
    """The lot of seed: ``lot.origin``, and where known its test and method."""
    counts = sight.get("lot.test")
    test = None
    if isinstance(counts, tuple):
        test = SeedTest(counts[0], counts[1], _one_of(Method, sight.get("lot.method", Method.PAPER.value)))
    return Lot(_one_of(Origin, sight["lot.origin"]), test)


def _one_of(members: type[_E], value: object) -> _E:
    try:
        return members(str(value))
    except ValueError:
        known = ", ".join(str(member.value) for member in members)
        raise CannotBe(members.__name__.lower(), f"'{value}' is no {members.__name__}", f"use {known}") from None


def spacing_key(spacing: Spacing) -> str:
    """The key of a spacing, by what it is, so that it means the same when a programme reorders its spacings.

    >>> spacing_key(Spacing(0.6, 0.1))
    '60x10'
    """
    return f"{spacing.row_m * 100:g}x{spacing.hole_m * 100:g}"


def spacing_of(programme: Programme, crop: Crop, sight: Sight) -> int:
    """The place of the spacing that was chosen, by ``plot.spacing``; of the usual one where none was."""
    keys = [spacing_key(spacing) for spacing in programme.plan(crop.key).spacings]
    key = str(sight.get("plot.spacing", ""))
    return keys.index(key) if key in keys else 0


def _list_results(found: BuyList, sight: Sight, programme: Programme, crop: Crop) -> dict[str, object]:
    results: dict[str, object] = {
        "area": found.area_m2,
        "seed": found.seed_kg,
        "crop": crop.key,
        "total": found.total,
        "percent": _tested_part(sight, found),
        "advice": found.advice,
        "poor": found.poor,
        "is_tested": found.germination_tested,
        "rough_unread": found.rough and "rough_seen" not in sight,
        "test_seeds": seeds_of_test(crop),
    }
    days = days_of_test(programme, crop, sight.get("grower.village"))
    if days is not None:
        results["count_day"] = days[1]
        begun = sight.get("lot.test_day")
        if begun is not None:
            results["final_on"] = day_of(begun) + timedelta(days[1])
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
    """The part that grew in the grower's own test, in whole percent that never read as the other side of an edge.

    The band is judged by the counts; 149 of 250 is under 60 %, so it is said as 59 and not as 60.
    """
    counts = sight.get("lot.test")
    if not isinstance(counts, tuple):
        return found.germination
    percent = 100 * float(counts[0]) / float(counts[1])
    if found.advice is Advice.FIND_OTHER:
        return floor(percent) / 100
    return ceil(percent) / 100 if found.advice is Advice.USE_OWN else percent / 100


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
        "test_seeds": Whole(seeds_of_test(crop), seeds_of_test(crop)),
        **count_day_kind(programme, crop),
        "final_on": Day(),
    }


def count_day_kind(programme: Programme, crop: Crop) -> dict[str, Kind]:
    """Kind of the day of the final count in any village, nothing where the file of the crop has no such day."""
    places = [None, *(village.key for village in programme.villages)]
    finals = [days[1] for days in (days_of_test(programme, crop, place) for place in places) if days is not None]
    return {"count_day": Whole(min(finals), max(finals))} if finals else {}


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
        **{name: Number(cm, cm, 1) for name, cm in _depth_cm(crop).items()},
    }


def results_of_holes(holes: HolePlan) -> dict[str, object]:
    """Rows, holes and seeds in them, as dialogues name them.

    Args:
        holes: what seed is sown by.
    """
    return {
        "row": holes.row_m,
        "hole": holes.hole_m,
        "seeds": holes.seeds,
        "every": holes.every,
        "then": holes.then,
    }


def _depth_cm(crop: Crop) -> dict[str, float]:
    """How deep seed is laid, least and most; nothing where the file of the crop is silent."""
    sowing = crop.land.sowing
    if sowing is None:
        return {}
    return {"shallow": round(sowing.depth_low_m * 100, 1), "deep": round(sowing.depth_high_m * 100, 1)}
