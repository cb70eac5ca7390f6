"""The stand after emergence: how many plants there are, and whether to leave them, fill gaps or sow again.

Plants are counted on some lengths of row in different parts of the field. A stand a little thin is left: plants
beside a gap grow into it. A thinner one is filled, but only while it can still catch up; filled later, it stands
in the shade of the rest and gives nothing. Less than the lower edge is sown again, if the season still allows it.
The edges and the days are figures of the programme; both edges lie in the middle: fill.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from advisor.agronomy.errors import CannotBe
from advisor.agronomy.limits import above_zero, not_below, within
from advisor.agronomy.seed import seed_mass_by_population_kg

#: A stand a hair of a binary fraction off an edge is on the edge.
_NOISE = 1e-9


class StandAdvice(StrEnum):
    """What to do about a stand."""

    LEAVE = "leave"
    FILL_GAPS = "fill_gaps"
    RESOW = "resow"
    TOO_LATE = "too_late"


@dataclass(frozen=True, slots=True)
class StandRules:
    """What the programme holds of thin stands.

    Args:
        leave_over: part of the target above which a stand is left as it is, 0 to 1.
        resow_under: part of the target under which the field is sown again, 0 to ``leave_over``.
        fill_days: whole days after sowing in which gaps are filled.
        resow_days: whole days after sowing in which the field is sown again.
    """

    leave_over: float
    resow_under: float
    fill_days: int
    resow_days: int


@dataclass(frozen=True, slots=True)
class RowCount:
    """Plants counted along a row.

    Args:
        plants: plants, 0 or more.
        row_length_m: length of row that they stand on [m], above 0.

    Raises:
        OutOfRange: a value outside its range.

    >>> RowCount(28, 2).plants
    28
    """

    plants: int
    row_length_m: float

    def __post_init__(self) -> None:
        not_below("plants", self.plants, 0, "1")
        above_zero("row length", self.row_length_m, "m")


@dataclass(frozen=True, slots=True)
class StandCheck:
    """What a stand is and what to do about it.

    Args:
        stand_per_m2: plants that stand [plants/m²].
        part_of_target: the stand as a part of the target, 0 or more.
        missing_per_m2: plants that are missing [plants/m²], 0 where none are.
        advice: leave, fill gaps, sow again, or too late for either.
    """

    stand_per_m2: float
    part_of_target: float
    missing_per_m2: float
    advice: StandAdvice


def counted_stand_per_m2(counts: Sequence[RowCount], row_m: float) -> float:
    """Stand from plants counted along rows; a longer piece of row weighs more.

    Args:
        counts: at least one piece of row.
        row_m: distance between rows [m], above 0.

    Returns:
        Plants per m².

    Raises:
        CannotBe: no count.
        OutOfRange: a distance that is not above 0.

    Source:
        North Dakota State University, ProCrop, Estimating soybean stands: plants on the length of row that makes a
        thousandth of an acre.

    >>> round(counted_stand_per_m2([RowCount(28, 2), RowCount(32, 2)], 0.6), 6)
    25.0
    """
    if not counts:
        raise CannotBe("no_count", "no row was counted", "count the plants on at least one piece of row")
    plants, length_m = sum(count.plants for count in counts), sum(count.row_length_m for count in counts)
    return plants / (length_m * above_zero("row", row_m, "m"))


def stand_check(
    stand_per_m2: float, target_per_m2: float, days_after_sowing: int, rules: StandRules
) -> StandCheck:
    """What to do about a stand.

    Args:
        stand_per_m2: plants that stand [plants/m²], 0 or more.
        target_per_m2: plants that should [plants/m²], above 0; between rows of another crop it is not the stand
            of the sole crop.
        days_after_sowing: whole days since sowing, 0 or more.
        rules: edges and days of the programme.

    Returns:
        The stand and the advice.

    Raises:
        OutOfRange: a value outside its range, or edges that are not in order.

    Source:
        Edges differ between guides (Virginia: half the stand; Michigan: 65,000 plants an acre), so they are
        figures of the programme.

    >>> rules = StandRules(leave_over=0.8, resow_under=0.5, fill_days=14, resow_days=21)
    >>> [str(stand_check(stand, 30, 10, rules).advice) for stand in (25, 24, 15, 14)]
    ['leave', 'fill_gaps', 'fill_gaps', 'resow']
    """
    within("leave over", rules.leave_over, 0, 1, "1")
    within("resow under", rules.resow_under, 0, rules.leave_over, "1")
    stand = not_below("stand", stand_per_m2, 0, "plants/m2")
    part = stand / above_zero("target", target_per_m2, "plants/m2")
    days = not_below("days after sowing", days_after_sowing, 0, "day")
    if part > rules.leave_over + _NOISE:
        advice = StandAdvice.LEAVE
    elif part < rules.resow_under - _NOISE:
        advice = StandAdvice.RESOW if days <= rules.resow_days else StandAdvice.TOO_LATE
    else:
        advice = StandAdvice.FILL_GAPS if days <= rules.fill_days else StandAdvice.TOO_LATE
    return StandCheck(stand, part, max(0.0, target_per_m2 - stand), advice)


def seed_to_fill_kg(
    area_m2: float, missing_per_m2: float, tsw_g: float, germination: float, emergence: float, purity: float = 1.0
) -> float:
    """Seed that fills the gaps of a field.

    Args:
        area_m2: the field [m²], above 0.
        missing_per_m2: plants that are missing [plants/m²], 0 or more.
        tsw_g: mass of a thousand seeds [g], above 0.
        germination: part of the seeds that germinates, above 0, at most 1.
        emergence: part of the germinating seeds that becomes plants in the field, above 0, at most 1.
        purity: pure seed by mass, above 0, at most 1; 1 for hand-sorted seed.

    Returns:
        Sorted seed [kg], 0 where no plant is missing.

    Raises:
        OutOfRange: a value outside its range.

    Source:
        As the mass for a target stand, for the missing plants only.

    >>> round(seed_to_fill_kg(10_000, 5, 130, 0.85, 0.85), 2)
    9.0
    """
    if not_below("missing", missing_per_m2, 0, "plants/m2") == 0:
        return 0.0
    return seed_mass_by_population_kg(area_m2, missing_per_m2, tsw_g, germination, emergence, purity)
