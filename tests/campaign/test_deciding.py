"""Laws of a round: nothing twice, nothing at night, nothing too late, whatever the clock does."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.campaign.deciding import Decision, Running, next_at, next_step
from advisor.campaign.quiet import Quiet
from advisor.campaign.rounds import After, OnDay, Round, Step

NOW = datetime(2027, 3, 1, 9, tzinfo=UTC)
HOUR = timedelta(hours=1)
SOWING = "plot.sowing_day"
NIGHTS = Quiet(ZoneInfo("Etc/GMT-3"), time(20), time(6, 30))
TEXTS = (("en", "Sort your seed"), ("sw", "Chagua mbegu"))


def step(key: str, when: After | OnDay, **more: object) -> Step:
    return Step(key, when, **{"good_for": 24 * HOUR, "texts": TEXTS, **more})


def running(*steps: Step, started: datetime = NOW, quiet: Quiet = NIGHTS) -> Running:
    return Running(Round("demo", steps), started, quiet)


#: A series of the kind that a season has: from a sowing date, from the start, and one that comes three times.
SEASON = (
    step("ask", OnDay(SOWING, -21, time(8))),
    step("sort", OnDay(SOWING, -16, time(17)), good_for=48 * HOUR),
    step("hello", After(0), good_for=2 * HOUR),
    step("remind", OnDay(SOWING, -14, time(8)), times=3, every_days=2, unless=("lot.test",)),
    step("night", OnDay(SOWING, -12, time(1, 30)), good_for=6 * HOUR),
)
ZONES = {
    "Etc/GMT-3": date(2027, 3, 1),
    "Europe/London": date(2027, 3, 28),
    "America/Sao_Paulo": date(2018, 11, 4),
    "Australia/Lord_Howe": date(2027, 4, 4),
}


@st.composite
def lives(draw: st.DrawFn) -> tuple[Running, list[datetime], list[dict[str, object]]]:
    """A round, moments at which a grower is looked at in no order, and what is known at each of them."""
    name = draw(st.sampled_from(sorted(ZONES)))
    change = ZONES[name]
    quiet = Quiet(
        ZoneInfo(name),
        draw(st.sampled_from([time(20), time(22, 15), time(0)])),
        draw(st.sampled_from([time(6, 30), time(1, 45), time(0)])),
        draw(st.sampled_from([frozenset(), frozenset({change})])),
    )
    begun = datetime.combine(change, time(0), UTC) - timedelta(days=12)
    round_ = Running(Round("demo", SEASON), begun, quiet)
    halves = draw(st.lists(st.integers(-4, 48 * 24), min_size=1, max_size=60))
    sowing = change + timedelta(days=draw(st.integers(8, 22)))
    known = [
        {SOWING: (sowing + timedelta(days=moved)).isoformat(), **({"lot.test": (45, 50)} if tested else {})}
        for moved, tested in draw(
            st.lists(st.tuples(st.integers(0, 3), st.booleans()), min_size=len(halves), max_size=len(halves))
        )
    ]
    return round_, [begun + timedelta(minutes=30 * half) for half in halves], known


@given(lives())
def test_no_occurrence_is_ever_sent_twice_whichever_way_the_clock_goes(
    life: tuple[Running, list[datetime], list[dict[str, object]]],
) -> None:
    round_, moments, known = life
    passed: tuple[str, ...] = ()
    sent: list[str] = []
    for now, facts in zip(moments, known, strict=True):
        decision = next_step(round_, facts, passed, now)
        assert not set(decision.marks) & set(passed), "what is done with never comes again"
        assert len(set(decision.marks)) == len(decision.marks)
        if decision.send is not None:
            sent.append(decision.send.mark)
        passed = (*passed, *decision.marks)
    assert len(sent) == len(set(sent))


@given(lives())
def test_nothing_is_sent_at_night_on_a_holiday_too_early_or_too_late(
    life: tuple[Running, list[datetime], list[dict[str, object]]],
) -> None:
    round_, moments, known = life
    for now, facts in zip(moments, known, strict=True):
        decision = next_step(round_, facts, (), now)
        if decision.send is not None:
            assert round_.quiet.may_send(now)
            assert decision.send.since <= now <= decision.send.until
        assert all(window.until < now for window in decision.late)
        if decision.look_at is not None:
            assert decision.look_at > now


@given(lives())
def test_who_looks_when_told_to_misses_nothing_that_could_be_sent(
    life: tuple[Running, list[datetime], list[dict[str, object]]],
) -> None:
    """From the start on, each look at the moment that the one before has named."""
    round_, _, (facts, *_) = life
    passed: tuple[str, ...] = ()
    handled: list[str] = []
    now: datetime | None = round_.started
    while now is not None:
        assert round_.quiet.may_send(now) or not handled, "nobody is told to look at night"
        decision = next_step(round_, facts, passed, now)
        handled += [window.mark for window in (*decision.merged, *([decision.send] if decision.send else []))]
        passed = (*passed, *decision.marks)
        now = decision.look_at

    due = [window for window in round_.windows(facts, ()) if window.until >= round_.started]
    assert sorted(handled) == sorted(window.mark for window in due)


@given(lives())
def test_the_planner_and_the_decision_agree(
    life: tuple[Running, list[datetime], list[dict[str, object]]],
) -> None:
    round_, moments, known = life
    for now, facts in zip(moments, known, strict=True):
        at, decision = next_at(round_, facts, (), now), next_step(round_, facts, (), now)
        if at is None:
            assert (decision.send, decision.look_at) == (None, None)
        elif at == now:
            assert decision.send is not None or decision.look_at is not None
        else:
            assert (decision.send, decision.look_at) == (None, at)


class TestLateSteps:
    def test_what_piled_up_is_sent_as_one_message_the_last(self) -> None:
        round_ = running(step("one", After(0)), step("two", After(60)), step("three", After(60 * 30)))

        decision = next_step(round_, {}, (), NOW + 2 * HOUR)

        assert decision.send is not None
        assert (decision.send.mark, [window.mark for window in decision.merged]) == ("two", ["one"])
        assert decision.marks == ("one~2027-03-01", "two")
        assert decision.look_at == NOW + 30 * HOUR

    def test_what_is_too_late_is_not_sent(self) -> None:
        decision = next_step(running(step("one", After(0))), {}, (), NOW + 25 * HOUR)

        assert (decision.send, decision.marks, decision.look_at) == (None, ("one~2027-03-01",), None)

    def test_what_was_passed_over_is_not_looked_at_again_on_that_day(self) -> None:
        round_ = running(step("one", After(0)))

        assert next_step(round_, {}, ("one~2027-03-01",), NOW + 25 * HOUR) == Decision()

    def test_what_was_passed_over_comes_once_its_day_has_moved(self) -> None:
        """A round that began late, for a sowing that is put off by eight days."""
        begun = datetime(2027, 3, 11, 6, tzinfo=UTC)
        round_ = running(*SEASON, started=begun)
        decision = next_step(round_, {SOWING: "2027-03-21"}, (), begun + HOUR)

        windows = round_.windows({SOWING: "2027-03-29"}, decision.marks)

        assert [window.mark for window in windows] == ["ask", "sort", "remind", "night", "remind.1", "remind.2"]

    def test_it_is_of_use_to_its_last_moment(self) -> None:
        until = NOW + 24 * HOUR

        assert next_step(running(step("one", After(0))), {}, (), until).send is not None

    def test_a_round_that_is_started_late_does_not_catch_up_day_by_day(self) -> None:
        """Ten days before sowing: of what was meant for the weeks before, one message is left."""
        begun = datetime(2027, 3, 11, 6, tzinfo=UTC)
        decision = next_step(running(*SEASON, started=begun), {SOWING: "2027-03-21"}, (), begun + HOUR)

        assert decision.send is not None
        assert decision.send.mark == "hello"
        assert {window.mark for window in decision.late} == {"ask", "sort", "remind", "remind.1", "night"}
        assert [window.mark for window in decision.merged] == ["remind.2"]

    def test_at_night_it_waits_for_the_morning_and_is_marked_then(self) -> None:
        late = datetime(2027, 3, 1, 18, tzinfo=UTC)
        round_ = running(step("one", After(0), good_for=24 * HOUR))

        decision = next_step(round_, {}, (), late)

        assert (decision.send, decision.marks) == (None, ())
        assert decision.look_at == datetime(2027, 3, 2, 3, 30, tzinfo=UTC)


class TestDays:
    def test_without_the_date_that_it_counts_from_a_step_never_comes(self) -> None:
        round_ = running(step("ask", OnDay(SOWING, -21, time(8))))

        assert next_at(round_, {}, (), NOW) is None
        assert next_at(round_, {SOWING: "soon"}, (), NOW) is None
        assert next_at(round_, {SOWING: "0001-01-01"}, (), NOW) is None
        assert next_at(round_, {SOWING: 12}, (), NOW) is None

    def test_when_the_date_moves_what_is_unsent_moves_and_what_was_sent_stays_sent(self) -> None:
        round_ = running(step("ask", OnDay(SOWING, -21, time(8))), step("sort", OnDay(SOWING, -16, time(17))))

        assert next_at(round_, {SOWING: "2027-03-30"}, (), NOW) == datetime(2027, 3, 9, 5, tzinfo=UTC)
        assert next_at(round_, {SOWING: "2027-04-06"}, ("ask",), NOW) == datetime(2027, 3, 21, 14, tzinfo=UTC)

    def test_a_step_that_comes_again_is_a_step_of_its_own_each_time(self) -> None:
        round_ = running(step("remind", OnDay("start", 1, time(8)), times=3, every_days=2))

        assert [window.mark for window in round_.windows({}, ())] == ["remind", "remind.1", "remind.2"]
        assert [window.since.day for window in round_.windows({}, ())] == [2, 4, 6]

    def test_whoever_has_what_is_asked_for_is_not_asked(self) -> None:
        round_ = running(step("remind", After(0), unless=("lot.test",)))

        assert next_at(round_, {"lot.test": (45, 50)}, (), NOW) is None

    @pytest.mark.parametrize("name", sorted(ZONES))
    def test_a_step_each_day_comes_once_a_day_when_clocks_change(self, name: str) -> None:
        quiet = Quiet(ZoneInfo(name), time(0), time(0))
        begun = datetime.combine(ZONES[name], time(12), UTC) - timedelta(days=3)
        round_ = running(
            step("daily", OnDay("start", 0, time(1, 45)), times=6, every_days=1), started=begun, quiet=quiet
        )

        days = [window.since.astimezone(quiet.zone).date() for window in round_.windows({}, ())]

        assert len(set(days)) == 6


def test_texts_are_in_the_language_asked_for_or_the_first() -> None:
    greeting = step("hello", After(0))

    assert [greeting.text(language) for language in ("sw", "fr")] == ["Chagua mbegu", "Sort your seed"]


def test_two_rounds_are_the_same_when_they_say_the_same() -> None:
    one, other = running(step("one", After(0))), running(step("one", After(0)))
    one.windows({}, ())

    assert one == other
    assert replace(one, started=NOW + HOUR) != other


def test_of_two_steps_that_stand_in_for_each_other_the_first_comes_alone() -> None:
    """Which of the two it is follows from what is known; and that may change in between."""
    listed = step("list", After(0), only=("plot.area",), instead_of=("call",))
    call = step("call", After(60), unless=("plot.area",), instead_of=("list",))
    round_ = running(listed, call)

    asked = next_step(round_, {}, (), NOW + 2 * HOUR)
    then = next_step(round_, {"plot.area": 4000.0}, asked.marks, NOW + 3 * HOUR)
    told = next_step(round_, {"plot.area": 4000.0}, (), NOW + 2 * HOUR)

    assert asked.send is not None
    assert asked.send.step.key == "call"
    assert then.send is None
    assert told.send is not None
    assert told.send.step.key == "list"
