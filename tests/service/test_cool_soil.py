"""The seed-test round where the soil is cool: the last good day comes earlier, by as much as a test is longer."""

from __future__ import annotations

from datetime import datetime, timedelta

import pytest

from advisor.by_book import visiting_of
from tests.service.seed_round import S, Season, at, book
from tests.service.stage import ANN, grower_id
from tests.service.test_seed_round import asked_about_the_test, sow

VALLEY, HILLS = "v1", "v4"


def begun(village: str = HILLS, since: datetime | None = None) -> Season:
    """The round, started for Ann, whose field lies in the hills: there a test takes 10 days, not 8."""
    season = Season(since or at(-22))
    season.has(grower_village=village, plot_area=8094.0)
    season.start()
    return season


def test_the_last_good_day_leaves_the_count_as_many_days_before_the_sowing_as_on_warm_soil() -> None:
    for village, last in ((VALLEY, -10), (HILLS, -12)):
        season = begun(village)
        told = season.until(at(last, "12:00"))

        assert told[-1].startswith("Today is the last good day")
        assert season.days()[-1] == last


def test_it_is_closed_untested_the_day_after() -> None:
    season = begun()
    season.until(at(-12, "20:00"))
    assert season.fact("lot.closed") is None
    season.until(at(-11, "12:00"))

    assert season.fact("lot.closed") == "untested"


@pytest.mark.parametrize(("village", "last"), [(VALLEY, -10), (HILLS, -12)])
def test_the_last_good_day_is_the_one_that_the_agents_list_names(village: str, last: int) -> None:
    season = begun(village)
    season.until(at(last - 1, "12:00"))
    (visit,) = visiting_of(book(), season.store, season.clock).visits()
    season.until(at(last, "12:00"))

    assert visit.grower == grower_id(ANN)
    assert visit.reasons[0].by == S + timedelta(last)
    assert season.inbox[-1][2].startswith("Today is the last good day")


def test_a_test_of_the_last_good_day_is_judged_before_what_is_bought_for_it() -> None:
    season = begun()
    season.until(at(-12, "12:00"))
    season.sms("today")
    season.sms("100")
    season.until(at(-2, "12:00"))

    assert season.inbox[-1][2].startswith("Count your seed test today")


def test_who_put_it_off_is_not_reminded_of_a_test_that_is_closed() -> None:
    season = begun()
    season.until(at(-14, "12:00"))
    season.sms("3")
    season.until(at(-7))

    assert season.days() == [-21, -16, -14, -12]


@pytest.mark.parametrize(("day", "said"), [(-12, "Little time"), (-11, "Too late"), (-10, "Too late")])
def test_a_round_that_is_started_too_late_for_them_promises_no_result(day: int, said: str) -> None:
    season = begun(since=at(day, "05:00"))

    (text,) = season.until(at(day, "20:00"))
    assert text.startswith(said)


def test_the_days_of_the_test_are_stretched() -> None:
    season = begun()
    sow(season)
    season.until(at(-1))

    # 1.25 times 5, 6, 8 and 9 days, rounded up; the second reminder is a day after the first
    assert asked_about_the_test(season) == [7, 8, 10, 12, 13]
