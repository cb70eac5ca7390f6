"""On what terms rounds leave: by the programme's clocks, through quiet hours, holidays and changes of clocks."""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.by_book import terms_of
from advisor.campaign.quiet import Quiet
from advisor.loading import load_book
from advisor.service.clock import unix_ms
from advisor.service.terms import AHEAD, terms_at

ZONES = ("Etc/GMT-3", "Africa/Cairo", "Asia/Kolkata", "Australia/Lord_Howe", "America/St_Johns", "Pacific/Apia")

seconds = st.integers(0, 3 * 365 * 86_400).map(lambda s: datetime(2026, 1, 1, tzinfo=UTC) + timedelta(seconds=s))
#: Whole minutes, as programmes have them: a rest is longer than what one claim takes.
minutes = st.times().map(lambda at: at.replace(second=0, microsecond=0))


@given(st.sampled_from(ZONES), minutes, minutes, seconds, st.booleans())
def test_rounds_leave_only_while_they_may_and_again_as_soon_as_they_may(
    name: str, since: time, until: time, now: datetime, on_holiday: bool
) -> None:
    zone = ZoneInfo(name)
    today = now.astimezone(zone).date()
    quiet = Quiet(zone, since, until, frozenset({today} if on_holiday else ()))

    terms = terms_at(quiet, 3, now)

    if terms.until_ms > unix_ms(now):
        assert not on_holiday
        for second in (0, 1, 2):
            assert quiet.may_send(now + timedelta(seconds=second))
    else:
        assert not (quiet.may_send(now) and quiet.may_send(now + AHEAD))
    for again_ms in (terms.again_ms, terms.tomorrow_ms):
        again = datetime(1970, 1, 1, tzinfo=UTC) + timedelta(milliseconds=again_ms)
        assert again > now
        assert quiet.may_send(again)
    assert terms.day == f"{today:%Y%m%d}"
    tomorrow = datetime.fromtimestamp(terms.tomorrow_ms / 1000, zone).date()
    assert tomorrow > today


@pytest.mark.parametrize(
    ("now", "is_open"),
    [
        # clocks in Cairo are put forward on the last Friday of April at midnight (IANA time zone database, 2023c)
        (datetime(2027, 4, 29, 21, 59, 50, tzinfo=UTC), False),
        (datetime(2027, 4, 30, 3, 29, 50, tzinfo=UTC), False),
        (datetime(2027, 4, 30, 3, 30, tzinfo=UTC), True),
        (datetime(2027, 4, 29, 4, 0, tzinfo=UTC), False),
        (datetime(2027, 4, 29, 4, 30, tzinfo=UTC), True),
    ],
)
def test_the_morning_comes_an_hour_earlier_once_clocks_were_put_forward(now: datetime, is_open: bool) -> None:
    quiet = Quiet(ZoneInfo("Africa/Cairo"), time(20), time(6, 30))

    assert (terms_at(quiet, 3, now).until_ms > unix_ms(now)) is is_open


def test_those_of_the_demonstration_programme_are_its_own() -> None:
    terms = terms_of(load_book().programme)
    noon, night, new_year = (
        datetime(2027, 3, 1, 9, 0, 0, 5, tzinfo=UTC),
        datetime(2027, 3, 1, 18, tzinfo=UTC),
        datetime(2027, 1, 1, 9, tzinfo=UTC),
    )

    assert [terms(at).until_ms > unix_ms(at) for at in (noon, night, new_year)] == [True, False, False]
    assert terms(noon).per_day == 3
    assert date(2027, 1, 1) in load_book().programme.holidays
