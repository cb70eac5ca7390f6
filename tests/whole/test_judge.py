"""The judge of a fault run: each way of breaking the promise is seen, and what is allowed is not."""

from __future__ import annotations

import json
import subprocess
import sys
from datetime import datetime, time
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from tests.whole.faults import judge
from tests.whole.faults.judge import Judgement, Night

ANN, BEN = "+99900500001", "+99900500002"
STEPS = {"rows walk": "Walk your rows"}
ZONE = ZoneInfo("Africa/Casablanca")
NIGHT = Night(ZONE, time(20), time(6, 30))
NOON = datetime(2027, 3, 1, 12, tzinfo=ZONE).timestamp()


def handed(to: str = ANN, at: float = NOON, **changes: object) -> dict:
    return {"at": at, "id": f"b07-{to[-1]}", "to": to, "text": "Walk your rows", "fate": "taken"} | changes


def judged(*lines: dict, stops: dict[str, float] | None = None) -> Judgement:
    return judge.judge(lines, {ANN: STEPS, BEN: STEPS}, stops or {}, NIGHT)


def test_each_step_once_to_each_grower_by_day_is_what_was_promised() -> None:
    found = judged(handed(), handed(BEN))
    assert found == Judgement(
        requests=2, sent=2, expected=2, lost=0, repeated=0, doubled=0, at_night=0, after_stop=0
    )
    assert found.holds


def test_the_same_id_again_is_counted_and_allowed() -> None:
    found = judged(handed(fate="dropped"), handed(), handed(BEN))
    assert found.holds
    assert found.repeated == 1


@pytest.mark.parametrize("fate", ["dropped", "too_many", "fault", "away"])
def test_what_the_gateway_never_took_is_lost(fate: str) -> None:
    found = judged(handed(fate=fate), handed(BEN))
    assert (found.lost, found.holds) == (1, False)


@pytest.mark.parametrize("fate", ["taken", "late", "unsaid"])
def test_what_it_took_is_not_however_it_answered(fate: str) -> None:
    assert judged(handed(fate=fate), handed(BEN)).holds


def test_a_grower_who_is_never_written_to_is_lost() -> None:
    assert judged(handed()).lost == 1


def test_the_same_step_under_another_id_is_doubled_though_one_of_them_was_refused() -> None:
    found = judged(handed(fate="fault"), handed(id="b07-9"), handed(BEN))
    assert (found.doubled, found.holds) == (1, False)


@pytest.mark.parametrize(
    ("clock", "is_night"), [((19, 59, 59), False), ((20, 0, 0), True), ((6, 29, 59), True), ((6, 30, 0), False)]
)
def test_a_round_is_at_night_by_the_clock_of_the_zone(clock: tuple[int, int, int], is_night: bool) -> None:
    at_s = datetime(2027, 3, 1, *clock, tzinfo=ZONE).timestamp()
    found = judged(handed(at=at_s), handed(BEN))
    assert (found.at_night, found.holds) == (int(is_night), not is_night)


def test_clocks_that_are_set_back_move_the_night() -> None:
    # Morocco sets its clocks back an hour for Ramadan, from 7 February to 14 March 2027 (IANA time zone data)
    within, after = (datetime(2027, month, 20, 19, 30, tzinfo=judge.ZoneInfo("UTC")) for month in (2, 4))
    assert [NIGHT.holds(moment.timestamp()) for moment in (within, after)] == [False, True]


def test_answers_may_leave_at_night() -> None:
    at_s = datetime(2027, 3, 1, 23, tzinfo=ZONE).timestamp()
    assert judged(handed(), handed(BEN), handed(id="b07-a", text="You said", at=at_s)).holds


@pytest.mark.parametrize(("after_s", "count"), [(-5.0, 0), (0.9, 0), (1.1, 1)])
def test_a_request_may_begin_within_a_second_of_a_stop(after_s: float, count: int) -> None:
    found = judged(handed(at=NOON + after_s), handed(BEN), stops={ANN: NOON})
    assert found.after_stop == count


def test_a_stop_has_one_confirmation_and_no_other_answer() -> None:
    told = [handed(id=f"b07-c{place}", text="No more messages", at=NOON + 5) for place in range(2)]
    assert judged(told[0], told[0], handed(BEN), stops={ANN: NOON}).holds
    assert judged(*told, handed(BEN), stops={ANN: NOON}).after_stop == 1


def test_who_stopped_is_not_expected_to_get_anything() -> None:
    found = judged(handed(BEN), stops={ANN: NOON})
    assert (found.expected, found.lost) == (1, 0)


def test_it_is_a_script_that_needs_nothing_of_the_service(tmp_path: Path) -> None:
    rows = {
        "sent": [handed(), handed(BEN, fate="fault")],
        "growers": [{"number": number, "steps": STEPS} for number in (ANN, BEN)],
        "stops": [],
    }
    for name, lines in rows.items():
        (tmp_path / name).write_text("".join(json.dumps(line) + "\n" for line in lines))
    files = [str(tmp_path / name) for name in rows]
    command = [sys.executable, "-I", "-S", judge.__file__, *files, "UTC", "20:00:00", "06:30:00"]
    said = subprocess.run(command, capture_output=True, text=True, check=False)
    assert said.returncode == 1, said.stderr
    assert "lost               1" in said.stdout
