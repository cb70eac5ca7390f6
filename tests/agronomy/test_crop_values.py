"""A whole crop as it is read, value by value; range and order of the figures of its season and harvest."""

from __future__ import annotations

import pytest

from advisor.agronomy.crop import Crop
from advisor.agronomy.errors import DataFault
from advisor.agronomy.harvest_figures import (
    GrainFigures,
    HarvestFigures,
    NitrogenLeft,
    NoduleScheme,
    StorageRow,
    YieldFigures,
)
from advisor.agronomy.land_figures import CountDays, CropLand
from advisor.agronomy.nutrients import N
from advisor.agronomy.season_days import CropDays
from advisor.agronomy.suitability import SoilLimits
from tests.agronomy.small_crop import faults_of_small_crop, read_small_crop


def test_every_value_of_the_file_is_read_to_its_place():
    crop = read_small_crop()

    assert crop == Crop(
        *("pea", 200, 0.84, 0.94, 81, 61, 51, 52, 21, 401, 4, crop.figures),
        days=CropDays(
            test_from=17,
            test_to=11,
            final_count=9,
            buy_by=6,
            pick_up=2,
            emergence_from=7,
            emergence_to=10,
            weedings=(21, 43),
            nodules_from=35,
            nodules_to=42,
            flowering=45,
            harvest_within=14,
            drying=8,
            retest_after=30,
            dry_down=20,
        ),
        soil=SoilLimits(5.5, 8.5),
        harvest=HarvestFigures(
            nodules=(
                NoduleScheme("ten", 10, 2, 5, 500, N(56), N(60)),
                NoduleScheme("seven", 7, 1, 6, 400, N(67), N(90)),
            ),
            yields=YieldFigures(2.5, 4, 401, 101, 0.1, 0.12, 4000),
            grain=GrainFigures(
                *(13, 12, 11, 14, 15, 1.5, 6),
                storage=(StorageRow(14, 10, 336), StorageRow(16, 10, 128), StorageRow(14, 21, 83)),
                thresh_low_percent=13.5,
                thresh_high_percent=15.5,
            ),
            nitrogen_left=NitrogenLeft(N(15), N(30), N(1), N(6)),
        ),
        land=CropLand(counts=CountDays(5, 9)),
        removal=None,
    )


SEASON, NODULES, YIELD = "calendar", "harvest.nodules[1]", "harvest.yield"
GRAIN, ROW, LEFT = "harvest.grain", "harvest.grain.storage[1]", "harvest.nitrogen_left"

RANGES = [
    (SEASON, "test_from = 17", 1, 365, "day"),
    (SEASON, "test_to = 11", 1, 365, "day"),
    (SEASON, "buy_by = 6", 1, 365, "day"),
    (SEASON, "pick_up = 2", 0, 365, "day"),
    (SEASON, "emergence_from = 7", 1, 365, "day"),
    (SEASON, "emergence_to = 10", 1, 365, "day"),
    (SEASON, "nodules_from = 35", 1, 365, "day"),
    (SEASON, "nodules_to = 42", 1, 365, "day"),
    (SEASON, "flowering = 45", 1, 365, "day"),
    (SEASON, "harvest_within = 14", 0, 365, "day"),
    (SEASON, "drying = 8", 0, 365, "day"),
    (SEASON, "retest_after = 30", 1, 365, "day"),
    (SEASON, "dry_down = 20", 0, 365, "day"),
    ("calendar.weedings[1]", "day = 21", 1, 365, "day"),
    ("soil", "ph_low = 5.5", 2, 12, "pH"),
    ("soil", "ph_high = 8.5", 2, 12, "pH"),
    (NODULES, "enough = 10", 1, 200, "nodules/plant"),
    (NODULES, "none_under = 2", 0, 200, "nodules/plant"),
    (NODULES, "least_plants = 5", 1, 100, "plants"),
    (NODULES, "most_nodules = 500", 10, 5000, "nodules/plant"),
    (NODULES, "rescue_low = 56", 0, 200, "kg N/ha"),
    (NODULES, "rescue_high = 60", 0, 200, "kg N/ha"),
    (YIELD, "seeds_per_pod = 2.5", 0.1, 50, "seeds/pod"),
    (YIELD, "seeds_per_pod_most = 4", 0.1, 50, "seeds/pod"),
    (YIELD, "pods_per_plant_most = 401", 1, 5000, "pods/plant"),
    (YIELD, "stand_most = 101", 0.1, 1000, "plants/m2"),
    (YIELD, "loss_low = 0.1", 0, 0.9, "1"),
    (YIELD, "loss_high = 0.12", 0, 0.9, "1"),
    (YIELD, "plausible = 4000", 1, 50_000, "kg/ha"),
    (GRAIN, "trade = 13", 1, 40, "percent"),
    (GRAIN, "grain = 12", 1, 40, "percent"),
    (GRAIN, "seed = 11", 1, 40, "percent"),
    (GRAIN, "jar_low = 14", 1, 40, "percent"),
    (GRAIN, "jar_high = 15", 1, 40, "percent"),
    (GRAIN, "halved_by_moisture = 1.5", 0.1, 20, "percent"),
    (GRAIN, "halved_by_warmth = 6", 0.1, 50, "celsius"),
    (GRAIN, "thresh_low = 13.5", 1, 40, "percent"),
    (GRAIN, "thresh_high = 15.5", 1, 40, "percent"),
    (ROW, "moisture = 14", 1, 40, "percent"),
    (ROW, "temperature = 10", -20, 60, "celsius"),
    (ROW, "keeps = 336", 1, 9999, "day"),
    (LEFT, "returned_low = 15", 0, 200, "kg N/ha"),
    (LEFT, "returned_high = 30", 0, 200, "kg N/ha"),
    (LEFT, "removed_low = 1", 0, 200, "kg N/ha"),
    (LEFT, "removed_high = 6", 0, 200, "kg N/ha"),
]


