"""A season of the seed test while all is killed and the gateway is at its worst; more of it: `make faults`."""

from __future__ import annotations

import pytest

from tests.whole.faults.killing import KINDS
from tests.whole.faults.people import SOWING, SeasonSize
from tests.whole.faults.planted import FAULTS
from tests.whole.faults.running import run
from tests.whole.faults.season import run_season
from tests.whole.faults.sizes import SMALL
from tests.whole.faults.stage import Size

#: What the judge must find where faults are planted, and a small run of rounds in which they can show.
PLANTED = {
    "new-id-on-retry no-quiet-hours": ({"doubled", "at_night"}, Size(200, quiet_after_s=-60, quiet_for_s=3600)),
    "no-look-at-stops": ({"after_stop"}, Size(200, stops=60, per_second=10, quiet_after_s=3600)),
}

#: The same for the judge of a season, in one up to the verdict and without a crowd.
TO_THE_VERDICT = SeasonSize(22, senders=1, answering=22, sowing=SOWING[:1], last_day=-7, limit_s=300.0)
PLANTED_IN_SEASON = "answer-without-effect verdict-twice"


def test_every_fault_that_can_be_planted_is_looked_for() -> None:
    assert set(" ".join((*PLANTED, PLANTED_IN_SEASON)).split()) == set(FAULTS)


def test_a_season_through_eight_kills_loses_doubles_and_forgets_nothing(
    capsys: pytest.CaptureFixture[str],
) -> None:
    found = run_season(SMALL)
    with capsys.disabled():
        print("", *found.lines, sep="\n  ")
    assert found.holds
    assert found.kills.total() == SMALL.kills
    assert set(found.kills) == set(KINDS)
    assert found.kills_met > SMALL.kills // 2, "most kills met an idle service"
    judged = found.judgement
    assert judged.expected > SMALL.growers - SMALL.stops - SMALL.answering
    assert judged.repeated > 0, "no mishap ever met a message, so nothing was shown"
    assert judged.tests > SMALL.answering // 2, "nobody answered"


@pytest.mark.parametrize("plants", PLANTED)
def test_the_judge_of_rounds_finds_planted_faults(plants: str) -> None:
    names, size = PLANTED[plants]
    found = run(Size(**{**vars(size), "plant": plants, "senders": 1, "limit_s": 60.0}))
    assert not found.judgement.holds
    broken = {each: getattr(found.judgement, each) for each in ("doubled", "at_night", "after_stop")}
    assert {each for each, count in broken.items() if count} == names


def test_the_judge_of_a_season_finds_planted_faults() -> None:
    found = run_season(SeasonSize(**{**vars(TO_THE_VERDICT), "plant": PLANTED_IN_SEASON}))
    assert not found.judgement.holds
    assert set(found.judgement.wrong) == {"effects_lost", "unasked", "replies_doubled", "verdicts_doubled"}
