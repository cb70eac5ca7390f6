"""Field area from lengths and steps."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf, sqrt

from advisor.agronomy.errors import OutOfRange
from advisor.agronomy.limits import above_zero, within


@dataclass(frozen=True, slots=True)
class PacedArea:
    """The area of a paced field and the range it lies in.

    Args:
        area_m2: area by the steps as counted.
        low_m2: area if every step was shorter by the step error.
        high_m2: area if every step was longer by the step error.
    """

    area_m2: float
    low_m2: float
    high_m2: float


def rectangle_m2(long_m: float, short_m: float) -> float:
    """Area of a rectangle.

    Args:
        long_m: one side [m], above 0.
        short_m: the side at a right angle to it [m], above 0.

    Returns:
        The area [m²].

    Raises:
        OutOfRange: a side that is not above 0.

    Source:
        FAO and INADES, Better Farming Series 10 (1976), areas of fields: 54 m by 22 m.

    >>> rectangle_m2(54, 22)
    1188
    """
    return above_zero("side", long_m, "m") * above_zero("side", short_m, "m")


def step_length_m(rope_m: float, steps: float, low_m: float = 0.0, high_m: float = inf) -> float:
    """Length of a step, measured along a rope.

    Args:
        rope_m: length of the rope [m], above 0.
        steps: steps it took, above 0; a mean of several walks may be a fraction.
        low_m: shortest step believed [m].
        high_m: longest step believed [m].

    Returns:
        Length of one step [m].

    Raises:
        OutOfRange: a rope or count that is not above 0, or a step outside what is believed.

    Source:
        Survey teaching practice: a pace is calibrated on a known length (100 ft in 30.3 paces is 3.30 ft).

    >>> step_length_m(20, 25)
    0.8
    """
    step_m = above_zero("rope", rope_m, "m") / above_zero("steps", steps, "1")
    return within("step", step_m, low_m, high_m, "m")


def paced_rectangle(long_steps: int, short_steps: int, step_m: float, step_error: float) -> PacedArea:
    """Area of a rectangle measured in steps, with its range: an error of the step counts twice in the area.

    Args:
        long_steps: steps along one side, 1 or more.
        short_steps: steps along the side at a right angle to it, 1 or more.
        step_m: length of a step [m], above 0.
        step_error: part by which the step may be off, 0 to below 1.

    Returns:
        The area and its range [m²].

    Raises:
        OutOfRange: a count, step or error that cannot be.

    Source:
        Geometry; a step that is 5 % long makes the area 10.25 % large.

    >>> paced_rectangle(100, 50, 1.0, 0.05)
    PacedArea(area_m2=5000.0, low_m2=4512.5, high_m2=5512.5)
    """
    long_side = above_zero("steps", long_steps, "1")
    return paced(long_side * above_zero("steps", short_steps, "1"), step_m, step_error)


def paced(area_in_steps: float, step_m: float, step_error: float) -> PacedArea:
    """An area measured in steps, with the range that an error of the step gives: it counts twice.

    Args:
        area_in_steps: the area in squares of one step by one step, above 0.
        step_m: length of a step [m], above 0; 1 for a field measured in metres.
        step_error: part by which the step may be off, 0 to below 1; 0 for a tape.

    Returns:
        The area and its range [m²].

    Raises:
        OutOfRange: a value outside its range.

    Source:
        Geometry: every length is off by the same part, so a step 5 % long makes any shape 10.25 % large.

    >>> paced(600, 1.0, 0.05)
    PacedArea(area_m2=600.0, low_m2=541.5, high_m2=661.5)
    """
    if not 0 <= step_error < 1:
        raise OutOfRange("step error", step_error, 0, "below 1", "1")
    area_m2 = above_zero("area", area_in_steps, "steps²") * above_zero("step", step_m, "m") ** 2
    return PacedArea(area_m2, area_m2 * (1 - step_error) ** 2, area_m2 * (1 + step_error) ** 2)


def square_side_steps(area_m2: float, step_m: float) -> int:
    """Side of a square of that area in whole steps, the nearest, at least one.

    Args:
        area_m2: the area [m²], above 0.
        step_m: length of a step [m], above 0.

    Returns:
        Steps along each side.

    Raises:
        OutOfRange: an area or step that is not above 0.

    Source:
        FAO and INADES, Better Farming Series 14 (1977): 71 m by 71 m is taken as half a hectare.

    >>> square_side_steps(5000, 1.0)
    71
    """
    side_m = sqrt(above_zero("area", area_m2, "m2"))
    return max(1, int(side_m / above_zero("step", step_m, "m") + 0.5))
