"""What a crop's file and a programme's file say of land, rows, strips and seed beside the buy list.

Each of these is a section that may be left out: a cereal that only stands in strips needs no shelling figure, and
a programme without strips needs no partner. What is left out is asked for by name when a calculation needs it,
never guessed. A partner in strips is a crop with a file of its own; it needs no inoculant, no rate and no price.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeVar

from advisor.agronomy.errors import MissingFigure
from advisor.agronomy.labels import Label
from advisor.agronomy.placing import BodyMeasure
from advisor.agronomy.stand_check import StandRules
from advisor.agronomy.strips import Strip, Strips
from advisor.agronomy.tables import Table
from advisor.agronomy.units import AREA_M2

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Sowing:
    """How a crop is sown where it grows alone.

    Args:
        row_m: distance between rows.
        hole_m: distance between holes in the row.
        plants_per_hole: plants to stand in each hole.
        depth_low_m: shallowest that seed is laid.
        depth_high_m: deepest that seed is laid.
    """

    row_m: float
    hole_m: float
    plants_per_hole: int
    depth_low_m: float
    depth_high_m: float


@dataclass(frozen=True, slots=True)
class CountDays:
    """How many seeds a germination test takes, and when its seedlings are counted.

    Args:
        first: whole days after the seeds were put out.
        final: whole days after that; the verdict rests on it.
        seeds: seeds that are put out, None where the file is silent.
        late: days after the final count from which a count says nothing any more, None where the file is silent.
    """

    first: int
    final: int
    seeds: int | None = None
    late: int | None = None


@dataclass(frozen=True, slots=True)
class CropLand:
    """What a crop's file says of land and seed.

    Args:
        sowing: spacing and depth, None where the file is silent.
        counts: days of the germination test, None where the file is silent.
        kernel_part: kernels as a part of the crop in the shell by mass, None for a crop without a shell.
        edge_factor: what a row of a lower crop beside a row of this one yields, as a part of an open row, None
            where this crop shades nothing.
        clearance_m: what a young row of this crop needs on either side, None where nothing is sown between.
    """

    sowing: Sowing | None = None
    counts: CountDays | None = None
    kernel_part: float | None = None
    edge_factor: float | None = None
    clearance_m: float | None = None


@dataclass(frozen=True, slots=True)
class LocalUnit:
    """A unit in which people measure fields at a place.

    Args:
        key: short key, never changed.
        label: its name.
        m2: its size [m²].
    """

    key: str
    label: Label
    m2: float


@dataclass(frozen=True, slots=True)
class Partner:
    """A crop that stands in strips beside a crop of the programme.

    Args:
        crop: key of the crop.
        label: its name.
        row_m: distance between its rows.
        hole_m: distance between its holes in the row.
        seeds_per_hole: its seeds for each hole.
        rows: its rows in a strip.
        rows_beside: rows of the other crop in a strip.

    >>> strips = Partner("x", Label("x"), 0.75, 0.25, 1, rows=2, rows_beside=4).strips(other_row_m=0.6)
    >>> round(strips.repeat_m, 2)
    3.9
    """

    crop: str
    label: Label
    row_m: float
    hole_m: float
    seeds_per_hole: int
    rows: int
    rows_beside: int

    def strips(self, other_row_m: float) -> Strips:
        """The two strips; first the other crop, then this one."""
        return Strips(Strip(self.rows_beside, other_row_m), Strip(self.rows, self.row_m))


@dataclass(frozen=True, slots=True)
class YoungCrop:
    """A crop that takes long, between whose young rows a legume may stand.

    Args:
        key: short key, never changed.
        label: its name, at most 16 characters in every language.
        clearance_m: what each of its rows needs on either side.
        until_days: whole days after its planting in which the legume is sown.
    """

    key: str
    label: Label
    clearance_m: float
    until_days: int


@dataclass(frozen=True, slots=True)
class SavedSeedRules:
    """What the programme holds of seed of one's own.

    Args:
        replace_after: seasons after which it is replaced.
        spare: more to keep at harvest, as a part of the whole.
        next_germination: germination to expect of it at the next sowing, 0 to 1.
    """

    replace_after: int
    spare: float
    next_germination: float


@dataclass(frozen=True, slots=True)
class RowWork:
    """How rows are laid out, sown and weeded by hand.

    Args:
        day_s: time that one person works in the rows on a day; what is sown in it, the inoculation's figure says.
        margin_m: distance from the edge of a field to the row beside it.
        tied_m: string that goes round the pegs, both ends together.
        weeded_m2_per_s: area that one person weeds in a second with a hoe, None where the file is silent.
    """

    day_s: float
    margin_m: float
    tied_m: float
    weeded_m2_per_s: float | None = None


@dataclass(frozen=True, slots=True)
class ProgrammeLand:
    """What a programme's file says of land, rows, strips and seed.

    Args:
        units: local units of area.
        measures: body measures.
        partners: crops that stand in strips.
        stand: edges and days of the stand check, None where the file is silent.
        saved_seed: rules for seed of one's own, None where the file is silent.
        work: rows by hand, None where the file is silent.
        young: crops that take long, between whose young rows a legume may stand.
    """

    units: tuple[LocalUnit, ...] = ()
    measures: tuple[BodyMeasure, ...] = ()
    partners: tuple[Partner, ...] = ()
    stand: StandRules | None = None
    saved_seed: SavedSeedRules | None = None
    work: RowWork | None = None
    young: tuple[YoungCrop, ...] = ()

    @property
    def unit_m2(self) -> dict[str, float]:
        """Size of each local unit by its key [m²]."""
        return {unit.key: unit.m2 for unit in self.units}

    def partner(self, crop: str) -> Partner:
        """The partner of that crop. Raises MissingFigure when the programme has none."""
        found = next((partner for partner in self.partners if partner.crop == crop), None)
        return needed(found, f"partners.{crop}", "a [[partners]] row to the programme file")


def needed(figure: T | None, name: str, what: str) -> T:
    """A figure that may be left out, where it is there.

    Args:
        figure: the figure, or None.
        name: its name in the file.
        what: what to add to which file.

    Raises:
        MissingFigure: it was left out.

    >>> needed(0.7, "shell.kernels", "a [shell] section to the crop file")
    0.7
    """
    if figure is None:
        raise MissingFigure(name, f"add {what}")
    return figure


def read_crop_land(table: Table) -> CropLand:
    """The sections ``sowing``, ``counts``, ``shell``, ``shade`` and ``young`` of a crop's file."""
    shell, shade, young = (table.optional_row(name) for name in ("shell", "shade", "young"))
    return CropLand(
        sowing=_sowing(table.optional_row("sowing")),
        counts=_counts(table.optional_row("counts")),
        kernel_part=shell.quantity("kernels", "1", 0.1, 1) if shell else None,
        edge_factor=shade.quantity("edge_factor", "1", 0.05, 1) if shade else None,
        clearance_m=young.quantity("clearance", "m", 0, 20) if young else None,
    )


