"""Should I grow it here, for a dialogue: each thing asked once, and what the answers so far come to.

The calculator looks at water, soil, the last crop and a buyer; what is not answered yet is open and never taken
as good. Rain is judged by the zone's window: a place whose rains end before the crop is ripe has none, and the
dates say so. A flow may ask on after each answer, and stop at the first that lets the crop fail.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from advisor.agronomy.crop import Crop
from advisor.agronomy.errors import MissingFigure
from advisor.agronomy.programme import Programme
from advisor.agronomy.suitability import Question, Reason, Site, Verdict, suitability
from advisor.dialogue.registry import Calculation, Condition, Sight, Takes
from advisor.wording.kinds import Number, OneOf

#: A soil that was measured is judged by the measured acidity.
MEASURED = "measured"
UNSURE = "unsure"
_USES = ("plot.water", "plot.sour", "plot.ph", "plot.last_crop", "grower.buyer")


def siting(programme: Programme, crop: Crop) -> tuple[Calculation, ...]:
    """The calculation of whether the crop fits a field.

    Args:
        programme: names the crop.
        crop: what it bears.
    """
    runs = _Siting(crop)
    soil = crop.soil
    low, high = (soil.ph_low, soil.ph_high) if soil else (7.0, 7.0)
    yes_no = ("yes", "no", UNSURE)
    return (
        Calculation(
            "fit",
            (),
            _USES,
            (
                ("crop", OneOf(((crop.key, programme.crop_label(crop.key)),))),
                ("ph_low", Number(low, low, 1)),
                ("ph_high", Number(high, high, 1)),
            ),
            runs.fit,
            also=("reasons", "verdict", "open"),
            takes=(
                Takes("plot.water", values=yes_no),
                Takes("plot.sour", values=(*yes_no, MEASURED)),
                Takes("plot.ph", (Number,)),
                Takes("plot.last_crop", values=("same", "other", UNSURE)),
                Takes("grower.buyer", values=("yes", "no")),
            ),
        ),
    )


def conditions() -> tuple[Condition, ...]:
    """The conditions on a field that flows may name."""

    def reason(name: str, reason: Reason) -> Condition:
        return Condition(name, ("reasons",), lambda sight: reason in _tuple(sight["reasons"]))

    return (
        reason("land_is_drowned", Reason.WATERLOGGED),
        reason("land_is_sour", Reason.ACID_SOIL),
        reason("land_is_alkaline", Reason.ALKALINE_SOIL),
        reason("crop_comes_twice", Reason.SAME_CROP_LAST_YEAR),
        reason("nobody_buys", Reason.NO_MARKET),
        Condition("soil_is_unknown", ("open",), lambda sight: Question.SOIL in _tuple(sight["open"])),
        Condition("land_fits", ("verdict",), lambda sight: sight["verdict"] is Verdict.YES),
    )


@dataclass(frozen=True, slots=True)
class _Siting:
    """The calculation itself, bound to a crop."""

    crop: Crop

    def fit(self, sight: Sight, _now: datetime) -> Mapping[str, object]:
        limits = self.crop.soil
        if limits is None:
            raise MissingFigure("soil", "add a [soil] section to the file of the crop")
        found = suitability(self.crop.key, limits, _site(self.crop, sight))
        return {
            "crop": self.crop.key,
            "ph_low": limits.ph_low,
            "ph_high": limits.ph_high,
            "reasons": found.reasons,
            "verdict": found.verdict,
            "open": found.open_questions,
        }


def _site(crop: Crop, sight: Sight) -> Site:
    last = sight.get("plot.last_crop")
    soil = sight.get("plot.sour")
    # Whoever said that it is sour and then had it tested is judged by the test.
    measured = sight.get("plot.ph") if soil in (MEASURED, "yes") else None
    return Site(
        soil_ph=None if measured is None else float(str(measured)),
        seems_acid=_yes(soil),
        waterlogged=_yes(sight.get("plot.water")),
        last_crop={"same": crop.key, "other": ""}.get(str(last)),
        has_buyer=_yes(sight.get("grower.buyer")),
    )


def _yes(answer: object) -> bool | None:
    return {"yes": True, "no": False}.get(str(answer))


def _tuple(value: object) -> tuple[object, ...]:
    assert isinstance(value, tuple)
    return value
