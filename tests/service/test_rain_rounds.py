"""Rounds that hang on rain, from the gauge to the phone: the shipped ones, on the shipped rule of the programme.

Valley and hills have the rule of southern Africa: 25 mm in ten days, and 20 mm in the twenty after them.
"""

from __future__ import annotations

from datetime import date, datetime, timedelta

import pytest

from advisor.loading import load_round
from advisor.records.rain_book import Reading
from advisor.service.clock import unix_ms
from advisor.service.gauging import Gauges, rain_id
from advisor.store.api import RoundRow, RoundState
from tests.service.seed_round import Season, at, book
from tests.service.stage import ANN, IDS

BEN, CLEO = "+999004445566", "+999008889999"
#: In the sowing windows of both zones.
FIRST = date(2026, 11, 20)
AGENT = book().programme.agents[0]


class Rainy(Season):
    """A season with gauges; days count from the first rain."""

    def wet(self, day: int, mm: float, village: str = "v1") -> None:
        """What a gauge showed on a day, read now."""
        zone = next(one.zone for one in book().programme.villages if one.key == village)
        today = book().day_of(self.clock.now())
        Gauges(self.store, self.clock, IDS).reads(
            zone, Reading(village, FIRST + timedelta(days=day), mm, "a1"), today
        )

    def dry(self, first: int, last: int, village: str = "v1") -> None:
        for day in range(first, last + 1):
            self.wet(day, 0, village)

    def begin(self, *names: str) -> None:
        for name in names:
            row = RoundRow(name, RoundState.RUNNING, unix_ms(self.clock.now()), load_round(name).encode())
            assert self.store.start_round(row) is None

    def texts(self, number: str = ANN) -> list[str]:
        return [text for _, to, text in self.inbox if to == number]

    def made(self, name: str) -> int:
        return self.store.standing(name).figures.get("made", 0)


def on(day: int, clock: str = "09:00") -> datetime:
    return at(day, clock, FIRST)


@pytest.fixture
def season() -> Rainy:
    """Ann of the valley means to sow in ten days, Ben has sown, Cleo lives in the hills; nobody has rain yet."""
    found = Rainy(on(0, "12:00"))
    found.has(ANN, plot_sowing=(FIRST + timedelta(days=10)).isoformat())
    found.has(BEN, plot_sowing=(FIRST - timedelta(days=1)).isoformat())
    found.has(CLEO, grower_village="v4")
    found.has(AGENT.number)
    found.begin("sow_now", "false_start")
    found.until(on(0, "13:00"))
    return found


def heads(texts: list[str]) -> list[str]:
    return [text.split(".")[0] for text in texts]


class TestSowNow:
    def test_comes_at_once_to_who_has_not_sown_in_that_zone(self, season: Rainy) -> None:
        season.wet(0, 30)
        season.until(on(0, "14:00"))

        assert heads(season.texts()) == ["Enough rain has fallen near you"]
        assert season.texts(BEN) == season.texts(CLEO) == []
        assert season.made("sow_now") == 1, "Ann; the agent, who chose v1 on her own phone, is no grower by it"

    def test_comes_where_the_gauges_of_another_zone_cannot_be_read(self, season: Rainy) -> None:
        season.wet(0, 1, "v4")
        season.breaks(rain_id(IDS, "hills"))
        season.wet(0, 30)
        season.until(on(0, "14:00"))

        assert heads(season.texts()) == ["Enough rain has fallen near you"]
        assert season.texts(CLEO) == []

    def test_comes_once_however_the_reading_is_corrected(self, season: Rainy) -> None:
        season.wet(0, 30)
        season.until(on(0, "14:00"))
        season.wet(0, 45)
        season.until(on(0, "18:00"))
        season.wet(0, 3)
        season.wet(0, 31)
        season.until(on(1))
        season.wet(1, 40)
        season.until(on(4))

        assert len(season.texts()) == 1

    def test_waits_for_the_morning(self, season: Rainy) -> None:
        season.until(on(0, "20:30"))
        season.wet(0, 30)
        season.until(on(1, "06:00"))
        assert season.texts() == []
        season.until(on(1, "08:00"))
        assert len(season.texts()) == 1

    def test_is_not_said_after_stop(self, season: Rainy) -> None:
        season.sms("STOP")
        season.wet(0, 30)
        season.until(on(3))

        assert season.texts() == []

    def test_is_answered_with_the_day_of_sowing(self, season: Rainy) -> None:
        season.wet(0, 30)
        season.until(on(1))
        season.sms("today")

        assert season.fact("plot.sowing") == (FIRST + timedelta(days=1)).isoformat()

    def test_is_not_said_where_too_little_fell(self, season: Rainy) -> None:
        season.wet(0, 24.9)
        season.until(on(3))

        assert season.texts() == []


