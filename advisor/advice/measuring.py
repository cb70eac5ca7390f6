"""Measuring a field for a dialogue: the rope, the step, the paced sides, and a size that one can picture."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime

from advisor.agronomy.field import paced_rectangle, square_side_steps, step_length_m
from advisor.agronomy.labels import Label
from advisor.agronomy.programme import Programme
from advisor.dialogue.registry import Calculation, Sight
from advisor.wording.kinds import Area, Length, OneOf, Whole


def measuring(programme: Programme, unit: Label) -> tuple[Calculation, ...]:
    """The calculations of measuring a field.

    Args:
        programme: rope, steps and limits of plots.
        unit: what the programme's area unit is called.
    """

    def run_unit(_sight: Sight, _now: datetime) -> Mapping[str, object]:
        return {"unit": programme.area_unit}

    def run_rope(_sight: Sight, _now: datetime) -> Mapping[str, object]:
        return {"rope": programme.rope_m}

    def run_step(sight: Sight, _now: datetime) -> Mapping[str, object]:
        steps = _number(sight, "rope_steps")
        return {"step": step_length_m(programme.rope_m, steps, programme.step_low_m, programme.step_high_m)}

    def run_paced(sight: Sight, _now: datetime) -> Mapping[str, object]:
        step_m = _number(sight, "grower.step")
        long_steps, short_steps = int(_number(sight, "long_steps")), int(_number(sight, "short_steps"))
        paced = paced_rectangle(long_steps, short_steps, step_m, programme.step_error)
        side = square_side_steps(paced.area_m2, step_m)
        return {"area": paced.area_m2, "least": paced.low_m2, "most": paced.high_m2, "side": side}

    def run_picture(sight: Sight, _now: datetime) -> Mapping[str, object]:
        area_m2 = _number(sight, "plot.area")
        step_m = float(str(sight.get("grower.step", programme.step_m)))
        return {"area": area_m2, "side": square_side_steps(area_m2, step_m)}

    low, high = programme.plot_low_m2, programme.plot_high_m2
    error = programme.step_error
    side = Whole(1, square_side_steps(high, programme.step_low_m))
    area = Area(low, high)
    return (
        Calculation("field_unit", (), (), (("unit", OneOf(((programme.area_unit, unit),))),), run_unit),
        Calculation("rope", (), (), (("rope", Length(programme.rope_m, programme.rope_m, "m")),), run_rope),
        Calculation(
            "step_length",
            ("rope_steps",),
            (),
            (("step", Length(programme.step_low_m, programme.step_high_m, "cm")),),
            run_step,
        ),
        Calculation(
            "paced_area",
            ("grower.step", "long_steps", "short_steps"),
            (),
            (
                ("area", area),
                ("least", Area(low * (1 - error) ** 2, high)),
                ("most", Area(low, high * (1 + error) ** 2)),
                ("side", side),
            ),
            run_paced,
        ),
        Calculation("picture", ("plot.area",), ("grower.step",), (("area", area), ("side", side)), run_picture),
    )


def _number(sight: Sight, name: str) -> float:
    return float(str(sight[name]))
