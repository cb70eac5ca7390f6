"""Readings of rain gauges: kept by day, corrected, refused where they cannot be, and one series for a zone."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.agronomy.errors import CannotBe, OutOfRange
from advisor.records.rain_book import MOST_READ_MM, OLDEST_DAYS, RainBook, Reading, rain_from_json, rain_to_json

TODAY = date(2027, 3, 10)


def read(*readings: tuple[str, int, float]) -> RainBook:
    book = RainBook()
    for village, ago, mm in readings:
        book = book.reads(Reading(village, TODAY - timedelta(days=ago), mm), TODAY)
    return book


def test_the_day_of_a_zone_is_the_mean_of_the_gauges_read_on_it() -> None:
    assert read(("v1", 0, 10.0), ("v2", 0, 30.0)).series(TODAY).mm == (20.0,)


def test_a_day_that_nobody_read_is_not_known_and_one_read_as_dry_is_dry() -> None:
    assert read(("v1", 2, 0.0), ("v1", 0, 5.0)).series(TODAY).mm == (0.0, None, 5.0)


def test_days_after_the_last_reading_are_not_known() -> None:
    assert read(("v1", 2, 8.0)).series(TODAY).mm == (8.0, None, None)


def test_a_second_reading_of_a_day_corrects_the_first() -> None:
    assert read(("v1", 0, 320.0), ("v1", 0, 32.0)).series(TODAY).mm == (32.0,)


def test_a_reading_can_be_taken_out() -> None:
    assert read(("v1", 0, 32.0)).without("v1", TODAY) == RainBook()


@pytest.mark.parametrize("mm", [-0.1, MOST_READ_MM + 0.1, float("nan"), float("inf")])
def test_what_no_gauge_shows_is_refused(mm: float) -> None:
    with pytest.raises(OutOfRange):
        read(("v1", 0, mm))


@pytest.mark.parametrize("mm", [0.0, MOST_READ_MM])
def test_both_ends_of_the_range_are_taken(mm: float) -> None:
    assert read(("v1", 0, mm)).series(TODAY).mm == (mm,)


@pytest.mark.parametrize("ago", [-1, OLDEST_DAYS + 1])
def test_a_day_to_come_or_long_ago_is_refused(ago: int) -> None:
    with pytest.raises(CannotBe):
        read(("v1", ago, 5.0))


@given(st.lists(st.tuples(st.sampled_from(["v1", "v2", "v3"]), st.integers(0, 60), st.floats(0, MOST_READ_MM))))
def test_the_order_of_different_readings_does_not_matter_and_the_store_loses_none(
    readings: list[tuple[str, int, float]],
) -> None:
    last = {(village, ago): mm for village, ago, mm in readings}
    once = [(village, ago, mm) for (village, ago), mm in last.items()]
    assert read(*readings) == read(*once) == read(*reversed(once))
    assert rain_from_json(rain_to_json(read(*once))) == read(*once)
