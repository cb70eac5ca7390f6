"""Quiet hours and holidays by wall clocks that are put forward and back.

The days on which clocks changed are those of the IANA time zone database. London: 01:00 UTC on the last Sundays of
March and October. São Paulo: midnight, on 2018-11-04 forward and on 2018-02-18 back. Lord Howe: half an hour at
02:00, on 2026-10-04 forward and on 2027-04-04 back. What is quiet at a moment is looked at minute by minute here,
which is slow and needs no thought.
"""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.campaign.quiet import Quiet
from advisor.campaign.wall import changes, moment_of

MINUTE = timedelta(minutes=1)

#: Zones, and days around which each of them changes its clocks.
DAYS = {
    "Etc/GMT-3": (date(2027, 3, 1),),
    "Europe/London": (date(2027, 3, 28), date(2027, 10, 31)),
    "America/Sao_Paulo": (date(2018, 11, 4), date(2018, 2, 18)),
    "Australia/Lord_Howe": (date(2026, 10, 4), date(2027, 4, 4)),
}
times = st.builds(time, st.integers(0, 23), st.sampled_from([0, 15, 30, 45]))


@st.composite
def moments(draw: st.DrawFn) -> tuple[Quiet, datetime]:
    """A moment within a day and a half of a change of clocks, and quiet hours."""
    name = draw(st.sampled_from(sorted(DAYS)))
    day = draw(st.sampled_from(DAYS[name]))
    holidays = draw(st.frozensets(st.integers(-1, 2).map(lambda days: day + timedelta(days=days)), max_size=2))
    at = datetime.combine(day, time(0), UTC) + draw(st.integers(-36 * 60, 36 * 60)) * MINUTE
    return Quiet(ZoneInfo(name), draw(times), draw(times), holidays), at


@given(moments())
def test_the_next_allowed_moment_is_the_first_one(case: tuple[Quiet, datetime]) -> None:
    quiet, at = case

    found = quiet.next_allowed(at)

    assert found >= at
    assert quiet.may_send(found)
    minute = at
    while minute < found:
        assert not quiet.may_send(minute), f"{minute} was allowed, not only {found}"
        minute += MINUTE


@given(moments())
def test_what_is_allowed_stays_where_it_is(case: tuple[Quiet, datetime]) -> None:
    quiet, at = case
    found = quiet.next_allowed(at)

    assert quiet.next_allowed(found) == found


@pytest.mark.parametrize(
    ("clock", "allowed"),
    [("19:59", True), ("20:00", False), ("23:59", False), ("00:00", False), ("06:29", False), ("06:30", True)],
)
def test_a_night_begins_on_its_minute_and_ends_on_its_minute(clock: str, allowed: bool) -> None:
    at = datetime.fromisoformat(f"2027-03-01T{clock}:00+03:00")

    assert Quiet(ZoneInfo("Etc/GMT-3"), time(20), time(6, 30)).may_send(at) is allowed


def test_a_rest_at_noon_lies_within_one_day() -> None:
    noon = Quiet(ZoneInfo("UTC"), time(12), time(14))

    assert [noon.may_send(datetime(2027, 3, 1, hour, tzinfo=UTC)) for hour in (11, 12, 13, 14)] == [
        True,
        False,
        False,
        True,
    ]


def test_the_same_time_twice_is_no_rest() -> None:
    quiet = Quiet(ZoneInfo("UTC"), time(0), time(0))

    assert all(quiet.may_send(datetime(2027, 3, 1, hour, tzinfo=UTC)) for hour in range(24))


def test_a_holiday_is_a_whole_day_and_the_night_behind_it_is_kept() -> None:
    quiet = Quiet(ZoneInfo("Etc/GMT-3"), time(20), time(6, 30), frozenset({date(2027, 3, 2)}))

    found = quiet.next_allowed(datetime(2027, 3, 2, 9, tzinfo=UTC))

    assert found == datetime.fromisoformat("2027-03-03T06:30:00+03:00")


def test_a_year_of_holidays_is_refused() -> None:
    days = frozenset(date(2027, 1, 1) + timedelta(days=day) for day in range(400))

    with pytest.raises(ValueError, match="nothing may be sent for a year"):
        Quiet(ZoneInfo("UTC"), time(20), time(6), days).next_allowed(datetime(2027, 1, 1, 9, tzinfo=UTC))


class TestClocksThatArePutForwardAndBack:
    def test_a_rest_that_ends_at_a_time_which_is_left_out_ends_when_the_clock_is_put_forward(self) -> None:
        """São Paulo went from 00:00 to 01:00, so 00:30 was never shown."""
        quiet = Quiet(ZoneInfo("America/Sao_Paulo"), time(20), time(0, 30))

        found = quiet.next_allowed(datetime(2018, 11, 4, 1, tzinfo=UTC))

        assert found == datetime(2018, 11, 4, 3, tzinfo=UTC)

    def test_a_time_that_is_shown_twice_is_its_first(self) -> None:
        assert moment_of(date(2027, 10, 31), time(1, 30), ZoneInfo("Europe/London")) == datetime(
            2027, 10, 31, 0, 30, tzinfo=UTC
        )

    def test_half_an_hour_is_put_forward(self) -> None:
        assert moment_of(date(2026, 10, 4), time(2, 15), ZoneInfo("Australia/Lord_Howe")) == datetime(
            2026, 10, 3, 15, 30, tzinfo=UTC
        )

    @pytest.mark.parametrize(
        ("name", "at"),
        [
            ("Europe/London", "2027-03-28T01:00"),
            ("Europe/London", "2027-10-31T01:00"),
            ("America/Sao_Paulo", "2018-11-04T03:00"),
            ("America/Sao_Paulo", "2018-02-18T02:00"),
            ("Australia/Lord_Howe", "2026-10-03T15:30"),
            ("Australia/Lord_Howe", "2027-04-03T15:00"),
        ],
    )
    def test_each_change_is_found_to_the_second(self, name: str, at: str) -> None:
        moment = datetime.fromisoformat(at).replace(tzinfo=UTC)
        since = moment - timedelta(days=1, seconds=1)

        assert changes(since, since + timedelta(days=3), ZoneInfo(name)) == (moment,)