class TestAFalseStart:
    def test_tells_who_has_sown_to_keep_seed_and_who_has_not_to_wait(self, season: Rainy) -> None:
        season.wet(0, 30)
        season.until(on(1))
        season.until(on(21, "10:00"))
        season.dry(1, 20)
        season.until(on(22))

        assert heads(season.texts()) == ["Enough rain has fallen near you", "The rain was a false start"]
        assert "Wait for new rain" in season.texts()[1]
        assert "keep seed to fill gaps" in season.texts(BEN)[0]
        assert season.texts(CLEO) == []

    def test_is_told_once_and_followed_by_sow_now_on_new_rain(self, season: Rainy) -> None:
        season.wet(0, 30)
        season.until(on(21, "10:00"))
        season.dry(1, 20)
        season.until(on(22))
        season.wet(20, 8)
        season.until(on(23))
        season.wet(23, 26)
        season.until(on(25))

        assert heads(season.texts()) == [
            "Enough rain has fallen near you",
            "The rain was a false start",
            "Enough rain has fallen near you",
        ]

    def test_of_a_day_that_nobody_read_is_none(self, season: Rainy) -> None:
        season.wet(0, 30)
        season.until(on(21, "10:00"))
        season.dry(1, 9)
        season.dry(11, 20)
        season.until(on(23))

        assert len(season.texts()) == 1


class TestTheAgent:
    def test_is_told_once_with_the_number_of_growers(self, season: Rainy) -> None:
        season.wet(0, 30)
        season.until(on(3))
        mine = [text for text in season.texts(AGENT.number) if "by your gauges" in text]

        assert len(mine) == 1
        assert "(20 Nov)" in mine[0]
        assert "told to sow now: 1." in mine[0]

    def test_is_told_of_a_false_start_by_what_growers_are_to_do(self, season: Rainy) -> None:
        season.wet(0, 30)
        season.until(on(21, "10:00"))
        season.dry(1, 20)
        season.until(on(24))
        mine = [text for text in season.texts(AGENT.number) if text.startswith("False start")]

        assert [text.rpartition(": ")[2].split(".")[0] for text in mine] == ["1", "1"]

    def test_is_not_told_without_consent_or_after_stop(self, season: Rainy) -> None:
        season.sms("STOP", AGENT.number)
        season.wet(0, 30)
        season.until(on(3))

        assert [text for text in season.texts(AGENT.number) if "gauges" in text] == []

    def test_of_growers_in_nobodys_care_hears_nothing(self, season: Rainy) -> None:
        season.wet(0, 30, "v4")
        season.until(on(3))

        assert season.texts(AGENT.number) == []
        assert len(season.texts(CLEO)) == 1


def test_a_process_that_starts_anew_tells_nobody_again(season: Rainy) -> None:
    season.wet(0, 30)
    season.until(on(0, "15:00"))
    season.__post_init__()
    season.clock.at = on(0, "15:00")
    season.until(on(3))

    assert len(season.texts()) == 1
    assert len([text for text in season.texts(AGENT.number) if "gauges" in text]) == 1
