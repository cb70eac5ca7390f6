"""The calculator against numbers that others printed."""

from __future__ import annotations

import pytest

from advisor.agronomy.germination import Band, SeedTest, band
from tests.agronomy.published import COMMON_PRACTICE, DERIVED, PRACTICE, PUBLISHED, REPEATED, SECOND_HAND
from tests.agronomy.published_harvest import PUBLISHED_HARVEST, SECOND_HAND_HARVEST
from tests.agronomy.published_land import FROM_MEMORY_LAND, PUBLISHED_LAND
from tests.agronomy.published_nutrients import (
    COMMON_PRACTICE_NUTRIENTS,
    FROM_MEMORY_NUTRIENTS,
    PUBLISHED_NUTRIENTS,
    SECOND_HAND_NUTRIENTS,
)
from tests.agronomy.published_season import (
    COMMON_PRACTICE_SEASON,
    FROM_MEMORY_SEASON,
    MADE_SERIES_SEASON,
    PUBLISHED_SEASON,
)

ALL = (
    *PUBLISHED,
    *PUBLISHED_HARVEST,
    *PUBLISHED_LAND,
    *FROM_MEMORY_LAND,
    *SECOND_HAND,
    *SECOND_HAND_HARVEST,
    *COMMON_PRACTICE,
    *PUBLISHED_SEASON,
    *MADE_SERIES_SEASON,
    *FROM_MEMORY_SEASON,
    *COMMON_PRACTICE_SEASON,
    *PUBLISHED_NUTRIENTS,
    *SECOND_HAND_NUTRIENTS,
    *FROM_MEMORY_NUTRIENTS,
    *COMMON_PRACTICE_NUTRIENTS,
)
BY_SOURCE = [pytest.param(check, id=f"{check.source}: {check.what}") for check in ALL]


@pytest.mark.parametrize("check", BY_SOURCE)
def test_the_calculator_gives_the_number_without_rounding(check):
    assert check.computed() == pytest.approx(check.expected, rel=0, abs=check.tolerance or 1e-9)


@pytest.mark.parametrize("check", [case for case in BY_SOURCE if case.values[0].printed is not None])
def test_rounded_as_the_source_rounds_it_is_the_printed_number(check):
    assert check.as_printed(check.computed()) == pytest.approx(check.printed, rel=1e-9)


def test_at_least_twenty_checks_from_five_sources_are_published_at_first_hand():
    first_hand = [check for check in PUBLISHED if check.source not in REPEATED | DERIVED]

    assert len(first_hand) >= 20
    assert len({check.source for check in first_hand}) >= 5


def test_the_wheat_table_prints_59_where_its_own_inputs_give_58():
    (slip,) = [check for check in SECOND_HAND if check.what.startswith("wheat, 100 plants, 50 g")]

    assert slip.as_printed(slip.computed()) == 58


@pytest.mark.parametrize(
    ("grown", "expected"),
    [(100, Band.GOOD), (81, Band.GOOD), (80, Band.MIDDLE), (60, Band.MIDDLE), (59, Band.POOR), (0, Band.POOR)],
    ids=lambda value: f"{PRACTICE}: {value}",
)
def test_over_80_of_100_is_good_and_under_60_is_poor(grown, expected):
    assert band(SeedTest(grown, 100), 80, 60) is expected
