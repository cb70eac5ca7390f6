"""Drying and storing for a dialogue: dry enough or not, what the crop weighs when it is dry, and the store.

A jar of salt only sets a bound: where the salt sticks the grain is at least so wet, where it stays dry at most.
So the mass after drying is a bound too; only a meter makes it a figure.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from advisor.advice.harvest_budget import no_figures
from advisor.advice.keeping_seed import grain_figures
from advisor.agronomy import cautions
from advisor.agronomy.crop import Crop
from advisor.agronomy.drying import (
    DryingNext,
    Purpose,
    Salt,
    dry_enough,
    jar_test,
    mass_at_moisture_kg,
)
from advisor.agronomy.programme import Programme
from advisor.agronomy.ripening import bags_of_grain
from advisor.dialogue.registry import Brings, Calculation, Condition, Sight, Takes
from advisor.wording.kinds import Kind, Mass, Number, Whole

#: The most bags that may be typed; flows ask within it.
MOST_BAGS = 500
#: The driest and the wettest grain that a meter for grain shows [percent]; flows ask within it.
LEAST_PERCENT, MOST_PERCENT = 5, 40
_METER = "meter"
_OF_DRYING = (Brings(cautions.SEED_IS_NOT_HEATED, ("limit", "drying")),)


def storing(programme: Programme, crop: Crop) -> tuple[Calculation, ...]:
    """The calculations of drying and storing.

    Args:
        programme: its bag.
        crop: the crop that is stored.
    """
    runs, kinds = _Storing(programme, crop), _kinds(programme, crop)
    purpose = Takes("purpose", values=tuple(Purpose))
    salt = Takes("salt", values=(*Salt, _METER))
    moisture, bags = Takes("moisture", (Whole, Number)), Takes("bags_now", (Whole, Number))

    def given(*names: str) -> tuple[tuple[str, Kind], ...]:
        return tuple((name, kinds[name]) for name in names)

    return (
        Calculation("bag_size", (), (), given("bag"), runs.bag),
        Calculation(
            "dry_limits",
            (),
            (),
            given("for_grain", "for_seed", "drying"),
            runs.limits,
            brings=(Brings(cautions.SEED_IS_NOT_HEATED),),
        ),
        Calculation(
            "drying",
            ("purpose", "salt"),
            ("moisture",),
            given("limit", "jar", "drying"),
            runs.drying,
            also=("next",),
            takes=(purpose, salt, moisture),
            brings=_OF_DRYING,
        ),
        Calculation(
            "dried_mass",
            ("purpose", "salt", "bags_now"),
            ("moisture",),
            given("now", "dried", "dry_bags", "limit"),
            runs.dried,
            also=("bound",),
            takes=(purpose, salt, moisture, bags),
            brings=(Brings(cautions.SEED_IS_NOT_HEATED, ("limit",)),),
        ),
    )


def conditions() -> tuple[Condition, ...]:
    """The conditions on drying that flows may name."""
    return (
        Condition("grain_is_dry", ("next",), lambda sight: sight["next"] is DryingNext.STORE),
        Condition("grain_is_wet", ("next",), lambda sight: sight["next"] is DryingNext.DRY_MORE),
        Condition("mass_is_at_most", ("bound",), lambda sight: sight["bound"] is Salt.STICKS),
        Condition("mass_is_at_least", ("bound",), lambda sight: sight["bound"] is Salt.STAYS_DRY),
    )


@dataclass(frozen=True, slots=True)
class _Storing:
    """The calculations themselves, bound to a programme and its crop."""

    programme: Programme
    crop: Crop

    def bag(self, _sight: Sight, _now: datetime) -> Mapping[str, object]:
        return {"bag": self._bag_kg()}

    def limits(self, _sight: Sight, _now: datetime) -> Mapping[str, object]:
        figures = grain_figures(self.crop)
        return {
            "for_grain": figures.grain_percent,
            "for_seed": figures.seed_percent,
            "drying": self._drying_days(),
        }

    def drying(self, sight: Sight, _now: datetime) -> Mapping[str, object]:
        figures, purpose = grain_figures(self.crop), Purpose(str(sight["purpose"]))
        limit = figures.seed_percent if purpose is Purpose.SEED else figures.grain_percent
        if sight["salt"] == _METER:
            following = dry_enough(self._moisture(sight), purpose, figures)
        else:
            following = jar_test(Salt(str(sight["salt"])), purpose, figures).next
        return {
            "limit": limit,
            "jar": figures.jar_high_percent,
            "drying": self._drying_days(),
            "next": following,
        }

    def dried(self, sight: Sight, _now: datetime) -> Mapping[str, object]:
        """Mass now and when it is dry; of a jar alone the second is a bound."""
        figures, purpose = grain_figures(self.crop), Purpose(str(sight["purpose"]))
        limit = figures.seed_percent if purpose is Purpose.SEED else figures.grain_percent
        bound = None if sight["salt"] == _METER else Salt(str(sight["salt"]))
        if bound is None:
            moisture = self._moisture(sight)
        else:
            moisture = figures.jar_low_percent if bound is Salt.STICKS else figures.jar_high_percent
        bag_kg = self._bag_kg()
        now_kg = float(str(sight["bags_now"])) * bag_kg
        # What is dry enough already takes up no water.
        dried_kg = now_kg if moisture <= limit else mass_at_moisture_kg(now_kg, moisture, limit)
        return {
            "now": now_kg,
            "dried": dried_kg,
            "dry_bags": bags_of_grain(round(dried_kg, 6), bag_kg).needed,
            "limit": limit,
            "bound": bound,
        }

    def _moisture(self, sight: Sight) -> float:
        """What the meter said; a flow that leaves it out has grain of which nothing is known, as wet as can be."""
        return float(str(sight.get("moisture", MOST_PERCENT)))

    def _drying_days(self) -> int:
        if self.crop.days is None:
            raise no_figures("add a [calendar] section to the file of the crop")
        return self.crop.days.drying

    def _bag_kg(self) -> float:
        if self.programme.bag_kg is None:
            raise no_figures("add bag to [harvest] in the programme file")
        return self.programme.bag_kg


def _kinds(programme: Programme, crop: Crop) -> dict[str, Kind]:
    grain = crop.harvest.grain if crop.harvest else None
    limit = Number(grain.seed_percent, grain.grain_percent, 1) if grain else Number(0, 0, 0)
    jar = grain.jar_high_percent if grain else 0
    bag_kg = programme.bag_kg or 1
    return {
        "bag": Mass(bag_kg, bag_kg, "kg", 0),
        "limit": limit,
        "for_grain": limit,
        "for_seed": limit,
        "jar": Number(jar, jar, 1),
        "drying": Whole(0, crop.days.drying if crop.days else 0),
        "now": Mass(0, MOST_BAGS * bag_kg, "kg", 0),
        "dried": Mass(0, MOST_BAGS * bag_kg, "kg", 0),
        "dry_bags": Whole(0, MOST_BAGS),
    }
