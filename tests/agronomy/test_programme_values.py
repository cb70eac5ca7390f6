"""A whole programme as it is read, value by value, and the range of each of its figures."""

from __future__ import annotations

import re
from datetime import time
from decimal import Decimal

import pytest

from advisor.agronomy.budget_figures import Budget, CostLine, Interest, LoanTerms, Per
from advisor.agronomy.figures import Figure
from advisor.agronomy.harvest_figures import NitrogenLeft
from advisor.agronomy.labels import Currency, Label
from advisor.agronomy.land_figures import ProgrammeLand
from advisor.agronomy.nutrients import N
from advisor.agronomy.packs import Pack
from advisor.agronomy.programme import (
    BuyingRule,
    CropPlan,
    Inoculant,
    Programme,
    SeedProduct,
    Spacing,
    Village,
    Zone,
)
from advisor.agronomy.season_days import Variety, ZoneSeason
from tests.agronomy.small_programme import SHORT, faults_of_small, read_small


def label(default, **by_language):
    return Label(default, tuple(by_language.items()))


def pack(size, price):
    return Pack(size, Decimal(price))


def test_every_value_of_the_file_is_read_to_its_place():
    programme = read_small()

    assert programme == Programme(
        key="small",
        name=label("Small", sw="Ndogo"),
        country_code="99",
        trunk_prefix="01",
        number_length=8,
        time_zone="Etc/GMT-3",
        currency=Currency("Ul", 2),
        languages=("en", "sw"),
        area_unit="hectare",
        plot_low_m2=100,
        plot_high_m2=90_000,
        area_step_m2=50,
        step_m=0.7,
        step_low_m=0.4,
        step_high_m=1.2,
        step_error=0.05,
        rope_m=21,
        purse_max=Decimal("900.50"),
        quiet_from=time(20),
        quiet_to=time(6, 30),
        retention_days=700,
        answer_segments=2,
        zones=(
            Zone("coast", label("coast", sw="pwani")),
            Zone("hills", label("hills"), NitrogenLeft(N(10), N(40), N(1), N(4))),
        ),
        villages=(Village("v1", label("Dovi", sw="Dovia"), "hills"), Village("v2", label("Kesu"), "coast")),
        crops=(
            CropPlan(
                *("pea", label("pea", sw="njegere"), BuyingRule.RATE, 80, 0.8, 30),
                *((Spacing(0.5, 0.1), Spacing(0.6, 0.05)), 0.02, 0.1, 0.65, 4000),
            ),
            CropPlan(
                *("bean", label("bean"), BuyingRule.POPULATION, 81, 0.81, 31),
                *((Spacing(4, 3),), 0.03, 0.11, 0.66, 4100),
            ),
        ),
        seeds=(
            SeedProduct(
                *("s1", "pea", label("pea seed", sw="mbegu"), 0.86, 0.97),
                *((pack(1000, "2.50"), pack(5000, "11")), pack(500, "1.50")),
            ),
            SeedProduct("s2", "bean", label("bean seed"), 0.87, 0.96, (pack(2000, "7"),)),
        ),
        inoculants=(
            Inoculant("i1", "pea", label("pea powder", sw="unga"), 5, 3, 2, (pack(100, "4"),)),
            Inoculant("i2", "bean", label("bean powder"), 6, 4, 1, (pack(150, "5"),)),
        ),
        inoculation=None,
        measures=(),
        fertilising=None,
        land=ProgrammeLand(),
        figures=programme.figures,
        varieties=(Variety("a1", "pea", label("usual", sw="kawaida"), 80, 85),),
        seasons=(ZoneSeason("hills", "pea", 310, 5, 100, 1.25, "dekads", 25, 3, 2),),
        budgets=(
            Budget(
                *("hills", "pea", 400, 900, 1500, 2500, 0.9, 0.7, Decimal("0.75")),
                *((CostLine("weed", label("weeding", sw="palizi"), Decimal("12.25"), Per.ACRE),), 2),
            ),
            Budget("coast", "pea", 300, 800, 1400, None, 0.8, 0.6, Decimal("0.70"), (), 3),
        ),
        loans=(LoanTerms("l1", label("bank", sw="benki"), Interest.ON_BALANCE, 0.02, 3, 4),),
        share_most=5,
        bag_kg=45,
        messages_per_day=4,
    )


