"""``advisor rain``: readings kept, corrected and taken out, what is made of them, and each mistake in one line."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from functools import partial

import pytest

from advisor.commands.exits import Exit
from advisor.records.rain_book import Reading
from advisor.service.gauging import Gauges
from advisor.service.identity import Ids
from advisor.store.redis_store import RedisStore
from tests.service.importing import BOOK
from tests.service.stage import StandingClock
from tests.test_cli import run as run_any
from tests.test_cli_questions import SECRET, store  # noqa: F401 - a fixture

IDS = Ids(SECRET.encode())
run = partial(run_any, "rain")
#: A day of the season in the valley, some weeks after its window has opened.
TODAY = date(2027, 12, 20)


@pytest.fixture(autouse=True)
def book(monkeypatch: pytest.MonkeyPatch) -> None:
    """The shipped dialogues, built once for all tests and not with each command."""
    monkeypatch.setattr("advisor.commands.rain.book_of", lambda settings: BOOK)


@pytest.fixture(autouse=True)
def today(monkeypatch: pytest.MonkeyPatch) -> date:
    now = datetime(TODAY.year, TODAY.month, TODAY.day, 9, tzinfo=UTC)
    monkeypatch.setattr("advisor.service.clock.SystemClock", lambda: StandingClock(now))
    return TODAY


def readings(store: RedisStore, zone: str) -> tuple[Reading, ...]:  # noqa: F811
    return Gauges(store, StandingClock(), IDS).of(zone).readings


def said(capsys: pytest.CaptureFixture[str], *arguments: str) -> str:
    assert run(*arguments) == Exit.DONE
    return capsys.readouterr().out


class TestReadings:
    def test_one_is_kept_in_its_zone_with_who_read_it(
        self,
        store: RedisStore,  # noqa: F811
        capsys: pytest.CaptureFixture[str],
    ) -> None:
        assert said(capsys, "read", "kesu", "2027-12-18", "32.5", "--by", "a1") == "Kesu  2027-12-18  32.5 mm\n"
        assert said(capsys, "read", "v4", "2027-12-18", "0") == "Mbek  2027-12-18  0 mm\n"

        assert readings(store, "valley") == (Reading("v2", date(2027, 12, 18), 32.5, "a1"),)
        assert readings(store, "hills") == (Reading("v4", date(2027, 12, 18), 0.0, ""),)

    def test_of_the_same_day_again_is_a_correction(
        self,
        store: RedisStore,  # noqa: F811
        capsys: pytest.CaptureFixture[str],
    ) -> None:
        for mm in ("325", "32.5"):
            said(capsys, "read", "Kesu", "2027-12-18", mm)

        assert [reading.mm for reading in readings(store, "valley")] == [32.5]

    def test_that_was_none_is_taken_out(
        self,
        store: RedisStore,  # noqa: F811
        capsys: pytest.CaptureFixture[str],
    ) -> None:
        said(capsys, "read", "Kesu", "2027-12-18", "32.5")
        said(capsys, "read", "Kesu", "2027-12-19", "3")

        assert said(capsys, "take-out", "Kesu", "2027-12-18") == "taken out\n"

        assert [reading.day for reading in readings(store, "valley")] == [date(2027, 12, 19)]

    def test_no_record_of_a_grower_comes_of_them(
        self,
        store: RedisStore,  # noqa: F811
        capsys: pytest.CaptureFixture[str],
    ) -> None:
        said(capsys, "read", "Kesu", "2027-12-18", "32.5")

        assert store.counts("v2") == {}

    @pytest.mark.parametrize(
        ("arguments", "why"),
        [
            (("read", "Nowhere", "2027-12-18", "3"), "VILLAGE is 'Nowhere': use one of Dovi, Kesu"),
            (("read", "Kesu", "18/12/2027", "3"), "DAY is '18/12/2027': write it like 2027-11-20"),
            (("read", "Kesu", "2027-12-32", "3"), "write it like 2027-11-20"),
            (("read", "Kesu", "2027-12-21", "3"), "2027-12-20"),
            (("read", "Kesu", "2027-12-18", "-1"), "-1"),
            (("read", "Kesu", "2027-12-18", "5000"), "5000"),
            (("read", "Kesu", "2027-12-18", "nan"), "nan"),
            (("read", "Kesu", "2027-12-18", "much"), "'much' is not a valid float"),
            (("read", "Kesu", "2027-12-18", "3", "--by", "a9"), "--by is 'a9': name an agent of the programme"),
            (("take-out", "Nowhere", "2027-12-18"), "VILLAGE is 'Nowhere'"),
            (("--zone", "plains"), "--zone is 'plains': use one of valley, hills"),
        ],
    )
    def test_a_mistake_is_told_and_keeps_nothing(
        self,
        store: RedisStore,  # noqa: F811
        arguments: tuple[str, ...],
        why: str,
        capsys: pytest.CaptureFixture[str],
    ) -> None:
        assert run(*_guarded(arguments)) == Exit.WRONG_USAGE

        told = capsys.readouterr().err
        assert why in told
        assert "Traceback" not in told
        assert (readings(store, "valley"), readings(store, "hills")) == ((), ())


class TestWhatIsMadeOfThem:
    """The rule of the demonstration: 25 mm in ten days and 20 mm in the twenty after them, common practice."""

    def keep(self, store: RedisStore, days: dict[int, float]) -> None:  # noqa: F811
        """Readings of so many days ago, all days since the first of them read."""
        gauges = Gauges(store, StandingClock(), IDS)
        for ago in range(max(days), -1, -1):
            gauges.reads("valley", Reading("v1", TODAY - timedelta(days=ago), days.get(ago, 0.0), "a1"), TODAY)

    def test_where_nothing_was_read_that_is_said_by_zone(
        self,
        store: RedisStore,  # noqa: F811
        capsys: pytest.CaptureFixture[str],
    ) -> None:
        told = said(capsys).splitlines()

        assert [line for line in told if not line.startswith(" ")] == ["valley  valley", "hills  hills"]
        assert sum("the onset is not known" in line for line in told) == 2

    def test_the_last_readings_stand_above_the_onset(
        self,
        store: RedisStore,  # noqa: F811
        capsys: pytest.CaptureFixture[str],
    ) -> None:
        self.keep(store, {33: 30.0, **dict.fromkeys(range(12, 24), 5.0), 0: 7.0})

        told = said(capsys, "--zone", "valley").splitlines()

        assert told[0] == "valley  valley"
        assert told[1] == f"  {TODAY - timedelta(days=9)}  Dovi  0 mm  a1"
        assert told[10] == f"  {TODAY}  Dovi  7 mm  a1"
        assert told[11].startswith(f"  rains begun: {TODAY - timedelta(days=33)}  (rule ")
        assert any(line.startswith("  sow: ") for line in told)
        assert not any("hills" in line for line in told)

    def test_rain_that_was_not_followed_up_is_a_false_start(
        self,
        store: RedisStore,  # noqa: F811
        capsys: pytest.CaptureFixture[str],
    ) -> None:
        self.keep(store, {35: 30.0})

        told = said(capsys, "--zone", "valley")

        assert "rains begun: no" in told
        assert f"false start: {TODAY - timedelta(days=35)}" in told


def _guarded(arguments: tuple[str, ...]) -> tuple[str, ...]:
    """With the mark after which nothing is an option, where a number is below zero."""
    return ("read", "--", *arguments[1:]) if "-1" in arguments else arguments
