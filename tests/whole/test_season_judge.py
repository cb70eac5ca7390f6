"""The judge of a season: it sees each way of breaking the promise, and lets pass what is allowed."""

from __future__ import annotations

import json
import subprocess
import sys
from datetime import datetime, time
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from tests.whole.faults.judge import Night
from tests.whole.faults.season_judge import Judgement, dues_of, judge

ANN, SOWS = "+99900500001", "2027-03-24"
ZONE = ZoneInfo("Etc/GMT-3")
NIGHT = Night(ZONE, time(20), time(6, 30))
STEPS = ("season", "sort", "remind", "last", "how_many", "early", "early_again", "final", "final_again")
STEPS += ("list", "buy_by", "pick_up", "rain", "stand")
TEXTS = {step: [f"The {step} of %(day)s"] for step in STEPS}


def at(day: str, clock: str = "08:00:05") -> float:
    return datetime.fromisoformat(f"2027-{day}T{clock}").replace(tzinfo=ZONE).timestamp()


SPAN = {"texts": TEXTS, "started": at("03-02"), "ended": at("04-02")}


def told(day: str, clock: str = "08:01:00", page: str | None = None, **means: object) -> dict:
    return {"at": at(day, clock), "by": "sms" if page is None else "call", "means": means, "page": page}


def step(key: str, day: str, clock: str = "08:00:05", **changes: object) -> dict:
    return reply(f"The {key} of 24 Mar", day, clock) | {"id": f"b07-{key}-{day}"} | changes


def reply(text: str, day: str, clock: str = "08:01:05", **changes: object) -> dict:
    return {"at": at(day, clock), "id": f"b07-{day}-{clock}", "to": ANN, "text": text, "fate": "taken"} | changes


#: Ann answers all at once: she puts out fifty seeds on the ninth, first five are up, in the end forty-five.
TOLD = (
    told("03-03", origin="saved"),
    told("03-09", "07:30:00", test_day="2027-03-09"),
    told("03-09", "07:31:00", sown=50),
    told("03-14", early=5),
    told("03-17", final=45),
    told("03-17", "08:02:00", right=True),
    told("03-17", "08:03:00", place=True),
)
REPLIES = (
    reply("Where do you want to sow the test?", "03-03"),
    reply("How many seeds did you sow?\nLike 100", "03-09", "07:30:05"),
    reply("Test of 50 seeds, sown 9 Mar.", "03-09", "07:31:05"),
    reply("5 of 50 at the first look.", "03-14"),
    reply("45 of 50: right?", "03-17"),
    reply("Where did you sow the test?", "03-17", "08:02:05"),
    reply("45 of 50 grew: good seed. Sow it.", "03-17", "08:03:05"),
)
CAME = (
    step("season", "03-03"),
    step("sort", "03-08", "17:00:05"),
    step("early", "03-14"),
    step("final", "03-17"),
    step("buy_by", "03-19", "16:00:05"),
    step("pick_up", "03-21", "10:00:05"),
    step("stand", "04-01"),
)


def grower(says: tuple[dict, ...] = TOLD, **changes: object) -> dict:
    known = {"number": ANN, "sows": SOWS, "has_field": False, "bought": False, "at_once": True, "told": list(says)}
    return known | changes


def judged(*lines: dict, says: tuple[dict, ...] = TOLD, stops: dict[str, float] | None = None) -> Judgement:
    return judge(sorted(lines, key=lambda one: one["at"]), SPAN, [grower(says)], stops or {}, NIGHT)


def without(lines: tuple[dict, ...], word: str) -> list[dict]:
    found = [one for one in lines if word not in one["text"]]
    assert len(found) == len(lines) - 1
    return found


class TestASeasonThatWentWell:
    def test_is_seven_messages_an_answer_to_each_word_and_one_verdict(self) -> None:
        found = judged(*CAME, *REPLIES)
        assert found.holds
        assert (found.expected, found.sent, found.paid_most, found.verdicts, found.tests) == (7, 7, 7, 1, 1)

    def test_may_repeat_a_request_under_its_id(self) -> None:
        found = judged(*CAME, *REPLIES, step("early", "03-14", "08:00:09"), REPLIES[-1])
        assert (found.holds, found.repeated) == (True, 2)

    def test_may_be_told_on_calls_whose_pages_are_the_answers(self) -> None:
        says = tuple(one | {"by": "call", "page": page["text"]} for one, page in zip(TOLD, REPLIES, strict=True))
        assert judged(*CAME, says=says).holds


class TestWhatFallsDue:
    def days(self, says: tuple[dict, ...] = (), **changes: object) -> list[str]:
        dues = dues_of(grower(says, **changes), ZONE, SPAN["started"], SPAN["ended"])
        return [f"{datetime.fromtimestamp(due.at_s, ZONE):%m-%d} {due.step}" for due in dues]

    def test_to_the_silent_is_all_but_the_counts(self) -> None:
        assert self.days() == [
            *("03-03 season", "03-08 sort", "03-10 remind", "03-12 remind", "03-14 last"),
            *("03-19 buy_by", "03-21 pick_up", "03-23 rain", "04-01 stand"),
        ]

    def test_to_who_bought_her_seed_is_nothing_of_the_test(self) -> None:
        assert self.days(bought=True, has_field=True) == [
            *("03-03 season", "03-18 list", "03-21 pick_up", "03-23 rain", "04-01 stand")
        ]

    def test_to_who_says_later_is_a_reminder_two_days_later_which_the_last_day_takes_the_place_of(self) -> None:
        assert self.days((told("03-10", later=True),))[:4] == [
            *("03-03 season", "03-08 sort", "03-10 remind", "03-14 last")
        ]

    def test_to_who_counts_nothing_is_all_that_asks_for_it(self) -> None:
        assert self.days(TOLD[:3])[2:8] == [
            *("03-14 early", "03-15 early_again", "03-17 final", "03-18 final_again", "03-19 final_again"),
            "03-19 buy_by",
        ]


