"""What the season's calculations refuse, in full: name, value, allowed range and unit, or the whole sentence."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal

import pytest

from advisor.agronomy.budget_figures import Budget, CostLine, Interest, LoanTerms, Per, budget_of
from advisor.agronomy.errors import CannotBe, MissingFigure, OutOfRange
from advisor.agronomy.labels import Label
from advisor.agronomy.loan import instalment, repayment
from advisor.agronomy.money import MOST_MONEY
from advisor.agronomy.rain import MOST_MM, Rain, false_start_share, onset
from advisor.agronomy.season_calendar import calendar, day_for_test, days_after
from advisor.agronomy.season_days import CropDays, Variety, variety_of, zone_season
from advisor.agronomy.season_money import (
    SeasonCost,
    break_even_kg,
    break_even_price,
    chance_below,
    input_worth,
    outcome,
    season_cost,
    season_money,
    value_cost_ratio,
)
from advisor.agronomy.sow_now import SowingRain, sow_now
from advisor.agronomy.sowing_window import Held, Window, day_of_year, last_safe_sowing, likely_sowing, slip
from advisor.agronomy.suitability import Site, SoilLimits, suitability

DAY = date(2026, 11, 20)
DAYS = CropDays(15, 10, 8, 5, 2, 7, 10, (21, 42), 35, 42, 45, 14, 7, 30, 20)
USUAL = Variety("v", "x", Label("v"), 110, 115)
WINDOW = Window(date(2026, 11, 15), date(2027, 1, 10), date(2027, 4, 15))
COSTS = (CostLine("plough", Label("plough"), Decimal(10), Per.FIELD),)
BUDGET = Budget("z", "x", 500, 1000, 1500, 2200, 0.9, 0.7, Decimal(40), COSTS, 2)
COST, ONE, NONE = SeasonCost(Decimal(100), Decimal(3)), Decimal(1), Decimal(0)
TERMS = LoanTerms("l", Label("l"), Interest.FLAT, 0.03, 6, 2)
COUNTED = 1e12


def sown(mm, within, moist):
    return sow_now(Rain(DAY, (1.0,)), DAY, SowingRain(mm, within, moist), WINDOW, WINDOW.closes)


def borrowed(**terms):
    return instalment(ONE, replace(TERMS, **terms))


@pytest.mark.parametrize(
    ("call", "name", "value", "low", "high", "unit"),
    [
        (lambda: season_cost(BUDGET, 0, ONE), "area", 0, "above 1e-9", "below 1e9", "m2"),
        (lambda: season_cost(BUDGET, 1, Decimal(-1)), "inputs", -1, 0, MOST_MONEY, "money"),
        (lambda: break_even_kg(COST, NONE), "price of grain", 0, "above 1e-9", MOST_MONEY, "money"),
        (lambda: break_even_price(COST, -1, 2), "quantity", -1, 0, COUNTED, "1"),
        (lambda: break_even_price(COST, 1, 3), "decimals", 3, 0, 2, "1"),
        (lambda: outcome(COST, 1, NONE, 2), "price of grain", 0, "above 1e-9", MOST_MONEY, "money"),
        (lambda: outcome(COST, -1, ONE, 2), "quantity", -1, 0, COUNTED, "1"),
        (lambda: season_money(BUDGET, 1, ONE, 0, -0.5), "part of harvest", -0.5, 0, 1, "1"),
        (lambda: season_money(BUDGET, 1, ONE, 0, 1.5), "part of harvest", 1.5, 0, 1, "1"),
        (lambda: chance_below(2, 4, 3, 3), "low", 4, -1e300, 3, "1"),
        (lambda: chance_below(2, 1, 0, 3), "peak", 0, 1, 3, "1"),
        (lambda: chance_below(2, 1, 4, 3), "peak", 4, 1, 3, "1"),
        (lambda: chance_below(float("inf"), 1, 2, 3), "value", float("inf"), -1e300, 1e300, "1"),
        (lambda: chance_below(-float("inf"), 1, 2, 3), "value", -float("inf"), -1e300, 1e300, "1"),
        (lambda: chance_below(2, 1, 2, float("inf")), "high", float("inf"), -1e300, 1e300, "1"),
        (lambda: chance_below(2, 1, 2, -float("inf")), "high", -float("inf"), -1e300, 1e300, "1"),
        (lambda: value_cost_ratio(1, 0, NONE, ONE), "price of grain", 0, "above 1e-9", MOST_MONEY, "money"),
        (lambda: value_cost_ratio(1, 0, ONE, NONE), "cost of the input", 0, "above 1e-9", MOST_MONEY, "money"),
        (lambda: value_cost_ratio(1, -1, ONE, ONE), "quantity", -1, 0, COUNTED, "1"),
        (
            lambda: input_worth((3, 2, 1), ONE, (NONE, ONE), 2),
            *("cost of the input", 0, "above 1e-9", MOST_MONEY, "money"),
        ),
        (
            lambda: input_worth((3, 2, 1), ONE, (ONE, NONE), 2),
            *("cost of the package", 0, "above 1e-9", MOST_MONEY, "money"),
        ),
        (lambda: input_worth((3, 2, 1), ONE, (ONE, ONE), 0.5), "ratio that is enough", 0.5, 1, 100, "1"),
        (lambda: input_worth((3, 2, 1), ONE, (ONE, ONE), 101), "ratio that is enough", 101, 1, 100, "1"),
        (lambda: instalment(NONE, TERMS), "loan", 0, "above 1e-9", MOST_MONEY, "money"),
        (lambda: borrowed(rate_per_month=-0.5), "rate", -0.5, 0, 1, "1/month"),
        (lambda: borrowed(rate_per_month=1.5), "rate", 1.5, 0, 1, "1/month"),
        (lambda: borrowed(months_apart=0), "months between instalments", 0, 1, 60, "month"),
        (lambda: borrowed(months_apart=61), "months between instalments", 61, 1, 60, "month"),
        (lambda: borrowed(instalments=0), "instalments", 0, 1, 60, "1"),
        (lambda: borrowed(instalments=61), "instalments", 61, 1, 60, "1"),
        (
            lambda: repayment(ONE, TERMS, NONE, NONE, 0),
            *("price of grain", 0, "above 1e-9", MOST_MONEY, "money"),
        ),
        (lambda: repayment(ONE, TERMS, ONE, -ONE, 0), "cost of a kilogram", -1, 0, MOST_MONEY, "money"),
        (lambda: calendar(DAY, DAYS, USUAL, 0.5), "slowed by", 0.5, 1, 3, "1"),
        (lambda: calendar(DAY, DAYS, USUAL, 3.5), "slowed by", 3.5, 1, 3, "1"),
        (lambda: day_for_test(DAY, DAY, DAYS, 0.5), "slowed by", 0.5, 1, 3, "1"),
        (lambda: day_for_test(DAY, DAY, DAYS, 3.5), "slowed by", 3.5, 1, 3, "1"),
        (lambda: day_for_test(DAY, DAY - timedelta(1), DAYS), "days to sowing", -1, 0, 732, "day"),
        (lambda: day_for_test(DAY, DAY + timedelta(733), DAYS), "days to sowing", 733, 0, 732, "day"),
        (lambda: day_of_year(2027, 0), "day of year", 0, 1, 365, "day"),
        (lambda: day_of_year(2027, 366), "day of year", 366, 1, 365, "day"),
        (lambda: day_of_year(1899, 1), "year", 1899, 1900, 2200, "1"),
        (lambda: day_of_year(2201, 1), "year", 2201, 1900, 2200, "1"),
        (
            lambda: slip(DAY, DAY, DAYS, [USUAL], WINDOW.rains_end, Held(sowing_days=0)),
            *("sowing days", 0, 1, 365, "day"),
        ),
        (
            lambda: slip(DAY, DAY, DAYS, [USUAL], WINDOW.rains_end, Held(sowing_days=366)),
            *("sowing days", 366, 1, 365, "day"),
        ),
        (lambda: Rain(DAY, (1.0, -1.0)), "rain", -1, 0, MOST_MM, "mm"),
        (lambda: Rain(DAY, (None, MOST_MM + 1)), "rain", MOST_MM + 1, 0, MOST_MM, "mm"),
        (lambda: Rain(date(1799, 12, 31), ()), "year of the first day", 1799, 1800, 2200, "1"),
        (lambda: Rain(date(2201, 1, 1), ()), "year of the first day", 2201, 1800, 2200, "1"),
        (lambda: sown(0, 3, 2), "sowing rain", 0, "above 0", MOST_MM, "mm"),
        (lambda: sown(MOST_MM + 1, 3, 2), "sowing rain", MOST_MM + 1, "above 0", MOST_MM, "mm"),
        (lambda: sown(30, 0, 2), "days of sowing rain", 0, 1, 30, "day"),
        (lambda: sown(30, 31, 2), "days of sowing rain", 31, 1, 30, "day"),
        (lambda: sown(30, 3, -1), "moist days", -1, 0, 30, "day"),
        (lambda: sown(30, 3, 31), "moist days", 31, 0, 30, "day"),
        (lambda: suitability("x", SoilLimits(5.5, 8), Site(soil_ph=1)), "soil pH", 1, 2, 12, "pH"),
        (lambda: suitability("x", SoilLimits(5.5, 8), Site(soil_ph=13)), "soil pH", 13, 2, 12, "pH"),
    ],
)
def test_a_value_outside_its_range_is_refused_with_the_range(call, name, value, low, high, unit):
    with pytest.raises(OutOfRange) as refused:
        call()

    error = refused.value
    assert (error.name, error.value, error.low, error.high, error.unit) == (name, value, low, high, unit)


@pytest.mark.parametrize(
    "call",
    [
        lambda: borrowed(rate_per_month=1.0, months_apart=60, instalments=60),
        lambda: borrowed(rate_per_month=0, months_apart=1, instalments=1),
        lambda: input_worth((3, 2, 1), ONE, (ONE, ONE), 1),
        lambda: input_worth((3, 2, 1), ONE, (ONE, ONE), 100),
        lambda: season_money(BUDGET, 1, NONE, 0, 0),
        lambda: season_money(BUDGET, 1, NONE, 2, 1),
        lambda: calendar(DAY, DAYS, USUAL, 1),
        lambda: calendar(DAY, DAYS, USUAL, 3),
        lambda: day_for_test(DAY, DAY, DAYS, 3),
        lambda: day_of_year(1900, 1),
        lambda: day_of_year(2200, 365),
        lambda: slip(DAY, DAY, DAYS, [USUAL], WINDOW.rains_end, Held(sowing_days=365)),
        lambda: Rain(date(1800, 1, 1), (0.0, MOST_MM)),
        lambda: Rain(date(2200, 12, 31), ()),
        lambda: sown(0.001, 1, 0),
        lambda: sown(MOST_MM, 30, 30),
        lambda: suitability("x", SoilLimits(5.5, 8), Site(soil_ph=2)),
        lambda: suitability("x", SoilLimits(5.5, 8), Site(soil_ph=12)),
    ],
)
def test_the_edges_themselves_are_allowed(call):
    assert call() is not None


@pytest.mark.parametrize(
    ("call", "name", "said"),
    [
        (
            lambda: input_worth((3, 2, 1), ONE, (Decimal(2), ONE), 2),
            "package_below_input",
            "a package for 1 cannot hold an input for 2: give the cost of the whole package with the input",
        ),
        (
            lambda: repayment(ONE, TERMS, Decimal(3), Decimal(3), 0),
            "grain_pays_nothing",
            "grain for 3 a kilogram that costs 3 to sell pays nothing back: "
            "ask for a better price, or do not borrow for this crop",
        ),
        (
            lambda: calendar(date.min, DAYS, USUAL),
            "date",
            "a season cannot be counted from 0001-01-01: give a date of this season",
        ),
        (
            lambda: day_for_test(date.max, date.max, DAYS),
            "date",
            "a season cannot be counted from 9999-12-31: give a date of this season",
        ),
        (
            lambda: last_safe_sowing(date.min, USUAL, DAYS),
            "date",
            "a season cannot be counted from 0001-01-01: give a date of this season",
        ),
        (
            lambda: slip(DAY, date.max, DAYS, [USUAL], WINDOW.rains_end, Held(sowing_days=2)),
            "date",
            "a season cannot be counted from 9999-12-31: give a date of this season",
        ),
        (
            lambda: slip(DAY, DAY, DAYS, [], WINDOW.rains_end, Held()),
            "no_variety",
            "there is no variety to sow: add a variety to the programme file",
        ),
        (
            lambda: likely_sowing(WINDOW, date(2027, 1, 11)),
            "window_closed",
            "the window closed on 2027-01-10: plan for the next window",
        ),
        (
            lambda: onset(Rain(DAY, (1.0,)), None, DAY + timedelta(1)),
            "no_rain_series",
            "there is no rain measured from 2026-11-21 on: give daily rain from that day on",
        ),
        (
            lambda: false_start_share([], None),
            "no_season",
            "there is no past season to count: give daily rain of at least one season",
        ),
    ],
)
def test_what_contradicts_itself_is_refused_with_what_to_do(call, name, said):
    with pytest.raises(CannotBe) as refused:
        call()

    assert (refused.value.name, str(refused.value)) == (name, said)


@pytest.mark.parametrize(
    ("call", "said"),
    [
        (
            lambda _: budget_of([BUDGET], "x", "hills"),
            "no figure budget of x in hills: add a [[budgets]] table to the programme file",
        ),
        (
            lambda _: zone_season([], "pea", "hills"),
            "no figure season of pea in hills: add a [[seasons]] table to the programme file",
        ),
        (
            lambda _: variety_of([USUAL], "pea"),
            "no figure variety of pea: add a [[varieties]] table with days to maturity to the programme file",
        ),
        (
            lambda _: variety_of([USUAL], "x", "w"),
            "no figure variety w of x: add a [[varieties]] table with days to maturity to the programme file",
        ),
        (
            lambda programme: programme.plan("teff"),
            "no figure crops.teff: add the crop to the programme file",
        ),
        (
            lambda programme: programme.crop_label("teff"),
            "no figure crops.teff: add the crop to the programme file",
        ),
        (
            lambda programme: programme.seed("teff"),
            "no figure seed of teff: add a seed product of that crop to the programme file",
        ),
        (
            lambda programme: programme.inoculant("teff"),
            "no figure inoculant of teff: add an inoculant of that crop's strain to the programme file",
        ),
    ],
)
def test_a_figure_that_is_not_there_is_named_with_where_it_belongs(programme, call, said):
    with pytest.raises(MissingFigure) as missing:
        call(programme)

    assert str(missing.value) == said


def test_days_are_counted_over_a_leap_day_and_back():
    assert days_after(date(2028, 2, 28), 2) == date(2028, 3, 1)
    assert days_after(date(2028, 3, 1), -2) == date(2028, 2, 28)


@pytest.mark.parametrize("amounts", [(Decimal("NaN"), ONE), (ONE, Decimal("NaN")), (Decimal("Infinity"), ONE)])
def test_costs_that_are_no_numbers_are_refused_as_any_other(amounts):
    with pytest.raises(OutOfRange):
        input_worth((3, 2, 1), ONE, amounts, 2)
