"""The reckoning of rains that a season is judged by, on rain whose answer is counted by hand."""

from __future__ import annotations

from datetime import date, timedelta

from tests.season.rains import Wet, wet_times

FIRST = date(2027, 11, 15)


def day(at: int) -> date:
    return FIRST + timedelta(days=at)


def rain(*mm: float | None) -> dict[date, float]:
    return {day(at): fallen for at, fallen in enumerate(mm) if fallen is not None}


def test_too_little_in_ten_days_is_no_beginning() -> None:
    assert wet_times(rain(12, *[0] * 9, 13), FIRST, day(10)) == []


def test_enough_in_ten_days_begins_on_the_day_that_makes_it_enough() -> None:
    assert wet_times(rain(12, *[0] * 8, 13, 0), FIRST, day(10)) == [Wet(day(9), day(9), None)]


def test_rain_before_counting_begins_is_none() -> None:
    assert wet_times(rain(20, 20, 20), day(2), day(2)) == []


def test_too_little_in_twenty_days_breaks_it_off_and_begins_anew() -> None:
    found = wet_times(rain(30, *[0] * 19, 19.9, 6, 0), FIRST, day(22))
    assert found == [Wet(day(0), day(0), day(20))], "19.9 mm of the dry time count for nothing later"
    assert wet_times(rain(30, *[0] * 19, 20, 0, 0), FIRST, day(22)) == [Wet(day(0), day(0), None)]


def test_a_day_that_nobody_read_may_have_brought_it() -> None:
    assert wet_times(rain(30, *[0] * 10, None, *[0] * 11), FIRST, day(22)) == [Wet(day(0), day(0), None)]


def test_rains_that_begin_again_are_told_apart() -> None:
    found = wet_times(rain(30, *[0] * 20, 14, 14), FIRST, day(22))
    assert found == [Wet(day(0), day(0), day(20)), Wet(day(22), day(22), None)]
