"""Days of a season: of a crop wherever it grows, of a variety, and of a zone's rains.

Every number of days is a figure with a source. Days of the crop count from sowing or back from it; days of the
year belong to a zone. A crop or a programme may lack all of this; then there is no calendar for it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from advisor.agronomy.crop_rows import row_of
from advisor.agronomy.errors import MissingFigure
from advisor.agronomy.labels import Label
from advisor.agronomy.tables import Table


@dataclass(frozen=True, slots=True)
class CropDays:
    """Days of a crop.

    Args:
        test_from: days before sowing on which the seed test should be put out.
        test_to: days before sowing on which it may be put out at the latest.
        final_count: days from putting the test out to its final count.
        buy_by: days before sowing by which seed and inoculant are bought.
        pick_up: days before sowing on which inoculant is picked up, since it keeps badly at home.
        emergence_from: days from sowing to the first look at the stand.
        emergence_to: days from sowing to the last, while gaps can still be filled.
        weedings: days from sowing to each weeding, rising.
        nodules_from: days from sowing to the first day of the nodule check.
        nodules_to: days from sowing to its last day.
        flowering: days from sowing to flowering.
        harvest_within: days after maturity within which pods are cut before they shatter.
        drying: days that cut plants and threshed grain dry.
        retest_after: days that a seed test holds.
        dry_down: days before maturity from which the crop needs no more rain.
    """

    test_from: int
    test_to: int
    final_count: int
    buy_by: int
    pick_up: int
    emergence_from: int
    emergence_to: int
    weedings: tuple[int, ...]
    nodules_from: int
    nodules_to: int
    flowering: int
    harvest_within: int
    drying: int
    retest_after: int
    dry_down: int

    @property
    def test_warning(self) -> int:
        """Days before sowing under which the final count comes after the day by which seed is bought."""
        return self.buy_by + self.final_count


def read_crop_days(table: Table, final_count: int | None) -> CropDays | None:
    """The days of a crop from the section ``[calendar]`` of its file, None where it has none.

    Args:
        table: the whole file.
        final_count: days to the final count of a seed test, from the section ``[counts]``; None where the file has
            none, which is a fault where there is a calendar.

    Returns:
        The days.

    Raises:
        Nothing: faults are noted in the table.

    Source:
        The project's own file format.

    >>> from advisor.agronomy.tables import read_table
    >>> read_crop_days(read_table('key = "pea"', "crop", {}), None) is None
    True
    """
    row = table.optional_row("calendar")
    if row is None:
        return None
    if final_count is None:
        table.fault("counts", "is missing", "add [counts] with first and final: the calendar needs them")

    def days(key: str, low: int = 0, high: int = 365) -> int:
        return row.whole_quantity(key, "day", low, high)

    found = CropDays(
        test_from=days("test_from", 1),
        test_to=days("test_to", 1),
        final_count=final_count or 1,
        buy_by=days("buy_by", 1),
        pick_up=days("pick_up"),
        emergence_from=days("emergence_from", 1),
        emergence_to=days("emergence_to", 1),
        weedings=tuple(weeding.whole_quantity("day", "day", 1, 365) for weeding in row.rows("weedings")),
        nodules_from=days("nodules_from", 1),
        nodules_to=days("nodules_to", 1),
        flowering=days("flowering", 1),
        harvest_within=days("harvest_within"),
        drying=days("drying"),
        retest_after=days("retest_after", 1),
        dry_down=days("dry_down"),
    )
    row.rising(("pick_up", found.pick_up), ("buy_by", found.buy_by), ("test_to", found.test_to))
    row.rising(("test_to", found.test_to), ("test_from", found.test_from), ("retest_after", found.retest_after))
    row.rising(("buy_by + final_count", found.test_warning), ("test_from", found.test_from))
    row.rising(("emergence_from", found.emergence_from), ("emergence_to", found.emergence_to))
    row.rising(("nodules_from", found.nodules_from), ("nodules_to", found.nodules_to))
    row.rising(*((f"weedings[{at}]", day) for at, day in enumerate(found.weedings, 1)))
    return found


@dataclass(frozen=True, slots=True)
class Variety:
    """A variety that dealers of the programme sell.

    Args:
        key: short key, never changed.
        crop: key of the crop.
        label: its name, at most 16 characters in every language.
        maturity_from: days from sowing, not from emergence, to the first ripe pods.
        maturity_to: days from sowing to the last.
    """

    key: str
    crop: str
    label: Label
    maturity_from: int
    maturity_to: int


@dataclass(frozen=True, slots=True)
class ZoneSeason:
    """When a crop is sown in a zone, and on what rain.

    Args:
        zone: key of the zone.
        crop: key of the crop.
        opens: day of a year without a leap day on which the sowing window opens, 1 to 365.
        closes: day of the year on which it closes; smaller than ``opens`` where it runs over New Year.
        rains_end: day of the year on which the rains are expected to end, the first one after ``opens``.
        slowed_by: factor by which cool soil stretches the days up to flowering, 1 where it is warm.
        onset_rule: key of the rule by which the rains have begun.
        sowing_mm: rain that wets the soil for sowing [mm].
        sowing_days: days within which it falls.
        moist_days: days after it in which the soil is still moist enough to sow.
    """

    zone: str
    crop: str
    opens: int
    closes: int
    rains_end: int
    slowed_by: float
    onset_rule: str
    sowing_mm: float
    sowing_days: int
    moist_days: int


def read_varieties(table: Table, languages: Sequence[str], crops: Sequence[str]) -> tuple[Variety, ...]:
    """The varieties of a programme from its tables ``[[varieties]]``, none where it has none.

    Args:
        table: the whole file.
        languages: languages of the programme.
        crops: keys of the crops that there are.

    Returns:
        The varieties, in the order of the file.

    Raises:
        Nothing: faults are noted in the table.

    Source:
        The project's own file format.

    >>> from advisor.agronomy.tables import read_table
    >>> read_varieties(read_table("", "programme", {}), ("en",), ())
    ()
    """
    found = []
    for row in table.optional_rows("varieties"):
        variety = Variety(
            key=row.text("key", longest=16),
            crop=row.one_of("crop", crops),
            label=row.label("label", languages),
            maturity_from=row.whole_quantity("maturity_from", "day", 30, 400),
            maturity_to=row.whole_quantity("maturity_to", "day", 30, 400),
        )
        row.rising(("maturity_from", variety.maturity_from), ("maturity_to", variety.maturity_to))
        found.append(variety)
    table.unique("varieties", [variety.key for variety in found])
    return tuple(found)


def read_zone_seasons(table: Table, zones: Sequence[str], crops: Sequence[str]) -> tuple[ZoneSeason, ...]:
    """When crops are sown in the zones of a programme, from its tables ``[[seasons]]``, none where it has none.

    Args:
        table: the whole file.
        zones: keys of the programme's zones.
        crops: keys of the crops that there are.

    Returns:
        The seasons, in the order of the file.

    Raises:
        Nothing: faults are noted in the table.

    Source:
        The project's own file format.

    >>> from advisor.agronomy.tables import read_table
    >>> read_zone_seasons(read_table("", "programme", {}), (), ())
    ()
    """
    found = tuple(_zone_season(row, zones, crops) for row in table.optional_rows("seasons"))
    if table.is_sound:
        table.unique("seasons", [f"{season.crop} in {season.zone}" for season in found])
    return found


def _zone_season(row: Table, zones: Sequence[str], crops: Sequence[str]) -> ZoneSeason:
    season = ZoneSeason(
        zone=row.one_of("zone", zones),
        crop=row.one_of("crop", crops),
        opens=row.whole_quantity("opens", "day of year", 1, 365),
        closes=row.whole_quantity("closes", "day of year", 1, 365),
        rains_end=row.whole_quantity("rains_end", "day of year", 1, 365),
        slowed_by=row.quantity("slowed_by", "1", 1, 3),
        onset_rule=row.text("onset_rule", longest=24),
        sowing_mm=row.quantity("sowing_rain", "mm", 1, 500),
        sowing_days=row.whole_quantity("sowing_rain_within", "day", 1, 30),
        moist_days=row.whole_quantity("moist_for", "day", 0, 14),
    )
    # The rains end after the day on which the window opens, a year later where it is the same one.
    rainy = (season.rains_end - season.opens - 1) % 365 + 1
    if row.is_sound and (season.closes - season.opens) % 365 > rainy:
        row.fault(
            "rains_end",
            f"is day {season.rains_end}, before the window that opens on day {season.opens} "
            f"closes on day {season.closes}",
            "give a sowing window within the rains",
        )
    return season


def zone_season(seasons: Sequence[ZoneSeason], crop: str, zone: str) -> ZoneSeason:
    """When a crop is sown in a zone.

    Args:
        seasons: the programme's.
        crop: key of the crop.
        zone: key of the zone.

    Returns:
        The season.

    Raises:
        MissingFigure: the programme does not say.

    Source:
        The programme's file.

    >>> try:
    ...     zone_season((), "pea", "hills")
    ... except MissingFigure as missing:
    ...     missing.name
    'season of pea in hills'
    """
    return row_of(seasons, crop, zone, "season", "seasons")


def variety_of(varieties: Sequence[Variety], crop: str, key: str | None = None) -> Variety:
    """A variety by its key, or the first of a crop, which is the usual one.

    Args:
        varieties: the programme's.
        crop: key of the crop.
        key: key of the variety, None for the usual one.

    Returns:
        The variety.

    Raises:
        MissingFigure: the programme has none.

    Source:
        The programme's file.

    >>> short = Variety("v1", "pea", Label("short"), 70, 75)
    >>> variety_of([short], "pea") is short
    True
    """
    found = next((each for each in varieties if each.crop == crop and key in (None, each.key)), None)
    if found is None:
        raise MissingFigure(
            f"variety of {crop}" if key is None else f"variety {key} of {crop}",
            "add a [[varieties]] table with days to maturity to the programme file",
        )
    return found
