"""Two crops in one field, for a dialogue: strips beside a cereal, or rows between a young crop that takes long.

Seed follows the ground that soybean really fills, so the list of a field that it shares is shorter; it is worked
out for seed as it is bought. A row that the young crop has no room for is not squeezed in.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from math import ceil

from advisor.agronomy.bounds import buy_list_bounds
from advisor.agronomy.buylist import Lot, Origin, Settled
from advisor.agronomy.cautions import ASK_DEALER_OR_EXTENSION, DRESSED_SEED_IS_POISON
from advisor.agronomy.crop import Crop
from advisor.agronomy.errors import MissingFigure
from advisor.agronomy.labels import Label
from advisor.agronomy.land_figures import YoungCrop
from advisor.agronomy.land_plans import strip_plan
from advisor.agronomy.programme import Programme
from advisor.agronomy.strips import Edges, rows_between, seed_for_furrows_kg
from advisor.dialogue.registry import Brings, Calculation, Condition, Sight, Takes
from advisor.wording.kinds import Area, Kind, Length, Mass, Number, OneOf, Percent, Whole

#: The widest field across its rows, and the widest gap between rows, that may be typed; flows ask within them.
MOST_STEPS, LEAST_GAP_CM, MOST_GAP_CM = 999, 20, 500
_WEEK_DAYS = 7
_NOBODY = (("", Label("")),)
_OF_SEED = (
    Brings(DRESSED_SEED_IS_POISON, ("seed", "whole", "partner_seed")),
    Brings(ASK_DEALER_OR_EXTENSION, ("seed", "whole", "partner_seed")),
)


class Between(StrEnum):
    """Whether soybean can be sown between a young crop."""

    FITS = "fits"
    TOO_OLD = "too_old"
    TOO_TIGHT = "too_tight"


def two_crops(programme: Programme, crop: Crop, crops: tuple[Crop, ...]) -> tuple[Calculation, ...]:
    """The calculations of two crops in one field.

    Args:
        programme: its partners and young crops.
        crop: the crop that is sown.
        crops: all crops, for the partners' own figures.
    """
    runs = _TwoCrops(programme, crop, crops)
    area = Takes("plot.area", (Area,))
    partner = Takes("partner", (OneOf,), tuple(each.crop for each in programme.land.partners))
    young = Takes("young", (OneOf,), tuple(each.key for each in programme.land.young))
    numbers = (Takes("young_weeks", (Whole,)), Takes("young_gap", (Whole,)))
    return (
        Calculation(
            "strips",
            ("plot.area", "partner", "row_steps"),
            ("grower.step",),
            tuple(_strip_kinds(programme, crop, crops).items()),
            runs.strips,
            takes=(area, partner, Takes("row_steps", (Whole,)), Takes("grower.step", (Length,))),
            brings=_OF_SEED,
        ),
        Calculation(
            "between",
            ("plot.area", "young", "young_weeks", "young_gap"),
            (),
            tuple(_between_kinds(programme, crop).items()),
            runs.between,
            also=("between",),
            takes=(area, young, *numbers),
            brings=_OF_SEED,
        ),
        Calculation("beside", (), (), tuple(_beside_kinds(programme).items()), runs.beside),
    )


def conditions() -> tuple[Condition, ...]:
    """The conditions on two crops that flows may name."""
    return (
        Condition("young_is_too_old", ("between",), lambda sight: sight["between"] is Between.TOO_OLD),
        Condition("young_is_too_tight", ("between",), lambda sight: sight["between"] is Between.TOO_TIGHT),
    )


def partners(programme: Programme) -> tuple[tuple[str, Label], ...]:
    """The list ``partners``: crops that stand in strips."""
    return tuple((each.crop, each.label) for each in programme.land.partners)


def young_crops(programme: Programme) -> tuple[tuple[str, Label], ...]:
    """The list ``young_crops``: crops that take long."""
    return tuple((each.key, each.label) for each in programme.land.young)


@dataclass(frozen=True, slots=True)
class _TwoCrops:
    """The calculations themselves, bound to a programme and its crops."""

    programme: Programme
    crop: Crop
    crops: tuple[Crop, ...]

    def strips(self, sight: Sight, _now: datetime) -> Mapping[str, object]:
        area_m2, settled = float(str(sight["plot.area"])), self._settled()
        step_m = float(str(sight.get("grower.step", self.programme.step_m)))
        width_m = int(str(sight["row_steps"])) * step_m
        beside = self.programme.land.partner(str(sight["partner"]))
        partner = next((each for each in self.crops if each.key == beside.crop), None)
        if partner is None:
            raise MissingFigure(f"crop {beside.crop}", "add its file")
        quality = settled.ways.quality
        plan = strip_plan(self.programme, self.crop, partner, width_m, area_m2 / width_m, Edges.ONE_EACH, quality)
        row_m = self.programme.plan(self.crop.key).spacings[0].row_m
        return {
            "partner_name": beside.crop,
            "rows": beside.rows_beside,
            "partner_rows": beside.rows,
            "repeats": plan.field.repeats,
            "gap": beside.strips(row_m).gap_m,
            "soy": plan.field.first_m2,
            "share": min(1.0, plan.field.first_m2 / area_m2),
            "seed": plan.seed_kg,
            "whole": settled.ways.kg(area_m2),
            "partner_seed": plan.partner_seed_kg,
            "lost": 1 - plan.yield_part,
        }

    def between(self, sight: Sight, _now: datetime) -> Mapping[str, object]:
        young = next((each for each in self.programme.land.young if each.key == sight["young"]), None)
        if young is None:
            raise MissingFigure(f"young_crops.{sight['young']}", "add it to [[young_crops]] in the programme file")
        plan, gap_m = self.programme.plan(self.crop.key), int(str(sight["young_gap"])) / 100
        sown = plan.spacings[0]
        plants = plan.stand_per_m2 * sown.row_m * sown.hole_m
        found = rows_between(gap_m, young.clearance_m, sown.row_m, sown.hole_m, plants)
        whole_kg = self._settled().ways.kg(float(str(sight["plot.area"])))
        verdict = Between.FITS if found.rows_per_gap else Between.TOO_TIGHT
        if int(str(sight["young_weeks"])) * _WEEK_DAYS > young.until_days:
            verdict = Between.TOO_OLD
        return {
            "between": verdict,
            "young_name": young.key,
            "between_rows": found.rows_per_gap,
            "clear": young.clearance_m,
            "until": young.until_days // _WEEK_DAYS,
            # As thick in the row as where it grows alone, so seed follows the metres of row.
            "seed": whole_kg * found.stand_per_m2 / found.sole_crop_stand_per_m2,
            "whole": whole_kg,
        }

    def beside(self, _sight: Sight, _now: datetime) -> Mapping[str, object]:
        land = self.programme.land
        if not land.partners or not land.young:
            raise MissingFigure("two crops", "add [[partners]] and [[young_crops]] to the programme file")
        partner, young = land.partners[0], land.young[0]
        return {
            "partner_name": partner.crop,
            "rows": partner.rows_beside,
            "partner_rows": partner.rows,
            "young_name": young.key,
            "until": young.until_days // _WEEK_DAYS,
        }

    def _settled(self) -> Settled:
        return Settled.of(self.programme, self.crop, Lot(Origin.BOUGHT))


def _strip_kinds(programme: Programme, crop: Crop, crops: tuple[Crop, ...]) -> dict[str, Kind]:
    known, high = programme.land.partners, programme.plot_high_m2
    row_m = programme.plan(crop.key).spacings[0].row_m
    strips = [each.strips(row_m) for each in known]
    widest_m = MOST_STEPS * programme.step_high_m
    seed_kg = buy_list_bounds(programme, crop).seed_kg
    tsw_g = {each.key: each.tsw_g for each in crops}
    beside_kg = [
        seed_for_furrows_kg(high / each.row_m, each.hole_m, each.seeds_per_hole, tsw_g[each.crop])
        for each in known
    ]
    return {
        "partner_name": OneOf(partners(programme) or _NOBODY),
        "rows": Whole(1, max((each.rows_beside for each in known), default=1)),
        "partner_rows": Whole(1, max((each.rows for each in known), default=1)),
        "repeats": Whole(1, max((ceil(widest_m / each.repeat_m) for each in strips), default=1)),
        "gap": Length(0, max((each.gap_m for each in strips), default=1), "cm", 1),
        "soy": Area(0, high),
        "share": Percent(),
        # one name in one flow is one kind: between the rows of a young crop it can be more
        "seed": Mass(0, seed_kg * max(1, _most_between(programme, crop)[1]), "kg", 1),
        "whole": Mass(0, seed_kg, "kg", 1),
        "partner_seed": Mass(0, max(beside_kg, default=1), "kg", 1),
        "lost": Percent(),
    }


def _beside_kinds(programme: Programme) -> dict[str, Kind]:
    strips, young = programme.land.partners, programme.land.young
    return {
        "partner_name": OneOf(partners(programme) or _NOBODY),
        "rows": Whole(1, max((each.rows_beside for each in strips), default=1)),
        "partner_rows": Whole(1, max((each.rows for each in strips), default=1)),
        "young_name": OneOf(young_crops(programme) or _NOBODY),
        "until": Number(0, max((each.until_days // _WEEK_DAYS for each in young), default=1), 0),
    }


def _between_kinds(programme: Programme, crop: Crop) -> dict[str, Kind]:
    young: tuple[YoungCrop, ...] = programme.land.young
    seed_kg = buy_list_bounds(programme, crop).seed_kg
    most, part = _most_between(programme, crop)
    return {
        "young_name": OneOf(young_crops(programme) or _NOBODY),
        "between_rows": Whole(0, most),
        "clear": Length(0, max((each.clearance_m for each in young), default=1), "cm"),
        "until": Number(0, max((each.until_days // _WEEK_DAYS for each in young), default=1), 0),
        "seed": Mass(0, seed_kg * max(1, part), "kg", 1),
        "whole": Mass(0, seed_kg, "kg", 1),
    }


def _most_between(programme: Programme, crop: Crop) -> tuple[int, float]:
    """Of every gap that may be typed the most rows in it, and the most seed, as a part of that of a sole crop."""
    row_m = programme.plan(crop.key).spacings[0].row_m
    rows = [
        (cm, rows_between(cm / 100, each.clearance_m, row_m, 1, 1).rows_per_gap)
        for each in programme.land.young
        for cm in range(LEAST_GAP_CM, MOST_GAP_CM + 1)
    ]
    return max((each for _, each in rows), default=1), max((n * row_m * 100 / cm for cm, n in rows), default=1)
