"""Days and seeds of a germination test, for every dialogue that speaks of one."""

from __future__ import annotations

from advisor.agronomy.crop import Crop
from advisor.agronomy.errors import MissingFigure
from advisor.agronomy.limits import whole_up
from advisor.agronomy.programme import Programme
from advisor.agronomy.season_days import zone_season

#: Days that a test holds where the file of the crop has no calendar: common practice, no source.
_HOLDS_DAYS = 30


def days_of_test(programme: Programme, crop: Crop, village: object) -> tuple[int, int] | None:
    """Days from putting a test out to its early look and to its final count, stretched by the cool of the zone.

    Args:
        programme: its villages, and the seasons of their zones.
        crop: the crop.
        village: key of the grower's village; anything else counts as not known, and stretches nothing.

    Returns:
        Both, or None where the file of the crop has none.

    Raises:
        OutOfRange: never for figures that were read.

    >>> days_of_test(programme, crop, "v1"), days_of_test(programme, crop, "v4")
    ((5, 8), (7, 10))
    """
    counts = crop.land.counts
    if counts is None:
        return None
    slowed_by = _slowed_by(programme, crop, village)
    return whole_up(counts.first * slowed_by), whole_up(counts.final * slowed_by)


def seeds_of_test(crop: Crop) -> int:
    """Seeds that a test should have: the crop's figure, or the fewest that give a firm answer."""
    counts = crop.land.counts
    return counts.seeds if counts is not None and counts.seeds is not None else crop.firm_from_seeds


def latest_days(crop: Crop) -> int:
    """Days after the final count from which a count is too late: the crop's, or those between the counts."""
    counts = crop.land.counts
    if counts is None:
        return 1
    return counts.late if counts.late is not None else max(1, counts.final - counts.first)


def holds_days(crop: Crop) -> int:
    """Days that a finished test holds."""
    return crop.days.retest_after if crop.days is not None else _HOLDS_DAYS


def _slowed_by(programme: Programme, crop: Crop, village: object) -> float:
    found = programme.village(str(village))
    if found is None:
        return 1.0
    try:
        return zone_season(programme.seasons, crop.key, found.zone).slowed_by
    except MissingFigure:
        return 1.0
