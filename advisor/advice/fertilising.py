"""Fertiliser for a dialogue: what to buy for a field, what money that is short buys, and how a cap of it is laid.

Several kinds are mixed before they are laid, so that one amount is told for a rope and a cap.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from advisor.advice.buying import spacing_key
from advisor.advice.fertilising_kinds import PLACES, laying_kinds, list_kinds
from advisor.advice.fertilising_plan import FertiliserPlan, Short, fertiliser_plan, figures_of
from advisor.agronomy import cautions
from advisor.agronomy.crop import Crop
from advisor.agronomy.fertiliser_choice import Line
from advisor.agronomy.fertiliser_figures import SoilClass
from advisor.agronomy.labels import Label
from advisor.agronomy.land_figures import needed
from advisor.agronomy.limits import above_zero
from advisor.agronomy.placement import fertiliser_placement, holes_per_cap, metres_per_cap
from advisor.agronomy.powder_measures import measure_g
from advisor.agronomy.programme import Programme
from advisor.dialogue.registry import Brings, Calculation, Condition, Sight, Takes
from advisor.wording.kinds import Area, Money, Number, OneOf, Whole

_G_PER_KG = 1000
_NEEDS = ("plot.area", "grower.village")
_USED = (
    *("plot.soil", "plot.soil_p", "plot.soil_class"),
    *("plot.last", "plot.last_product", "plot.last_kg", "plot.last_harvest"),
    *("fertiliser_money", "dressing"),
)
_OF_PLACE = ("", "_bags", "_kg", "_lay")
_LISTED = tuple(f"{place}{what}" for place in PLACES for what in _OF_PLACE)
#: Handling is said where there is something to buy; what touches seed, where it is told how to lay it.
_OF_LIST = (
    Brings(cautions.NO_BARE_HANDS_WITH_FERTILISER, _LISTED),
    Brings(cautions.WASH, _LISTED, in_one_line=False),
    Brings(cautions.KEEP_FROM_CHILDREN_AND_FOOD, _LISTED, in_one_line=False),
    Brings(cautions.FOLLOW_THE_PACK, _LISTED),
    Brings(cautions.ASK_DEALER_OR_EXTENSION, _LISTED, in_one_line=False),
)
_OF_LAYING = (
    *(Brings(brings.caution) for brings in _OF_LIST),
    Brings(cautions.FERTILISER_APART_FROM_SEED),
    Brings(cautions.INOCULANT_APART_FROM_FERTILISER),
    Brings(cautions.WEIGH_ONE_CAP, ("caps", "every", "holes")),
)


def fertilising(programme: Programme, crop: Crop) -> tuple[Calculation, ...]:
    """The calculations of fertiliser.

    Args:
        programme: its needs, its dealer's list and its measures.
        crop: the crop that is sown.
    """
    runs = _Fertilising(programme, crop)
    takes = _takes(programme, crop)
    measures = tuple(each.key for each in programme.measures)
    spacings = tuple(map(spacing_key, programme.plan(crop.key).spacings))
    return (
        Calculation(
            "fertiliser",
            _NEEDS,
            _USED,
            tuple(list_kinds(programme, crop).items()),
            runs.list,
            also=("kinds", "short"),
            sometimes=(*_LISTED, "purse", "part"),
            takes=takes,
            brings=_OF_LIST,
        ),
        Calculation(
            "laying",
            (*_NEEDS, "cap"),
            (*_USED, "plot.spacing"),
            tuple(laying_kinds(programme, crop).items()),
            runs.laying,
            takes=(*takes, Takes("cap", (OneOf,), measures), Takes("plot.spacing", (OneOf,), spacings)),
            brings=_OF_LAYING,
        ),
    )


def _takes(programme: Programme, crop: Crop) -> tuple[Takes, ...]:
    return (
        Takes("plot.area", (Area,)),
        Takes("grower.village", (OneOf,)),
        Takes("plot.soil", values=("none", "number", "word")),
        Takes("plot.soil_p", (Whole, Number)),
        Takes("plot.soil_class", (OneOf,), tuple(each.key for each in _classes(programme, crop))),
        Takes("plot.last", values=("plain", "dressed")),
        Takes("plot.last_product", (OneOf,), tuple(key for key, _ in fertilisers(programme))),
        *(Takes(name, (Whole, Number)) for name in ("plot.last_kg", "plot.last_harvest")),
        Takes("fertiliser_money", (Money,)),
        # "change" stands for neither: the list is not made before the money is asked for again.
        Takes("dressing", values=("fits", "all", "change")),
    )


def conditions() -> tuple[Condition, ...]:
    """The conditions on fertiliser that flows may name."""

    def kinds(name: str, count: int) -> Condition:
        shows = tuple(f"{place}{what}" for place in PLACES[:count] for what in _OF_PLACE)
        return Condition(name, ("kinds",), lambda sight: sight["kinds"] == count, shows)

    def short(name: str, short: Short, *shows: str) -> Condition:
        return Condition(name, ("short",), lambda sight: sight["short"] is short, shows)

    def answered(name: str, fact: str, *values: str) -> Condition:
        return Condition(name, (fact,), lambda sight: sight.get(fact) in values)

    return (
        kinds("one_fertiliser_is_bought", 1),
        kinds("two_fertilisers_are_bought", 2),
        kinds("three_fertilisers_are_bought", 3),
        short("fertiliser_money_is_short", Short.PART, "purse", "part"),
        short("fertiliser_money_buys_nothing", Short.NOTHING, "purse"),
        answered("soil_is_tested", "plot.soil", "number", "word"),
        answered("field_was_dressed", "plot.last", "dressed"),
    )


def _classes(programme: Programme, crop: Crop) -> tuple[SoilClass, ...]:
    figures = programme.fertilising
    return tuple(each for each in figures.soil_classes if each.crop == crop.key) if figures else ()


def soil_words(programme: Programme, crop: Crop) -> tuple[tuple[str, Label], ...]:
    """The list ``soil_words``: what laboratories call the classes of a soil test."""
    return tuple((each.key, each.label or Label(each.key)) for each in _classes(programme, crop))


def fertilisers(programme: Programme) -> tuple[tuple[str, Label], ...]:
    """The list ``fertilisers``: what the dealer sells that brings phosphorus."""
    products = programme.fertilising.products if programme.fertilising else ()
    return tuple((each.key, each.label) for each in products if each.grade.p2o5_percent)


@dataclass(frozen=True, slots=True)
class _Fertilising:
    """The calculations themselves, bound to a programme and its crop."""

    programme: Programme
    crop: Crop

    def list(self, sight: Sight, _now: datetime) -> Mapping[str, object]:
        """What to buy, for all of the field or for what the money buys."""
        plan = fertiliser_plan(self.programme, self.crop, sight)
        found: dict[str, object] = {
            "area": plan.area_m2,
            "total": plan.choice.cost,
            "full": plan.whole,
            "short": plan.short,
            "kinds": len(plan.choice.lines),
        }
        if plan.purse is not None:
            found["purse"] = plan.purse
        if plan.dressing is not None:
            found["part"] = plan.dressing.area_m2
        for place, line in zip(PLACES, plan.choice.lines, strict=False):
            found |= {
                place: line.product,
                f"{place}_bags": _packs(line),
                f"{place}_kg": line.bought_kg,
                f"{place}_lay": line.applied_kg,
            }
        return found

    def laying(self, sight: Sight, _now: datetime) -> Mapping[str, object]:
        """How what is bought is laid along the rows."""
        plan = fertiliser_plan(self.programme, self.crop, sight)
        kg = above_zero("fertiliser", sum(line.applied_kg for line in plan.choice.lines), "kg")
        figures, rules = figures_of(self.programme), self.programme.plan(self.crop.key)
        keys = [spacing_key(spacing) for spacing in rules.spacings]
        wanted = sight.get("plot.spacing")
        spacing = rules.spacings[keys.index(str(wanted)) if wanted in keys else 0]
        sowing = needed(self.crop.land.sowing, f"{self.crop.key}.sowing", "a [sowing] section to its file")
        furrow, rope_m = figures.furrow, self.programme.rope_m
        # As deep as the crop's own depths and the soil over the fertiliser allow.
        depth_m = max(sowing.depth_low_m, min(sowing.depth_high_m, furrow.from_m - furrow.cover_m))
        laid = fertiliser_placement(kg, plan.area_m2, spacing.row_m, spacing.hole_m, furrow, depth_m)
        cap_g = self._cap_g(plan, str(sight["cap"]))
        # Of a need that is nearly nothing nobody lays less than a cap to the rope.
        every_m = min(metres_per_cap(cap_g, laid.g_per_m), rope_m)
        return {
            "row": spacing.row_m,
            "rope": rope_m,
            "rope_g": laid.g_per_m * rope_m / _G_PER_KG,
            "caps": max(1.0, round(2 * rope_m / every_m) / 2),
            "cap": sight["cap"],
            "every": every_m,
            "holes": min(holes_per_cap(cap_g, laid.g_per_hole), rope_m / spacing.hole_m),
            "from": round(laid.depth_from_m * 100, 1),
            "to": round(laid.depth_to_m * 100, 1),
            "cover": round(laid.cover_m * 100, 1),
            "beside": round(laid.beside_m * 100, 1),
            "seed_depth": round(depth_m * 100, 1),
        }

    def _cap_g(self, plan: FertiliserPlan, cap: str) -> float:
        """What a level cap of the mixture holds; granules that are mixed fill as much room as they do apart."""
        measure = needed(
            next((each for each in self.programme.measures if each.key == cap), None),
            f"measures.{cap}",
            "it to [[measures]] in the programme file",
        )
        product = figures_of(self.programme).product
        kg = sum(line.applied_kg for line in plan.choice.lines)
        litres = sum(line.applied_kg / product(line.product).bulk_g_per_ml for line in plan.choice.lines)
        return measure_g(measure.volume_ml, kg / litres)


def _packs(line: Line) -> tuple[tuple[float, int], ...]:
    """Bags and scoops, the largest first; of one size together, however they are sold."""
    counts: dict[int, int] = {}
    for offer, count in line.offers:
        counts[offer.pack.size] = counts.get(offer.pack.size, 0) + count
    return tuple((size / _G_PER_KG, count) for size, count in sorted(counts.items(), reverse=True))
