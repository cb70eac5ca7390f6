"""Whole answers of the season's calculations, worked out by hand, value by value."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest

from advisor.agronomy.budget_figures import Budget, CostLine, Interest, LoanTerms, Per, budget_of
from advisor.agronomy.labels import Label
from advisor.agronomy.loan import Repayment, instalment, repayment
from advisor.agronomy.rain import MOST_MM, Onset, Rain, onset
from advisor.agronomy.season_calendar import Calendar, Step, Task, TestDay, When, calendar, day_for_test
from advisor.agronomy.season_days import CropDays, Variety, ZoneSeason, variety_of, zone_season
from advisor.agronomy.season_money import (
    InputWorth,
    Outcome,
    SeasonCost,
    SeasonMoney,
    break_even_kg,
    chance_below,
    input_worth,
    outcome,
    season_cost,
    season_money,
    value_cost_ratio,
)
from advisor.agronomy.sow_now import Sow, SowingRain, SowNow, sow_in_zone, sow_now
from advisor.agronomy.sowing_window import Held, Slipped, Window, slip, window_for
from advisor.agronomy.suitability import Question, Reason, Site, SoilLimits, Suitability, suitability

SOWN = date(2026, 11, 20)
DAYS = CropDays(15, 10, 8, 5, 2, 7, 10, (21, 42), 35, 42, 45, 14, 7, 30, 20)
USUAL, QUICK = (
    Variety("usual", "x", Label("usual"), 110, 115),
    Variety("quick", "x", Label("quick"), 85, 90),
)
COSTS = tuple(
    CostLine(per, Label(per), Decimal(amount), per)
    for per, amount in ((Per.FIELD, "200"), (Per.ACRE, "40.46856"), (Per.HECTARE, "500"), (Per.KG, "3"))
)
BUDGET = Budget("z", "x", 500, 1000, 1500, 2200, 0.9, 0.7, Decimal(40), COSTS, 2)
SEASON = ZoneSeason("hills", "x", 319, 10, 105, 1.0, "rule", 30, 3, 2)


def d(amount):
    return Decimal(amount)


class TestMoney:
    def test_of_a_season_comes_out_to_the_coin(self):
        """Two hectares at 40 a kilogram: 5,000 for inputs, 200, 1,000 and 200 for work, 3 a kilogram."""
        assert season_money(BUDGET, 20_000, d(30_000), 0) == SeasonMoney(
            break_even_kg=848.649,
            break_even_kg_per_ha=pytest.approx(424.3245),
            chance_of_loss=0.0,
            low=Outcome(1000, d(40_000), d(34_400), d(35)),
            middle=Outcome(2000, d(80_000), d(37_400), d(19)),
            high=Outcome(3000, d(120_000), d(40_400), d(14)),
            demonstration_kg=4400,
        )

    def test_of_half_a_harvest_on_half_a_hectare_at_a_risk(self):
        """15,000 at 40 a kilogram are 375 kg; the harvest lies between 125 and 375 kg, so all is short."""
        silent = replace(BUDGET, demonstration=None, costs=())

        assert season_money(silent, 5_000, d(15_000), 2, 0.5) == SeasonMoney(
            break_even_kg=375,
            break_even_kg_per_ha=750,
            chance_of_loss=1.0,
            low=Outcome(125, d(5_000), d(15_000), d(120)),
            middle=Outcome(250, d(10_000), d(15_000), d(60)),
            high=Outcome(375, d(15_000), d(15_000), d(40)),
            demonstration_kg=None,
        )
        assert season_money(silent, 10_000, d(30_000), 2).chance_of_loss == 0.125
        assert season_money(replace(silent, grain_price=d(3), costs=COSTS), 1, d(1), 0).chance_of_loss == 1.0

    def test_of_a_field_is_paid_by_field_acre_hectare_and_kilogram(self):
        """40.46856 for an acre of 0.4046856 hectares are 100 for a hectare."""
        cost = season_cost(BUDGET, 20_000, d(7))

        assert (round(cost.before_harvest, 3), cost.per_kg) == (d(7 + 200 + 200 + 1000), d(3))
        assert season_cost(replace(BUDGET, costs=COSTS[3:] * 2), 1, d(0)) == SeasonCost(d(0), d(6))

    def test_of_an_outcome_is_rounded_against_whoever_counts_on_it(self):
        told = outcome(SeasonCost(d("10.5"), d("0.25")), 3.5, d("2.13"), 1)

        assert told == Outcome(3.5, d("7.4"), d("11.4"), d("3.3"))
        assert told.margin == d("-4.0")
        assert outcome(SeasonCost(d(1), d(0)), 0, d(1), 0).break_even_price is None

    def test_that_a_kilogram_leaves_decides_the_break_even(self):
        assert break_even_kg(SeasonCost(d(100), d("39.99")), d(40)) == 10_000
        assert break_even_kg(SeasonCost(d(100), d(40)), d(40)) is None
        assert break_even_kg(SeasonCost(d(1), d(0)), d(3)) == 0.334

    @pytest.mark.parametrize(
        ("value", "chance"), [(1, 0), (2, 0), (3, 1 / 12), (4, 1 / 3), (5, 5 / 8), (6, 5 / 6), (8, 1), (9, 1)]
    )
    def test_of_a_loss_is_the_part_of_a_triangle_from_2_over_4_to_8(self, value, chance):
        """Left of the top its area is (x - 2)² / 12 of it all, right of it all but (8 - x)² / 24."""
        assert chance_below(value, 2, 4, 8) == pytest.approx(chance)

    def test_that_an_input_earns_is_told_at_the_margin_and_of_the_whole(self):
        assert value_cost_ratio(300, 100, d(2), d(50)) == 8
        assert input_worth((300, 250, 100), d(2), (d(50), d(100)), 2) == InputWorth(2, 4, enough=True)
        assert input_worth((300, 251, 100), d(2), (d(50), d(50)), 2) == InputWorth(1.96, 8, enough=False)


TERMS = LoanTerms("l", Label("l"), Interest.FLAT, 0.02, 3, 4)


class TestALoan:
    def test_at_a_flat_rate_costs_interest_of_the_whole_time_on_all_of_it(self):
        """1,000 at 2 % a month over twelve months are 1,240, in four instalments 310."""
        assert instalment(d(1000), TERMS) == 310
        assert repayment(d(1000), TERMS, d(40), d(9), 0) == Repayment(d(310), d(1240), d(240), 10, 40)
        assert repayment(d(1000), TERMS, d(40), d(9), 2).instalment_kg == 10
        assert repayment(d(1001), TERMS, d(40), d(9), 0) == Repayment(d(311), d(1244), d(243), 11, 44)

    def test_on_the_balance_is_an_annuity(self):
        """1,000 at 6 % a period over four periods: 288.59 each (any table of annuities: 0.288591)."""
        balance = replace(TERMS, interest=Interest.ON_BALANCE)

        assert round(instalment(d(1000), balance), 3) == d("288.591")
        assert repayment(d(1000), balance, d(40), d(0), 2) == Repayment(
            d("288.60"), d("1154.40"), d("154.40"), 8, 32
        )
        assert instalment(d(1000), replace(balance, rate_per_month=0)) == 250


def step(task, first, last, day):
    return Step(task, date.fromisoformat(first), date.fromisoformat(last), day)


class TestACalendar:
    def test_of_cool_soil_is_longer_up_to_flowering_and_for_the_seed_test(self):
        """A factor of 1.25: the final count on day 10 and not 8, emergence from day 9, flowering on day 57."""
        assert calendar(SOWN, DAYS, USUAL, 1.25) == Calendar(
            SOWN,
            (
                step(Task.SEED_TEST, "2026-11-03", "2026-11-08", -17),
                step(Task.BUY, "2026-11-13", "2026-11-15", -7),
                step(Task.PICK_UP_INOCULANT, "2026-11-18", "2026-11-20", -2),
                step(Task.SOWING, "2026-11-20", "2026-11-20", 0),
                step(Task.EMERGENCE_CHECK, "2026-11-29", "2026-12-03", 9),
                step(Task.WEEDING, "2026-12-11", "2026-12-11", 21),
                step(Task.WEEDING, "2027-01-01", "2027-01-01", 42),
                step(Task.NODULE_CHECK, "2027-01-03", "2027-01-12", 44),
                step(Task.FLOWERING, "2027-01-16", "2027-01-16", 57),
                step(Task.MATURITY, "2027-03-10", "2027-03-15", 110),
                step(Task.HARVEST, "2027-03-10", "2027-03-29", 110),
                step(Task.DRYING, "2027-03-10", "2027-04-05", 110),
                step(Task.KEEP_SEED, "2027-03-17", "2027-04-05", 117),
            ),
        )
        assert calendar(SOWN, DAYS, USUAL) == calendar(SOWN, DAYS, USUAL, 1)

    def test_buys_by_the_last_day_where_a_test_would_end_after_it(self):
        late = replace(DAYS, test_from=12)

        assert calendar(SOWN, late, USUAL).step(Task.BUY).day == -5

    @pytest.mark.parametrize(
        ("left", "slowed", "when", "count"),
        [
            (18, 1.25, When.EARLY, "2026-11-12"),
            (17, 1.25, When.NOW, "2026-11-13"),
            (15, 1.25, When.NOW, "2026-11-15"),
            (14, 1.25, When.LATE, "2026-11-16"),
            (10, 1.25, When.LATE, "2026-11-20"),
            (9, 1.25, When.TOO_LATE, "2026-11-21"),
        ],
    )
    def test_says_how_a_day_suits_for_the_seed_test(self, left, slowed, when, count):
        today = date.fromordinal(SOWN.toordinal() - left)

        assert day_for_test(today, SOWN, DAYS, slowed) == TestDay(when, left, date.fromisoformat(count))


class TestASlip:
    def test_past_the_last_safe_day_changes_the_variety_and_tells_what_is_too_old(self):
        held = Held(date(2026, 12, 10), (("i1", date(2027, 1, 15)), ("i2", date(2027, 1, 16))), sowing_days=2)

        moved = slip(date(2026, 12, 20), date(2027, 1, 15), DAYS, [USUAL, QUICK], date(2027, 4, 15), held, 1.25)

        assert moved == Slipped(
            calendar=calendar(date(2027, 1, 15), DAYS, QUICK, 1.25),
            days=26,
            retest=True,
            expired=("i1",),
            variety=QUICK,
            changed=True,
            last_safe=date(2027, 2, 4),
        )

    def test_that_no_variety_bears_tells_of_the_quickest(self):
        moved = slip(SOWN, date(2027, 3, 1), DAYS, [USUAL, QUICK], date(2027, 4, 15), Held())

        assert moved == Slipped(
            calendar(date(2027, 3, 1), DAYS, QUICK), 101, False, (), None, False, date(2027, 2, 4)
        )

    def test_of_a_window_that_runs_over_new_year(self):
        """Day 319 is 15 November, day 10 is 10 January, day 105 is 15 April."""
        this = Window(date(2026, 11, 15), date(2027, 1, 10), date(2027, 4, 15))

        assert window_for(SEASON, date(2026, 1, 11)) == window_for(SEASON, date(2027, 1, 10)) == this
        assert window_for(replace(SEASON, closes=319, rains_end=319), date(2026, 11, 15)) == Window(
            date(2026, 11, 15), date(2026, 11, 15), date(2027, 11, 15)
        )


class TestRain:
    def test_has_an_onset_with_what_may_have_been_before_it_and_what_was_not(self, onset_rules):
        """Enough on the 2nd, nothing after it; nobody measured the 20th; enough on the 23rd and rain after it."""
        mm = (0.0, 25.0, *[0.0] * 17, None, 0.0, 0.0, 25.0, *[3.0] * 31)

        assert onset(
            Rain(date(2026, 4, 30), (50.0, *mm)), onset_rules.rule("sahel-1988"), date(2026, 5, 1)
        ) == Onset(
            day=date(2026, 5, 23), earliest=date(2026, 5, 20), false_starts=(date(2026, 5, 2),), unknown_days=1
        )

    def test_to_sow_on_is_summed_over_days_on_end_that_close_with_rain(self):
        window, today = Window(date(2026, 11, 15), date(2027, 1, 10), date(2027, 4, 15)), date(2026, 11, 20)
        needed, safe = SowingRain(30, 3, 2), date(2027, 1, 5)
        rain = Rain(date(2026, 11, 14), (9.0, 9.0, 11.0, 8.0, 4.5, 0.0, 0.0))

        assert sow_now(rain, today, needed, window, safe) == SowNow(Sow.WAIT_FOR_RAIN, 23.5, 6.5, 46)
        assert sow_now(rain, date(2026, 11, 19), needed, window, safe) == SowNow(Sow.WAIT_FOR_RAIN, 28, 2, 47)
        hair = Rain(today, (20 - 4e-7,))
        assert sow_now(hair, today, SowingRain(20, 3, 2), window, safe) == SowNow(Sow.NOW, 20 - 4e-7, 0, 46)
        drizzle = Rain(date(2026, 11, 16), (29.5, 0.0, 0.5, 0.0, 0.0))
        assert sow_now(drizzle, today, needed, window, safe) == SowNow(Sow.NOW, 30, 0, 46)
        dry = Rain(date(2026, 11, 14), (0.0,) * 7)
        assert sow_now(dry, today, needed, window, safe) == SowNow(Sow.WAIT_FOR_RAIN, 0, 30, 46)
        assert sow_now(Rain(today, (MOST_MM,)), today, SowingRain(MOST_MM, 1, 0), window, safe).sow is Sow.NOW

    def test_to_sow_on_in_a_zone_is_that_of_its_season(self):
        """The last safe day of the usual variety is 10 January: the rains end on 15 April, less 95 days."""
        told = sow_in_zone(SEASON, USUAL, DAYS, Rain(date(2027, 1, 8), (40.0,)), date(2027, 1, 10))

        assert told == SowNow(Sow.NOW, 40, 0, 0)


def test_what_is_known_of_a_field_speaks_against_the_crop_or_stays_open():
    worst = Site(soil_ph=None, seems_acid=True, waterlogged=True, last_crop="x", has_buyer=False)

    assert suitability("x", SoilLimits(5.5, 8), worst) == Suitability(
        (Reason.WATERLOGGED, Reason.ACID_SOIL, Reason.SAME_CROP_LAST_YEAR, Reason.NO_MARKET), ()
    )
    assert suitability("x", SoilLimits(5.5, 8), replace(worst, soil_ph=9)).reasons[1] is Reason.ALKALINE_SOIL
    assert suitability("x", SoilLimits(5.5, 8), Site()) == Suitability((), tuple(Question))


def test_figures_of_a_zone_and_a_crop_are_those_of_both():
    """Each of the two alone is not enough."""
    others = [replace(BUDGET, zone="y"), replace(BUDGET, crop="w"), BUDGET]
    seasons = [replace(SEASON, zone="coast"), replace(SEASON, crop="w"), SEASON]
    varieties = [replace(USUAL, crop="w"), USUAL, QUICK]

    assert budget_of(others, "x", "z") is BUDGET
    assert zone_season(seasons, "x", "hills") is SEASON
    assert variety_of(varieties, "x") is USUAL
    assert variety_of(varieties, "x", "quick") is QUICK
    assert DAYS.test_warning == 13
    assert BUDGET.harvest == (500, 1000, 1500)
