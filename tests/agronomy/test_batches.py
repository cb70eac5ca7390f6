"""Batches of treated seed: what the people present can sow while the bacteria live, and never over noon."""

from __future__ import annotations

from math import ceil

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.agronomy.batches import PartOfDay, batch_plan, people_for_batch, time_to_sow_s
from advisor.agronomy.errors import CannotBe, OutOfRange
from advisor.agronomy.inoculation_figures import Handling, Inoculation, LifeStarts, SowingWindow
from advisor.agronomy.units import ACRE_M2

HOUR_S = 3600


def handled(drying_h=1.0, life_h=2.0, starts=LifeStarts.MIXED):
    return Handling(drying_h * HOUR_S, life_h * HOUR_S, starts, 0.4, 30, 0.25)


def hours(morning=(6.5, 10.0), evening=(16.0, 18.5), by_one_m2_per_h=75.0):
    windows = (SowingWindow(*(hour * HOUR_S for hour in window)) for window in (morning, evening))
    return Inoculation(*windows, by_one_m2_per_h / HOUR_S)


def planned(area_m2=ACRE_M2, seed_kg=20.0, people=5, sowing=None, handling=None, dose=5.0, water=2.0):
    return batch_plan(area_m2, seed_kg, people, sowing or hours(), handling or handled(), dose, water)


def over_all(plan, what):
    return sum(what(each.batch) * each.batches * (each.last_day - each.first_day + 1) for each in plan.sessions)


plots = st.floats(50, 80_000)
rates = st.floats(0.001, 0.03)
peoples = st.integers(1, 40)
clocks = st.builds(
    lambda drying, left, starts: handled(drying, left + (drying if starts is LifeStarts.MIXED else 0), starts),
    st.floats(0, 3),
    st.floats(0.25, 30),
    st.sampled_from(LifeStarts),
)
windows = st.builds(
    lambda start, morning, evening, by_one: hours(
        (start, start + morning), (18 - evening, 18), by_one_m2_per_h=by_one
    ),
    st.floats(4, 8),
    st.floats(0.5, 4),
    st.floats(0.5, 4),
    st.floats(20, 400),
)
plans = st.builds(
    lambda area_m2, rate, people, sowing, handling: (
        planned(area_m2, area_m2 * rate, people, sowing, handling),
        (area_m2, area_m2 * rate, people, sowing, handling),
    ),
    plots,
    rates,
    peoples,
    windows,
    clocks,
)


class TestABatch:
    @given(plans)
    def test_is_sown_up_while_the_bacteria_live(self, case):
        plan, (*_, handling) = case

        for session in plan.sessions:
            for mixed_s, dry_s, sown_up_s in session.times_s():
                starts_s = mixed_s if handling.life_starts is LifeStarts.MIXED else dry_s
                assert dry_s - mixed_s == pytest.approx(handling.drying_s, abs=1e-3)
                assert sown_up_s - starts_s <= handling.life_s + 1e-3

    @given(plans)
    def test_never_outlives_its_window_so_none_waits_over_noon_or_night(self, case):
        plan, (_, _, _, sowing, _) = case
        window_of = {PartOfDay.MORNING: sowing.morning, PartOfDay.EVENING: sowing.evening}

        for session in plan.sessions:
            window = window_of[session.part_of_day]
            assert session.sown_s == window.from_s
            assert session.times_s()[-1][2] <= window.to_s + 1e-3
        assert sowing.morning.to_s <= 12 * HOUR_S <= sowing.evening.from_s

    @given(plans)
    def test_is_no_more_than_the_people_present_can_sow(self, case):
        plan, (_, _, people, sowing, _) = case

        for session in plan.sessions:
            by_people_m2 = people * sowing.person_m2_per_s * session.batch.lasts_s
            assert session.batch.area_m2 == pytest.approx(by_people_m2)

    @given(plans)
    def test_is_as_large_as_the_clock_allows_one_fewer_in_a_window_would_die(self, case):
        plan, (*_, handling) = case

        for session in plan.sessions:
            if session.batches > 1:
                fewer_s = session.batch.lasts_s * session.batches / (session.batches - 1)
                assert fewer_s > time_to_sow_s(handling) - 1e-2

    def test_of_an_hour_for_five_people_is_not_the_recipe_for_15_kg(self):
        batch = planned().sessions[0].batch

        assert batch.lasts_s == 3.5 / 4 * HOUR_S
        assert batch.seed_kg == pytest.approx(5 * 75 * 3.5 / 4 * 20 / ACRE_M2)
        assert batch.seed_kg < 2

    def test_is_twice_as_long_where_life_starts_when_the_seed_is_dry(self):
        assert planned(handling=handled(starts=LifeStarts.DRY)).sessions[0].batch.lasts_s == 1.75 * HOUR_S

    def test_for_more_people_is_larger_and_there_are_fewer(self):
        few, many = planned(people=2), planned(people=20)

        assert many.sessions[0].batch.seed_kg > few.sessions[0].batch.seed_kg
        assert (many.batches, many.days) < (few.batches, few.days)


