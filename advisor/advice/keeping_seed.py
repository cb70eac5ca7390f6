"""Seed to keep at harvest for a dialogue: how much for the next season's field, how dry, and how cool.

The next sowing is reckoned as the buy list reckons one of today, at the germination that the programme expects of
seed kept over a season. A handbook rate has spilt seed in it already; a target stand adds it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from advisor.advice.buying import spacing_key, spacing_of
from advisor.advice.harvest_budget import no_figures
from advisor.agronomy import cautions
from advisor.agronomy.crop import Crop
from advisor.agronomy.germination import Method
from advisor.agronomy.harvest_figures import GrainFigures
from advisor.agronomy.land_figures import SavedSeedRules
from advisor.agronomy.masses import SeedQuality, seed_masses
from advisor.agronomy.programme import Programme
from advisor.agronomy.saved_seed import seed_to_keep_kg
from advisor.dialogue.registry import Brings, Calculation, Sight, Takes
from advisor.wording.kinds import Area, Kind, Mass, Number, OneOf, Percent, Whole

#: Room for figures of a programme that has none, whose screens are never shown.
_UNKNOWN = 0
_OF_SEED = (Brings(cautions.DRESSED_SEED_IS_POISON, ("keep", "seed")),)
_OF_STORE = (
    Brings(cautions.SEED_IS_NOT_HEATED, ("moist",)),
    Brings(cautions.STORE_APART_FROM_CHEMICALS, ("cooler",)),
)


def keeping_seed(programme: Programme, crop: Crop) -> tuple[Calculation, ...]:
    """The calculations of keeping seed.

    Args:
        programme: how it sows, and its rules for seed of one's own.
        crop: the crop that is kept.
    """
    runs = _Keeping(programme, crop)
    spacings = tuple(spacing_key(spacing) for spacing in programme.plan(crop.key).spacings)
    takes = (Takes("plot.area", (Area,)), Takes("plot.spacing", (OneOf,), spacings))
    return (
        Calculation(
            "keep_seed",
            ("plot.area",),
            ("plot.spacing",),
            tuple(_kinds(programme, crop).items()),
            runs.amount,
            takes=takes,
            brings=_OF_SEED,
        ),
        Calculation(
            "seed_store", (), (), tuple(_store_kinds(programme, crop).items()), runs.store, brings=_OF_STORE
        ),
    )


def to_keep_kg(programme: Programme, crop: Crop, area_m2: float, spacing: int = 0) -> tuple[float, float]:
    """Sorted seed for the next sowing of a field, and grain to keep for it [kg].

    Args:
        programme: how it sows, and its rules for seed of one's own.
        crop: the crop.
        area_m2: the field [m²].
        spacing: index of the spacing.

    Raises:
        MissingFigure: the programme has no rules for seed of one's own.
        OutOfRange: a field that cannot be.
    """
    rules, plan = _rules(programme), programme.plan(crop.key)
    quality = SeedQuality(rules.next_germination, Method.PAPER, 1.0)
    seed_kg = seed_masses(plan, crop, plan.spacings[spacing], area_m2, quality).kg
    return seed_kg, seed_to_keep_kg(seed_kg, plan.sorting_loss, rules.spare)


@dataclass(frozen=True, slots=True)
class _Keeping:
    """The calculations themselves, bound to a programme and its crop."""

    programme: Programme
    crop: Crop

    def amount(self, sight: Sight, _now: datetime) -> Mapping[str, object]:
        area_m2 = float(str(sight["plot.area"]))
        spacing = spacing_of(self.programme, self.crop, sight)
        seed_kg, keep_kg = to_keep_kg(self.programme, self.crop, area_m2, spacing)
        rules, plan = _rules(self.programme), self.programme.plan(self.crop.key)
        return {
            "area": area_m2,
            "seed": seed_kg,
            "keep": keep_kg,
            "loss": plan.sorting_loss,
            "grows": rules.next_germination,
        }

    def store(self, _sight: Sight, _now: datetime) -> Mapping[str, object]:
        grain = grain_figures(self.crop)
        if self.crop.days is None:
            raise no_figures("add a [calendar] section to the file of the crop")
        return {
            "moist": grain.seed_percent,
            "cooler": grain.halved_by_celsius,
            "test": self.crop.days.test_from,
            "most": _rules(self.programme).replace_after,
        }


def grain_figures(crop: Crop) -> GrainFigures:
    """How dry grain and seed must be. Raises MissingFigure where the file of the crop does not say."""
    if crop.harvest is None or crop.harvest.grain is None:
        raise no_figures("add a [harvest.grain] section to the file of the crop")
    return crop.harvest.grain


def _rules(programme: Programme) -> SavedSeedRules:
    if programme.land.saved_seed is None:
        raise no_figures("add a [saved_seed] section to the programme file")
    return programme.land.saved_seed


def most_kept_kg(programme: Programme, crop: Crop) -> tuple[float, float]:
    """The largest masses that ``to_keep_kg`` gives in a programme [kg]; nothing where it has no rules."""
    if programme.land.saved_seed is None:
        return 0.0, 0.0
    spacings = range(len(programme.plan(crop.key).spacings))
    found = [to_keep_kg(programme, crop, programme.plot_high_m2, spacing) for spacing in spacings]
    return max(seed_kg for seed_kg, _ in found), max(keep_kg for _, keep_kg in found)


def _kinds(programme: Programme, crop: Crop) -> dict[str, Kind]:
    seed_kg, keep_kg = most_kept_kg(programme, crop)
    return {
        "area": Area(programme.plot_low_m2, programme.plot_high_m2),
        "seed": Mass(0, seed_kg, "kg", 1),
        "keep": Mass(0, keep_kg, "kg", 1),
        "loss": Percent(),
        "grows": Percent(),
    }


def _store_kinds(programme: Programme, crop: Crop) -> dict[str, Kind]:
    grain = crop.harvest.grain if crop.harvest else None
    rules = programme.land.saved_seed
    days = crop.days.test_from if crop.days else _UNKNOWN
    moist, cooler = (grain.seed_percent, grain.halved_by_celsius) if grain else (_UNKNOWN, _UNKNOWN)
    return {
        "moist": Number(moist, moist, 1),
        "cooler": Number(cooler, cooler, 1),
        "test": Whole(0, days),
        "most": Whole(0, rules.replace_after if rules else _UNKNOWN),
    }
