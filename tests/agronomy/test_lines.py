"""On which line of a data file a fault is mended."""

from __future__ import annotations

import pytest

from advisor.agronomy.lines import line_of, toml_lines

FILE = """\
# what a programme may hold
key = "ulami"
"quoted" = 1
languages = ["en", "sw"]  # [[not.a.table]]

[field]
plot_low = { value = 100, unit = "m2" }

[[crops]]  # the first
crop = "soybean"

  [[crops.spacings]]
  row = 0.6

[[crops.spacings]]
row = 0.5

[[ crops ]]
crop = "cowpea"
[[crops.spacings]]
row = 0.4

[crops.notes]
said = "here"

[[seeds]]
key = "s1"
packs = [
    { size_g = 1000, price = "2" },
    # a larger one
  { size_g = 5000, price = "9" },
]
label = "seed"
names = [ "Dovi",
  "Kesu",
]
last-key = 3
"""

LINES = {
    "key": 2,
    "quoted": 3,
    "languages": 4,
    "field": 6,
    "field.plot_low": 7,
    "crops": 9,
    "crops[1]": 9,
    "crops[1].crop": 10,
    "crops[1].spacings": 12,
    "crops[1].spacings[1]": 12,
    "crops[1].spacings[1].row": 13,
    "crops[1].spacings[2]": 15,
    "crops[1].spacings[2].row": 16,
    "crops[2]": 18,
    "crops[2].crop": 19,
    "crops[2].spacings": 20,
    "crops[2].spacings[1]": 20,
    "crops[2].spacings[1].row": 21,
    "crops[2].notes": 23,
    "crops[2].notes.said": 24,
    "seeds": 26,
    "seeds[1]": 26,
    "seeds[1].key": 27,
    "seeds[1].packs": 28,
    "seeds[1].packs[1]": 29,
    "seeds[1].packs[2]": 31,
    "seeds[1].label": 33,
    "seeds[1].names": 34,
    "seeds[1].last-key": 37,
}


def test_each_key_table_and_row_has_its_line():
    assert toml_lines(FILE) == LINES


def test_a_file_of_nothing_has_no_lines():
    assert toml_lines("") == {}


def test_a_list_on_one_line_ends_there():
    assert toml_lines('a = ["x"]\nb = 2') == {"a": 1, "b": 2}


def test_tables_in_tables_have_the_path_of_all_that_are_around_them():
    assert toml_lines("[[a]]\n[[a.b]]\n[[a.b.c]]\nd = 1")["a[1].b[1].c[1].d"] == 4
    assert toml_lines("[a.b]\nc = 1") == {"a.b": 1, "a.b.c": 2}


def test_a_key_that_stands_twice_is_looked_for_where_it_stands_first():
    assert toml_lines("a = 1\na = 2\n[b]\n[b]") == {"a": 1, "b": 3}


@pytest.mark.parametrize(
    ("said", "line"),
    [
        ("field.plot_low is 0 m2: give 1 to 9 m2", 7),
        ("field.plot_high is missing: give a figure", 6),
        ("crops[2].spacings[1].row is 9 m: give 0.05 to 5 m", 21),
        ("crops[2].spacings[1].hole is missing: give a figure", 20),
        ("crops[1].spacings[7].row is missing", 12),
        ("crops[9].crop is missing", 9),
        ("seeds[1].packs[2].price is 0: give an amount above 0", 31),
        ("seeds[1].last-key is 3", 37),
        ("key is '': give a text", 2),
        ("zones is missing: add [[zones]]", 1),
        ("is no TOML: mend that line", 1),
        # A key of the file stands in the sentence, and the place that is meant comes later.
        ("the key of field.plot_low is wrong", 7),
        ("key of seeds[1].key is wrong", 27),
        ("no such key is known", 2),
        ("key and languages differ", 2),
    ],
)
def test_a_fault_is_mended_where_its_place_or_the_nearest_table_around_it_stands(said, line):
    assert line_of(FILE, said) == line


@pytest.mark.parametrize(
    ("said", "line"),
    [
        ("crops has 'cowpea' twice", 19),
        ("crops holds 'barley', which is no crop, beside 'soybean'", 10),
        ("crops holds 'barley'", 9),
        ("crops holds 'ulami'", 9),
        ("seeds[1].packs has '9' twice", 31),
        ("field.plot_low is 'soybean'", 7),
    ],
)
def test_of_a_list_of_rows_the_one_is_meant_that_holds_what_is_quoted(said, line):
    assert line_of(FILE, said) == line


def test_of_two_rows_that_hold_it_the_last_is_meant():
    text = '[[villages]]\nkey = "v1"\n[[villages]]\nkey = "v1"\n[[villages]]\nkey = "v2"\n'

    assert line_of(text, "villages has 'v1' twice") == 4