class TestWhatIsBroken:
    @pytest.mark.parametrize("fate", ["dropped", "too_many", "fault", "away"])
    def test_a_step_that_the_gateway_never_took_is_lost(self, fate: str) -> None:
        assert judged(*CAME[:-1], CAME[-1] | {"fate": fate}, *REPLIES).wrong == {"lost": 1}

    def test_a_step_that_never_came_is_lost(self) -> None:
        assert judged(*without(CAME, "early"), *REPLIES).wrong == {"lost": 1}

    def test_a_step_under_two_ids_is_doubled_and_one_too_many(self) -> None:
        found = judged(*CAME, step("early", "03-14", id="b07-another"), *REPLIES)
        assert found.wrong == {"doubled": 1, "unasked": 1, "overpaid": 1}

    def test_a_step_that_nobody_should_have_got_is_unasked(self) -> None:
        assert judged(*CAME, step("rain", "03-23", "15:00:05"), *REPLIES).wrong == {"unasked": 1, "overpaid": 1}

    @pytest.mark.parametrize(
        ("day", "clock"), [("03-13", "08:00:00"), ("03-14", "07:59:00"), ("03-15", "08:00:00")]
    )
    def test_a_step_before_its_time_or_when_it_is_of_no_use_is_mistimed(self, day: str, clock: str) -> None:
        moved = step("early", day, clock)
        says = (*TOLD[:3], told("03-16", early=5), *TOLD[4:])
        found = judged(*without(CAME, "early"), moved, step("early_again", "03-15"), *REPLIES, says=says)
        assert {name for name in found.wrong if name != "overpaid"} == {"mistimed"}

    def test_a_step_in_quiet_hours_is_at_night(self) -> None:
        found = judged(*without(CAME, "sort"), step("sort", "03-08", "20:00:01"), *REPLIES)
        assert found.wrong == {"at_night": 1}

    def test_an_answer_may_be_at_night(self) -> None:
        late = reply("Test of 50 seeds, sown 9 Mar.", "03-09", "23:00:00")
        assert judged(*CAME, *without(REPLIES, "Test of"), late).holds

    def test_a_step_after_a_stop_is_too_late_and_one_answer_to_it_is_not(self) -> None:
        stops = {ANN: at("03-14", "08:00:00")}
        bye = reply("No more messages", "03-14", "08:00:08")
        assert judged(*CAME[:3], bye, stops=stops).wrong == {"after_stop": 1}
        assert judged(*CAME[:2], bye, bye | {"id": "b07-bye"}, stops=stops).wrong == {"after_stop": 1}
        assert judged(*CAME[:2], bye, stops=stops).holds

    @pytest.mark.parametrize(
        "word", ["Where do", "How many", "Test of", "first look", "right", "Where did", "grew"]
    )
    def test_an_answer_of_which_nothing_came_has_lost_its_effect(self, word: str) -> None:
        assert judged(*CAME, *without(REPLIES, word)).wrong == {"effects_lost": 1}

    def test_so_has_one_that_is_answered_with_another_number(self) -> None:
        other = reply("44 of 50: right?", "03-17")
        assert judged(*CAME, *without(REPLIES, "right"), other).wrong == {"effects_lost": 1}

    def test_so_has_one_that_is_asked_for_again(self) -> None:
        found = judged(*CAME, step("early_again", "03-15"), *REPLIES)
        assert found.wrong == {"effects_lost": 1, "unasked": 1, "overpaid": 1}

    def test_a_verdict_under_two_ids_is_doubled(self) -> None:
        found = judged(*CAME, *REPLIES, REPLIES[-1] | {"id": "b07-another"})
        assert found.wrong == {"replies_doubled": 1, "verdicts_doubled": 1}


def test_it_is_a_script_that_needs_nothing_of_the_service(tmp_path: Path) -> None:
    lines = {"sent": [*CAME, *REPLIES[:-1]], "growers": [SPAN, grower()], "stops": []}
    for name, some in lines.items():
        (tmp_path / name).write_text("".join(json.dumps(one) + "\n" for one in some))
    files = [str(tmp_path / name) for name in lines]
    told = "import sys; from tests.whole.faults.season_judge import main; code = main(*sys.argv[1:]); "
    told += "print(sorted({name.split('.')[0] for name in sys.modules} & {'advisor', 'simulator', 'redis'})); "
    command = [sys.executable, "-S", "-c", told + "sys.exit(code)", *files, "UTC", "20:00:00", "06:30:00"]
    root = Path(__file__).parents[2]
    said = subprocess.run(command, capture_output=True, text=True, check=False, cwd=root)
    assert said.returncode == 1, said.stderr
    assert "effects lost           1" in said.stdout
    assert said.stdout.endswith("[]\n")
