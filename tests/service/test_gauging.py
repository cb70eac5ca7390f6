"""Rain by zone: kept in the store, judged by the rule that the programme names, and no grower to anybody."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from advisor.agronomy.errors import OutOfRange
from advisor.agronomy.sow_now import Sow
from advisor.loading import load_calculator
from advisor.records.rain_book import RainBook, Reading
from advisor.service.gauging import Gauges, ZoneRain, judged
from advisor.service.stored import Stored, from_bytes, glance
from advisor.store.api import Store
from advisor.store.embedded import EmbeddedStore
from advisor.store.memory import DictStore
from tests.service.stage import IDS, StandingClock

CALCULATOR = load_calculator()
CROP = next(crop for crop in CALCULATOR.crops if crop.key == CALCULATOR.programme.crops[0].crop)
SEASON = next(one for one in CALCULATOR.programme.seasons if one.zone == "valley")
OPENS = date(2026, 1, 1) + timedelta(days=SEASON.opens - 1)


@pytest.fixture(params=[DictStore, EmbeddedStore])
def store(request: pytest.FixtureRequest) -> Store:
    return request.param()


def told(days: list[float | None], first: date = OPENS) -> ZoneRain:
    """What is said on the last of these days."""
    today = first + timedelta(days=len(days) - 1)
    book = RainBook()
    for at, mm in enumerate(days):
        if mm is not None:
            book = book.reads(Reading("v1", first + timedelta(days=at), mm), today)
    found = judged(CALCULATOR.programme, CROP, CALCULATOR.onset_rules, "valley", book, today)
    assert found is not None
    return found


class TestTheRuleOfTheProgramme:
    """25 mm in ten days and 20 mm in the twenty after them: southern Africa, common practice."""

    def test_rain_that_is_followed_up_is_the_onset(self) -> None:
        found = told([30.0, *[0.0] * 9, *[5.0] * 20]).onset
        assert found is not None
        assert found.day is not None
        assert found.is_sure
        assert found.false_starts == ()

    def test_rain_that_is_not_followed_up_is_a_false_start(self) -> None:
        found = told([30.0, *[0.0] * 35]).onset
        assert found is not None
        assert found.day is None
        assert found.false_starts != ()

    def test_days_that_nobody_read_leave_it_open(self) -> None:
        found = told([30.0, *[None] * 35]).onset
        assert found is None or (found.day is None and found.earliest is not None)

    def test_where_nothing_was_read_nothing_is_said(self) -> None:
        assert told([None]).onset is None

    def test_rain_before_the_window_counts_for_nothing(self) -> None:
        found = told([60.0, *[0.0] * 11], first=OPENS - timedelta(days=11)).onset
        assert found is not None
        assert found.day is None

    def test_enough_rain_in_the_window_says_sow_now(self) -> None:
        assert told([0.0] * 5 + [60.0]).now.sow is Sow.NOW  # type: ignore[union-attr]

    def test_too_little_says_to_wait(self) -> None:
        assert told([0.0] * 5 + [3.0]).now.sow is Sow.WAIT_FOR_RAIN  # type: ignore[union-attr]


class TestTheStore:
    def test_keeps_readings_by_zone(self, store: Store) -> None:
        gauges, day = Gauges(store, StandingClock(), IDS), date(2027, 3, 1)
        gauges.reads("valley", Reading("v1", day, 12.0, "a1"), day)
        gauges.reads("valley", Reading("v1", day, 21.0, "a1"), day)
        gauges.reads("hills", Reading("v4", day, 3.0), day)
        assert gauges.of("valley").readings == (Reading("v1", day, 21.0, "a1"),)
        assert gauges.of("hills").series(day).mm == (3.0,)

    def test_a_refused_reading_changes_nothing(self, store: Store) -> None:
        gauges, day = Gauges(store, StandingClock(), IDS), date(2027, 3, 1)
        with pytest.raises(OutOfRange):
            gauges.reads("valley", Reading("v1", day, 5000.0), day)
        assert gauges.of("valley") == RainBook()

    def test_whoever_looks_for_growers_finds_none_there(self, store: Store) -> None:
        gauges, day = Gauges(store, StandingClock(), IDS), date(2027, 3, 1)
        gauges.reads("valley", Reading("v1", day, 12.0), day)
        _, value = store.value(IDS.number("rain of valley"))
        assert value is not None
        assert from_bytes(value) == Stored()
        assert glance(value, "demo") is None