def test_every_figure_is_remembered_with_its_source():
    figures = dict(read_small().figures)

    assert len(figures) == len(re.findall(r"^\w+ = [\d.]+ \S", SHORT, re.MULTILINE))
    assert figures["field.rope"] == Figure(21.0, "m", "talk", "judgement")
    assert figures["crops[1].spacings[2].hole"] == Figure(0.05, "m", "talk", "judgement")


@pytest.mark.parametrize(
    ("line", "name", "without"),
    [
        ("trunk_prefix = ", "trunk_prefix", ""),
        ("answer_segments = ", "answer_segments", 1),
        ("messages_per_day = ", "messages_per_day", 3),
        ("[sharing]\nmost = ", "share_most", None),
        ("[harvest]\nbag = ", "bag_kg", None),
    ],
)
def test_what_may_be_left_out_has_a_value_without_it(line, name, without):
    start = SHORT.index(line)
    end = SHORT.index("\n", start + len(line))

    assert getattr(read_small((SHORT[start:end], "")), name) == without


RANGES = [
    ("field.plot_low", "plot_low = 100", 1, 1e8, "m2"),
    ("field.plot_high", "plot_high = 90000", 1, 1e8, "m2"),
    ("field.area_step", "area_step = 50", 1, 1e6, "m2"),
    ("field.step", "step = 0.7", 0.1, 2, "m"),
    ("field.step_low", "step_low = 0.4", 0.1, 2, "m"),
    ("field.step_high", "step_high = 1.2", 0.1, 2, "m"),
    ("field.step_error", "step_error = 0.05", 0, 0.5, "1"),
    ("field.rope", "rope = 21", 1, 200, "m"),
    ("harvest.bag", "bag = 45", 1, 1000, "kg"),
    ("sharing.most", "most = 5", 1, 100, "1"),
    ("zones[2].nitrogen_left.returned_low", "returned_low = 10", 0, 200, "kg N/ha"),
    ("zones[2].nitrogen_left.returned_high", "returned_high = 40", 0, 200, "kg N/ha"),
    ("zones[2].nitrogen_left.removed_low", "removed_low = 1", 0, 200, "kg N/ha"),
    ("zones[2].nitrogen_left.removed_high", "removed_high = 4", 0, 200, "kg N/ha"),
    ("crops[1].rate", "rate = 80", 0.1, 500, "kg/ha"),
    ("crops[1].rate_germination", "rate_germination = 0.8", 0.05, 1, "1"),
    ("crops[1].stand", "stand = 30", 0.1, 1000, "plants/m2"),
    ("crops[1].spill", "spill = 0.02", 0, 0.5, "1"),
    ("crops[1].sorting_loss", "sorting_loss = 0.1", 0, 0.9, "1"),
    ("crops[1].keep_back_germination", "keep_back_germination = 0.65", 0.05, 1, "1"),
    ("crops[1].sown_per_day", "sown_per_day = 4000", 1, 1e7, "m2/day"),
    ("crops[1].spacings[1].row", "row = 0.5", 0.05, 5, "m"),
    ("crops[1].spacings[1].hole", "hole = 0.1", 0.01, 5, "m"),
    ("seeds[1].germination", "germination = 0.86", 0.05, 1, "1"),
    ("seeds[1].purity", "purity = 0.97", 0.05, 1, "1"),
    ("inoculants[1].dose", "dose = 5", 0.1, 100, "g/kg"),
    ("inoculants[1].water", "water = 3", 0.1, 100, "ml/kg"),
    ("inoculants[1].opened_life", "opened_life = 2", 1, 365, "day"),
    ("varieties[1].maturity_from", "maturity_from = 80", 30, 400, "day"),
    ("varieties[1].maturity_to", "maturity_to = 85", 30, 400, "day"),
    ("seasons[1].opens", "opens = 310", 1, 365, "day of year"),
    ("seasons[1].closes", "closes = 5", 1, 365, "day of year"),
    ("seasons[1].rains_end", "rains_end = 100", 1, 365, "day of year"),
    ("seasons[1].slowed_by", "slowed_by = 1.25", 1, 3, "1"),
    ("seasons[1].sowing_rain", "sowing_rain = 25", 1, 500, "mm"),
    ("seasons[1].sowing_rain_within", "sowing_rain_within = 3", 1, 30, "day"),
    ("seasons[1].moist_for", "moist_for = 2", 0, 14, "day"),
    ("budgets[1].harvest_low", "harvest_low = 400", 0, 20_000, "kg/ha"),
    ("budgets[1].harvest_middle", "harvest_middle = 900", 1, 20_000, "kg/ha"),
    ("budgets[1].harvest_high", "harvest_high = 1500", 1, 20_000, "kg/ha"),
    ("budgets[1].demonstration", "demonstration = 2500", 1, 50_000, "kg/ha"),
    ("budgets[1].part_half_p", "part_half_p = 0.9", 0, 1, "1"),
    ("budgets[1].part_no_p", "part_no_p = 0.7", 0, 1, "1"),
    ("budgets[1].ratio_enough", "ratio_enough = 2", 1, 10, "1"),
    ("loans[1].rate", "rate = 0.02", 0, 1, "1/month"),
    ("loans[1].months_apart", "months_apart = 3", 1, 60, "month"),
]


