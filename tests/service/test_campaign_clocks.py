"""Rounds under clocks that jump, and rounds that were started late."""

from __future__ import annotations

from collections import Counter
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest

from advisor.campaign.quiet import Quiet
from advisor.store.api import (
    Store,
)
from advisor.store.memory import DictStore
from tests.service.campaigning import (
    ANN,
    NIGHTS,
    NUMBERS,
    all_of,
    campaigns,
    leave,
    settle,
    start,
    texts,
)
from tests.service.stage import HOUR, NOW, StandingClock


class TestClocksThatJump:
    def test_an_hour_back_doubles_nothing(self, store: Store) -> None:
        settle(store)
        start(store)
        clock = StandingClock()
        told: Counter[tuple[str, str]] = Counter()
        for jump_s in (0, 3600, -3600, 3600, -7200, 10_800, -3600, 7200):
            clock.at += timedelta(seconds=jump_s)
            all_of(campaigns(store, clock))
            told += leave(store, clock)

        assert told == {(number, text): 1 for number in NUMBERS for text in ("One", "Two")}

    def test_a_year_ahead_and_back_stops_no_planning(self, store: Store) -> None:
        start(store)
        clock = StandingClock(NOW + timedelta(days=365))
        all_of(campaigns(store, clock))
        settle(store)
        clock.at = NOW

        all_of(campaigns(store, clock))

        assert sum(leave(store, clock).values()) == len(NUMBERS)

    @pytest.mark.parametrize(
        ("zone", "change"),
        [
            ("Europe/London", date(2027, 3, 28)),
            ("Europe/London", date(2027, 10, 31)),
            ("America/Sao_Paulo", date(2018, 11, 4)),
            ("America/Sao_Paulo", date(2018, 2, 18)),
            ("Australia/Lord_Howe", date(2027, 4, 4)),
            ("Australia/Lord_Howe", date(2026, 10, 4)),
        ],
    )
    def test_a_step_of_every_day_comes_once_on_each_when_clocks_change(self, zone: str, change: date) -> None:
        store = DictStore()
        settle(store, (ANN,))
        begun = datetime.combine(change, time(12), UTC) - timedelta(days=3)
        daily = (
            'key = "demo"\n[[steps]]\nkey = "daily"\nfrom = "start"\nday = 0\nat = 01:45:00\ngood_for_hours = 6\n'
            'times = 7\nevery_days = 1\ntext = { en = "Today", sw = "Leo" }'
        )
        start(store, daily, begun)
        quiet = Quiet(ZoneInfo(zone), time(22), time(0, 30))
        clock = StandingClock(begun)
        days: Counter[date] = Counter()
        while clock.now() < begun + timedelta(days=8):
            all_of(campaigns(store, clock, quiet))
            for times in leave(store, clock).values():
                assert quiet.may_send(clock.now())
                days[clock.now().astimezone(quiet.zone).date()] += times
            clock.wait(15 * 60)

        assert set(days.values()) == {1}
        assert len(days) == 6, "the first one was over before the round was started"


class TestARoundStartedLate:
    def test_sends_the_last_that_is_of_use_and_nothing_twice(self, store: Store) -> None:
        settle(store, (ANN,))
        start(store, at=NOW - 2 * HOUR)
        clock = StandingClock()
        told: Counter[tuple[str, str]] = Counter()
        for _ in range(4):
            all_of(campaigns(store, clock))
            told += leave(store, clock)
            clock.wait(3600)

        assert texts(told) == ["Two"]
        assert store.standing("demo").figures == {"made": 1, "merged": 1}

    def test_at_night_waits_for_the_morning(self, store: Store) -> None:
        settle(store, (ANN,))
        evening = datetime(2027, 3, 1, 18, tzinfo=UTC)
        start(store, at=evening)
        clock = StandingClock(evening)
        sent_at = []
        while clock.now() < evening + timedelta(hours=20):
            all_of(campaigns(store, clock))
            sent_at += [clock.now()] * sum(leave(store, clock).values())
            clock.wait(15 * 60)

        assert [at.astimezone(NIGHTS.zone).strftime("%H:%M") for at in sent_at] == ["06:30"]
