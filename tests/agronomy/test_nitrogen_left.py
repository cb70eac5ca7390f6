"""Nitrogen for the next cereal: a range, near nothing without straw, and by zone where the zone knows better."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.agronomy.crop import read_crop
from advisor.agronomy.errors import DataFault, OutOfRange
from advisor.agronomy.harvest_figures import NitrogenLeft
from advisor.agronomy.nitrogen_left import nitrogen_credit
from advisor.agronomy.nutrients import N

FIGURES = NitrogenLeft(N(15), N(30), N(0), N(5))
parts, areas = st.floats(0, 1), st.floats(1, 1e6)


@given(parts, areas)
def test_it_is_a_range_between_straw_removed_and_straw_left(left, area):
    credit = nitrogen_credit(FIGURES, left, area)

    assert N(0) <= credit.low <= credit.high <= N(30 + 1e-9)
    assert credit.low_kg == pytest.approx(credit.low.kg_per_ha * area / 10_000)
    assert credit.high_kg == pytest.approx(credit.high.kg_per_ha * area / 10_000)


@given(parts, parts)
def test_more_straw_never_leaves_less(one, other):
    less, more = (nitrogen_credit(FIGURES, left, 10_000) for left in sorted((one, other)))

    assert less.low.kg_per_ha <= more.low.kg_per_ha + 1e-9
    assert less.high.kg_per_ha <= more.high.kg_per_ha + 1e-9


def test_at_both_ends_it_is_the_figures_themselves(crop):
    figures = crop.harvest.nitrogen_left

    all_left, none_left = (nitrogen_credit(figures, left, 10_000) for left in (1, 0))
    assert (all_left.low, all_left.high) == (N(15), N(30))
    assert (none_left.low, none_left.high) == (N(0), N(5))


def test_a_zone_that_knows_better_has_figures_of_its_own(programme):
    own = {zone.key: zone.nitrogen_left for zone in programme.zones}

    assert own["valley"] is None
    assert own["hills"].returned_high == N(55)


@pytest.mark.parametrize(("left", "area"), [(-0.01, 1), (1.01, 1), (0.5, 0), (float("nan"), 1)])
def test_what_cannot_be_is_refused(left, area):
    with pytest.raises(OutOfRange):
        nitrogen_credit(FIGURES, left, area)


def test_a_file_whose_range_is_upside_down_is_refused(crop_text, sources):
    upside_down = crop_text.replace(
        'returned_high = { value = 30, unit = "kg N/ha"', 'returned_high = { value = 3, unit = "kg N/ha"'
    )

    with pytest.raises(DataFault, match="removed_high is 5, more than returned_high, which is 3"):
        read_crop(upside_down, sources)


def test_a_crop_without_the_section_has_none_of_its_figures(crop_text, sources):
    without = crop_text[: crop_text.index("[[harvest.nodules]]")]

    assert read_crop("\n".join(line for line in without.splitlines()), sources).harvest is None


@pytest.mark.parametrize("part", ["[harvest.yield]", "[harvest.grain]", "[harvest.nitrogen_left]"])
def test_each_part_of_the_section_may_be_left_out(crop_text, sources, part):
    head, _, rest = crop_text.partition(part)
    later = (f"\n[{name}]" for name in ("harvest.grain", "harvest.nitrogen_left"))
    following = min((rest.index(name) for name in later if name in rest), default=len(rest))

    harvest = read_crop(head + rest[following:], sources).harvest

    absent = {"[harvest.yield]": "yields", "[harvest.grain]": "grain"}.get(part, "nitrogen_left")
    assert getattr(harvest, absent) is None
    assert len(harvest.nodules) == 2
