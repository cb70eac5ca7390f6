"""Placing seed: depth and distance in measures that a hand has, and seeds along a row for drilling.

Nobody carries a ruler into the field. A programme measures fingers, spans and feet of its own people once; a depth
or distance is then said in the measure that meets it best, or in centimetres only where none comes close. Whoever
drills in a furrow counts seeds along a metre or along ten steps instead of holes.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from advisor.agronomy.labels import Label
from advisor.agronomy.limits import above_zero, share, within

_STEPS = 10


@dataclass(frozen=True, slots=True)
class BodyMeasure:
    """A measure that people carry with them.

    Args:
        key: short key, never changed.
        label: its name.
        length_m: its length as the programme measured it [m].
        most: most of them that are laid one after the other, 1 or more.
    """

    key: str
    label: Label
    length_m: float
    most: int


@dataclass(frozen=True, slots=True)
class Span:
    """A length in a body measure.

    Args:
        measure: the measure.
        count: how many, 1 or more.
        length_m: what they come to [m].
    """

    measure: BodyMeasure
    count: int
    length_m: float


def in_body_measure(length_m: float, measures: Sequence[BodyMeasure], most_off: float) -> Span | None:
    """The length in the body measure that meets it best; of two alike, the one with fewer to lay.

    Args:
        length_m: the length [m], above 0.
        measures: measures of the programme, none where nobody measured.
        most_off: part of the length by which a measure may miss it, 0 to 0.5.

    Returns:
        The best, or None where none comes that close.

    Raises:
        OutOfRange: a value outside its range.

    Source:
        Own choice.

    >>> finger = BodyMeasure("finger", Label("finger"), 0.018, most=4)
    >>> hand = BodyMeasure("hand", Label("hand"), 0.09, most=6)
    >>> found = in_body_measure(0.10, [finger, hand], 0.2)
    >>> found.measure.key, found.count
    ('hand', 1)
    """
    above_zero("length", length_m, "m")
    within("most off", most_off, 0, 0.5, "1")
    spans = [
        Span(measure, count, count * above_zero("body measure", measure.length_m, "m"))
        for measure in measures
        for count in range(1, measure.most + 1)
    ]
    close = [span for span in spans if abs(span.length_m - length_m) <= most_off * length_m + 1e-12]
    return min(close, key=lambda span: (round(abs(span.length_m - length_m), 6), span.count), default=None)


def seeds_per_metre(stand: float, row_m: float, germination: float, emergence: float) -> float:
    """Seeds along each metre of row, for drilling.

    Args:
        stand: plants to stand [plants/m²], above 0.
        row_m: distance between rows [m], above 0.
        germination: part of the seeds that germinates, above 0, at most 1.
        emergence: part of the germinating seeds that becomes plants in the field, above 0, at most 1.

    Returns:
        Seeds for each metre of row.

    Raises:
        OutOfRange: a value outside its range.

    Source:
        Iowa State University, Agronomy 212, Seeds per foot of row.

    >>> round(seeds_per_metre(33.3, 0.6, 0.9, 0.85), 1)
    26.1
    """
    plants = above_zero("stand", stand, "plants/m2") * above_zero("row", row_m, "m")
    return plants / (share("germination", germination) * share("emergence", emergence))


def seeds_in_ten_steps(per_metre: float, step_m: float) -> float:
    """Seeds along ten steps of row, to check a drill or a hand by.

    Args:
        per_metre: seeds for each metre of row, above 0.
        step_m: length of a step [m], above 0.

    Returns:
        Seeds in ten steps.

    Raises:
        OutOfRange: a value that is not above 0.

    Source:
        Arithmetic.

    >>> round(seeds_in_ten_steps(26, 0.75))
    195
    """
    return above_zero("seeds", per_metre, "1/m") * _STEPS * above_zero("step", step_m, "m")
