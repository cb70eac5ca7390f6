"""The one thing to do next: its days are the calculator's, and no seed is taken for what nobody said it is."""

from datetime import UTC, date, datetime, timedelta

import pytest

from advisor.advice.glancing import Next, conditions, glancing
from advisor.agronomy.season_calendar import Task, calendar
from advisor.agronomy.season_days import variety_of, zone_season

VALLEY = "v1"
SOWING = date(2026, 11, 30)
DAY = timedelta(1)


@pytest.fixture(scope="module")
def steps(programme, crop):
    """The season as the calculator has it."""
    zone = zone_season(programme.seasons, crop.key, programme.village(VALLEY).zone)
    found = calendar(SOWING, crop.days, variety_of(programme.varieties, crop.key), zone.slowed_by)
    return {task: found.step(task) for task in Task}


@pytest.fixture
def look(programme, crop):
    (calculation,) = glancing(programme, crop)

    def at(day, **lot):
        known = {f"lot.{name}": value for name, value in lot.items()}
        now = datetime(day.year, day.month, day.day, 9, tzinfo=UTC)
        return calculation.run({"grower.village": VALLEY, "plot.sowing": str(SOWING), **known}, now)

    return at


class TestBeforeSowing:
    def test_without_seed_it_is_chosen_first_and_late_behind_the_day_to_buy(self, look, steps):
        last = steps[Task.BUY].last

        assert [look(day)["next"] for day in (last, last + DAY)] == [Next.CHOOSE, Next.CHOOSE_LATE]

    def test_own_seed_is_tested_while_its_count_leaves_time_to_buy(self, look, steps):
        test, counted = steps[Task.SEED_TEST], steps[Task.BUY].first - steps[Task.SEED_TEST].first
        last = steps[Task.BUY].last - counted

        assert [look(day, origin="saved")["next"] for day in (test.first, last, last + DAY)] == [
            Next.TEST,
            Next.TEST,
            Next.TEST_LATE,
        ]

    def test_a_late_test_is_counted_by_the_day_of_sowing_or_there_is_no_time(self, look, steps):
        counted = steps[Task.BUY].first - steps[Task.SEED_TEST].first
        last = SOWING - counted

        late, none = look(last, origin="saved"), look(last + DAY, origin="saved")

        assert (late["next"], late["count"]) == (Next.TEST_LATE, SOWING)
        assert none["next"] is Next.UNTESTED
        assert "count" not in none

    def test_bought_seed_is_bought_first_and_tested_once_it_is_in_hand(self, look, steps):
        day = steps[Task.SEED_TEST].first

        assert look(day, origin="bought")["next"] is Next.BUY
        assert look(day, origin="bought", kg=50.0)["next"] is Next.TEST

    @pytest.mark.parametrize(
        ("counts", "what"),
        [
            ((59, 100), Next.OTHER_SEED),
            ((60, 100), Next.BUY),
            ((149, 250), Next.OTHER_SEED),
            ((90, 100), Next.BUY),
        ],
    )
    def test_seed_under_sixty_percent_is_not_sown(self, look, crop, counts, what):
        assert crop.poor_under_percent == 60

        found = look(SOWING - 20 * DAY, origin="saved", test=counts)

        assert found["next"] is what
        assert found.get("percent") == (0.59 if what is Next.OTHER_SEED else None)

    def test_tested_seed_is_to_be_bought_for_in_time_and_then_sown(self, look, steps):
        last = steps[Task.BUY].last

        assert [look(day, origin="saved", test=(90, 100))["next"] for day in (last, last + DAY, SOWING)] == [
            Next.BUY,
            Next.SOW,
            Next.SOW,
        ]

    def test_a_test_that_is_on_is_counted_on_its_day_and_late_behind_it(self, look, steps):
        counted = steps[Task.BUY].first - steps[Task.SEED_TEST].first
        start = steps[Task.SEED_TEST].first

        found = [
            look(day, origin="saved", test_day=str(start))
            for day in (start, start + counted, start + counted + DAY)
        ]

        assert [each["next"] for each in found] == [Next.COUNT, Next.COUNT, Next.COUNT_LATE]
        assert {each["count"] for each in found} == {start + counted}


class TestAfterSowing:
    def test_each_task_is_next_up_to_its_last_day(self, look, steps):
        check, harvest = steps[Task.EMERGENCE_CHECK].last, steps[Task.HARVEST].last

        found = [look(day)["next"] for day in (SOWING + DAY, check, check + DAY, harvest, harvest + DAY)]

        assert found == [Next.CHECK, Next.CHECK, Next.WEED, Next.HARVEST, Next.OVER]

    def test_the_seed_does_not_matter_any_more(self, look):
        assert look(SOWING + DAY, origin="saved", test=(10, 100))["next"] is Next.CHECK


def test_on_every_day_one_condition_holds_or_the_season_is_over(look):
    named = [
        each for each in conditions() if each.name.startswith("next_is_") and each.name != "next_is_before_sowing"
    ]
    for day in range(-60, 200):
        for lot in ({}, {"origin": "saved"}, {"origin": "bought"}, {"origin": "saved", "test": (30, 100)}):
            found = look(SOWING + day * DAY, **lot)

            holding = [each for each in named if each.holds(found)]

            assert len(holding) == (found["next"] is not Next.OVER)
            for each in holding:
                assert set(each.shows) <= found.keys()
