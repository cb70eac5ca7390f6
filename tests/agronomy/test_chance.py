"""The chance of plants in a hole, against two other ways to the same number."""

from __future__ import annotations

from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import binom

from advisor.agronomy.chance import chance_of_plants, seeds_for_chance
from advisor.agronomy.errors import OutOfRange

parts = st.floats(0.05, 1)


@given(st.integers(0, 12), st.integers(0, 12), parts, parts)
def test_the_chance_is_that_of_another_program(plants, seeds, germination, emergence):
    expected = binom.sf(plants - 1, seeds, germination * emergence)

    assert chance_of_plants(plants, seeds, germination, emergence) == pytest.approx(expected, abs=1e-12)


@pytest.mark.parametrize("plants", [0, 1, 2, 3, 4])
def test_the_chance_is_what_counting_every_case_gives(plants):
    up = 0.8 * 0.85
    cases = product((0, 1), repeat=3)

    counted = sum(up ** sum(case) * (1 - up) ** (3 - sum(case)) for case in cases if sum(case) >= plants)

    assert chance_of_plants(plants, 3, 0.8, 0.85) == pytest.approx(counted, abs=1e-12)


def test_a_chance_close_to_none_keeps_its_digits():
    assert chance_of_plants(10, 10, 0.1, 0.1) == pytest.approx(1e-20, rel=1e-9, abs=0)


@given(st.integers(1, 6), st.integers(0, 11), parts, parts)
def test_more_seeds_never_make_plants_less_likely(plants, seeds, germination, emergence):
    more = chance_of_plants(plants, seeds + 1, germination, emergence)

    assert more >= chance_of_plants(plants, seeds, germination, emergence) - 1e-12


@given(st.integers(1, 6), st.integers(1, 12), parts, parts)
def test_better_seed_never_makes_plants_less_likely(plants, seeds, germination, worse):
    good = chance_of_plants(plants, seeds, germination, 1)

    assert good >= chance_of_plants(plants, seeds, germination * worse, 1) - 1e-12


@given(st.integers(1, 4), st.floats(0.05, 0.99), st.floats(0.3, 1), st.floats(0.5, 1))
def test_the_fewest_seeds_for_a_chance_are_enough_and_one_less_is_not(plants, chance, germination, emergence):
    seeds = seeds_for_chance(plants, chance, germination, emergence)

    assert chance_of_plants(plants, seeds, germination, emergence) >= chance
    assert seeds == plants or chance_of_plants(plants, seeds - 1, germination, emergence) < chance


def test_at_68_percent_a_rule_of_full_holes_would_ask_for_five_or_six_seeds_where_three_are_enough():
    assert seeds_for_chance(2, 0.95, 0.8, 0.85) == 5
    assert seeds_for_chance(2, 0.98, 0.8, 0.85) == 6
    assert 3 * 0.8 * 0.85 > 2


@pytest.mark.parametrize(
    "four", [(-1, 3, 0.8, 0.85), (1, -1, 0.8, 0.85), (1, 101, 0.8, 0.85), (1, 3, 0, 0.85), (1, 3, 0.8, 1.1)]
)
def test_a_chance_of_what_cannot_be_is_refused(four):
    with pytest.raises(OutOfRange):
        chance_of_plants(*four)


def test_a_chance_that_is_met_exactly_is_enough():
    assert seeds_for_chance(1, 0.5, 0.5, 1) == 1
    assert seeds_for_chance(1, 0.75, 0.5, 1) == 2


def test_more_than_a_hundred_seeds_are_refused_as_such():
    with pytest.raises(OutOfRange, match="seeds for a hole is more than 100, allowed is 90 to 100"):
        seeds_for_chance(90, 0.99, 0.5, 0.5)


@pytest.mark.parametrize("four", [(0, 0.9, 0.8, 0.85), (1, 0, 0.8, 0.85), (1, 1, 0.8, 0.85), (90, 0.99, 0.5, 0.5)])
def test_seeds_for_what_cannot_be_reached_are_refused(four):
    with pytest.raises(OutOfRange):
        seeds_for_chance(*four)
