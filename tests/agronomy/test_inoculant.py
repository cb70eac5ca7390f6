"""Inoculant by mass and by time; the larger is bought."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.agronomy.errors import OutOfRange
from advisor.agronomy.inoculant import (
    inoculant_g,
    inoculant_purchase,
    packs_by_days,
    packs_by_mass,
    packs_needed,
    sowing_days,
    water_ml,
)
from advisor.agronomy.packs import Pack

grams = st.floats(0.5, 8000)
sizes_g = st.integers(20, 1000)
days = st.integers(1, 40)


@given(st.floats(0.1, 2000), st.floats(0.5, 20), st.floats(1, 10))
def test_inoculant_scales_with_seed(seed_kg, dose, times):
    assert inoculant_g(seed_kg * times, dose) == pytest.approx(inoculant_g(seed_kg, dose) * times)


def test_a_pack_of_250_g_treats_50_kg_and_15_kg_take_six_teaspoons_of_water():
    """Common practice, no source."""
    assert inoculant_g(50, 5) == 250
    assert water_ml(15, 2) == 6 * 5


def test_a_hair_of_inoculant_is_a_gram_of_it():
    crumb = Pack(1, Decimal(3))

    assert packs_by_mass(1.1e-9, 1) == 1
    assert inoculant_purchase([crumb], 1.1e-9, 1, 1).lines == ((crumb, 1),)


@pytest.mark.parametrize(("needed_g", "packs"), [(250, 1), (250 + 1e-7, 1), (250.01, 2), (251, 2), (500, 2)])
def test_a_hair_more_than_a_pack_is_a_pack_whichever_way_it_is_asked(needed_g, packs):
    pack = Pack(250, Decimal(350))

    assert packs_by_mass(needed_g, 250) == packs
    assert inoculant_purchase([pack], needed_g, 1, 1).lines == ((pack, packs),)


@given(grams, sizes_g)
def test_packs_by_mass_are_enough_and_one_fewer_is_not(needed_g, size_g):
    packs = packs_by_mass(needed_g, size_g)

    assert packs * size_g >= needed_g - 1e-3
    assert packs == 1 or (packs - 1) * size_g < needed_g


@given(days, days)
def test_packs_by_days_last_to_the_last_day_and_one_fewer_does_not(sowing, life):
    packs = packs_by_days(sowing, life)

    assert packs * life >= sowing > (packs - 1) * life


@given(grams, sizes_g, days, days)
def test_with_one_size_the_purchase_is_the_larger_of_the_two_counts(needed_g, size_g, sowing, life):
    pack = Pack(size_g, Decimal(350))
    bought = inoculant_purchase([pack], needed_g, sowing, life)

    assert bought.lines == ((pack, max(packs_by_mass(needed_g, size_g), packs_by_days(sowing, life))),)
    assert packs_needed(needed_g, size_g, sowing, life) == bought.lines[0][1]


@given(grams, st.lists(sizes_g, min_size=1, max_size=3, unique=True), days, days)
def test_whatever_the_sizes_there_is_a_fresh_pack_for_every_span_of_days(needed_g, offered_g, sowing, life):
    bought = inoculant_purchase([Pack(size_g, Decimal(size_g)) for size_g in offered_g], needed_g, sowing, life)

    assert sum(count for _, count in bought.lines) >= packs_by_days(sowing, life)
    assert sum(pack.size * count for pack, count in bought.lines) >= needed_g - 1e-3


def test_a_large_cheap_pack_does_not_save_the_days_it_does_not_keep():
    small, large = Pack(100, Decimal(60)), Pack(1000, Decimal(400))

    assert inoculant_purchase([small, large], 400, sowing_days=8, opened_life_days=2).lines == ((small, 4),)


@pytest.mark.parametrize(("area_m2", "expected"), [(100, 1), (5000, 1), (5001, 2), (10_000, 2)])
def test_a_day_that_is_begun_counts(area_m2, expected):
    assert sowing_days(area_m2, 5000) == expected


@pytest.mark.parametrize("arguments", [(0, 5), (-1, 5), (10, 0), (float("nan"), 5)])
def test_masses_and_doses_that_cannot_be_are_refused(arguments):
    with pytest.raises(OutOfRange):
        inoculant_g(*arguments)


@pytest.mark.parametrize("arguments", [(0, 2), (2, 0)])
def test_days_below_one_are_refused(arguments):
    with pytest.raises(OutOfRange, match="day"):
        packs_by_days(*arguments)
