"""Land, rows, strips and seed in files of crops and programmes: each value to its place, each fault in a line."""

from __future__ import annotations

import re

import pytest

from advisor.agronomy.errors import DataFault, MissingFigure
from advisor.agronomy.labels import Label
from advisor.agronomy.land_figures import (
    CountDays,
    CropLand,
    LocalUnit,
    Partner,
    ProgrammeLand,
    RowWork,
    SavedSeedRules,
    Sowing,
    needed,
    read_crop_land,
    read_programme_land,
)
from advisor.agronomy.placing import BodyMeasure
from advisor.agronomy.stand_check import StandRules
from advisor.agronomy.tables import read_table

#: A line such as ``row = 0.6 m`` stands for a figure with source and mark.
CROP = """
[sowing]
row = 0.6 m
hole = 0.1 m
plants = 2 1
depth_low = 0.03 m
depth_high = 0.05 m

[counts]
first = 5 day
final = 8 day

[shell]
kernels = 0.7 1

[shade]
edge_factor = 0.8 1

[young]
clearance = 0.4 m
"""

PROGRAMME = """
[[body_measures]]
key = "finger"
label = { default = "finger", sw = "kidole" }
length = 0.018 m
most = 4

[[body_measures]]
key = "hand"
label = "hand"
length = 0.09 m
most = 6

[[partners]]
crop = "maize"
label = { default = "maize", sw = "mahindi" }
row = 0.75 m
hole = 0.25 m
seeds = 1 seeds
rows = 2 1
rows_beside = 4 1

[[partners]]
crop = "sorghum"
label = "sorghum"
row = 0.7 m
hole = 0.2 m
seeds = 3 seeds
rows = 3 1
rows_beside = 5 1

[stand_check]
leave_over = 0.8 1
resow_under = 0.5 1
fill_days = 14 day
resow_days = 21 day

[saved_seed]
replace_after = 3 1
spare = 0.25 1
next_germination = 0.75 1

[row_work]
hours = 21600 s
margin = 0.3 m
tied = 1 m

[[field.units]]
key = "kanto"
label = { default = "kanto", sw = "kanta" }
m2 = 1000 m2

[[field.units]]
key = "rood"
label = "rood"
m2 = 1012 m2
"""


def read(text, reader, *changes):
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new, 1)
    figure = r'\1 = { value = \2, unit = "\3", source = "talk", mark = "judgement" }'
    table = read_table(
        re.sub(r"^(\w+) = (-?[\d.]+) (\S.*)$", figure, text, flags=re.MULTILINE), "file", {"talk": False}
    )
    land = reader(table)
    table.finish()
    return land


def crop_land(*changes):
    return read(CROP, read_crop_land, *changes)


def programme_land(*changes):
    crops = ("maize", "sorghum", "soybean")
    return read(
        PROGRAMME, lambda table: read_programme_land(table, table.row("field"), ("en", "sw"), crops), *changes
    )


def faults(reader, *changes):
    try:
        reader(*changes)
    except DataFault as fault:
        return fault.faults
    return ()


def test_every_value_of_a_crop_is_read_to_its_place():
    assert crop_land() == CropLand(
        sowing=Sowing(0.6, 0.1, 2, 0.03, 0.05),
        counts=CountDays(5, 8),
        kernel_part=0.7,
        edge_factor=0.8,
        clearance_m=0.4,
    )


def test_every_value_of_a_programme_is_read_to_its_place():
    assert programme_land() == ProgrammeLand(
        units=(
            LocalUnit("kanto", Label("kanto", (("sw", "kanta"),)), 1000),
            LocalUnit("rood", Label("rood"), 1012),
        ),
        measures=(
            BodyMeasure("finger", Label("finger", (("sw", "kidole"),)), 0.018, 4),
            BodyMeasure("hand", Label("hand"), 0.09, 6),
        ),
        partners=(
            Partner("maize", Label("maize", (("sw", "mahindi"),)), 0.75, 0.25, 1, 2, 4),
            Partner("sorghum", Label("sorghum"), 0.7, 0.2, 3, 3, 5),
        ),
        stand=StandRules(0.8, 0.5, 14, 21),
        saved_seed=SavedSeedRules(3, 0.25, 0.75),
        work=RowWork(21600, 0.3, 1),
    )


def test_files_that_are_silent_leave_everything_out():
    assert read("", read_crop_land) == CropLand()
    assert read("[field]", lambda table: read_programme_land(table, table.row("field"), (), ())) == ProgrammeLand()


def test_what_one_person_weeds_may_be_left_out_and_is_read_where_it_is_there():
    tied = "\ntied = 1 m\n"

    assert programme_land().work.weeded_m2_per_s is None
    assert programme_land((tied, f"{tied}weeded_by_one = 90 m2/hour\n")).work.weeded_m2_per_s == 0.025
    assert faults(programme_land, (tied, f"{tied}weeded_by_one = 2 m2/s\n")) == (
        "row_work.weeded_by_one is 2 m2/s: give 0.0001 to 1 m2/s",
    )


def test_a_local_unit_has_its_size_by_its_key():
    assert programme_land().unit_m2 == {"kanto": 1000, "rood": 1012}


def test_a_partner_is_found_by_its_crop_and_asked_for_by_name():
    land = programme_land()

    assert land.partner("sorghum") is land.partners[1]
    with pytest.raises(MissingFigure) as refused:
        land.partner("teff")
    assert refused.value.name == "partners.teff"
    assert str(refused.value) == "no figure partners.teff: add a [[partners]] row to the programme file"