def read_programme_land(
    table: Table, field: Table, languages: Sequence[str], crop_keys: Sequence[str]
) -> ProgrammeLand:
    """Everything of land and seed beside the buy list in a programme's file."""
    land = ProgrammeLand(
        units=tuple(
            LocalUnit(
                row.text("key", longest=16), row.label("label", languages), row.quantity("m2", "m2", 0.1, 1e6)
            )
            for row in field.optional_rows("units")
        ),
        measures=tuple(
            BodyMeasure(
                row.text("key", longest=16),
                row.label("label", languages),
                row.quantity("length", "m", 0.005, 3),
                row.whole("most", 1, 20),
            )
            for row in table.optional_rows("body_measures")
        ),
        partners=tuple(_partner(row, languages, crop_keys) for row in table.optional_rows("partners")),
        stand=_stand(table.optional_row("stand_check")),
        saved_seed=_saved_seed(table.optional_row("saved_seed")),
        work=_work(table.optional_row("row_work")),
        young=tuple(_young(row, languages) for row in table.optional_rows("young_crops")),
    )
    # A local unit must not take the name of a standard one, whose size is not the programme's to set.
    field.unique("units", [*AREA_M2, *(unit.key for unit in land.units)])
    table.unique("body_measures", [measure.key for measure in land.measures])
    table.unique("young_crops", [young.key for young in land.young])
    # A partner whose crop is not known stands in the list as another one, which would then be told as doubled.
    if table.is_sound:
        table.unique("partners", [partner.crop for partner in land.partners])
    return land


