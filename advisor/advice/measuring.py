"""Measuring a field for a dialogue: the rope, the step, the paced sides, and a size that one can picture."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from advisor.agronomy.field import paced_rectangle, square_side_steps, step_length_m
from advisor.agronomy.labels import Label
from advisor.agronomy.programme import Programme
from advisor.dialogue.registry import Calculation, Sight, Takes
from advisor.wording.kinds import Area, Kind, Length, OneOf, Whole


def measuring(programme: Programme, unit: Label) -> tuple[Calculation, ...]:
    """The calculations of measuring a field.

    Args:
        programme: rope, steps and limits of plots.
        unit: what the programme's area unit is called.
    """
    runs, kinds = _Measuring(programme), _kinds(programme, unit)
    paced = ("grower.step", "long_steps", "short_steps")
    step, counts = Takes("grower.step", (Length,)), tuple(Takes(name, (Whole,)) for name in paced[1:])
    rope, area = Takes("rope_steps", (Whole,)), Takes("plot.area", (Area,))

    def given(*names: str) -> tuple[tuple[str, Kind], ...]:
        return tuple((name, kinds[name]) for name in names)

    return (
        Calculation("field_unit", (), (), given("unit"), runs.unit),
        Calculation("rope", (), (), given("rope"), runs.rope),
        Calculation("step_length", ("rope_steps",), (), given("step"), runs.step, takes=(rope,)),
        Calculation(
            "paced_area", paced, (), given("area", "least", "most", "side"), runs.paced, takes=(step, *counts)
        ),
        Calculation(
            "picture", ("plot.area",), ("grower.step",), given("area", "side"), runs.picture, takes=(area, step)
        ),
    )


@dataclass(frozen=True, slots=True)
class _Measuring:
    """The calculations themselves, bound to a programme."""

    programme: Programme

    def unit(self, _sight: Sight, _now: datetime) -> Mapping[str, object]:
        return {"unit": self.programme.area_unit}

    def rope(self, _sight: Sight, _now: datetime) -> Mapping[str, object]:
        return {"rope": self.programme.rope_m}

    def step(self, sight: Sight, _now: datetime) -> Mapping[str, object]:
        programme, steps = self.programme, _number(sight, "rope_steps")
        return {"step": step_length_m(programme.rope_m, steps, programme.step_low_m, programme.step_high_m)}

    def paced(self, sight: Sight, _now: datetime) -> Mapping[str, object]:
        step_m = _number(sight, "grower.step")
        long_steps, short_steps = int(_number(sight, "long_steps")), int(_number(sight, "short_steps"))
        paced = paced_rectangle(long_steps, short_steps, step_m, self.programme.step_error)
        side = square_side_steps(paced.area_m2, step_m)
        return {"area": paced.area_m2, "least": paced.low_m2, "most": paced.high_m2, "side": side}

    def picture(self, sight: Sight, _now: datetime) -> Mapping[str, object]:
        return pictured(self.programme, sight)


def pictured(programme: Programme, sight: Sight) -> dict[str, object]:
    """The field in hand, with the side of a square as big in steps.

    Args:
        programme: the usual step, for whoever has not counted theirs.
        sight: ``plot.area``, and ``grower.step`` where it is known.
    """
    area_m2 = _number(sight, "plot.area")
    step_m = float(str(sight.get("grower.step", programme.step_m)))
    return {"area": area_m2, "side": square_side_steps(area_m2, step_m)}


def picture_of(programme: Programme) -> tuple[tuple[str, Kind], ...]:
    """The kinds of what `pictured` gives."""
    low, high = programme.plot_low_m2, programme.plot_high_m2
    return ("area", Area(low, high)), ("side", Whole(1, square_side_steps(high, programme.step_low_m)))


def _kinds(programme: Programme, unit: Label) -> dict[str, Kind]:
    low, high, error = programme.plot_low_m2, programme.plot_high_m2, programme.step_error
    return {
        "unit": OneOf(((programme.area_unit, unit),)),
        "rope": Length(programme.rope_m, programme.rope_m, "m"),
        "step": Length(programme.step_low_m, programme.step_high_m, "cm"),
        **dict(picture_of(programme)),
        "least": Area(low * (1 - error) ** 2, high),
        "most": Area(low, high * (1 + error) ** 2),
    }


def _number(sight: Sight, name: str) -> float:
    return float(str(sight[name]))
