"""The calculator against numbers that others printed: published.toml, one row a number."""

from __future__ import annotations

import tomllib
from collections import Counter
from dataclasses import dataclass
from math import floor
from pathlib import Path

import pytest

from advisor.agronomy.germination import Band, SeedTest, band
from tests.agronomy.calls import CALLS

SEEN = {"first", "repeated", "library", "practice", "memory", "arithmetic"}


@dataclass(frozen=True)
class Source:
    """Where numbers were printed, and how it was seen."""

    institution: str
    title: str
    seen: str
    year: int | None = None
    address: str = ""


@dataclass(frozen=True)
class Check:
    """One number: what a source printed, what its inputs give without rounding, and what to call for it."""

    source: Source
    place: str
    what: str
    call: str
    arguments: tuple
    printed: str | None = None
    step: float | None = None
    cut: bool = False
    exact: str | None = None
    made: bool = False
    zone: str = ""

    def computed(self):
        return CALLS[self.call](*self.arguments)

    def as_printed(self, value):
        step = self.step or last_digit(self.printed)
        return floor(value / step + (0 if self.cut else 0.5) + 1e-9) * step

    @property
    def counts(self):
        """Whether it is a number of the source's own, seen at first hand on a page that can be opened."""
        if self.source.seen == "library":
            return True
        return bool(self.source.seen == "first" and self.source.address and self.printed and not self.made)


def last_digit(number):
    """Worth of the last digit of a number as it is written: 0.01 of 5.74."""
    return 10.0 ** -len(number.partition(".")[2])


def read():
    table = tomllib.loads(Path(__file__).with_name("published.toml").read_text("utf-8"))
    for each in table["sources"]:
        rows = each.pop("checks")
        source = Source(**each)
        for row in rows:
            yield Check(source, arguments=tuple(row.pop("with")), **row)


ALL = tuple(read())
NAMED = [
    pytest.param(row, id=f"{row.source.institution}, {row.source.title}: {row.place}: {row.what}") for row in ALL
]
COUNTED = tuple(row for row in ALL if row.counts)


@pytest.mark.parametrize("row", [row for row in NAMED if row.values[0].exact is not None])
def test_the_calculator_gives_the_number_without_rounding(row):
    off = last_digit(row.exact) / 2 if "." in row.exact else 0

    assert row.computed() == pytest.approx(float(row.exact), rel=0, abs=off + 1e-9)


@pytest.mark.parametrize("row", [row for row in NAMED if row.values[0].printed is not None])
def test_rounded_as_the_source_rounds_it_is_the_printed_number(row):
    assert row.as_printed(row.computed()) == pytest.approx(float(row.printed), rel=1e-9)


def test_every_row_names_its_source_its_place_and_a_number_to_hold_against():
    assert {row.source.seen for row in ALL} == SEEN
    assert {row.call for row in ALL} == set(CALLS)
    for row in ALL:
        assert row.source.institution, row
        assert row.source.title, row
        assert row.place, row
        assert row.printed or row.exact, row
    for row in ALL:
        assert row.source.seen != "practice" or row.source.institution.startswith("Common practice, no source"), (
            row
        )


def test_no_row_stands_twice():
    rows = Counter((row.source.institution, row.place, row.what, row.call, str(row.arguments)) for row in ALL)

    assert [row for row, times in rows.items() if times > 1] == []


def test_at_least_sixty_first_hand_checks_from_eight_sources_and_none_gives_more_than_ten():
    by_institution = Counter(row.source.institution for row in COUNTED)
    computed = [row for row in COUNTED if row.call != "figure"]

    assert len(computed) >= 60
    assert len(by_institution) >= 8
    assert max(by_institution.values()) <= 10


def test_where_guides_differ_each_number_stands_under_its_own_zone():
    zones = {(row.call, row.zone): float(row.printed) for row in ALL if row.zone}

    assert zones["fewest_enough", "Manitoba"] != zones["fewest_enough", "Michigan"]
    assert zones["n_left", "valley"] != zones["n_left", "hills"]


@pytest.mark.parametrize(
    ("grown", "expected"),
    [(100, Band.GOOD), (81, Band.GOOD), (80, Band.MIDDLE), (60, Band.MIDDLE), (59, Band.POOR), (0, Band.POOR)],
    ids=lambda value: f"common practice, no source: {value}",
)
def test_over_80_of_100_is_good_and_under_60_is_poor(grown, expected):
    assert band(SeedTest(grown, 100), 80, 60) is expected
