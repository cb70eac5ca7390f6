"""Data files: the shipped ones hold figures with source and mark; a faulty one is refused with all its faults."""

from __future__ import annotations

import re

import pytest

from advisor.agronomy.crop import read_crop
from advisor.agronomy.errors import DataFault
from advisor.agronomy.sources import read_sources
from advisor.agronomy.tables import read_table
from tests.agronomy.conftest import HOME


def faults_of(read, *arguments):
    with pytest.raises(DataFault) as raised:
        read(*arguments)
    return raised.value.faults


@pytest.fixture(scope="session")
def figures_shipped(crops, programme, demonstration, onset_rules):
    """Figures of every file that is shipped, and of the district of the tests."""
    held = (*crops, programme, demonstration, onset_rules)
    return [figure for each in held for figure in each.figures]


def test_every_figure_of_the_shipped_crops_has_unit_source_and_mark(crops, sources):
    known = {source.key for source in sources}

    for crop in crops:
        text = (HOME / f"agronomy/data/crops/{crop.key}.toml").read_text("utf-8")
        assert len(crop.figures) == text.count("mark = ")
        assert all(figure.unit and figure.source in known and figure.mark for _, figure in crop.figures)


def test_what_is_marked_published_has_a_source_with_an_address(figures_shipped, sources):
    addresses = {source.key: source.url for source in sources}
    published = [figure for _, figure in figures_shipped if figure.mark == "published"]

    assert published
    assert all(addresses[figure.source].startswith(("https://", "http://")) for figure in published)


def test_every_shipped_source_is_used_and_none_is_listed_twice(figures_shipped, all_leaf_signs, sources):
    used = {figure.source for _, figure in figures_shipped}
    used |= {cause.source for signs in all_leaf_signs for cause in signs.causes}

    assert {source.key for source in sources} == used


def test_the_bands_of_the_shipped_crop_are_common_practice(crop):
    edges = dict(crop.figures)

    assert (crop.good_over_percent, crop.poor_under_percent) == (80, 60)
    assert edges["good_over"].mark == edges["poor_under"].mark == "common practice"


def test_a_text_that_is_no_toml_is_refused_with_its_line(sources):
    (fault,) = faults_of(read_crop, "key = = 1", sources)

    assert re.search(r"is no TOML: .*line 1.*: mend that line", fault)


def test_all_faults_of_a_crop_are_told_at_once_with_place_and_next_step(crop_text, sources):
    faulty = (
        crop_text.replace('key = "soybean"', 'key = "soybean"\ncolour = "green"')
        .replace("value = 130", 'value = "heavy"')
        .replace('value = 0.85, unit = "1"', "value = 0.85")
        .replace('unit = "percent"', 'unit = "kg"', 1)
        .replace(
            'value = 400, unit = "seeds", source = "ista-test-size"', 'value = 40, unit = "seeds", source = "x"'
        )
    )

    faults = faults_of(read_crop, faulty, sources)

    assert len(faults) == 5
    assert "emergence has no unit: add it to the figure" in faults
    assert "good_over.unit is 'kg': give percent" in faults
    assert "thousand_seed_weight.value is 'heavy': give a number" in faults
    assert "most.source is 'x': give the key of a source in sources.toml" in faults
    assert any(
        fault.startswith("colour is not known here: take it out, or use one of: bed_emergence,")
        for fault in faults
    )


def test_a_missing_figure_is_named(crop_text, sources):
    without = "\n".join(line for line in crop_text.splitlines() if not line.startswith("emergence ="))

    assert faults_of(read_crop, without, sources) == (
        "emergence is missing: give a table with value, unit, source and mark",
    )


@pytest.mark.parametrize(
    ("old", "new", "fault"),
    [
        ("value = 0.85", "value = 1.2", "emergence is 1.2 1: give 0.05 to 1 1"),
        (
            "value = 0.95",
            "value = 0.80",
            "emergence is 0.85, more than bed_emergence, which is 0.8: give them in rising order",
        ),
        ("value = 60", "value = 90", "poor_under is 90, more than good_over, which is 80"),
        (
            'value = 50, unit = "percent"',
            'value = 70, unit = "percent"',
            "refuse_under is 70, more than poor_under, which is 60",
        ),
        ("value = 20,", "value = 60,", "least is 60, more than firm_from, which is 50"),
        ("value = 4, unit", "value = 4.5, unit", "seeds_per_hole_max is 4.5: give a whole number"),
        ("value = 130", "value = nan", "thousand_seed_weight is nan g"),
        ("value = 130", "value = true", "thousand_seed_weight.value is True: give a number"),
        ('mark = "published" }', 'mark = "printed" }', "emergence.mark is 'printed': give one of published"),
        (
            'source = "nebraska-2016"',
            'source = "field-judgement"',
            "emergence.mark is published but its source has no",
        ),
        (
            'mark = "published" }',
            'mark = "published", page = 3 }',
            "emergence has page: a figure holds value, unit",
        ),
        ('key = "soybean"', "key = 7", "key is 7: give a text in quotes"),
        ('key = "soybean"', 'key = ""', "key has 0 characters: give 1 to 16"),
    ],
)
def test_a_value_that_cannot_be_is_refused_with_what_can(crop_text, sources, old, new, fault):
    assert old in crop_text

    assert any(found.startswith(fault) for found in faults_of(read_crop, crop_text.replace(old, new, 1), sources))


def test_a_source_listed_twice_is_refused():
    twice = '[[sources]]\nkey = "a"\ncitation = "A"\n' * 2

    assert faults_of(read_sources, twice) == ("sources has a twice: give each a name of its own",)


def test_an_empty_list_of_sources_is_refused():
    assert faults_of(read_sources, "sources = []") == (
        "sources is no list of tables: write one or more [[sources]] tables",
    )


def test_a_section_that_may_be_left_out_is_read_where_it_is_there():
    table = read_table("[here]\ncount = 3\n[[many]]\ncount = 4\n", "file", {})
    here = table.optional_row("here")

    assert here is not None
    assert here.whole("count", 1, 9) == 3
    assert [row.whole("count", 1, 9) for row in table.optional_rows("many")] == [4]
    assert table.optional_row("elsewhere") is None
    assert table.optional_rows("more") == ()
    table.finish()


def test_a_section_that_may_be_left_out_must_be_sound_where_it_is_there():
    table = read_table("here = 3\nmany = []\n", "file", {})
    table.optional_row("here")
    table.optional_rows("many")

    assert faults_of(table.finish) == (
        "here is 3: give a table",
        "many is no list of tables: write one or more [[many]] tables",
    )


def test_every_crop_file_is_named_after_its_key(sources):
    files = sorted((HOME / "agronomy/data/crops").glob("*.toml"))

    assert files
    assert [read_crop(file.read_text("utf-8"), sources).key for file in files] == [file.stem for file in files]
