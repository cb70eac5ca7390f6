"""A round while senders, web workers and Redis are killed and the gateway is at its worst; more: `make faults`."""

from __future__ import annotations

import pytest

from tests.whole.faults.killing import KINDS
from tests.whole.faults.planted import FAULTS
from tests.whole.faults.running import run
from tests.whole.faults.stage import SMALL, Size

#: What the judge must find where a fault is planted, and a small run in which it can show.
PLANTED = {
    "new-id-on-retry": ("doubled", Size(120, quiet_after_s=3600)),
    "no-look-at-stops": ("after_stop", Size(200, stops=60, per_second=10, quiet_after_s=3600)),
    "no-quiet-hours": ("at_night", Size(120, quiet_after_s=-60, quiet_for_s=3600)),
}


def test_a_round_through_eight_kills_loses_doubles_and_misplaces_nothing(
    capsys: pytest.CaptureFixture[str],
) -> None:
    found = run(SMALL)
    with capsys.disabled():
        print("", *found.lines, sep="\n  ")
    assert found.holds
    assert found.kills.total() == SMALL.kills
    assert set(found.kills) == set(KINDS)
    assert 0 <= SMALL.growers * 6 // 5 - SMALL.stops - found.judgement.expected <= SMALL.stops
    assert found.kills_met > SMALL.kills // 2, "most kills met an idle service"
    assert found.judgement.repeated > 0, "no mishap ever met a message, so nothing was shown"


@pytest.mark.parametrize("plant", FAULTS)
def test_the_judge_finds_a_planted_fault(plant: str) -> None:
    name, size = PLANTED[plant]
    found = run(Size(**{**vars(size), "plant": plant, "senders": 1, "limit_s": 60.0}))
    assert not found.judgement.holds
    broken = {each: getattr(found.judgement, each) for each in ("doubled", "at_night", "after_stop")}
    assert {each for each, count in broken.items() if count} == {name}