def test_a_figure_that_is_there_is_given_even_where_it_is_nought():
    assert needed(0.0, "margin", "a [row_work] section") == 0


CROP_RANGES = [
    ("sowing.row", "row = 0.6 m", 0.05, 5, "m"),
    ("sowing.hole", "hole = 0.1 m", 0.01, 5, "m"),
    ("sowing.plants", "plants = 2 1", 1, 9, "1"),
    ("sowing.depth_low", "depth_low = 0.03 m", 0.005, 0.3, "m"),
    ("sowing.depth_high", "depth_high = 0.05 m", 0.005, 0.3, "m"),
    ("counts.first", "first = 5 day", 1, 60, "day"),
    ("counts.final", "final = 8 day", 1, 60, "day"),
    ("shell.kernels", "kernels = 0.7 1", 0.1, 1, "1"),
    ("shade.edge_factor", "edge_factor = 0.8 1", 0.05, 1, "1"),
    ("young.clearance", "clearance = 0.4 m", 0, 20, "m"),
]
PROGRAMME_RANGES = [
    ("body_measures[1].length", "length = 0.018 m", 0.005, 3, "m"),
    ("partners[1].row", "row = 0.75 m", 0.05, 5, "m"),
    ("partners[1].hole", "hole = 0.25 m", 0.01, 5, "m"),
    ("partners[1].seeds", "seeds = 1 seeds", 1, 9, "seeds"),
    ("partners[1].rows", "rows = 2 1", 1, 50, "1"),
    ("partners[1].rows_beside", "rows_beside = 4 1", 1, 50, "1"),
    ("stand_check.leave_over", "leave_over = 0.8 1", 0.05, 1, "1"),
    ("stand_check.resow_under", "resow_under = 0.5 1", 0.05, 1, "1"),
    ("stand_check.fill_days", "fill_days = 14 day", 1, 90, "day"),
    ("stand_check.resow_days", "resow_days = 21 day", 1, 90, "day"),
    ("saved_seed.replace_after", "replace_after = 3 1", 1, 20, "1"),
    ("saved_seed.spare", "spare = 0.25 1", 0, 2, "1"),
    ("saved_seed.next_germination", "next_germination = 0.75 1", 0.05, 1, "1"),
    ("row_work.hours", "hours = 21600 s", 900, 86_400, "s"),
    ("row_work.margin", "margin = 0.3 m", 0, 5, "m"),
    ("row_work.tied", "tied = 1 m", 0, 5, "m"),
    ("field.units[1].m2", "m2 = 1000 m2", 0.1, 1e6, "m2"),
]
ALLOWED = {
    "m": "m or cm",
    "m2": "m2 or acre or hectare",
    "s": "s or min or hour",
    "day": "day",
    "seeds": "seeds",
    "1": "1",
}
RANGES = [*((crop_land, *row) for row in CROP_RANGES), *((programme_land, *row) for row in PROGRAMME_RANGES)]


@pytest.mark.parametrize(("reader", "place", "line", "low", "high", "unit"), RANGES)
def test_a_figure_outside_its_range_is_refused_in_one_line(reader, place, line, low, high, unit):
    key = line.partition(" ")[0]
    off = 0.001 if high < 100 else 0.09
    for value in (low - off, high + 5 * off):
        assert faults(reader, (f"\n{line}\n", f"\n{key} = {value:.3f} {unit}\n")) == (
            f"{place} is {value:g} {unit}: give {low:g} to {high:g} {unit}",
        )


@pytest.mark.parametrize(("reader", "place", "line", "low", "high", "unit"), RANGES)
def test_a_figure_at_the_edge_of_its_range_is_refused_for_nothing_but_its_order(
    reader, place, line, low, high, unit
):
    for value in (low, high):
        said = faults(reader, (f"\n{line}\n", f"\n{line.partition(' ')[0]} = {value:.3f} {unit}\n"))

        assert all("rising order" in fault for fault in said)


@pytest.mark.parametrize(("reader", "place", "line", "low", "high", "unit"), RANGES)
def test_a_figure_in_another_unit_or_missing_is_refused_in_one_line(reader, place, line, low, high, unit):
    assert faults(reader, (f"\n{line}\n", f"\n{line.rpartition(' ')[0]} ml\n")) == (
        f"{place}.unit is 'ml': give {ALLOWED[unit]}",
    )
    assert faults(reader, (f"\n{line}\n", "\n")) == (
        f"{place} is missing: give a table with value, unit, source and mark",
    )


@pytest.mark.parametrize(
    ("reader", "place", "line"),
    [
        (crop_land, "sowing.plants", "plants = 2"),
        (crop_land, "counts.first", "first = 5"),
        (crop_land, "counts.final", "final = 8"),
        (programme_land, "partners[1].seeds", "seeds = 1"),
        (programme_land, "partners[1].rows", "rows = 2"),
        (programme_land, "partners[1].rows_beside", "rows_beside = 4"),
        (programme_land, "stand_check.fill_days", "fill_days = 14"),
        (programme_land, "stand_check.resow_days", "resow_days = 21"),
        (programme_land, "saved_seed.replace_after", "replace_after = 3"),
    ],
)
def test_what_is_counted_is_a_whole_number(reader, place, line):
    value = line.rpartition(" ")[2]

    assert faults(reader, (line, f"{line}.5")) == (f"{place} is {value}.5: give a whole number",)
