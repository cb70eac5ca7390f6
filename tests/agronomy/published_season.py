"""Numbers that others printed on the calendar of a season, the onset of the rains, and money."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal
from importlib.resources import files

from advisor.agronomy.budget_figures import Interest, LoanTerms
from advisor.agronomy.crop import read_crop
from advisor.agronomy.labels import Label
from advisor.agronomy.loan import instalment
from advisor.agronomy.onset_rules import read_onset_rules
from advisor.agronomy.programme_file import read_programme
from advisor.agronomy.rain import Rain, onset
from advisor.agronomy.season_calendar import Task, calendar, day_for_test
from advisor.agronomy.season_days import variety_of, zone_season
from advisor.agronomy.season_money import chance_below, value_cost_ratio
from advisor.agronomy.sources import read_sources
from advisor.agronomy.sowing_window import day_of_year
from tests.agronomy.published import PRACTICE, Check

_DATA, _PROGRAMMES = files("advisor.agronomy") / "data", files("advisor") / "programmes"
_SOURCES = read_sources((_DATA / "sources.toml").read_text("utf-8"))
_CROPS = [read_crop(file.read_text("utf-8"), _SOURCES) for file in (_DATA / "crops").iterdir()]
_CROP = next(crop for crop in _CROPS if crop.key == "soybean")
_ULAMI = read_programme((_PROGRAMMES / "ulami.toml").read_text("utf-8"), _CROPS, _SOURCES)
_RULES = read_onset_rules((_DATA / "onset_rules.toml").read_text("utf-8"), _SOURCES)
_SOWN, _MAY = date(2026, 11, 20), date(2026, 5, 1)

NEW_VISION_WEEDING = "Uganda, New Vision agronomy column, Soya, weeding"
PENN_NODULES = "Pennsylvania State University, Evaluating nodulation, 2020"
PATRIOT = "University of Zimbabwe in The Patriot, Issues to do with soyabean harvesting"
AOSA = "Association of Official Seed Analysts, referee slides, soybean"
ZIMBABWE_MANUAL = "Zimbabwe extension training manual, page 47, planting rains"
ZIMBABWE_SOY = "Zimbabwe farm press, 2020 and 2024, planting rains for soybean"
READING = "University of Reading, Statistical Services Centre, ClimateObject, defaults"
DEKADS = "Dekad rule of AGRHYMET, FAO and FEWS, as worded by AE-project"
CLIMINDVIS = "ClimIndVis, rainy_season_start_sos"
SIVAKUMAR = "M. V. K. Sivakumar, Agricultural and Forest Meteorology 42 (1988), rule from memory"
KAMARA = "Kamara and others, Experimental Agriculture, 2011, P on savanna soils"
INADES_17 = "FAO and INADES, Better Farming Series 17, 1977, groundnut"
ANNUITY = "Table of level instalments, 1 % a month, from memory"
SCIPY_TRIANG = "SciPy 1.17 program, triang"


def sowing_step(task, nth=0, last=False):
    """Days from sowing to the first or last day of a task of the shipped crop and its usual variety."""

    def days():
        season = calendar(_SOWN, _CROP.days, variety_of(_ULAMI.varieties, _CROP.key))
        step = [step for step in season.steps if step.task is task][nth]
        return ((step.last if last else step.first) - _SOWN).days

    return days


def onset_day(rule, *runs, first=_MAY):
    """Day of the series, the first being 1, on which the rains begin; 0 where they do not. Runs are (days, mm)."""

    def day():
        found = onset(Rain(first, tuple(mm for days, mm in runs for _ in range(days))), _RULES.rule(rule), first)
        return 0 if found.day is None else (found.day - first).days + 1

    return day


def ratio(with_kg, without_kg, price, cost):
    return lambda: value_cost_ratio(with_kg, without_kg, Decimal(price), Decimal(cost))


def begins(rule):
    return lambda: dict(_RULES.begins)[rule]


PUBLISHED_SEASON = (
    Check("first weeding, three weeks after planting", sowing_step(Task.WEEDING), 21, 0, NEW_VISION_WEEDING, 21),
    Check("second weeding, three weeks later", sowing_step(Task.WEEDING, 1), 42, 0, NEW_VISION_WEEDING, 42),
    Check("nodules from five weeks after planting", sowing_step(Task.NODULE_CHECK), 35, 0, PENN_NODULES, 35),
    Check("to six weeks", sowing_step(Task.NODULE_CHECK, last=True), 42, 0, PENN_NODULES, 42),
    Check(
        "harvest up to two weeks after the last pods are ripe",
        lambda: sowing_step(Task.HARVEST, last=True)() - sowing_step(Task.MATURITY, last=True)(),
        14,
        0,
        PATRIOT,
        14,
    ),
    Check(
        "final count on day 8",
        lambda: (day_for_test(_SOWN - timedelta(15), _SOWN, _CROP.days).final_count - _SOWN).days + 15,
        8,
        0,
        AOSA,
        8,
    ),
    Check(
        "begins after 10 November",
        lambda: day_of_year(2026, begins("zimbabwe-manual")()).day,
        10,
        0,
        ZIMBABWE_MANUAL,
        10,
    ),
    Check("begins on day 92", begins("two-days-1981"), 92, 0, READING, 92),
    Check("grain of a kg of P, first 20", lambda: ratio(1941.0, 1057.2, 1, 20)(), 44.19, 1e-9, KAMARA),
    Check("second 20", lambda: ratio(2371.5, 1941.0, 1, 20)(), 21.525, 1e-9, KAMARA),
    Check("the same in 254.6 kg of superphosphate", ratio(1941.0, 1057.2, 1, "254.6"), 3.471, 5e-4, KAMARA),
    Check("and the second 254.6 kg, under 2", ratio(2371.5, 1941.0, 1, "254.6"), 1.691, 5e-4, KAMARA),
    Check("150 kg for 75: 40 kg of nuts for 75 kg", ratio(1340, 1300, 1, 75), 0.5333, 1e-4, INADES_17),
    Check("it would pay at a price ratio of 75/40", ratio(1340, 1300, "1.875", 75), 1, 1e-9, INADES_17),
    *(
        Check(
            f"chance below {value} of 200, 400 and 650",
            lambda v=value: chance_below(v, 200, 400, 650),
            chance,
            1e-9,
            SCIPY_TRIANG,
        )
        for value, chance in ((300, 0.1111111111), (400, 0.4444444444), (500, 0.8), (600, 0.9777777778))
    ),
)

COMMON_PRACTICE_SEASON = (
    Check("seed test 15 days before sowing", sowing_step(Task.SEED_TEST), -15, 0, PRACTICE, -15),
    Check("and 10 at the latest", sowing_step(Task.SEED_TEST, last=True), -10, 0, PRACTICE, -10),
    Check("ripe from day 110", sowing_step(Task.MATURITY), 110, 0, PRACTICE, 110),
    Check("to day 115", sowing_step(Task.MATURITY, last=True), 115, 0, PRACTICE, 115),
    Check(
        "25 mm in ten days and 20 in the next twenty",
        onset_day("southern-africa", (9, 0.5), (1, 20.5), (20, 1)),
        10,
        0,
        PRACTICE,
    ),
    Check(
        "soil is wet for soybean from 30 mm on",
        lambda: zone_season(_ULAMI.seasons, _CROP.key, "valley").sowing_mm,
        30,
        0,
        ZIMBABWE_SOY,
        30,
    ),
)

#: The rules are published; the series are made, and each answer is read off the words of its rule by hand.
MADE_SERIES_SEASON = (
    Check(
        "20 mm in three days, nine dry",
        onset_day("zimbabwe-manual", (2, 5), (1, 10), (9, 0), (11, 2)),
        3,
        0,
        ZIMBABWE_MANUAL,
    ),
    Check(
        "20 mm in three days, ten dry",
        onset_day("zimbabwe-manual", (2, 5), (1, 10), (10, 0), (11, 0)),
        0,
        0,
        ZIMBABWE_MANUAL,
    ),
    Check(
        "19.9 mm in three days", onset_day("zimbabwe-manual", (2, 5), (1, 9.9), (30, 1.5)), 0, 0, ZIMBABWE_MANUAL
    ),
    Check(
        "ten dry days after the twentieth do not count",
        onset_day("zimbabwe-manual", (1, 20), (11, 1), (9, 0), (10, 0)),
        1,
        0,
        ZIMBABWE_MANUAL,
    ),
    Check("20 mm in two days, nine dry", onset_day("two-days-1981", (2, 10), (9, 0), (22, 1)), 2, 0, READING),
    Check("ten dry within thirty", onset_day("two-days-1981", (2, 10), (20, 1), (10, 0), (9, 0)), 0, 0, READING),
    Check("ten dry from the twenty-second", onset_day("two-days-1981", (2, 10), (21, 1), (10, 0)), 2, 0, READING),
    Check("20 mm in three days is none in two", onset_day("two-days-1981", (3, 7), (31, 1)), 0, 0, READING),
    Check("25 mm, then 20 in the next two dekads", onset_day("dekads", (10, 2.5), (10, 2), (11, 0)), 1, 0, DEKADS),
    Check("25 mm, then 19.9", onset_day("dekads", (10, 2.5), (10, 1.99), (30, 0)), 0, 0, DEKADS),
    Check("24.9 mm, then plenty", onset_day("dekads", (10, 2.49), (10, 2.5), (11, 2), (10, 1)), 11, 0, DEKADS),
    Check(
        "each of the two has 20 mm",
        onset_day("each-dekad", (10, 2.5), (10, 2), (10, 2), (31, 0)),
        1,
        0,
        CLIMINDVIS,
    ),
    Check(
        "one of them has not", onset_day("each-dekad", (10, 2.5), (10, 2), (11, 1.8), (30, 0)), 0, 0, CLIMINDVIS
    ),
)

FROM_MEMORY_SEASON = (
    Check("seven dry days are allowed", onset_day("sahel-1988", (1, 20), (7, 0), (24, 1)), 1, 0, SIVAKUMAR),
    Check("eight are not", onset_day("sahel-1988", (1, 20), (8, 0), (31, 1)), 0, 0, SIVAKUMAR),
    Check(
        "eight from the thirty-first day on are",
        onset_day("sahel-1988", (1, 20), (23, 1), (8, 0)),
        1,
        0,
        SIVAKUMAR,
    ),
    Check("begins after 1 May", lambda: day_of_year(2026, begins("sahel-1988")()).month, 5, 0, SIVAKUMAR, 5),
    Check(
        "1,000 at 1 % a month in twelve instalments",
        lambda: float(instalment(Decimal(1000), LoanTerms("l", Label("l"), Interest.ON_BALANCE, 0.01, 1, 12))),
        88.8488,
        1e-4,
        ANNUITY,
        88.85,
        0.01,
    ),
)