@pytest.mark.parametrize(("section", "line", "low", "high", "unit"), RANGES)
def test_a_figure_outside_its_range_is_refused_in_one_line(section, line, low, high, unit):
    key = line.partition(" ")[0]
    for value in (low - 0.25, high + 0.25):
        assert faults_of_small_crop((f"\n{line}", f"\n{key} = {value}")) == (
            f"{section}.{key} is {value:g} {unit}: give {low:g} to {high:g} {unit}",
        )


@pytest.mark.parametrize(("section", "line", "low", "high", "unit"), RANGES)
def test_a_figure_at_the_edge_of_its_range_is_refused_for_nothing_but_its_order(section, line, low, high, unit):
    for value in (low, high):
        faults = faults_of_small_crop((f"\n{line}", f"\n{line.partition(' ')[0]} = {value}"))

        assert not [said for said in faults if f"give {low:g} to {high:g} {unit}" in said]
        assert all("rising order" in said or "keeps longer" in said for said in faults)


@pytest.mark.parametrize(
    ("section", "line"),
    [(SEASON, "drying = 8"), (NODULES, "least_plants = 5"), (NODULES, "most_nodules = 500"), (ROW, "keeps = 336")],
)
def test_what_is_counted_is_a_whole_number(section, line):
    key, _, value = line.partition(" = ")

    assert faults_of_small_crop((line, f"{line}.5")) == (f"{section}.{key} is {value}.5: give a whole number",)


