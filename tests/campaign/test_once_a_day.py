"""Nobody is asked about the same twice on one day, and nothing else is lost for it."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from functools import cache
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.campaign.deciding import Running, next_step
from advisor.campaign.previewing import preview
from advisor.campaign.quiet import Quiet
from advisor.campaign.reading import read_round
from advisor.campaign.rounds import BAGS, OnDay, Round, Step
from advisor.loading import load_round

ZONE = ZoneInfo("Etc/GMT-3")
NIGHTS = Quiet(ZONE, time(20), time(6))
S = date(2027, 12, 1)
_LANGUAGES = ("en", "sw", "hi", "fr")


@cache
def seed_test() -> Round:
    return read_round(load_round("seed_test"), _LANGUAGES)


def at(day: int, clock: str) -> datetime:
    return datetime.combine(S + timedelta(day), time.fromisoformat(clock), ZONE)


def silent(running: Running, facts: dict[str, object]) -> list[tuple[datetime, Step]]:
    """What somebody gets who answers nothing, with its moments."""
    sent, passed, now = [], (), running.started
    while now is not None:
        decision = next_step(running, facts, passed, now)
        if decision.send is not None:
            sent.append((now, decision.send.step))
        passed, now = (*passed, *decision.marks), decision.look_at
    return sent


def by_day(sent: list[tuple[datetime, Step]]) -> list[list[Step]]:
    found: dict[date, list[Step]] = defaultdict(list)
    for moment, step in sent:
        found[moment.astimezone(ZONE).date()].append(step)
    return list(found.values())


def days() -> st.SearchStrategy[date]:
    return st.integers(-30, 12).map(lambda day: S + timedelta(day))


@st.composite
def lives(draw: st.DrawFn) -> tuple[Running, dict[str, object]]:
    """The seed-test round begun at any hour from S-30 to S+2, with holidays, and what is known of a grower."""
    started = at(draw(st.integers(-30, 2)), "00:00") + timedelta(minutes=draw(st.integers(0, 47)) * 30)
    holidays = frozenset(draw(st.lists(days(), max_size=6)))
    facts: dict[str, object] = {"plot.sowing": S.isoformat()}
    some = {
        "plot.area": 1000.0,
        "lot.test_day": draw(days()).isoformat(),
        "lot.test_sown": 100,
        "lot.early": 30,
        "lot.origin": draw(st.sampled_from(["bought", "saved"])),
    }
    facts |= {name: value for name, value in some.items() if draw(st.booleans())}
    if draw(st.booleans()):
        other = {
            "lot.origin": "saved",
            **({"lot.test_day": draw(days()).isoformat()} if draw(st.booleans()) else {}),
        }
        first = {name: value for name, value in facts.items() if name.startswith("lot.")}
        facts[BAGS] = ((1, first), (2, other))
    return Running(seed_test(), started.astimezone(UTC), replace(NIGHTS, holidays=holidays)), facts


class TestOfOneDay:
    @given(lives())
    def test_there_is_one_question_about_the_test_of_a_bag(self, life: tuple[Running, dict[str, object]]) -> None:
        """Two bags may be asked about on one day, in two messages, where their tests are at different stages."""
        running, facts = life
        bags = facts.get(BAGS)
        most = 1 if bags is None else 2
        for steps in by_day(silent(running, facts)):
            asked = [step.key for step in steps if step.asks.startswith("seed_test.")]
            assert len(asked) <= most, asked

    @given(lives())
    def test_a_preview_counts_what_the_silent_get(self, life: tuple[Running, dict[str, object]]) -> None:
        running, facts = life
        if not running.quiet.may_send(running.started):
            running = replace(running, started=running.quiet.next_allowed(running.started))

        seen = preview(running, [(facts, lambda _window: 1)], running.started)

        assert seen.messages == len(silent(running, facts))

    @pytest.mark.parametrize("day", range(-15, -8))
    @pytest.mark.parametrize("clock", ["00:00", "06:00", "07:00", "07:59", "08:00", "08:01", "17:00"])
    def test_a_late_start_and_a_reminder_are_one_message(self, day: int, clock: str) -> None:
        """Before S-12, 08:00, the warning would come an hour before the second reminder."""
        running = Running(seed_test(), at(day, clock), NIGHTS)

        first, *later = silent(running, {"plot.sowing": S.isoformat()})

        # in the very minute of a reminder that is the one message
        assert first[1].key in ("late", "too_late") or clock == "08:00"
        same_day = [
            step.key
            for moment, step in later
            if moment.astimezone(ZONE).date() == first[0].astimezone(ZONE).date()
        ]
        assert same_day == []

    def test_a_question_that_a_holiday_puts_off_takes_the_place_of_its_reminder(self) -> None:
        """The count of T+8 comes on the morning of T+9 then, and no reminder two hours later."""
        test = S - timedelta(days=15)
        quiet = replace(NIGHTS, holidays=frozenset({test + timedelta(days=8)}))
        facts = {
            "plot.sowing": S.isoformat(),
            "lot.test_day": test.isoformat(),
            "lot.test_sown": 100,
            "lot.early": 30,
        }

        sent = silent(Running(seed_test(), at(-14, "09:00"), quiet), facts)

        counts = [
            (moment.astimezone(ZONE).date() - test, step.key) for moment, step in sent if "final" in step.key
        ]
        assert counts == [(timedelta(days=9), "final"), (timedelta(days=10), "final_again")]

    def test_a_list_comes_beside_a_question_and_after_it(self) -> None:
        """A test of S-14 is counted on S-6, the day of the list."""
        test = S - timedelta(days=14)
        facts = {
            "plot.sowing": S.isoformat(),
            "plot.area": 1000.0,
            "lot.test_day": test.isoformat(),
            "lot.test_sown": 100,
        }

        sent = silent(Running(seed_test(), at(-13, "09:00"), NIGHTS), facts)

        assert [step.key for moment, step in sent if moment.astimezone(ZONE).date() == S - timedelta(days=6)] == [
            "final",
            "list",
        ]


class TestTwoQuestions:
    def sent(self, *steps: Step) -> list[str]:
        running = Running(Round("demo", steps), at(-1, "09:00"), NIGHTS)
        return [step.key for _, step in silent(running, {"plot.sowing": S.isoformat()})]

    def step(self, key: str, clock: str, asks: str, day: int = 0) -> Step:
        when = OnDay("plot.sowing", day, time.fromisoformat(clock))
        return Step(key, when, timedelta(hours=48), (("en", "Sown?"),), asks=asks)

    def test_about_the_same_come_once_a_day(self) -> None:
        one, other = (
            self.step("one", "08:00", "seed_test.prepare"),
            self.step("other", "17:00", "seed_test.origin"),
        )
        assert self.sent(one, other) == ["one"]

    def test_on_two_days_come_both(self) -> None:
        one, other = (
            self.step("one", "08:00", "seed_test.prepare"),
            self.step("other", "08:00", "seed_test.prepare", 1),
        )
        assert self.sent(one, other) == ["one", "other"]

    def test_about_different_things_come_both(self) -> None:
        one, other = (
            self.step("one", "08:00", "seed_test.prepare"),
            self.step("other", "17:00", "check_stand.where"),
        )
        assert self.sent(one, other) == ["one", "other"]

    def test_beside_a_message_that_asks_nothing_come_both(self) -> None:
        one, other = self.step("one", "08:00", "seed_test.prepare"), self.step("other", "17:00", "")
        assert self.sent(one, other) == ["one", "other"]
