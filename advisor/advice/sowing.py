"""How seed is laid, for a dialogue: distances in measures that a body has, seeds a hole, and seed for one rope.

All of it follows from the seeds a hole of the buy list, so that the seed that was bought is the seed that is sown.
That holds for a furrow too: its seeds a metre are those of the holes along it, and not those of a stand that the
bought seed would not reach.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from advisor.advice.buying import list_for, results_of_holes, spacing_key, spacing_of
from advisor.agronomy.bounds import buy_list_bounds
from advisor.agronomy.buylist import Advice, Origin
from advisor.agronomy.cautions import ASK_DEALER_OR_EXTENSION, DRESSED_SEED_IS_POISON
from advisor.agronomy.crop import Crop
from advisor.agronomy.errors import MissingFigure
from advisor.agronomy.germination import Method
from advisor.agronomy.labels import Label
from advisor.agronomy.land_figures import Sowing, needed
from advisor.agronomy.placing import Span, in_body_measure, seeds_in_ten_steps
from advisor.agronomy.programme import Programme
from advisor.agronomy.rows import rows_across
from advisor.dialogue.registry import Brings, Calculation, Condition, Sight, Takes
from advisor.wording.kinds import CountOf, Kind, Length, Mass, Number, OneOf, Whole

#: A measure that is further off than this is not named: holes a fifth closer take a quarter more seed.
MOST_OFF = 0.15
#: The widest field across its rows that may be typed [steps]; flows ask within it.
MOST_STEPS = 999
_MG_PER_KG = 1e6
_SPANS = ("row", "hole", "depth")
_BRINGS = (Brings(DRESSED_SEED_IS_POISON), Brings(ASK_DEALER_OR_EXTENSION, ("tested",)))


def sowing(programme: Programme, crop: Crop) -> tuple[Calculation, ...]:
    """The calculations of sowing by hand.

    Args:
        programme: spacings, rope, steps and body measures.
        crop: the crop that is sown.
    """
    runs = _Sowing(programme, crop)
    step = Takes("grower.step", (Length,))
    spacing = Takes("plot.spacing", (OneOf,), tuple(map(spacing_key, programme.plan(crop.key).spacings)))
    lot = (
        Takes("lot.origin", values=tuple(Origin)),
        Takes("lot.test", (CountOf,)),
        Takes("lot.method", values=tuple(Method)),
    )
    return (
        Calculation(
            "how_to_sow",
            ("lot.origin",),
            ("lot.test", "lot.method", "plot.spacing", "grower.step"),
            tuple(_kinds(programme, crop).items()),
            runs.how,
            also=("advice",),
            sometimes=("tested", *(f"{name}_{part}" for name in _SPANS for part in ("count", "measure"))),
            takes=(*lot, spacing, step),
            brings=_BRINGS,
        ),
        Calculation(
            "rows_on_field",
            ("row_steps",),
            ("plot.spacing", "grower.step"),
            tuple(_row_kinds(programme, crop).items()),
            runs.rows,
            takes=(Takes("row_steps", (Whole,)), spacing, step),
        ),
    )


def conditions() -> tuple[Condition, ...]:
    """The conditions on sowing that flows may name."""
    shown = tuple(f"{name}_{part}" for name in _SPANS for part in ("count", "measure"))
    return (
        Condition(
            "seed_is_not_to_be_sown",
            ("advice",),
            lambda sight: sight["advice"] is Advice.FIND_OTHER and "tested" in sight,
            ("tested",),
        ),
        Condition("seed_waits_for_its_test", ("advice",), lambda sight: sight["advice"] is Advice.TEST_FIRST),
        Condition("body_measures_fit", ("row",), lambda sight: all(name in sight for name in shown), shown),
    )


@dataclass(frozen=True, slots=True)
class _Sowing:
    """The calculations themselves, bound to a programme and its crop."""

    programme: Programme
    crop: Crop

    def how(self, sight: Sight, _now: datetime) -> Mapping[str, object]:
        programme, land = self.programme, self._sowing()
        # Seeds a hole are the same on every field.
        found = list_for(programme, self.crop, {**sight, "plot.area": programme.plot_high_m2, "portion": "all"})
        holes, counts = found.holes, sight.get("lot.test")
        per_metre = holes.mean / holes.hole_m
        per_rope = round(per_metre * programme.rope_m)
        results: dict[str, object] = {
            **results_of_holes(holes),
            "shallow": round(land.depth_low_m * 100, 1),
            "deep": round(land.depth_high_m * 100, 1),
            "rope": programme.rope_m,
            "rope_seeds": per_rope,
            "rope_mass": per_rope * self.crop.tsw_g / _MG_PER_KG,
            "metre_seeds": round(per_metre),
            "ten_steps_seeds": round(seeds_in_ten_steps(per_metre, _step_m(programme, sight))),
            "advice": found.advice,
        }
        if isinstance(counts, tuple):
            results["tested"] = counts
        depth_m = (land.depth_low_m + land.depth_high_m) / 2
        for name, length_m in zip(_SPANS, (holes.row_m, holes.hole_m, depth_m), strict=True):
            span = in_body_measure(length_m, programme.land.measures, MOST_OFF)
            if span is not None and (name != "depth" or _is_in(land, span)):
                results |= {f"{name}_count": span.count, f"{name}_measure": span.measure.key}
        return results

    def rows(self, sight: Sight, _now: datetime) -> Mapping[str, object]:
        work = needed(self.programme.land.work, "row_work", "a [row_work] section to the programme file")
        spacing = self.programme.plan(self.crop.key).spacings[spacing_of(self.programme, self.crop, sight)]
        width_m = int(str(sight["row_steps"])) * _step_m(self.programme, sight)
        across = rows_across(width_m, spacing.row_m, work.margin_m)
        return {"rows": across.rows, "margin": work.margin_m}

    def _sowing(self) -> Sowing:
        if self.crop.land.sowing is None:
            raise MissingFigure(f"{self.crop.key}.sowing", "add a [sowing] section to the file of the crop")
        return self.crop.land.sowing


def _is_in(land: Sowing, span: Span) -> bool:
    """Whether a measure of the depth is neither too shallow nor too deep."""
    return land.depth_low_m <= span.length_m <= land.depth_high_m


def _step_m(programme: Programme, sight: Sight) -> float:
    return float(str(sight.get("grower.step", programme.step_m)))


def _kinds(programme: Programme, crop: Crop) -> dict[str, Kind]:
    bounds, spacings = buy_list_bounds(programme, crop), programme.plan(crop.key).spacings
    land, measures = crop.land.sowing, programme.land.measures
    rows, holes = [each.row_m for each in spacings], [each.hole_m for each in spacings]
    most_per_metre = bounds.seeds_per_hole / min(holes)
    most_per_rope = round(most_per_metre * programme.rope_m)
    # Of a programme without body measures none is said, and none is wide.
    named = OneOf(tuple((each.key, each.label) for each in measures) or (("none", Label("-")),))
    laid = Whole(1, max((each.most for each in measures), default=1))
    spans = {f"{name}_count": laid for name in _SPANS} | {f"{name}_measure": named for name in _SPANS}
    depths = (land.depth_low_m, land.depth_high_m) if land else (0, 0)
    return {
        "row": Length(min(rows), max(rows), "cm"),
        "hole": Length(min(holes), max(holes), "cm"),
        "seeds": Whole(0, bounds.seeds_per_hole),
        "every": Whole(0, bounds.every),
        "then": Whole(0, bounds.seeds_per_hole),
        **{
            name: Number(round(depth * 100, 1), round(depth * 100, 1), 1)
            for name, depth in zip(("shallow", "deep"), depths, strict=True)
        },
        "rope": Length(programme.rope_m, programme.rope_m, "m"),
        "rope_seeds": Whole(0, most_per_rope),
        "rope_mass": Mass(0, most_per_rope * crop.tsw_g / _MG_PER_KG, "g"),
        "metre_seeds": Whole(0, round(most_per_metre)),
        "ten_steps_seeds": Whole(0, round(seeds_in_ten_steps(most_per_metre, programme.step_high_m))),
        "tested": CountOf(crop.most_seeds),
        **spans,
    }


def _row_kinds(programme: Programme, crop: Crop) -> dict[str, Kind]:
    narrowest = min(each.row_m for each in programme.plan(crop.key).spacings)
    margin_m = programme.land.work.margin_m if programme.land.work else 0
    return {
        "rows": Whole(1, rows_across(MOST_STEPS * programme.step_high_m, narrowest, 0).rows),
        "margin": Length(margin_m, margin_m, "cm"),
    }
