"""Land and seed for one crop of a programme: strips on a field, seed to keep, and where a seed is laid.

The formulas stand in ``strips``, ``saved_seed`` and ``placing``; here the figures of the crop's file and of the
programme's file are put into them, so that a new crop gets its answers by its file alone. A figure that a file
leaves out is asked for by name.
"""

from __future__ import annotations

from dataclasses import dataclass

from advisor.agronomy.crop import Crop
from advisor.agronomy.germination import Method
from advisor.agronomy.land_figures import needed
from advisor.agronomy.limits import within
from advisor.agronomy.masses import SeedQuality, seed_masses
from advisor.agronomy.placing import Span, in_body_measure, seeds_in_ten_steps, seeds_per_metre
from advisor.agronomy.programme import Programme
from advisor.agronomy.saved_seed import in_shell_kg, seed_to_keep_kg
from advisor.agronomy.seed import emergence_after
from advisor.agronomy.strips import Edges, StripField, seed_for_furrows_kg, shaded_yield_part, strips_on_field


@dataclass(frozen=True, slots=True)
class StripPlan:
    """A field in strips.

    Args:
        field: rows, furrow metres and what width is left over.
        seed_kg: sorted seed of the programme's crop.
        partner_seed_kg: seed of the partner, without spill.
        yield_part: what the programme's crop yields in the shade of the partner, as a part of what the same rows
            yield in the open, 0 to 1.
    """

    field: StripField
    seed_kg: float
    partner_seed_kg: float
    yield_part: float


@dataclass(frozen=True, slots=True)
class SeedToKeep:
    """Seed to keep at harvest for the next sowing.

    Args:
        seed_kg: sorted seed that the next sowing takes.
        keep_kg: raw grain to keep for it, with what sorting takes away and what is spare.
        in_shell_kg: the same in the shell, None for a crop without one.
    """

    seed_kg: float
    keep_kg: float
    in_shell_kg: float | None


@dataclass(frozen=True, slots=True)
class Placement:
    """Where a seed is laid.

    Args:
        row_m: distance between rows.
        hole_m: distance between holes in the row.
        depth_low_m: shallowest.
        depth_high_m: deepest.
        row: the first in a body measure, None where none comes close.
        hole: the second likewise.
        depth: the middle of the two depths likewise.
        seeds_per_metre: seeds along a metre of row for whoever drills.
        seeds_in_ten_steps: the same along ten steps.
    """

    row_m: float
    hole_m: float
    depth_low_m: float
    depth_high_m: float
    row: Span | None
    hole: Span | None
    depth: Span | None
    seeds_per_metre: float
    seeds_in_ten_steps: float


def strip_plan(
    programme: Programme,
    crop: Crop,
    partner: Crop,
    width_m: float,
    length_m: float,
    edges: Edges,
    quality: SeedQuality,
    spacing: int = 0,
) -> StripPlan:
    """A field in strips of a crop and a partner of the programme.

    Args:
        programme: rules and figures.
        crop: a crop that the programme grows; it comes first in the strips.
        partner: the other crop.
        width_m: width of the field across the rows [m], above 0.
        length_m: length of the field along the rows [m], above 0.
        edges: which crop stands at the edges.
        quality: what the seed of the programme's crop is worth.
        spacing: index of its spacing.

    Returns:
        Rows, seed of both, and what shade leaves of the yield.

    Raises:
        MissingFigure: the programme does not grow the crop or has no such partner, or the partner's file has no
            figure for its shade.
        OutOfRange: a value outside its range.
        CannotBe: not even one whole repeat fits.

    Source:
        The formulas of ``strips``; seed follows the furrow metres of each crop.

    >>> good = SeedQuality(0.85, Method.PAPER, 1)
    >>> plan = strip_plan(programme, crop, crops["maize"], 30, 40, Edges.ONE_EACH, good)
    >>> plan.field.first_rows, round(plan.seed_kg, 2), round(plan.partner_seed_kg, 2), round(plan.yield_part, 3)
    (28, 3.32, 0.67, 0.907)
    """
    rules = programme.plan(crop.key)
    within("spacing", spacing, 0, len(rules.spacings) - 1, "1")
    beside = programme.land.partner(partner.key)
    sown = rules.spacings[spacing]
    field = strips_on_field(beside.strips(sown.row_m), width_m, length_m, edges)
    factor = needed(partner.land.edge_factor, f"{partner.key}.shade.edge_factor", "a [shade] section to its file")
    return StripPlan(
        field=field,
        seed_kg=seed_masses(rules, crop, sown, field.first_m2, quality).kg,
        partner_seed_kg=seed_for_furrows_kg(
            field.second_furrow_m, beside.hole_m, beside.seeds_per_hole, partner.tsw_g
        ),
        yield_part=shaded_yield_part(field.first_rows, field.unlike_neighbours, factor),
    )


