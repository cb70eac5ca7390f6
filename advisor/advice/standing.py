"""The stand after emergence for a dialogue: when and where to count, what the count means, and seed for the gaps.

Plants are counted along a piece of rope that is folded, so that nobody needs a measure. Sowing again must still be
safe: after the last safe day of the zone, where the village is known, the field is left as it is.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from enum import StrEnum

from advisor.advice.buying import lot_of, spacing_key, spacing_of
from advisor.advice.days import day_in
from advisor.advice.season import day_of
from advisor.agronomy.buylist import Origin, Settled
from advisor.agronomy.cautions import ASK_DEALER_OR_EXTENSION, DRESSED_SEED_IS_POISON, FOLLOW_THE_PACK
from advisor.agronomy.crop import Crop
from advisor.agronomy.errors import MissingFigure
from advisor.agronomy.germination import Method
from advisor.agronomy.inoculant import inoculant_g
from advisor.agronomy.land_figures import needed
from advisor.agronomy.programme import Programme
from advisor.agronomy.row_plans import FieldStand, field_stand
from advisor.agronomy.season_calendar import Task, calendar, days_after
from advisor.agronomy.season_days import CropDays, Variety, ZoneSeason, variety_of, zone_season
from advisor.agronomy.sowing_window import last_safe_sowing, window_meant
from advisor.agronomy.stand_check import RowCount, StandAdvice, StandRules
from advisor.dialogue.registry import Brings, Calculation, Condition, Sight, Takes
from advisor.wording.kinds import Area, CountOf, Day, Kind, Length, Mass, OneOf, Whole

#: Places in which plants are counted (common practice, no source).
PLACES = 5
#: The most plants that may be typed, of all places together; flows ask within it.
MOST_PLANTS = 2000
#: A piece of row to count on is no longer than this [m] (common practice, no source).
_LONGEST_PIECE_M = 3
_G_PER_KG = 1000
#: As in the calculator: a stand a hair off an edge is on the edge.
_NOISE = 1e-9
_SEED_CAUTIONS = (
    Brings(DRESSED_SEED_IS_POISON),
    Brings(FOLLOW_THE_PACK, ("powder",)),
    Brings(ASK_DEALER_OR_EXTENSION, ("powder",)),
)


class Stand(StrEnum):
    """What to do about a stand."""

    GOOD = "good"
    FILL = "fill"
    SOW_AGAIN = "sow_again"
    LATE_TO_FILL = "late_to_fill"
    LATE_TO_SOW = "late_to_sow"


def standing(programme: Programme, crop: Crop) -> tuple[Calculation, ...]:
    """The calculations of a stand.

    Args:
        programme: its rules of thin stands, rope, spacings and windows.
        crop: the crop that was sown.
    """
    runs = _Standing(programme, crop)
    spacing = Takes("plot.spacing", (OneOf,), tuple(map(spacing_key, programme.plan(crop.key).spacings)))
    day, village = Takes("plot.sowing", (Day,)), Takes("grower.village", (OneOf,))
    plants = Takes("plot.plants", (Whole,))
    lot = (
        Takes("lot.origin", values=tuple(Origin)),
        Takes("lot.test", (CountOf,)),
        Takes("lot.method", values=tuple(Method)),
    )
    kinds = _kinds(programme, crop)

    def given(*names: str) -> tuple[tuple[str, Kind], ...]:
        return tuple((name, kinds[name]) for name in names)

    return (
        Calculation("where_to_count", (), (), given("rope", "folds", "piece", "places"), runs.where),
        Calculation(
            "stand_days",
            ("plot.sowing",),
            ("grower.village",),
            given("sowing", "check_from", "check_to"),
            runs.days,
            also=("too_soon",),
            takes=(day, village),
        ),
        Calculation(
            "stand",
            ("plot.sowing", "plot.plants"),
            ("plot.spacing", "grower.village"),
            given("plants", "meant", "fill_by", "sow_again_by"),
            runs.stand,
            also=("stands",),
            takes=(day, plants, spacing, village),
        ),
        Calculation(
            "seed_for_gaps",
            ("plot.sowing", "plot.plants", "plot.area"),
            ("plot.spacing", "lot.origin", "lot.test", "lot.method"),
            given("seed", "powder"),
            runs.seed,
            takes=(day, plants, Takes("plot.area", (Area,)), spacing, *lot),
            brings=_SEED_CAUTIONS,
        ),
    )


def conditions() -> tuple[Condition, ...]:
    """The conditions on a stand that flows may name."""

    def stands(name: str, stand: Stand) -> Condition:
        return Condition(name, ("stands",), lambda sight: sight["stands"] is stand)

    return (
        Condition("too_soon_to_count", ("too_soon",), lambda sight: sight["too_soon"] is True),
        stands("stand_is_good", Stand.GOOD),
        stands("gaps_are_filled", Stand.FILL),
        stands("field_is_sown_again", Stand.SOW_AGAIN),
        stands("late_to_fill", Stand.LATE_TO_FILL),
    )


@dataclass(frozen=True, slots=True)
class _Standing:
    """The calculations themselves, bound to a programme and its crop."""

    programme: Programme
    crop: Crop

    def where(self, _sight: Sight, _now: datetime) -> Mapping[str, object]:
        folds = _folds(self.programme)
        return {
            "rope": self.programme.rope_m,
            "folds": folds,
            "piece": self.programme.rope_m / 2**folds,
            "places": PLACES,
        }

    def days(self, sight: Sight, now: datetime) -> Mapping[str, object]:
        sowing, zone = day_of(sight["plot.sowing"]), self._zone(sight)
        check = calendar(sowing, self._days(), self._variety(), zone.slowed_by if zone else 1.0).step(
            Task.EMERGENCE_CHECK
        )
        return {
            "sowing": sowing,
            "check_from": check.first,
            "check_to": check.last,
            "too_soon": day_in(self.programme, now) < check.first,
        }

    def stand(self, sight: Sight, now: datetime) -> Mapping[str, object]:
        sowing, rules = day_of(sight["plot.sowing"]), self._rules()
        check = self._checked(sight, self._since(sowing, now), self.programme.plot_low_m2).check
        fill_by, again_by = (self._safe_until(sight, sowing, days) for days in (rules.fill_days, rules.resow_days))
        today = day_in(self.programme, now)
        return {
            "plants": round(check.stand_per_m2),
            "meant": round(self.programme.plan(self.crop.key).stand_per_m2),
            "fill_by": fill_by,
            "sow_again_by": again_by,
            "stands": _stands(check.advice, check.part_of_target, rules, today <= fill_by, today <= again_by),
        }

    def seed(self, sight: Sight, now: datetime) -> Mapping[str, object]:
        days = self._since(day_of(sight["plot.sowing"]), now)
        seed_kg = self._checked(sight, days, float(str(sight["plot.area"]))).fill_seed_kg
        dose = self.programme.inoculant(self.crop.key).dose_g_per_kg
        return {"seed": seed_kg, "powder": inoculant_g(seed_kg, dose) / _G_PER_KG if seed_kg else 0.0}

    def _checked(self, sight: Sight, days: int, area_m2: float) -> FieldStand:
        spacing = spacing_of(self.programme, self.crop, sight)
        # Of seed that nobody spoke of, what is on sale is meant.
        lot = lot_of({"lot.origin": Origin.BOUGHT.value, **sight})
        quality = Settled.of(self.programme, self.crop, lot, spacing).ways.quality
        plants = int(str(sight["plot.plants"]))
        counts = [RowCount(plants, PLACES * self.programme.rope_m / 2 ** _folds(self.programme))]
        return field_stand(self.programme, self.crop, area_m2, counts, days, quality, spacing)

    def _safe_until(self, sight: Sight, sowing: date, days: int) -> date:
        """So many days after sowing, but not after the last day on which what is sown still gets its rain."""
        by, zone = days_after(sowing, days), self._zone(sight)
        if zone is None:
            return by
        safe = last_safe_sowing(window_meant(zone, sowing).rains_end, self._variety(), self._days())
        return min(by, max(sowing, safe))

    def _zone(self, sight: Sight) -> ZoneSeason | None:
        village = self.programme.village(str(sight.get("grower.village", "")))
        try:
            return zone_season(self.programme.seasons, self.crop.key, village.zone) if village else None
        except MissingFigure:
            return None

    def _variety(self) -> Variety:
        return variety_of(self.programme.varieties, self.crop.key)

    def _days(self) -> CropDays:
        return needed(self.crop.days, "season", "a [calendar] section to the file of the crop")

    def _rules(self) -> StandRules:
        return needed(self.programme.land.stand, "stand_check", "a [stand_check] section to the programme file")

    def _since(self, sowing: date, now: datetime) -> int:
        return max(0, (day_in(self.programme, now) - sowing) // timedelta(1))


def _stands(advice: StandAdvice, part: float, rules: StandRules, may_fill: bool, may_sow: bool) -> Stand:
    if advice is StandAdvice.LEAVE:
        return Stand.GOOD
    if advice is StandAdvice.FILL_GAPS and may_fill:
        return Stand.FILL
    if advice is StandAdvice.RESOW and may_sow:
        return Stand.SOW_AGAIN
    # What was to be sown again is under the lower edge, and what was to be filled is not; too late may be either.
    return Stand.LATE_TO_SOW if part < rules.resow_under - _NOISE else Stand.LATE_TO_FILL


def _folds(programme: Programme) -> int:
    """How often the rope is folded in half to be short enough to count along."""
    return next(folds for folds in range(12) if programme.rope_m / 2**folds <= _LONGEST_PIECE_M)


def _kinds(programme: Programme, crop: Crop) -> dict[str, Kind]:
    plan, product = programme.plan(crop.key), programme.inoculant(crop.key)
    narrowest = min(spacing.row_m for spacing in plan.spacings)
    folds, meant = _folds(programme), round(plan.stand_per_m2)
    piece_m = programme.rope_m / 2**folds
    rules = programme.land.stand
    # The thinnest stand that is filled, of the worst seed that is sown: nothing that may be filled takes more.
    missing = plan.stand_per_m2 * (1 - rules.resow_under) if rules else 0
    worst = min(crop.poor_under_percent / 100, plan.keep_back_germination, programme.seed(crop.key).germination)
    purity = programme.seed(crop.key).purity
    per_m2 = missing / (worst * crop.emergence * purity)
    most_kg = per_m2 * programme.plot_high_m2 * crop.tsw_g / 1e6
    return {
        "rope": Length(programme.rope_m, programme.rope_m, "m"),
        "folds": Whole(folds, folds),
        "piece": Length(piece_m, piece_m, "m", 1),
        "places": Whole(PLACES, PLACES),
        "plants": Whole(0, round(MOST_PLANTS / (PLACES * piece_m * narrowest))),
        "meant": Whole(meant, meant),
        "seed": Mass(0, most_kg, "kg", 1),
        "powder": Mass(0, inoculant_g(most_kg, product.dose_g_per_kg) / _G_PER_KG if most_kg else 0, "g", 0),
        **{name: Day() for name in ("sowing", "check_from", "check_to", "fill_by", "sow_again_by")},
    }
