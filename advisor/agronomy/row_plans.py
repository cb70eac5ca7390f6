"""A field sown in rows, and its stand after emergence, for one crop of a programme.

The formulas stand in ``rows`` and ``stand_check``; here the programme's margins, work rate, edges and days are put
into them. What the programme leaves out is asked for by name.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from advisor.agronomy.crop import Crop
from advisor.agronomy.land_figures import needed
from advisor.agronomy.limits import above_zero, within
from advisor.agronomy.masses import SeedQuality
from advisor.agronomy.programme import Programme
from advisor.agronomy.rows import StringAndPegs, days_for, holes_in_rows, person_days, rows_across, string_and_pegs
from advisor.agronomy.seed import emergence_after
from advisor.agronomy.stand_check import (
    RowCount,
    StandAdvice,
    StandCheck,
    counted_stand_per_m2,
    seed_to_fill_kg,
    stand_check,
)
from advisor.agronomy.strips import RowsBetween, rows_between


@dataclass(frozen=True, slots=True)
class RowPlan:
    """A field in rows.

    Args:
        rows: whole rows.
        left_over_m: width beyond the last row that is neither row nor margin.
        furrow_m: length of all rows together.
        holes: holes in all rows.
        tools: string and pegs.
        person_days: work of sowing them, not rounded.
        days: whole days for the people who come.
    """

    rows: int
    left_over_m: float
    furrow_m: float
    holes: int
    tools: StringAndPegs
    person_days: float
    days: int


@dataclass(frozen=True, slots=True)
class FieldStand:
    """The stand of a field.

    Args:
        check: plants, part of the target and what to do.
        fill_seed_kg: sorted seed for the gaps, 0 unless they are filled.
    """

    check: StandCheck
    fill_seed_kg: float


def row_plan(
    programme: Programme, crop: Crop, width_m: float, length_m: float, people: int, spacing: int = 0
) -> RowPlan:
    """Rows on a field that is sown with one crop.

    Args:
        programme: rules and figures.
        crop: a crop that the programme grows.
        width_m: width of the field across the rows [m], above 0.
        length_m: length of the field along the rows [m], above 0.
        people: people who sow, 1 or more.
        spacing: index of a spacing on offer, 0 is the usual one.

    Returns:
        Rows, holes, tools and work.

    Raises:
        MissingFigure: the programme does not grow the crop, or says nothing of work in rows or of sowing.
        OutOfRange: a value outside its range.
        CannotBe: the margins leave no room.

    Source:
        The formulas of ``rows``.

    >>> plan = row_plan(programme, crop, 30, 40, people=2)
    >>> plan.rows, plan.furrow_m, plan.holes, plan.tools.pegs, plan.days
    (50, 2000, 20000, 100, 2)
    """
    work = needed(programme.land.work, "row_work", "a [row_work] section to the programme file")
    sowing = needed(programme.inoculation, "inoculation", "an [inoculation] section to the programme file")
    plan = programme.plan(crop.key)
    within("spacing", spacing, 0, len(plan.spacings) - 1, "1")
    sown = plan.spacings[spacing]
    across = rows_across(width_m, sown.row_m, work.margin_m)
    # Holes begin half their distance from the end, so that a row holds as many as its length does.
    holes = holes_in_rows(across.rows, length_m, sown.hole_m, sown.hole_m / 2)
    days = person_days(width_m * length_m, sowing.person_m2_per_s, work.day_s)
    return RowPlan(
        rows=across.rows,
        left_over_m=across.left_over_m,
        furrow_m=across.rows * length_m,
        holes=holes,
        tools=string_and_pegs(across.rows, length_m, work.tied_m),
        person_days=days,
        days=days_for(days, people),
    )


def field_stand(
    programme: Programme,
    crop: Crop,
    area_m2: float,
    counts: Sequence[RowCount],
    days_after_sowing: int,
    quality: SeedQuality,
    spacing: int = 0,
) -> FieldStand:
    """The stand of a field that is sown with one crop, what to do about it, and seed for its gaps.

    Args:
        programme: rules and figures.
        crop: a crop that the programme grows.
        area_m2: the field [m²], above 0.
        counts: plants on at least one piece of row.
        days_after_sowing: whole days since sowing, 0 or more.
        quality: what the seed at hand is worth.
        spacing: index of the spacing that was sown.

    Returns:
        The stand and the seed.

    Raises:
        MissingFigure: the programme does not grow the crop, or says nothing of thin stands.
        OutOfRange: a value outside its range.
        CannotBe: no count.

    Source:
        The formulas of ``stand_check``.

    >>> from advisor.agronomy.germination import Method
    >>> good = SeedQuality(0.85, Method.PAPER, 1)
    >>> found = field_stand(programme, crop, 4046.8564224, [RowCount(24, 2)], 10, good)
    >>> str(found.check.advice), round(found.check.part_of_target, 2), round(found.fill_seed_kg, 1)
    ('fill_gaps', 0.6, 9.7)
    """
    rules = needed(programme.land.stand, "stand_check", "a [stand_check] section to the programme file")
    plan = programme.plan(crop.key)
    within("spacing", spacing, 0, len(plan.spacings) - 1, "1")
    above_zero("area", area_m2, "m2")
    stand = counted_stand_per_m2(counts, plan.spacings[spacing].row_m)
    check = stand_check(stand, plan.stand_per_m2, days_after_sowing, rules)
    if check.advice is not StandAdvice.FILL_GAPS:
        return FieldStand(check, 0.0)
    emergence = emergence_after(quality.method, crop.emergence, crop.bed_emergence)
    missing, g, purity = check.missing_per_m2, quality.germination, quality.purity
    return FieldStand(check, seed_to_fill_kg(area_m2, missing, crop.tsw_g, g, emergence, purity))


def rows_between_young(
    programme: Programme, crop: Crop, young: Crop, gap_m: float, spacing: int = 0
) -> RowsBetween:
    """Rows of a crop between the young rows of one that takes long, as thick in the row as where it grows alone.

    Args:
        programme: rules and figures.
        crop: a crop that the programme grows.
        young: the crop that takes long, of which the file says what it needs.
        gap_m: distance between its rows [m], above 0.
        spacing: index of a spacing on offer, 0 is the usual one.

    Returns:
        Rows in each gap and the stand over the whole field, which is not the one of the sole crop.

    Raises:
        MissingFigure: the programme does not grow the crop, or the file of the young crop says nothing of
            clearance.
        OutOfRange: a value outside its range.

    Source:
        The formulas of ``strips``.

    >>> found = rows_between_young(programme, crop, crops["maize"], gap_m=2.0)
    >>> found.rows_per_gap, round(found.stand_per_m2, 1), round(found.sole_crop_stand_per_m2, 1)
    (3, 30.0, 33.3)
    """
    clearance_m = needed(young.land.clearance_m, f"{young.key}.young.clearance", "a [young] section to its file")
    plan = programme.plan(crop.key)
    within("spacing", spacing, 0, len(plan.spacings) - 1, "1")
    sown = plan.spacings[spacing]
    # Holes at half the distance hold half the plants, whatever is usual for a hole at the usual spacing.
    plants = plan.stand_per_m2 * sown.row_m * sown.hole_m
    return rows_between(gap_m, clearance_m, sown.row_m, sown.hole_m, plants)
