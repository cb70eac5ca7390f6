"""Moisture of grain: what it weighs drier or wetter, what a jar of salt shows, and how long it keeps.

Drying takes water away and leaves the dry matter, so mass times dry part stays the same. Moisture is always a
part of the wet mass, as traders and meters give it. Dry salt shaken with grain in a jar sticks to the glass
where grain is wet; it turns at some 14 to 15 %, above what store and seed need, so a jar that stays dry proves
neither. Days in store come from a published table and are never read between its rows in the grower's favour.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from advisor.agronomy.errors import MissingFigure, OutOfRange
from advisor.agronomy.harvest_figures import GrainFigures
from advisor.agronomy.limits import above_zero, within


class Purpose(StrEnum):
    """What grain is kept for."""

    GRAIN = "grain"
    SEED = "seed"


class Salt(StrEnum):
    """What the salt in the jar did."""

    STICKS = "sticks"
    STAYS_DRY = "stays_dry"


class DryingNext(StrEnum):
    """What comes next: dry more; not proven, so dry on and ask for a meter; dry enough, store it."""

    DRY_MORE = "dry_more"
    NOT_PROVEN = "not_proven"
    STORE = "store"


@dataclass(frozen=True, slots=True)
class JarResult:
    """What a jar of salt shows.

    Args:
        next: what comes next.
        low_percent: the grain is at least this moist; 0 where the jar says nothing of it.
        high_percent: the grain is at most this moist; 100 where the jar says nothing of it.
        limit_percent: moisture at which it may be stored for its purpose.
    """

    next: DryingNext
    low_percent: float
    high_percent: float
    limit_percent: float


@dataclass(frozen=True, slots=True)
class StorageTime:
    """How long grain keeps.

    Args:
        days: whole days, by the nearest row that is no drier and no cooler than the grain.
        at_least: whether the grain is drier or cooler than that row, so that it keeps longer.
        row_percent: moisture of that row.
        row_celsius: temperature of that row.
    """

    days: int
    at_least: bool
    row_percent: float
    row_celsius: float


def mass_at_moisture_kg(grain_kg: float, moisture_percent: float, wanted_percent: float) -> float:
    """Mass of the same grain at another moisture.

    Args:
        grain_kg: grain as it is [kg], above 0.
        moisture_percent: its moisture, wet basis [percent], 0 to below 100.
        wanted_percent: the other moisture, wet basis [percent], 0 to below 100.

    Returns:
        Grain at the other moisture [kg].

    Raises:
        OutOfRange: a value outside its range.

    Source:
        University of Nebraska-Lincoln, CropWatch, Harvest soybeans at 13 % moisture, 2009: 60 lb at 13 % hold
        52.2 lb of dry matter, which stays.

    >>> round(mass_at_moisture_kg(60, 13, 0), 1)
    52.2
    """
    dry_kg = above_zero("grain", grain_kg, "kg") * (100 - _moisture(moisture_percent))
    return dry_kg / (100 - _moisture(wanted_percent))


def shrink(moisture_percent: float, wanted_percent: float, handling_loss: float = 0.0) -> float:
    """Part of its mass that grain loses in drying, with what is lost in handling.

    Args:
        moisture_percent: moisture before [percent], ``wanted_percent`` to below 100.
        wanted_percent: moisture after [percent], 0 or more.
        handling_loss: part of the mass before that handling loses, 0 to 1.

    Returns:
        The part, 0 to 1.

    Raises:
        OutOfRange: a value outside its range, or grain that would have to take up water.

    Source:
        As ``mass_at_moisture_kg``; handling loss is added as traders do, 0.5 % in common practice.

    >>> round(shrink(25.5, 15.5), 4), round(shrink(25.5, 15.5, 0.005), 4)
    (0.1183, 0.1233)
    """
    within("moisture after", wanted_percent, 0, _moisture(moisture_percent), "percent")
    handled = within("handling loss", handling_loss, 0, 1, "1")
    return min(1.0, 1 - mass_at_moisture_kg(1, moisture_percent, wanted_percent) + handled)


def sold_dry_loss(moisture_percent: float, trade_percent: float) -> float:
    """Part of the pay that is given away by selling grain drier than buyers weigh it by.

    Args:
        moisture_percent: moisture of the grain [percent], 0 to ``trade_percent``.
        trade_percent: moisture that buyers allow without a discount [percent], below 100.

    Returns:
        The part, 0 to 1.

    Raises:
        OutOfRange: a value outside its range, or grain that is wetter than that.

    Source:
        University of Nebraska-Lincoln, CropWatch, Plan to harvest soybean at optimum moisture, 2017: 1.14 %
        at 12 %.

    >>> round(sold_dry_loss(12, 13), 4)
    0.0114
    """
    within("moisture", moisture_percent, 0, _moisture(trade_percent), "percent")
    return 1 - 1 / mass_at_moisture_kg(1, moisture_percent, trade_percent)


def jar_test(salt: Salt, purpose: Purpose, figures: GrainFigures) -> JarResult:
    """What salt in a jar shows of grain.

    Args:
        salt: whether it sticks to the glass or stays dry.
        purpose: what the grain is kept for.
        figures: where the jar turns, and how dry grain and seed must be.

    Returns:
        The result; a jar that stays dry proves only what lies above all of its turning range.

    Raises:
        Nothing of its own; the figures were checked when they were read.

    Source:
        Common practice, no source; the turning range is a figure of the crop.

    >>> figures = GrainFigures(13, 12, 11, 14, 15, 1, 5, ())
    >>> str(jar_test(Salt.STAYS_DRY, Purpose.SEED, figures).next)
    'not_proven'
    """
    limit = figures.seed_percent if purpose is Purpose.SEED else figures.grain_percent
    if salt is Salt.STICKS:
        wet = figures.jar_low_percent >= limit
        return JarResult(
            DryingNext.DRY_MORE if wet else DryingNext.NOT_PROVEN, figures.jar_low_percent, 100.0, limit
        )
    proven = figures.jar_high_percent <= limit
    return JarResult(DryingNext.STORE if proven else DryingNext.NOT_PROVEN, 0.0, figures.jar_high_percent, limit)


def dry_enough(moisture_percent: float, purpose: Purpose, figures: GrainFigures) -> DryingNext:
    """What a measured moisture means for storing.

    Args:
        moisture_percent: moisture by a meter [percent], 0 to below 100.
        purpose: what the grain is kept for.
        figures: how dry grain and seed must be.

    Returns:
        Store, also at the limit itself, or dry more.

    Raises:
        OutOfRange: a moisture outside its range.

    Source:
        South Dakota and North Dakota State Universities in Farm Progress, Enhancing soybean storage: seed at
        11 % or less; the limits are figures of the crop.

    >>> figures = GrainFigures(13, 12, 11, 14, 15, 1, 5, ())
    >>> [str(dry_enough(12, purpose, figures)) for purpose in Purpose]
    ['store', 'dry_more']
    """
    limit = figures.seed_percent if purpose is Purpose.SEED else figures.grain_percent
    return DryingNext.STORE if _moisture(moisture_percent) <= limit else DryingNext.DRY_MORE


def storage_time(moisture_percent: float, celsius: float, figures: GrainFigures) -> StorageTime:
    """Days that grain keeps in store.

    Args:
        moisture_percent: moisture of the grain [percent], 0 to the wettest row.
        celsius: temperature of the grain [°C], up to the warmest row.
        figures: days by moisture and temperature.

    Returns:
        The longest time among the rows that are no drier and no cooler.

    Raises:
        OutOfRange: grain wetter or warmer than anybody published: it does not keep, dry or cool it first.
        MissingFigure: the crop has no table.

    Source:
        University of Minnesota, Storing, drying and handling wet soybeans: as maize two points wetter.

    >>> from advisor.agronomy.harvest_figures import StorageRow
    >>> figures = GrainFigures(13, 12, 11, 14, 15, 1, 5, (StorageRow(16, 10, 128), StorageRow(18, 10, 63)))
    >>> storage_time(17, 10, figures)
    StorageTime(days=63, at_least=True, row_percent=18, row_celsius=10)
    """
    if not figures.storage:
        raise MissingFigure("harvest.grain.storage", "add days by moisture and temperature to the crop file")
    wettest = max(row.moisture_percent for row in figures.storage)
    warmest = max(row.celsius for row in figures.storage)
    within("moisture", moisture_percent, 0, wettest, "percent")
    within("temperature", celsius, -20, warmest, "celsius")
    rows = [row for row in figures.storage if row.moisture_percent >= moisture_percent and row.celsius >= celsius]
    if not rows:
        raise OutOfRange("moisture", moisture_percent, 0, "the table at that temperature", "percent")
    best = max(rows, key=lambda row: row.days)
    exact = (best.moisture_percent, best.celsius) == (moisture_percent, celsius)
    return StorageTime(best.days, not exact, best.moisture_percent, best.celsius)


def seed_life_factor(drier_by_percent: float, cooler_by_celsius: float, figures: GrainFigures) -> float:
    """How many times longer seed lives drier and cooler; below 1 where it is wetter or warmer.

    Args:
        drier_by_percent: points of moisture less [percent], -20 to 20.
        cooler_by_celsius: degrees less [°C], -50 to 50.
        figures: what halves the life of seed.

    Returns:
        The factor, above 0.

    Raises:
        OutOfRange: a value outside its range.

    Source:
        IRRI, Rice Knowledge Bank, Moisture content for safe storage: half for each point more or each 5 °C more.

    >>> figures = GrainFigures(13, 12, 11, 14, 15, 1, 5, ())
    >>> seed_life_factor(1, 0, figures), seed_life_factor(0, -5, figures)
    (2.0, 0.5)
    """
    points = within("points drier", drier_by_percent, -20, 20, "percent") / figures.halved_by_percent
    degrees = within("degrees cooler", cooler_by_celsius, -50, 50, "celsius") / figures.halved_by_celsius
    return float(2 ** (points + degrees))


def _moisture(percent: float) -> float:
    if not 0 <= percent < 100:
        raise OutOfRange("moisture", percent, 0, "below 100", "percent")
    return percent
