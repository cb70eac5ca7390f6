"""What a crop's file says of its seed: range, unit and order of each figure, each fault in one line."""

from __future__ import annotations

import pytest

from advisor.agronomy.errors import DataFault
from tests.agronomy.small_crop import SHORT, faults_of_small_crop, read_small_crop

RANGES = [
    ("thousand_seed_weight = 200 g", 0.01, 5000, "g"),
    ("emergence = 0.84 1", 0.05, 1, "1"),
    ("bed_emergence = 0.94 1", 0.05, 1, "1"),
    ("good_over = 81 percent", 1, 99, "percent"),
    ("poor_under = 61 percent", 1, 99, "percent"),
    ("refuse_under = 51 percent", 1, 99, "percent"),
    ("firm_from = 52 seeds", 1, 9999, "seeds"),
    ("least = 21 seeds", 1, 100, "seeds"),
    ("most = 401 seeds", 100, 9999, "seeds"),
    ("seeds_per_hole_max = 4 seeds", 1, 9, "seeds"),
]


def with_value(line, value):
    key, unit = line.split(" ")[0], line.split(" ")[-1]
    return f"\n{line}\n", f"\n{key} = {value} {unit}\n"


@pytest.mark.parametrize(("line", "low", "high", "unit"), RANGES)
def test_a_figure_outside_its_range_is_refused_in_one_line(line, low, high, unit):
    for value in (low - 0.001, high + 0.1):
        assert faults_of_small_crop(with_value(line, f"{value:g}")) == (
            f"{line.split(' ')[0]} is {value:g} {unit}: give {low:g} to {high:g} {unit}",
        )


@pytest.mark.parametrize(("line", "low", "high", "unit"), RANGES)
def test_a_figure_at_the_edge_of_its_range_is_refused_for_nothing_but_its_order(line, low, high, unit):
    for value in (low, high):
        assert all("rising order" in said for said in faults_of_small_crop(with_value(line, f"{value:g}")))


@pytest.mark.parametrize(("line", "low", "high", "unit"), RANGES)
def test_a_figure_in_another_unit_or_missing_is_refused_in_one_line(line, low, high, unit):
    key, wrong = line.split(" ")[0], f"{line.rpartition(' ')[0]} ml"

    assert faults_of_small_crop((f"\n{line}\n", f"\n{wrong}\n")) == (f"{key}.unit is 'ml': give {unit}",)
    assert faults_of_small_crop((f"\n{line}\n", "\n")) == (
        f"{key} is missing: give a table with value, unit, source and mark",
    )


@pytest.mark.parametrize("line", [line for line, *_, unit in RANGES if unit in ("percent", "seeds")])
def test_what_is_counted_is_a_whole_number(line):
    key, _, value, _ = line.split(" ")

    assert faults_of_small_crop(with_value(line, f"{value}.5")) == (f"{key} is {value}.5: give a whole number",)


@pytest.mark.parametrize(
    ("line", "value", "fault"),
    [
        ("emergence = 0.84 1", 0.95, "emergence is 0.95, more than bed_emergence, which is 0.94"),
        ("refuse_under = 51 percent", 62, "refuse_under is 62, more than poor_under, which is 61"),
        ("poor_under = 61 percent", 82, "poor_under is 82, more than good_over, which is 81"),
        ("least = 21 seeds", 53, "least is 53, more than firm_from, which is 52"),
        ("firm_from = 52 seeds", 402, "firm_from is 402, more than most, which is 401"),
    ],
)
def test_numbers_that_must_not_fall_are_told_and_may_be_equal(line, value, fault):
    assert faults_of_small_crop(with_value(line, value)) == (f"{fault}: give them in rising order",)
    equal = fault.rpartition(" ")[2]
    assert faults_of_small_crop(with_value(line, equal)) == ()


@pytest.mark.parametrize(
    ("key", "fault"),
    [
        ("", "key is missing: give a text in quotes"),
        (f'key = "{"x" * 17}"', "key has 17 characters: give 1 to 16"),
        ('key = "pea"\ncolour = "green"', "colour is not known here: take it out, or use one of: "),
    ],
)
def test_a_key_that_is_missing_too_long_or_unknown_is_refused(key, fault):
    (said,) = faults_of_small_crop(('key = "pea"', key))

    assert said.startswith(fault)


def test_a_source_without_an_address_publishes_nothing():
    with pytest.raises(DataFault, match=r"least\.mark is published but its source has no address"):
        read_small_crop(
            (
                "least = 21 seeds",
                'least = { value = 21, unit = "seeds", source = "talk", mark = "published" }',
            )
        )


def test_every_figure_is_kept_with_its_place_source_and_mark():
    figures = dict(read_small_crop().figures)

    assert len(figures) == SHORT.count(" = ") - SHORT.count('key = "')
    assert {(figure.source, figure.mark) for figure in figures.values()} == {("talk", "judgement")}
    assert (figures["least"].value, figures["least"].unit) == (21, "seeds")
    assert figures["calendar.weedings[2].day"].value == 43