class TestAPlan:
    @given(plans)
    def test_treats_the_seed_of_the_plot_and_no_more(self, case):
        plan, (area_m2, seed_kg, *_) = case

        assert over_all(plan, lambda batch: batch.seed_kg) == pytest.approx(seed_kg)
        assert over_all(plan, lambda batch: batch.area_m2) == pytest.approx(area_m2)
        assert over_all(plan, lambda batch: batch.inoculant_g) == pytest.approx(seed_kg * 5)
        assert over_all(plan, lambda batch: batch.water_ml) == pytest.approx(seed_kg * 2)
        assert sum(plan.uses_g) == pytest.approx(seed_kg * 5)

    @given(plans)
    def test_takes_the_days_that_the_work_takes(self, case):
        plan, (area_m2, _, people, sowing, _) = case
        day_m2 = people * sowing.person_m2_per_s * (sowing.morning.length_s + sowing.evening.length_s)

        assert plan.days == len(plan.uses_g) == plan.sessions[-1].last_day
        assert plan.days - 1 < area_m2 / day_m2 + 1e-6
        assert area_m2 / day_m2 <= plan.days + 1e-6
        assert all(use > 0 for use in plan.uses_g)

    @given(plots, rates, peoples, st.floats(1, 4))
    def test_of_a_larger_plot_never_has_fewer_batches_or_days(self, area_m2, rate, people, times):
        small = planned(area_m2, area_m2 * rate, people)
        large = planned(area_m2 * times, area_m2 * times * rate, people)

        assert (small.batches, small.days) <= (large.batches, large.days)

    @given(plans)
    def test_has_at_most_four_lines_in_order_with_all_batches_counted(self, case):
        plan, _ = case
        spans = [(each.first_day, each.last_day, each.part_of_day is PartOfDay.EVENING) for each in plan.sessions]

        assert 1 <= len(spans) <= 4
        assert spans == sorted(spans)
        assert plan.batches == over_all(plan, lambda _: 1)

    def test_of_an_acre_for_five_people_in_full(self):
        """Five people sow 375 m² an hour: a day and 79.9 % of the next, 4.79 hours of it."""
        plan = planned()
        told = [
            (each.first_day, each.last_day, each.part_of_day, each.batches, each.batch.lasts_s / HOUR_S)
            for each in plan.sessions
        ]

        rest_h = (ACRE_M2 - 2250) / 375 - 3.5
        assert told == [
            (1, 1, PartOfDay.MORNING, 4, 3.5 / 4),
            (1, 1, PartOfDay.EVENING, 3, pytest.approx(2.5 / 3)),
            (2, 2, PartOfDay.MORNING, 4, 3.5 / 4),
            (2, 2, PartOfDay.EVENING, 2, pytest.approx(rest_h / 2)),
        ]
        assert plan.sessions[3].batch.area_m2 == pytest.approx(rest_h * 375 / 2)
        assert plan.uses_g == pytest.approx((2250 / ACRE_M2 * 100, (1 - 2250 / ACRE_M2) * 100))
        assert (plan.batches, plan.days) == (13, 2)

    def test_of_a_large_plot_tells_its_full_days_in_one_line(self):
        plan = planned(3.1 * 2250, 31)

        assert [(each.first_day, each.last_day, each.batches) for each in plan.sessions] == [
            (1, 3, 4),
            (1, 3, 3),
            (4, 4, 1),
        ]
        assert (plan.batches, plan.days) == (22, 4)
        assert plan.uses_g == pytest.approx((50, 50, 50, 5))

    def test_tells_when_each_batch_is_mixed_sown_and_sown_up(self):
        morning = planned(handling=handled(drying_h=0.5, life_h=2.25)).sessions[0]

        assert [tuple(time_s / HOUR_S for time_s in times) for times in morning.times_s()] == [
            (6, 6.5, 8.25),
            (7.75, 8.25, 10),
        ]

    def test_of_seed_that_dries_over_night_is_mixed_on_the_evening_before(self):
        first = planned(handling=handled(drying_h=9, life_h=30)).sessions[0]

        assert (first.mixed_s, first.sown_s) == (-2.5 * HOUR_S, 6.5 * HOUR_S)

    def test_of_exactly_two_days_begins_no_third(self):
        day_m2 = 5 * 75 * 6

        for area_m2 in (2 * day_m2 * (1 + 1e-12), 2 * day_m2, 2 * day_m2 * (1 - 1e-12)):
            plan = planned(area_m2, 20)
            assert (plan.days, len(plan.sessions)) == (2, 2)
            assert plan.uses_g == pytest.approx((50, 50))
        assert (planned(day_m2, 20).days, planned(day_m2, 20).uses_g) == (1, (pytest.approx(100),))
        assert planned(2 * day_m2 + 1, 20).days == 3

    def test_of_less_than_a_morning_leaves_the_evening_free(self):
        (session,) = planned(5 * 75 * 3.5, 6).sessions

        assert (session.part_of_day, session.batches) == (PartOfDay.MORNING, 4)
        assert len(planned(5 * 75 * 3.5 + 1, 6).sessions) == 2

    def test_can_do_without_a_window_that_is_empty(self):
        no_evening = planned(sowing=hours(evening=(16, 16)))

        assert {each.part_of_day for each in no_evening.sessions} == {PartOfDay.MORNING}
        a_second = planned(sowing=hours(evening=(16, 16 + 1 / HOUR_S)))
        assert [each.part_of_day for each in a_second.sessions[:2]] == [PartOfDay.MORNING, PartOfDay.EVENING]
        assert no_evening.days == ceil(ACRE_M2 / (5 * 75 * 3.5))

    def test_says_what_must_be_said(self):
        assert {"treat_only_the_batch", "inoculant_in_shade", "follow_the_pack"} <= set(planned().cautions)


