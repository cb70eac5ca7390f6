"""What the calculations of fertiliser refuse, in full: name, value, allowed range, unit, and what to do."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest

from advisor.agronomy.cut_mix import cheapest_cut
from advisor.agronomy.errors import CannotBe, MissingFigure, OutOfRange
from advisor.agronomy.fertiliser_choice import choose_fertiliser
from advisor.agronomy.fertiliser_figures import FertiliserProduct, Fertilising, Furrow, SoilClass, ZoneNeed
from advisor.agronomy.fertiliser_need import (
    LastSeason,
    Need,
    fertiliser_need,
    last_season_credit,
    removed_p2o5,
    soil_class_of,
)
from advisor.agronomy.frontier import frontier_up_to
from advisor.agronomy.grades import Grade, delivered, product_kg_for_k2o, product_kg_for_n, product_kg_for_p2o5
from advisor.agronomy.labels import Label
from advisor.agronomy.mixing import Held, Wanted, least_nitrogen_kg, wanted_on
from advisor.agronomy.nutrients import K2O, P2O5, K, N, P, k2o_from_k, k_from_k2o, p2o5_from_p, p_from_p2o5
from advisor.agronomy.offers import coins, offers_of
from advisor.agronomy.packs import Pack
from advisor.agronomy.placement import (
    check_caps,
    fertiliser_placement,
    grams_per_hole,
    grams_per_metre,
    holes_per_cap,
    metres_per_cap,
)

ANY = "below 1e9"
PRICE = Decimal("12")
BAG = Pack(50_000, Decimal(5200))
DAP = Grade(18, 46, 0)
FURROW = Furrow(0.05, 0.07, 0.02, 0.05, 0.1)
PRODUCT = FertiliserProduct("f", Label("f"), DAP, 1.0, (), None)
LAST = LastSeason(P2O5(60), 1500, 12, P2O5(46))
LOW = SoilClass("x", "low", 0, P2O5(60))
ZONE = ZoneNeed("x", "hills", P2O5(46), K2O(10), N(20))


@pytest.mark.parametrize(
    ("call", "name", "value", "low", "high", "unit"),
    [
        (lambda: N(-1), "N", -1, 0, ANY, "kg/ha"),
        (lambda: P2O5(-0.5), "P2O5", -0.5, 0, ANY, "kg/ha"),
        (lambda: K2O(float("inf")), "K2O", float("inf"), 0, ANY, "kg/ha"),
        (lambda: Grade(0, 101, 0), "part of a nutrient", 101, 0, 100, "percent"),
        (lambda: Grade(0, 50, -1), "part of a nutrient", -1, 0, 100, "percent"),
        (lambda: product_kg_for_p2o5(P2O5(1), DAP, 0), "area", 0, "above 1e-9", ANY, "m2"),
        (lambda: delivered(DAP, -1, 5), "product", -1, 0, 1e9, "kg"),
        (lambda: delivered(DAP, 1.1e9, 5), "product", 1.1e9, 0, 1e9, "kg"),
        (lambda: delivered(DAP, 1, 0), "area", 0, "above 1e-9", ANY, "m2"),
        (lambda: removed_p2o5(-1, 12), "harvest", -1, 0, 20_000, "kg/ha"),
        (lambda: removed_p2o5(20_001, 12), "harvest", 20_001, 0, 20_000, "kg/ha"),
        (lambda: removed_p2o5(1, -1), "P2O5 in grain", -1, 0, 100, "g/kg"),
        (lambda: removed_p2o5(1, 101), "P2O5 in grain", 101, 0, 100, "g/kg"),
        (lambda: last_season_credit(LAST, -0.1), "part of the surplus", -0.1, 0, 1, "1"),
        (lambda: last_season_credit(LAST, 1.1), "part of the surplus", 1.1, 0, 1, "1"),
        (lambda: soil_class_of([LOW], -1), "phosphorus in the soil", -1, 0, 1000, "mg P/kg"),
        (lambda: soil_class_of([LOW], 1001), "phosphorus in the soil", 1001, 0, 1000, "mg P/kg"),
        (lambda: offers_of(PRODUCT, 0, 0), "sharers", 0, 1, 20, "1"),
        (lambda: offers_of(PRODUCT, 21, 0), "sharers", 21, 1, 20, "1"),
        (lambda: coins(PRICE, -1), "decimals", -1, 0, 2, "1"),
        (lambda: coins(PRICE, 3), "decimals", 3, 0, 2, "1"),
        (lambda: frontier_up_to((), 0), "nutrient", 0, "above 0", ANY, "kg"),
        (lambda: wanted_on(Need(P2O5(1), K2O(0), N(0)), 0), "area", 0, "above 1e-9", ANY, "m2"),
        (lambda: grams_per_metre(0, 1, 1), "fertiliser", 0, "above 1e-9", ANY, "kg"),
        (lambda: grams_per_metre(1, 0, 1), "area", 0, "above 1e-9", ANY, "m2"),
        (lambda: grams_per_metre(1, 1, 0), "row", 0, "above 1e-9", ANY, "m"),
        (lambda: grams_per_hole(1, 1, 1, 0), "hole", 0, "above 1e-9", ANY, "m"),
        (lambda: metres_per_cap(0, 1), "cap", 0, "above 1e-9", ANY, "g"),
        (lambda: metres_per_cap(1, 0), "fertiliser for a metre", 0, "above 1e-9", ANY, "g/m"),
        (lambda: holes_per_cap(0, 1), "cap", 0, "above 1e-9", ANY, "g"),
        (lambda: holes_per_cap(1, 0), "fertiliser for a hole", 0, "above 1e-9", ANY, "g"),
        (lambda: check_caps(0, 1, 1, 1, 1, 0), "cap", 0, "above 1e-9", ANY, "g"),
        (lambda: check_caps(1, 0, 1, 1, 1, 0), "distance of caps", 0, "above 1e-9", ANY, "m"),
        (lambda: check_caps(1, 1, 0, 1, 1, 0), "row", 0, "above 1e-9", ANY, "m"),
        (lambda: check_caps(1, 1, 1, 0, 1, 0), "area", 0, "above 1e-9", ANY, "m2"),
        (lambda: check_caps(1, 1, 1, 1, 0, 0), "planned fertiliser", 0, "above 1e-9", ANY, "kg"),
        (lambda: check_caps(1, 1, 1, 1, 1, -0.1), "tolerance", -0.1, 0, 1, "1"),
        (lambda: check_caps(1, 1, 1, 1, 1, 1.1), "tolerance", 1.1, 0, 1, "1"),
        (lambda: fertiliser_placement(1, 1, 1, 0, FURROW, 0.02), "hole", 0, "above 1e-9", ANY, "m"),
        (lambda: fertiliser_placement(1, 1, 1, 1, FURROW, 0.004), "depth of seed", 0.004, 0.005, 0.3, "m"),
        (lambda: fertiliser_placement(1, 1, 1, 1, FURROW, 0.31), "depth of seed", 0.31, 0.005, 0.3, "m"),
    ],
)
def test_a_value_outside_its_range_is_refused_with_the_range(call, name, value, low, high, unit):
    with pytest.raises(OutOfRange) as refused:
        call()

    error = refused.value
    assert (error.name, error.value, error.low, error.high, error.unit) == (name, value, low, high, unit)


DEEP = replace(FURROW, from_m=0.4, to_m=0.5)


@pytest.mark.parametrize(
    "call",
    [
        lambda: Grade(100, 0, 0),
        lambda: delivered(DAP, 0, 5),
        lambda: delivered(DAP, 1e9, 9e8),
        lambda: removed_p2o5(0, 0),
        lambda: removed_p2o5(20_000, 100),
        lambda: last_season_credit(LAST, 0),
        lambda: last_season_credit(LAST, 1),
        lambda: soil_class_of([LOW], 0),
        lambda: soil_class_of([LOW], 1000),
        lambda: offers_of(replace(PRODUCT, packs=(BAG,)), 1, 0),
        lambda: offers_of(replace(PRODUCT, packs=(BAG,)), 20, 2),
        lambda: coins(PRICE, 0),
        lambda: coins(PRICE, 2),
        lambda: check_caps(1, 1, 1, 1, 1, 0),
        lambda: check_caps(1, 1, 1, 1, 1, 1),
        lambda: fertiliser_placement(1, 1, 1, 1, FURROW, 0.005),
        lambda: fertiliser_placement(1, 1, 1, 1, DEEP, 0.3),
    ],
)
def test_the_edges_themselves_are_allowed(call):
    assert call()


@pytest.mark.parametrize(
    ("call", "name", "said"),
    [
        (
            lambda: Grade(0, 0, 0),
            "grade",
            "a grade of 0-0-0 holds 0 of 100 parts: read the three numbers on the bag",
        ),
        (
            lambda: Grade(40, 40, 20.5),
            "grade",
            "a grade of 40-40-20.5 holds 100.5 of 100 parts: read the three numbers on the bag",
        ),
        (
            lambda: product_kg_for_p2o5(P2O5(1), Grade(46, 0, 0), 1),
            "nutrient_missing",
            "46-0-0 holds no P2O5: choose a product that holds P2O5",
        ),
        (
            lambda: product_kg_for_k2o(K2O(1), Grade(46, 0, 0), 1),
            "nutrient_missing",
            "46-0-0 holds no K2O: choose a product that holds K2O",
        ),
        (
            lambda: product_kg_for_n(N(1), Grade(0, 46, 0), 1),
            "nutrient_missing",
            "0-46-0 holds no N: choose a product that holds N",
        ),
        (
            lambda: soil_class_of([LOW, LOW], 5),
            "soil_classes",
            "classes from [0, 0] leave a gap: start at 0 and let each start higher",
        ),
        (
            lambda: fertiliser_need(ZONE, soil=replace(LOW, crop="y")),
            "soil_class",
            "a soil class for y says nothing of x: take the class of the crop",
        ),
        (
            lambda: cheapest_cut(((0.46, 0, 0.18),), (100.0,), Wanted(46, 20, 9)),
            "no_mixture",
            "nothing on the list brings 46.0 kg P2O5 and 20.0 kg K2O with at most 9.0 kg nitrogen: "
            "ask the dealer for a product with more of them and less nitrogen",
        ),
        (
            lambda: least_nitrogen_kg([Held(1, 0, 0.46, 0)], Wanted(1, 0, 0)),
            "not_enough",
            "there is not enough product for the need: buy more of it",
        ),
        (
            lambda: fertiliser_placement(60, 4000, 0.6, 0.1, FURROW, 0.04),
            "fertiliser_touches_seed",
            "seed 4 cm deep lies on fertiliser 5 cm deep under 2 cm of soil: "
            "sow shallower, make the furrow deeper, or lay it 5 cm beside the seed",
        ),
    ],
)
def test_what_contradicts_itself_is_refused_with_what_to_do(call, name, said):
    with pytest.raises(CannotBe) as refused:
        call()
    assert (refused.value.name, str(refused.value)) == (name, said)


@pytest.mark.parametrize(
    ("call", "said"),
    [
        (lambda: p_from_p2o5(P(1)), "P2O5 is asked for, P is given"),
        (lambda: p2o5_from_p(P2O5(1)), "P is asked for, P2O5 is given"),
        (lambda: k_from_k2o(K(1)), "K2O is asked for, K is given"),
        (lambda: k2o_from_k(N(1)), "K is asked for, N is given"),
        (lambda: P(1).less(P2O5(1)), "P less P2O5: turn one into the other first"),
    ],
)
def test_one_substance_for_another_is_refused_by_name(call, said):
    with pytest.raises(TypeError) as refused:
        call()
    assert str(refused.value) == said


EMPTY = Fertilising(0.5, FURROW, (ZONE,), (LOW,), (PRODUCT,))


@pytest.mark.parametrize(
    ("call", "name", "instead"),
    [
        (
            lambda: EMPTY.need("x", "coast"),
            "fertiliser need of x in coast",
            "add a [[fertilising.needs]] table to the programme file",
        ),
        (
            lambda: EMPTY.need("y", "hills"),
            "fertiliser need of y in hills",
            "add a [[fertilising.needs]] table to the programme file",
        ),
        (
            lambda: EMPTY.soil_classes_of("y"),
            "soil classes of y",
            "add them to [[fertilising.soil_classes]] in the programme file",
        ),
        (lambda: EMPTY.product("g"), "fertiliser g", "add it to [[fertilising.products]] in the programme file"),
        (
            lambda: choose_fertiliser([], Need(P2O5(1), K2O(0), N(0)), 1, 0),
            "fertilisers on sale",
            "add at least one to [[fertilising.products]]",
        ),
    ],
)
def test_a_figure_that_is_missing_is_named_with_its_place(call, name, instead):
    with pytest.raises(MissingFigure) as refused:
        call()
    assert (refused.value.name, refused.value.instead) == (name, instead)


def test_what_is_there_is_found():
    assert EMPTY.need("x", "hills") is ZONE
    assert EMPTY.soil_classes_of("x") == (LOW,)
    assert EMPTY.product("f") is PRODUCT
