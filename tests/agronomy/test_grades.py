"""Grades: the mass of product for a need, and what it brings."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.agronomy.errors import CannotBe, OutOfRange
from advisor.agronomy.grades import Grade, delivered, product_kg_for_k2o, product_kg_for_n, product_kg_for_p2o5
from advisor.agronomy.nutrients import K2O, P2O5, N
from advisor.agronomy.units import ACRE_M2

grades = st.builds(Grade, st.integers(1, 33), st.integers(1, 33), st.integers(1, 33))
plots = st.floats(10, 1e6)
needs = st.floats(0.1, 300)


@given(grades, plots, needs)
def test_the_mass_for_a_need_brings_that_need(grade, area_m2, need):
    for mass_kg, what in (
        (product_kg_for_p2o5(P2O5(need), grade, area_m2), lambda given: given.p2o5),
        (product_kg_for_k2o(K2O(need), grade, area_m2), lambda given: given.k2o),
        (product_kg_for_n(N(need), grade, area_m2), lambda given: given.n),
    ):
        assert what(delivered(grade, mass_kg, area_m2)).kg_per_ha == pytest.approx(need)


@given(grades, plots, needs, st.floats(1.1, 9))
def test_the_mass_scales_with_need_and_area_and_falls_with_the_grade(grade, area_m2, need, times):
    mass_kg = product_kg_for_p2o5(P2O5(need), grade, area_m2)
    richer = Grade(grade.n_percent, grade.p2o5_percent + 1, grade.k2o_percent)

    assert product_kg_for_p2o5(P2O5(need * times), grade, area_m2) == pytest.approx(mass_kg * times)
    assert product_kg_for_p2o5(P2O5(need), grade, area_m2 * times) == pytest.approx(mass_kg * times)
    assert product_kg_for_p2o5(P2O5(need), richer, area_m2) < mass_kg


def test_a_bag_more_or_less_is_not_its_nutrients():
    given_60 = delivered(Grade(18, 46, 0), 60, ACRE_M2)

    assert given_60.n.kg_per_ha == pytest.approx(26.687, abs=1e-3)
    assert given_60.p2o5.kg_per_ha == pytest.approx(68.201, abs=1e-3)
    assert delivered(Grade(18, 46, 0), 0, ACRE_M2).n == N(0)


@pytest.mark.parametrize(
    ("function", "need", "nutrient"),
    [(product_kg_for_p2o5, P2O5, "P2O5"), (product_kg_for_k2o, K2O, "K2O"), (product_kg_for_n, N, "N")],
)
def test_a_product_without_the_nutrient_is_refused_unless_nothing_is_needed(function, need, nutrient):
    lacking = Grade(*(0 if name == nutrient else 10 for name in ("N", "P2O5", "K2O")))

    assert function(need(0), lacking, 10_000) == 0
    with pytest.raises(CannotBe, match=f"holds no {nutrient}: choose a product that holds {nutrient}"):
        function(need(1), lacking, 10_000)


@pytest.mark.parametrize("parts", [(0, 0, 0), (40, 40, 21)])
def test_a_grade_of_nothing_or_of_more_than_a_hundred_parts_is_refused(parts):
    with pytest.raises(CannotBe, match="read the three numbers on the bag"):
        Grade(*parts)


def test_a_hundred_parts_are_a_grade():
    assert str(Grade(40, 40, 20)) == "40-40-20"
    assert str(Grade(0, 45.5, 0)) == "0-45.5-0"
    assert str(Grade(0, 0.5, 0)) == "0-0.5-0"


@pytest.mark.parametrize("parts", [(-1, 46, 0), (0, 101, 0), (0, 0, float("nan"))])
def test_parts_that_cannot_be_are_refused(parts):
    with pytest.raises(OutOfRange, match="part of a nutrient"):
        Grade(*parts)


@pytest.mark.parametrize("arguments", [(-1, 10_000), (float("nan"), 10_000), (10, 0), (10, -5)])
def test_masses_and_plots_that_cannot_be_are_refused(arguments):
    with pytest.raises(OutOfRange):
        delivered(Grade(18, 46, 0), *arguments)


def test_a_plot_that_cannot_be_is_refused_even_where_nothing_is_needed():
    with pytest.raises(OutOfRange, match="area"):
        product_kg_for_p2o5(P2O5(0), Grade(18, 46, 0), 0)
