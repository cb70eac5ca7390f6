"""Figures of a crop between flowering and store: nodules, yield, grain, nitrogen left; each may be missing."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import permutations

from advisor.agronomy.errors import MissingFigure
from advisor.agronomy.nutrients import N
from advisor.agronomy.tables import Table


@dataclass(frozen=True, slots=True)
class NoduleScheme:
    """How one guide scores nodules.

    Args:
        key: short key of the guide.
        enough: working nodules for each plant from which fixation is counted on.
        none_under: working nodules for each plant below which there are as good as none.
        least_plants: plants below which a score is rough.
        most_nodules: more nodules on one plant are not believed.
        rescue_low: nitrogen that the guide would give a field without nodules, the least.
        rescue_high: the same, the most.
    """

    key: str
    enough: float
    none_under: float
    least_plants: int
    most_nodules: int
    rescue_low: N
    rescue_high: N


@dataclass(frozen=True, slots=True)
class YieldFigures:
    """What a yield estimate before harvest rests on.

    Args:
        seeds_per_pod: seeds for each pod where nobody counted.
        seeds_per_pod_most: more seeds in a pod are not believed.
        pods_per_plant_most: more pods on a plant are not believed.
        stand_most_per_m2: more plants on a square metre are not believed.
        loss_low: part of the standing grain that a careful harvest loses, 0 to 1.
        loss_high: part that a usual harvest loses, 0 to 1.
        plausible_kg_per_ha: yield above which a count was most likely wrong.
    """

    seeds_per_pod: float
    seeds_per_pod_most: float
    pods_per_plant_most: float
    stand_most_per_m2: float
    loss_low: float
    loss_high: float
    plausible_kg_per_ha: float


@dataclass(frozen=True, slots=True)
class StorageRow:
    """Days that grain keeps, for one moisture and temperature.

    Args:
        moisture_percent: moisture of the grain, wet basis.
        celsius: temperature of the grain.
        days: days until it has lost quality.
    """

    moisture_percent: float
    celsius: float
    days: int


@dataclass(frozen=True, slots=True)
class GrainFigures:
    """How dry grain must be, what the jar shows, and how long grain keeps.

    Args:
        trade_percent: moisture that buyers weigh by.
        grain_percent: moisture at which grain is stored, at most.
        seed_percent: moisture at which seed is stored, at most.
        jar_low_percent: below it salt in a jar always stays dry.
        jar_high_percent: above it salt in a jar always sticks.
        halved_by_percent: points of moisture more that halve the life of seed.
        halved_by_celsius: degrees more that halve the life of seed.
        storage: days by moisture and temperature.
        thresh_low_percent: moisture below which threshing splits the grain, None where the file does not say.
        thresh_high_percent: moisture above which threshing bruises it, None where the file does not say.
    """

    trade_percent: float
    grain_percent: float
    seed_percent: float
    jar_low_percent: float
    jar_high_percent: float
    halved_by_percent: float
    halved_by_celsius: float
    storage: tuple[StorageRow, ...]
    thresh_low_percent: float | None = None
    thresh_high_percent: float | None = None


@dataclass(frozen=True, slots=True)
class NitrogenLeft:
    """Nitrogen that a crop leaves for the next cereal.

    Args:
        returned_low: least, with all straw left on the field.
        returned_high: most, with all straw left on the field.
        removed_low: least, with all straw taken away.
        removed_high: most, with all straw taken away.
    """

    returned_low: N
    returned_high: N
    removed_low: N
    removed_high: N


@dataclass(frozen=True, slots=True)
class HarvestFigures:
    """All of these of one crop; a part that its file leaves out is None, or empty.

    Args:
        nodules: scoring schemes, the first is the usual one.
        yields: what a yield estimate rests on.
        grain: moisture and storage.
        nitrogen_left: for the next cereal.
    """

    nodules: tuple[NoduleScheme, ...]
    yields: YieldFigures | None
    grain: GrainFigures | None
    nitrogen_left: NitrogenLeft | None

    def scheme(self, key: str = "") -> NoduleScheme:
        """The scheme of that key, else the usual one. Raises MissingFigure where there is none."""
        found = [scheme for scheme in self.nodules if key in ("", scheme.key)]
        if not found:
            known = ", ".join(scheme.key for scheme in self.nodules) or "none yet"
            raise MissingFigure(
                f"harvest.nodules {key}".strip(), f"add the scheme to the crop file; known: {known}"
            )
        return found[0]


def read_harvest(row: Table | None) -> HarvestFigures | None:
    """The figures from the section ``[harvest]`` of a crop file.

    Args:
        row: the section, None where the file has none.

    Returns:
        The figures, None where there is no section; faults are noted on the table.

    Source:
        The project's own file format.

    >>> read_harvest(None) is None
    True
    """
    if row is None:
        return None
    yields, grain = row.optional_row("yield"), row.optional_row("grain")
    figures = HarvestFigures(
        nodules=tuple(_scheme(scheme) for scheme in row.optional_rows("nodules")),
        yields=_yields(yields) if yields else None,
        grain=_grain(grain) if grain else None,
        nitrogen_left=read_nitrogen_left(row.optional_row("nitrogen_left")),
    )
    row.unique("nodules", [scheme.key for scheme in figures.nodules])
    return figures


def read_nitrogen_left(row: Table | None) -> NitrogenLeft | None:
    """Nitrogen left, from a section of a crop file or of a zone in a programme file.

    Args:
        row: the section, None where the file has none.

    Returns:
        The figures, None where there is no section; faults are noted on the table.

    Source:
        The project's own file format.

    >>> read_nitrogen_left(None) is None
    True
    """
    if row is None:
        return None
    names = ("returned_low", "returned_high", "removed_low", "removed_high")
    kg = {name: row.quantity(name, "kg N/ha", 0, 200) for name in names}
    row.rising(*((name, kg[name]) for name in ("removed_low", "removed_high", "returned_high")))
    row.rising(*((name, kg[name]) for name in ("removed_low", "returned_low", "returned_high")))
    return NitrogenLeft(*(N(kg[name]) for name in names))


def _scheme(row: Table) -> NoduleScheme:
    enough = row.quantity("enough", "nodules/plant", 1, 200)
    none_under = row.quantity("none_under", "nodules/plant", 0, 200)
    low, high = row.quantity("rescue_low", "kg N/ha", 0, 200), row.quantity("rescue_high", "kg N/ha", 0, 200)
    row.rising(("none_under", none_under), ("enough", enough))
    row.rising(("rescue_low", low), ("rescue_high", high))
    return NoduleScheme(
        key=row.text("key", longest=16),
        enough=enough,
        none_under=none_under,
        least_plants=row.whole_quantity("least_plants", "plants", 1, 100),
        most_nodules=row.whole_quantity("most_nodules", "nodules/plant", 10, 5000),
        rescue_low=N(low),
        rescue_high=N(high),
    )


def _yields(row: Table) -> YieldFigures:
    figures = YieldFigures(
        seeds_per_pod=row.quantity("seeds_per_pod", "seeds/pod", 0.1, 50),
        seeds_per_pod_most=row.quantity("seeds_per_pod_most", "seeds/pod", 0.1, 50),
        pods_per_plant_most=row.quantity("pods_per_plant_most", "pods/plant", 1, 5000),
        stand_most_per_m2=row.quantity("stand_most", "plants/m2", 0.1, 1000),
        loss_low=row.quantity("loss_low", "1", 0, 0.9),
        loss_high=row.quantity("loss_high", "1", 0, 0.9),
        plausible_kg_per_ha=row.quantity("plausible", "kg/ha", 1, 50_000),
    )
    row.rising(("seeds_per_pod", figures.seeds_per_pod), ("seeds_per_pod_most", figures.seeds_per_pod_most))
    row.rising(("loss_low", figures.loss_low), ("loss_high", figures.loss_high))
    return figures


def _grain(row: Table) -> GrainFigures:
    figures = GrainFigures(
        trade_percent=row.quantity("trade", "percent", 1, 40),
        grain_percent=row.quantity("grain", "percent", 1, 40),
        seed_percent=row.quantity("seed", "percent", 1, 40),
        jar_low_percent=row.quantity("jar_low", "percent", 1, 40),
        jar_high_percent=row.quantity("jar_high", "percent", 1, 40),
        halved_by_percent=row.quantity("halved_by_moisture", "percent", 0.1, 20),
        halved_by_celsius=row.quantity("halved_by_warmth", "celsius", 0.1, 50),
        storage=tuple(
            StorageRow(
                line.quantity("moisture", "percent", 1, 40),
                line.quantity("temperature", "celsius", -20, 60),
                line.whole_quantity("keeps", "day", 1, 9999),
            )
            for line in row.optional_rows("storage")
        ),
        thresh_low_percent=row.quantity("thresh_low", "percent", 1, 40) if row.has("thresh_low") else None,
        thresh_high_percent=row.quantity("thresh_high", "percent", 1, 40) if row.has("thresh_high") else None,
    )
    if figures.thresh_low_percent is not None and figures.thresh_high_percent is not None:
        row.rising(("thresh_low", figures.thresh_low_percent), ("thresh_high", figures.thresh_high_percent))
    row.rising(("seed", figures.seed_percent), ("grain", figures.grain_percent))
    row.rising(("jar_low", figures.jar_low_percent), ("jar_high", figures.jar_high_percent))
    for better, worse in permutations(figures.storage, 2):
        wetter, warmer = worse.moisture_percent >= better.moisture_percent, worse.celsius >= better.celsius
        if row.is_sound and wetter and warmer and worse.days > better.days:
            row.fault(
                "storage",
                "says that grain keeps longer "
                f"at {worse.moisture_percent:g} percent and {worse.celsius:g} celsius "
                f"than at {better.moisture_percent:g} percent and {better.celsius:g} celsius",
                "mend the days of one of them",
            )
    return figures
