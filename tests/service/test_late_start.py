"""A round that is started late warns: the growers by its steps, and their agents, once, with how many they are."""

from __future__ import annotations

import pytest

from advisor.store.api import RoundState
from tests.service.seed_round import Season, at, book
from tests.service.stage import ANN, IDS

BEN, CLEO, DAN = "+999004445566", "+999008889999", "+999002221111"
VALLEY, HILLS = (agent.number for agent in book().programme.agents[:2])


def begun(day: int) -> Season:
    """The seed-test round, started some days from the sowing; the agent of the valley sows nothing."""
    season = Season(at(day))
    season.has(ANN)
    season.has(BEN, grower_village="v2")
    season.has(CLEO, lot_origin="bought")
    season.has(DAN, grower_village="v4")
    season.has(VALLEY, plot_sowing="")
    season.start()
    season.until(at(day, "12:00"))
    return season


def told(season: Season, number: str = VALLEY) -> list[str]:
    return [text for _, to, text in season.inbox if to == number]


@pytest.mark.parametrize(
    ("day", "head"),
    [
        (-21, None),
        (-20, "began late"),
        (-10, "began late"),
        (-9, "began too late"),
        (-4, "began too late"),
        (1, None),
    ],
)
def test_the_agent_is_told_by_how_late_it_is(day: int, head: str | None) -> None:
    mine = told(begun(day))

    assert len(mine) == (head is not None)
    assert all(head in text and ": 2." in text for text in mine if head)


def test_no_result_is_promised_once_it_is_too_late() -> None:
    (text,) = told(begun(-4))

    assert "No result comes before they sow" in text


class TestTheAgent:
    def test_is_told_once(self) -> None:
        season = begun(-12)
        season.until(at(-9))

        assert len(told(season)) == 1

    def test_is_told_once_by_processes_that_come_and_go(self) -> None:
        season = begun(-12)
        season.__post_init__()
        season.clock.at = at(-12, "13:00")
        season.until(at(-11))

        assert len(told(season)) == 1

    def test_of_another_district_is_told_of_none_of_these(self) -> None:
        season = Season(at(-12))
        season.has(ANN)
        season.has(HILLS, grower_village="v4", plot_sowing="")
        season.start()
        season.until(at(-11))

        assert told(season, HILLS) == []

    def test_who_has_not_agreed_is_told_nothing(self) -> None:
        season = begun(-12)

        assert told(season, HILLS) == []

    def test_whose_record_cannot_be_read_holds_up_neither_agents_nor_growers(self) -> None:
        season = Season(at(-12))
        season.has(ANN)
        for agent in (VALLEY, HILLS):
            season.has(agent, plot_sowing="")
        season.breaks(IDS.number(HILLS))
        season.start()
        season.until(at(-12, "12:00"))

        assert len(told(season)) == 1
        assert "Little time is left" in told(season, ANN)[0]
        assert told(season, HILLS) == []

    def test_is_told_nothing_of_a_round_that_is_held(self) -> None:
        season = Season(at(-12))
        season.has(ANN)
        season.has(VALLEY, plot_sowing="")
        season.start()
        season.store.set_round("seed_test", RoundState.PAUSED)
        season.until(at(-11))

        assert told(season) == []

    def test_is_not_woken(self) -> None:
        season = Season(at(-12, "21:00"))
        season.has(ANN)
        season.has(VALLEY, plot_sowing="")
        season.start()
        season.until(at(-11, "05:00"))
        assert told(season) == []
        season.until(at(-11, "08:00"))

        assert len(told(season)) == 1