class TestTheClocks:
    @pytest.mark.parametrize("life_h", [0.5, 1.0])
    def test_seed_that_is_dead_when_it_is_dry_is_refused(self, life_h):
        with pytest.raises(CannotBe, match="is dead when dry: use the times on the pack"):
            time_to_sow_s(handled(drying_h=1, life_h=life_h))

    def test_a_second_of_life_is_a_second_to_sow(self):
        assert time_to_sow_s(handled(drying_h=1, life_h=1 + 1 / HOUR_S)) == pytest.approx(1)
        assert time_to_sow_s(handled(drying_h=1, life_h=0.5, starts=LifeStarts.DRY)) == HOUR_S / 2


class TestPeopleForARecipe:
    @given(st.floats(0.1, 100), rates, st.floats(0.005, 0.1), st.floats(600, 90_000))
    def test_so_many_sow_it_in_time_and_one_fewer_does_not(self, seed_kg, rate, by_one, time_s):
        people = people_for_batch(seed_kg, rate, by_one, time_s)
        sown_kg = by_one * time_s * rate

        assert people * sown_kg >= seed_kg * (1 - 1e-5)
        assert people == 1 or (people - 1) * sown_kg < seed_kg

    @pytest.mark.parametrize("arguments", [(0, 1, 1, 1), (1, 0, 1, 1), (1, 1, 0, 1), (1, 1, 1, 0)])
    def test_what_cannot_be_is_refused(self, arguments):
        with pytest.raises(OutOfRange):
            people_for_batch(*arguments)


@pytest.mark.parametrize(
    "absurd",
    [
        {"area_m2": 0},
        {"area_m2": float("nan")},
        {"seed_kg": -1},
        {"people": 0},
        {"people": 1001},
        {"dose": 0},
        {"water": 0},
        {"sowing": hours(by_one_m2_per_h=0)},
        {"sowing": hours(morning=(6, 6), evening=(16, 16))},
    ],
)
def test_what_cannot_be_is_refused(absurd):
    with pytest.raises(OutOfRange):
        planned(**absurd)
