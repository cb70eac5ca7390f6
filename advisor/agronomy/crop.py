"""What is known of a crop wherever it grows. A crop comes by its data file alone; code knows none by name."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from advisor.agronomy.fertiliser_figures import Removal, read_removal
from advisor.agronomy.figures import Figure
from advisor.agronomy.harvest_figures import HarvestFigures, read_harvest
from advisor.agronomy.land_figures import CropLand, read_crop_land
from advisor.agronomy.season_days import CropDays, read_crop_days
from advisor.agronomy.sources import Source
from advisor.agronomy.suitability import SoilLimits, read_soil_limits
from advisor.agronomy.tables import read_table

_NO_LAND = CropLand()


@dataclass(frozen=True, slots=True)
class Crop:
    """A crop.

    Args:
        key: short key that programmes name it by.
        tsw_g: mass of a thousand seeds.
        emergence: part of the seeds that germinate on paper that becomes plants in the field.
        bed_emergence: part of the seeds that come up in a pot or bed of soil that becomes plants in the field.
        good_over_percent: germination above which a lot is good.
        poor_under_percent: germination below which a lot is poor.
        refuse_under_percent: germination below which a lot is not sown whatever happens.
        firm_from_seeds: seeds from which a germination test is firm.
        least_seeds: seeds below which a germination test gives no answer.
        most_seeds: seeds above which it is not one test.
        seeds_per_hole_max: most seeds for a hole.
        figures: where in the file a figure stands, and the figure with its source and mark.
        days: days of its season, None where they are not known.
        soil: soil that it bears, None where that is not known.
        harvest: nodules, yield, grain and nitrogen left, None where the file has no such section.
        land: spacing, count days, shelling and shade, as far as the file has them.
        removal: what a harvest takes off the field, None where the file does not say.
    """

    key: str
    tsw_g: float
    emergence: float
    bed_emergence: float
    good_over_percent: int
    poor_under_percent: int
    refuse_under_percent: int
    firm_from_seeds: int
    least_seeds: int
    most_seeds: int
    seeds_per_hole_max: int
    figures: tuple[tuple[str, Figure], ...]
    days: CropDays | None = None
    soil: SoilLimits | None = None
    harvest: HarvestFigures | None = None
    land: CropLand = _NO_LAND
    removal: Removal | None = None


def read_crop(text: str, sources: Sequence[Source]) -> Crop:
    """A crop from its data file.

    Args:
        text: TOML, one figure a key.
        sources: sources that the figures may name.

    Returns:
        The crop.

    Raises:
        DataFault: everything that is wrong with the file, at once.

    Source:
        The project's own file format.

    >>> from advisor.agronomy.errors import DataFault
    >>> try:
    ...     read_crop('key = "pea"', ())
    ... except DataFault as fault:
    ...     len(fault.faults)
    10
    """
    table = read_table(text, "crop", {source.key: bool(source.url) for source in sources})
    harvest = read_harvest(table.optional_row("harvest"))
    land = read_crop_land(table)
    crop = Crop(
        key=table.text("key", longest=16),
        tsw_g=table.quantity("thousand_seed_weight", "g", 0.01, 5000),
        emergence=table.quantity("emergence", "1", 0.05, 1),
        bed_emergence=table.quantity("bed_emergence", "1", 0.05, 1),
        good_over_percent=table.whole_quantity("good_over", "percent", 1, 99),
        poor_under_percent=table.whole_quantity("poor_under", "percent", 1, 99),
        refuse_under_percent=table.whole_quantity("refuse_under", "percent", 1, 99),
        firm_from_seeds=table.whole_quantity("firm_from", "seeds", 1, 9999),
        least_seeds=table.whole_quantity("least", "seeds", 1, 100),
        most_seeds=table.whole_quantity("most", "seeds", 100, 9999),
        seeds_per_hole_max=table.whole_quantity("seeds_per_hole_max", "seeds", 1, 9),
        soil=read_soil_limits(table),
        days=read_crop_days(table, land.counts.final if land.counts else None),
        land=land,
        removal=read_removal(table.optional_row("removal")),
        figures=table.figures,
        harvest=harvest,
    )
    table.rising(("emergence", crop.emergence), ("bed_emergence", crop.bed_emergence))
    table.rising(
        ("refuse_under", crop.refuse_under_percent),
        ("poor_under", crop.poor_under_percent),
        ("good_over", crop.good_over_percent),
    )
    table.rising(("least", crop.least_seeds), ("firm_from", crop.firm_from_seeds), ("most", crop.most_seeds))
    table.finish()
    return crop