def _sowing(row: Table | None) -> Sowing | None:
    if row is None:
        return None
    sowing = Sowing(
        row_m=row.quantity("row", "m", 0.05, 5),
        hole_m=row.quantity("hole", "m", 0.01, 5),
        plants_per_hole=row.whole_quantity("plants", "1", 1, 9),
        depth_low_m=row.quantity("depth_low", "m", 0.005, 0.3),
        depth_high_m=row.quantity("depth_high", "m", 0.005, 0.3),
    )
    row.rising(("depth_low", sowing.depth_low_m), ("depth_high", sowing.depth_high_m))
    return sowing


def _counts(row: Table | None) -> CountDays | None:
    if row is None:
        return None
    days = CountDays(
        first=row.whole_quantity("first", "day", 1, 60),
        final=row.whole_quantity("final", "day", 1, 60),
        seeds=row.whole_quantity("seeds", "seeds", 20, 400) if row.has("seeds") else None,
        late=row.whole_quantity("late", "day", 1, 60) if row.has("late") else None,
    )
    row.rising(("first", days.first), ("final", days.final))
    return days


def _partner(row: Table, languages: Sequence[str], crop_keys: Sequence[str]) -> Partner:
    return Partner(
        crop=row.one_of("crop", crop_keys),
        label=row.label("label", languages),
        row_m=row.quantity("row", "m", 0.05, 5),
        hole_m=row.quantity("hole", "m", 0.01, 5),
        seeds_per_hole=row.whole_quantity("seeds", "seeds", 1, 9),
        rows=row.whole_quantity("rows", "1", 1, 50),
        rows_beside=row.whole_quantity("rows_beside", "1", 1, 50),
    )


def _young(row: Table, languages: Sequence[str]) -> YoungCrop:
    return YoungCrop(
        key=row.text("key", longest=16),
        label=row.label("label", languages),
        clearance_m=row.quantity("clearance", "m", 0, 20),
        until_days=row.whole_quantity("until", "day", 1, 365),
    )


def _stand(row: Table | None) -> StandRules | None:
    if row is None:
        return None
    rules = StandRules(
        leave_over=row.quantity("leave_over", "1", 0.05, 1),
        resow_under=row.quantity("resow_under", "1", 0.05, 1),
        fill_days=row.whole_quantity("fill_days", "day", 1, 90),
        resow_days=row.whole_quantity("resow_days", "day", 1, 90),
    )
    row.rising(("resow_under", rules.resow_under), ("leave_over", rules.leave_over))
    return rules


def _saved_seed(row: Table | None) -> SavedSeedRules | None:
    if row is None:
        return None
    return SavedSeedRules(
        replace_after=row.whole_quantity("replace_after", "1", 1, 20),
        spare=row.quantity("spare", "1", 0, 2),
        next_germination=row.quantity("next_germination", "1", 0.05, 1),
    )


def _work(row: Table | None) -> RowWork | None:
    if row is None:
        return None
    return RowWork(
        day_s=row.quantity("hours", "s", 900, 86_400),
        margin_m=row.quantity("margin", "m", 0, 5),
        tied_m=row.quantity("tied", "m", 0, 5),
        weeded_m2_per_s=row.quantity("weeded_by_one", "m2/s", 1e-4, 1) if row.has("weeded_by_one") else None,
    )
