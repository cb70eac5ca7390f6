"""Clocks: the machine's, and the one that a demonstration moves."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta, timezone

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.service.clock import ShiftedClock, SystemClock, rfc3339, unix_ms
from tests.service.stage import NOW, StandingClock

ZONES = st.integers(-14 * 60, 14 * 60).map(lambda minutes: timezone(timedelta(minutes=minutes)))
MOMENTS = st.datetimes(datetime(2000, 1, 2), datetime(2199, 12, 30), timezones=ZONES)  # noqa: DTZ001


@given(MOMENTS)
def test_a_moved_clock_runs_on_from_there(at: datetime) -> None:
    beneath = StandingClock()
    clock = ShiftedClock(beneath)

    clock.move_to(at)
    beneath.wait(7)

    assert clock.now() == at + timedelta(seconds=7)


def test_moving_the_clock_does_not_move_what_measures() -> None:
    clock = ShiftedClock(StandingClock())
    before_s = clock.monotonic_s()

    clock.move_to(NOW + timedelta(days=100))

    assert clock.monotonic_s() == before_s


@pytest.mark.parametrize("year", [1, 1999, 2200, 9999])
def test_the_clock_does_not_leave_the_years_that_anybody_plans_for(year: int) -> None:
    clock = ShiftedClock(StandingClock())

    with pytest.raises(ValueError, match=f"the year {year}"):
        clock.move_to(datetime(year, 6, 1, tzinfo=UTC))
    assert clock.now() == NOW


def test_the_machine_s_clock_gives_utc_and_does_not_run_back() -> None:
    clock = SystemClock()
    first, first_s = clock.now(), clock.monotonic_s()

    clock.wait(0.001)

    assert (first.utcoffset(), clock.now() >= first, clock.monotonic_s() > first_s) == (timedelta(0), True, True)


@given(MOMENTS)
def test_a_written_moment_is_read_back(at: datetime) -> None:
    assert datetime.fromisoformat(rfc3339(at)) == at
    assert rfc3339(at).endswith("Z")


def test_milliseconds_do_not_depend_on_the_zone() -> None:
    assert unix_ms(NOW) == unix_ms(NOW.astimezone(timezone(timedelta(hours=5, minutes=30))))