@pytest.mark.parametrize(("place", "line", "low", "high", "unit"), RANGES)
def test_a_figure_outside_its_range_is_refused_in_one_line(place, line, low, high, unit):
    for value in (low - 0.25, high + 0.25):
        faults = faults_of_small((f"\n{line}", f"\n{line.partition(' ')[0]} = {value:f}"))

        assert faults == (f"{place} is {value:g} {unit}: give {low:g} to {high:g} {unit}",)


@pytest.mark.parametrize(("place", "line", "low", "high", "unit"), RANGES)
def test_a_figure_at_the_edge_of_its_range_may_contradict_another_but_is_one(place, line, low, high, unit):
    for value in (low, high):
        faults = faults_of_small((f"\n{line}", f"\n{line.partition(' ')[0]} = {value:f}"))

        assert not [fault for fault in faults if f"give {low:g} to" in fault]
        assert all(re.search("rising order|spacings|flowers|within the rains", fault) for fault in faults)


@pytest.mark.parametrize(
    ("place", "line", "low", "high"),
    [
        ("number_length", "number_length = 8", 4, 14),
        ("retention_days", "retention_days = 700", 1, 36_500),
        ("answer_segments", "answer_segments = 2", 1, 2),
        ("messages_per_day", "messages_per_day = 4", 1, 24),
        ("currency.decimals", "decimals = 2", 0, 2),
        ("seeds[1].packs[2].size_g", "size_g = 5000", 1, 1_000_000),
        ("seeds[1].scoop.size_g", "size_g = 500,", 1, 1_000_000),
        ("inoculants[1].packs[1].size_g", "size_g = 100,", 1, 1_000_000),
        ("loans[1].instalments", "instalments = 4", 1, 60),
    ],
)
def test_a_whole_number_outside_its_range_is_refused_in_one_line(place, line, low, high):
    key, _, tail = line.partition(" = ")
    end = "," if tail.endswith(",") else ""
    for value in (low - 1, high + 1):
        faults = faults_of_small((line, f"{key} = {value}{end}"))

        assert f"{place} is {value}: give a whole number from {low} to {high}" in faults
    for value in (low, high):
        said = faults_of_small((line, f"{key} = {value}{end}"))

        assert not [fault for fault in said if fault.startswith(f"{place} is {value}: give a whole")]
