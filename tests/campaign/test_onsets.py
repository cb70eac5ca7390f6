"""What growers of a zone are told of its rain is noted once, whatever is corrected afterwards."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.agronomy.onset_rules import DrySpellRule
from advisor.agronomy.rain import Rain
from advisor.campaign.deciding import Running, next_step
from advisor.campaign.onsets import Sowable, ZoneDays, noted, zone_days
from advisor.campaign.quiet import Quiet
from advisor.campaign.rounds import FALSE_START, ONSET, AgentNote, LateStart, OnDay, Round, Step
from advisor.records.rain_book import Begun

FIRST = date(2026, 11, 20)
RULE = DrySpellRule("x", 20, 3, longest_dry=7, watched=30, dry_under_mm=1)
SOWABLE = Sowable(date(2026, 11, 15), date(2027, 1, 10), 3)


def day(at: int) -> date:
    return FIRST + timedelta(days=at)


class Zone:
    """A zone whose gauge is looked at each day."""

    def __init__(self) -> None:
        self.begun: tuple[Begun, ...] = ()

    def look(self, at: int, *mm: float | None, sowable: Sowable = SOWABLE) -> Zone:
        self.begun = noted(self.begun, Rain(FIRST, mm), RULE, sowable, day(at))
        return self


class TestABeginning:
    def test_is_noted_on_the_day_on_which_the_gauge_is_read(self) -> None:
        assert Zone().look(1, 25).begun == (Begun(noted=day(1), day=day(0)),)

    def test_is_noted_once(self) -> None:
        assert Zone().look(0, 25).look(1, 25, 30).look(2, 25, 30, 30).begun == (Begun(day(0), day(0)),)

    def test_is_not_noted_once_the_soil_is_dry_again_but_on_the_next_rain(self) -> None:
        assert Zone().look(4, 25).begun == ()
        assert Zone().look(4, 25, 0, 0, 0, 20).begun == (Begun(day(4), day(4)),)

    @pytest.mark.parametrize("sowable", [Sowable(day(1), day(40), 3), Sowable(day(-40), day(-1), 3)])
    def test_is_not_noted_before_the_window_opens_or_when_sowing_is_not_safe(self, sowable: Sowable) -> None:
        assert Zone().look(0, 25, sowable=sowable).begun == ()

    def test_of_the_season_before_is_over(self) -> None:
        zone = Zone().look(0, 25)
        next_year = Sowable(date(2027, 11, 15), date(2028, 1, 10), 3)
        begun = noted(zone.begun, Rain(date(2027, 11, 20), (22.0,)), RULE, next_year, date(2027, 11, 20))
        assert [one.noted for one in begun] == [day(0), date(2027, 11, 20)]
        assert begun[0] == zone.begun[0]


class TestAFalseStart:
    def test_is_noted_when_the_dry_spell_is_too_long(self) -> None:
        zone = Zone().look(0, 25).look(7, 25, *[0] * 7)
        assert zone.begun[0].false is None
        assert zone.look(8, 25, *[0] * 8).begun == (Begun(day(0), day(0), None, day(8), day(8)),)

    def test_is_not_noted_while_a_day_was_not_read(self) -> None:
        assert Zone().look(0, 25).look(8, 25, *[0] * 7, None).begun[0].false is None

    def test_is_followed_by_another_beginning_on_new_rain_alone(self) -> None:
        zone = Zone().look(0, 25).look(8, 25, *[0] * 8)
        assert len(zone.look(9, 25, *[0] * 8, 19).begun) == 1
        assert zone.look(10, 25, *[0] * 8, 19, 1).begun[1:] == (Begun(day(10), day(10)),)

    def test_and_the_next_beginning_that_are_read_in_one_go_are_noted_one_after_the_other(self) -> None:
        mm = (25, *[0] * 8, 30)
        zone = Zone().look(0, 25).look(9, *mm)
        assert zone.begun == (Begun(day(0), day(0), None, day(9), day(8)),)
        assert zone.look(10, *mm).begun[1:] == (Begun(day(10), day(9)),)


class TestACorrection:
    def test_of_the_amount_changes_nothing(self) -> None:
        zone = Zone().look(0, 25)
        assert zone.look(0, 40).look(1, 22).begun == (Begun(day(0), day(0)),)

    def test_that_puts_the_rain_to_another_day_changes_nothing(self) -> None:
        zone = Zone().look(1, 25)
        assert zone.look(1, 0).begun[0].doubted == day(1), "between its two readings nothing is said"
        assert zone.look(1, 0, 25).begun == (Begun(day(1), day(0)),)

    def test_that_leaves_nothing_of_it_is_a_false_start_from_the_day_after_on(self) -> None:
        zone = Zone().look(0, 25).look(0, 2.5)
        assert zone.look(1, 2.5, 0).begun == (Begun(day(0), day(0), day(0), day(1), day(0)),)

    def test_that_brings_it_back_does_not_begin_it_again(self) -> None:
        zone = Zone().look(0, 25).look(0, 2.5).look(1, 2.5).look(2, 25, 0, 0)
        assert len(zone.begun) == 1
        assert zone.look(3, 25, 0, 0, 21).begun[1:] == (Begun(day(3), day(3)),), "new rain does"

    def test_of_the_dry_spell_does_not_unsay_the_false_start(self) -> None:
        zone = Zone().look(0, 25).look(8, 25, *[0] * 8)
        assert zone.look(9, 25, 0, 0, 0, 10, *[0] * 5).begun[0].false == day(8)

    @given(
        st.lists(
            st.tuples(st.integers(0, 1), st.lists(st.sampled_from([0.0, 2.0, 21.0]), min_size=1, max_size=30)),
            max_size=12,
        )
    )
    def test_never_takes_back_or_repeats_what_was_noted(self, looks: list[tuple[int, list[float]]]) -> None:
        zone, at = Zone(), 0
        for later, mm in looks:
            at += later
            before = zone.begun
            zone.look(at, *mm[: at + 1])
            assert [one.noted for one in zone.begun][: len(before)] == [one.noted for one in before]
            assert all(new.false == old.false for new, old in zip(zone.begun, before, strict=False) if old.false)
            assert len(zone.begun) <= len(before) + 1
        named = [one.noted for one in zone.begun]
        assert named == sorted(set(named)), "each is known by a day of its own"


NIGHTS = Quiet(ZoneInfo("Etc/GMT-3"), time(20), time(6, 30))
NINE = datetime(2026, 11, 21, 6, tzinfo=UTC)
SOW = Step("sow", OnDay(ONSET, 0, time(7)), timedelta(hours=72), (("en", "Sow"),), unless=("plot.sown",))
WAIT = Step("wait", OnDay(FALSE_START, 0, time(7)), timedelta(hours=72), (("en", "Wait"),))
HERE = {"grower.village": "v1"}


def running(*begun: Begun, notes: tuple[AgentNote, ...] = ()) -> Running:
    days = zone_days("valley", begun)
    rains = () if days is None else (("v1", days),)
    return Running(Round("demo", (SOW, WAIT), notes=notes), NINE - timedelta(days=30), NIGHTS, rains=rains)


class TestAStep:
    def test_waits_for_the_rain_of_its_growers_zone(self) -> None:
        assert next_step(running(), HERE, (), NINE).send is None
        began = running(Begun(day(1), day(0)))
        assert next_step(began, HERE, (), NINE).send is not None
        assert next_step(began, {"grower.village": "v4"}, (), NINE).send is None
        assert next_step(began, {}, (), NINE).send is None

    def test_is_not_sent_at_night_or_once_the_rain_is_long_ago(self) -> None:
        began = running(Begun(day(1), day(0)))
        assert next_step(began, HERE, (), NINE - timedelta(hours=8)).send is None
        assert next_step(began, HERE, (), NINE + timedelta(days=3)).send is None

    def test_comes_once_for_a_beginning_and_again_for_the_next(self) -> None:
        sent = next_step(running(Begun(day(1), day(0))), HERE, (), NINE)
        assert sent.marks == (f"sow.{day(1).toordinal()}",)
        assert next_step(running(Begun(day(1), day(1))), HERE, sent.marks, NINE).send is None
        later = running(Begun(day(1), day(0), None, day(9), day(9)), Begun(day(12), day(12)))
        assert next_step(later, HERE, sent.marks, NINE + timedelta(days=11)).send is not None

    def test_goes_over_to_the_false_start_and_not_to_both(self) -> None:
        false = running(Begun(day(1), day(0), None, day(1), day(1)))
        found = next_step(false, HERE, (), NINE)
        assert found.send is not None
        assert (found.send.step.key, found.merged) == ("wait", ())

    def test_is_held_while_a_correction_leaves_its_beginning_in_doubt(self) -> None:
        assert next_step(running(Begun(day(1), day(0), doubted=day(1))), HERE, (), NINE).send is None

    def test_of_who_has_sown_is_left_out(self) -> None:
        facts = {**HERE, "plot.sown": "2026-11-20"}
        assert next_step(running(Begun(day(1), day(0))), facts, (), NINE).send is None


class TestANoteToAgents:
    RAIN = AgentNote("rain", ONSET, timedelta(hours=48), (("en", "%(growers)s"),), unless=("plot.sown",))
    LATE = AgentNote("late", LateStart("plot.sowing", -20, -6), timedelta(hours=48), (("en", "%(growers)s"),))

    def test_is_of_use_from_the_day_on_which_the_rain_was_noted(self) -> None:
        round_ = running(Begun(day(1), day(0)), notes=(self.RAIN,))
        mark, told_day, until = round_.told(self.RAIN, "valley", NINE) or ("", None, None)
        assert (mark, told_day) == (f"rain.valley.{day(1).toordinal()}", day(0))
        assert until == datetime(2026, 11, 24, 3, 30, tzinfo=UTC)
        assert round_.told(self.RAIN, "hills", NINE) is None
        assert round_.told(self.RAIN, "valley", NINE - timedelta(hours=5)) is None, "nobody is woken"
        assert round_.told(self.RAIN, "valley", NINE + timedelta(days=4)) is None

    def test_that_was_noted_in_the_evening_before_a_holiday_is_told_after_it(self) -> None:
        round_ = running(Begun(day(1), day(0)), notes=(self.RAIN,))
        quiet = replace(round_.quiet, holidays=frozenset({day(2)}))
        morning = datetime.combine(day(3), time(7, 15), round_.quiet.zone)
        assert replace(round_, quiet=quiet).told(self.RAIN, "valley", morning) is not None

    def test_counts_growers_of_the_zone_who_meet_its_conditions(self) -> None:
        round_ = running(Begun(day(1), day(0)), notes=(self.RAIN,))
        assert round_.is_about(self.RAIN, "valley", HERE)
        assert not round_.is_about(self.RAIN, "valley", {**HERE, "plot.sown": "2026-11-20"})
        assert not round_.is_about(self.RAIN, "hills", HERE)

    def test_of_a_late_start_counts_those_for_whom_it_was_late(self) -> None:
        round_ = replace(running(notes=(self.LATE,)), started=NINE)
        days = [NINE.date() + timedelta(days=ahead) for ahead in (21, 20, 6, 5)]
        about = [round_.is_about(self.LATE, "", {"plot.sowing": one.isoformat()}) for one in days]
        assert about == [False, True, True, False]
        assert round_.told(self.LATE, "", NINE) is not None


def test_a_zone_without_a_beginning_has_no_days() -> None:
    assert zone_days("valley", ()) is None
    assert zone_days("valley", (Begun(day(1), day(0)),)) == ZoneDays("valley", day(1), day(0), None)
