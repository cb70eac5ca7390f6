from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from simulator.clock import Clock, ClockUnreadable, later, moment

NOON = datetime(2027, 3, 1, 12, tzinfo=UTC)


def test_the_clock_shows_real_time_until_it_is_set():
    assert Clock(lambda: NOON).now() == NOON


def test_once_set_the_clock_runs_on_from_there():
    real = [NOON]
    clock = Clock(lambda: real[0])
    clock.set_to(moment("2027-06-01T08:00+03:00"))
    real[0] += timedelta(minutes=5)

    assert clock.now().isoformat() == "2027-06-01T08:05:00+03:00"


@given(st.integers(0, 9999), st.sampled_from("mhdw"))
def test_a_step_moves_on_by_its_count_of_its_unit(count, unit):
    unit_min = {"m": 1, "h": 60, "d": 24 * 60, "w": 7 * 24 * 60}[unit]

    assert later(NOON, f"+{count}{unit}") - NOON == timedelta(minutes=count * unit_min)


def test_a_moment_is_where_the_clock_goes():
    assert later(NOON, "2027-03-05T07:00+03:00") == datetime(2027, 3, 5, 4, tzinfo=UTC)


@pytest.mark.parametrize("said", ["", "3d", "+3", "+3y", "-3d", "+३d", "2027-03-01T08:00", "soon", "+999999w"])
def test_what_is_no_time_is_refused_with_an_example(said):
    with pytest.raises(ClockUnreadable, match="such as \\+30m"):
        later(NOON, said)