@pytest.mark.parametrize(
    ("old", "new", "fault"),
    [
        ("pick_up = 2", "pick_up = 7", "calendar.pick_up is 7, more than buy_by, which is 6"),
        ("buy_by = 6", "buy_by = 12", "calendar.buy_by is 12, more than test_to, which is 11"),
        ("test_to = 11", "test_to = 18", "calendar.test_to is 18, more than test_from, which is 17"),
        (
            "retest_after = 30",
            "retest_after = 16",
            "calendar.test_from is 17, more than retest_after, which is 16",
        ),
        (
            "test_from = 17",
            "test_from = 14",
            "calendar.buy_by + final_count is 15, more than test_from, which is 14",
        ),
        ("final = 9", "final = 12", "calendar.buy_by + final_count is 18, more than test_from, which is 17"),
        (
            "emergence_to = 10",
            "emergence_to = 6",
            "calendar.emergence_from is 7, more than emergence_to, which is 6",
        ),
        ("nodules_to = 42", "nodules_to = 34", "calendar.nodules_from is 35, more than nodules_to, which is 34"),
        ("day = 21", "day = 44", "calendar.weedings[1] is 44, more than weedings[2], which is 43"),
        ("ph_low = 5.5", "ph_low = 9", "soil.ph_low is 9, more than ph_high, which is 8.5"),
        ("none_under = 2", "none_under = 11", f"{NODULES}.none_under is 11, more than enough, which is 10"),
        ("rescue_low = 56", "rescue_low = 61", f"{NODULES}.rescue_low is 61, more than rescue_high, which is 60"),
        (
            "seeds_per_pod = 2.5",
            "seeds_per_pod = 5",
            f"{YIELD}.seeds_per_pod is 5, more than seeds_per_pod_most, which is 4",
        ),
        ("loss_low = 0.1", "loss_low = 0.2", f"{YIELD}.loss_low is 0.2, more than loss_high, which is 0.12"),
        ("\nseed = 11", "\nseed = 12.5", f"{GRAIN}.seed is 12.5, more than grain, which is 12"),
        ("jar_low = 14", "jar_low = 16", f"{GRAIN}.jar_low is 16, more than jar_high, which is 15"),
        (
            "thresh_low = 13.5",
            "thresh_low = 16",
            f"{GRAIN}.thresh_low is 16, more than thresh_high, which is 15.5",
        ),
        (
            "returned_low = 15",
            "returned_low = 31",
            f"{LEFT}.returned_low is 31, more than returned_high, which is 30",
        ),
        (
            "returned_low = 15",
            "returned_low = 0.5",
            f"{LEFT}.removed_low is 1, more than returned_low, which is 0.5",
        ),
        ("removed_low = 1", "removed_low = 7", f"{LEFT}.removed_low is 7, more than removed_high, which is 6"),
        (
            "removed_high = 6",
            "removed_high = 31",
            f"{LEFT}.removed_high is 31, more than returned_high, which is 30",
        ),
    ],
)
def test_numbers_that_must_not_fall_are_told(old, new, fault):
    assert faults_of_small_crop((old, new)) == (f"{fault}: give them in rising order",)


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("pick_up = 2", "pick_up = 6"),
        ("test_from = 17", "test_from = 15"),
        ("retest_after = 30", "retest_after = 17"),
        ("emergence_to = 10", "emergence_to = 7"),
        ("day = 21", "day = 43"),
        ("ph_low = 5.5", "ph_low = 8.5"),
        ("none_under = 2", "none_under = 10"),
        ("removed_high = 6", "removed_high = 30"),
    ],
)
def test_numbers_that_must_not_fall_may_be_equal(old, new):
    assert faults_of_small_crop((old, new)) == ()


@pytest.mark.parametrize(
    ("old", "new", "fault"),
    [
        (
            "[counts]\nfirst = 5 day\nfinal = 9 day",
            "",
            "counts is missing: add [counts] with first and final: the calendar needs them",
        ),
        ('key = "seven"', 'key = "ten"', "harvest.nodules has ten twice: give each a name of its own"),
        ('key = "seven"', f'key = "{"x" * 17}"', "harvest.nodules[2].key has 17 characters: give 1 to 16"),
        (
            "[[calendar.weedings]]\nday = 21 day\n\n[[calendar.weedings]]\nday = 43 day",
            "",
            "calendar.weedings is missing: give one or more [[calendar.weedings]] tables",
        ),
    ],
)
def test_what_is_missing_or_twice_is_told(old, new, fault):
    assert faults_of_small_crop((old, new)) == (fault,)


@pytest.mark.parametrize(
    ("old", "new", "fault"),
    [
        (
            "keeps = 128",
            "keeps = 337",
            "keeps longer at 16 percent and 10 celsius than at 14 percent and 10 celsius",
        ),
        (
            "keeps = 83",
            "keeps = 337",
            "keeps longer at 14 percent and 21 celsius than at 14 percent and 10 celsius",
        ),
    ],
)
def test_grain_that_keeps_longer_for_being_wetter_or_warmer_is_told(old, new, fault):
    """The time of a row would be promised for drier and cooler grain too."""
    assert faults_of_small_crop((old, new)) == (
        f"harvest.grain.storage says that grain {fault}: mend the days of one of them",
    )


def test_grain_that_is_wetter_and_cooler_or_just_as_moist_and_warm_may_keep_as_long():
    assert faults_of_small_crop(("keeps = 128", "keeps = 336"), ("keeps = 83", "keeps = 40")) == ()
    assert faults_of_small_crop(("keeps = 128", "keeps = 82")) == ()


def test_the_file_is_named_in_its_faults():
    with pytest.raises(DataFault, match=r"^crop has 1 fault\n  key is missing"):
        read_small_crop(('key = "pea"', ""))


@pytest.mark.parametrize(
    ("left_out", "low", "high"), [("thresh_low = 13.5", None, 15.5), ("thresh_high = 15.5", 13.5, None)]
)
def test_moisture_for_threshing_may_be_left_out(left_out, low, high):
    grain = read_small_crop((f"{left_out} percent\n", "")).harvest.grain

    assert (grain.thresh_low_percent, grain.thresh_high_percent) == (low, high)