def seed_for_next_season(programme: Programme, crop: Crop, area_m2: float) -> SeedToKeep:
    """Seed to keep at harvest for sowing a field next season.

    Args:
        programme: rules and figures.
        crop: a crop that the programme grows.
        area_m2: the field of the next season [m²], above 0.

    Returns:
        What to keep.

    Raises:
        MissingFigure: the programme does not grow the crop or says nothing of saved seed.
        OutOfRange: a field that is not above 0.

    Source:
        The formulas of ``masses`` and ``saved_seed``, at the germination that is expected at the next sowing.

    >>> kept = seed_for_next_season(programme, crop, 4046.8564224)
    >>> round(kept.seed_kg, 2), round(kept.keep_kg, 2)
    (22.86, 31.75)
    """
    rules, plan = (
        needed(programme.land.saved_seed, "saved_seed", "a [saved_seed] section to the programme file"),
        programme.plan(crop.key),
    )
    expected = SeedQuality(rules.next_germination, Method.PAPER, 1.0)
    seed_kg = seed_masses(plan, crop, plan.spacings[0], area_m2, expected).kg
    keep_kg = seed_to_keep_kg(seed_kg, plan.sorting_loss, rules.spare)
    part = crop.land.kernel_part
    return SeedToKeep(seed_kg, keep_kg, None if part is None else in_shell_kg(keep_kg, part))


def placement(programme: Programme, crop: Crop, quality: SeedQuality, step_m: float, most_off: float) -> Placement:
    """Where the seed of a crop is laid, in metres and in what a hand measures.

    Args:
        programme: rules and figures.
        crop: a crop that the programme grows.
        quality: what the seed is worth, for drilling.
        step_m: length of a step [m], above 0.
        most_off: part of a length by which a body measure may miss it, 0 to 0.5.

    Returns:
        Distances, depth and seeds along a row.

    Raises:
        MissingFigure: the programme does not grow the crop, or its file says nothing of depth.
        OutOfRange: a value outside its range.

    Source:
        The formulas of ``placing``.

    >>> placed = placement(programme, crop, SeedQuality(0.9, Method.PAPER, 1), 0.75, most_off=0.2)
    >>> [(span.count, span.measure.key) for span in (placed.row, placed.hole, placed.depth)]
    [(3, 'span'), (1, 'hand'), (2, 'finger')]
    """
    sowing = needed(crop.land.sowing, f"{crop.key}.sowing", "a [sowing] section to its file")
    plan = programme.plan(crop.key)
    spacing, measures = plan.spacings[0], programme.land.measures
    depth_m = (sowing.depth_low_m + sowing.depth_high_m) / 2
    per_metre = seeds_per_metre(
        plan.stand_per_m2,
        spacing.row_m,
        quality.germination,
        emergence_after(quality.method, crop.emergence, crop.bed_emergence),
    )
    return Placement(
        row_m=spacing.row_m,
        hole_m=spacing.hole_m,
        depth_low_m=sowing.depth_low_m,
        depth_high_m=sowing.depth_high_m,
        row=in_body_measure(spacing.row_m, measures, most_off),
        hole=in_body_measure(spacing.hole_m, measures, most_off),
        depth=in_body_measure(depth_m, measures, most_off),
        seeds_per_metre=per_metre,
        seeds_in_ten_steps=seeds_in_ten_steps(per_metre, step_m),
    )
