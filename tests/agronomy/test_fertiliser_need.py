"""What a plot needs: soil test before zone, and no credit by guess."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.agronomy.errors import CannotBe, OutOfRange
from advisor.agronomy.fertiliser_figures import SoilClass, ZoneNeed
from advisor.agronomy.fertiliser_need import (
    Basis,
    LastSeason,
    Need,
    fertiliser_need,
    last_season_credit,
    removed_p2o5,
    soil_class_of,
)
from advisor.agronomy.nutrients import K2O, P2O5, N

ZONE = ZoneNeed("x", "hills", P2O5(46), K2O(10), N(20))
LAST = LastSeason(P2O5(60), 1500, 12, P2O5(46))
CLASSES = [
    SoilClass("x", key, edge, P2O5(kg)) for key, edge, kg in (("low", 0, 60), ("mid", 8, 40), ("high", 30, 0))
]

seasons = st.builds(
    LastSeason,
    st.floats(0, 200).map(P2O5),
    st.floats(0, 8000),
    st.floats(0, 20),
    st.floats(0, 100).map(P2O5),
)
parts = st.floats(0, 1)


class TestTheCredit:
    @given(seasons, parts)
    def test_is_a_part_of_what_was_applied_less_what_was_taken_off(self, last, part):
        surplus = max(0, last.applied.kg_per_ha - last.harvest_kg_per_ha * last.p2o5_g_per_kg / 1000)
        expected = surplus * part if last.applied >= last.full_dressing else 0

        assert last_season_credit(last, part).kg_per_ha == pytest.approx(expected)

    @given(seasons, parts)
    def test_never_exceeds_what_was_applied(self, last, part):
        assert last_season_credit(last, part) <= last.applied

    @given(seasons, parts, st.floats(0, 3000))
    def test_a_larger_harvest_never_leaves_more(self, last, part, more):
        larger = replace(last, harvest_kg_per_ha=last.harvest_kg_per_ha + more)

        assert last_season_credit(larger, part) <= last_season_credit(last, part)

    @pytest.mark.parametrize(("applied", "credit"), [(46, 14), (45.999, 0), (0, 0)])
    def test_is_nothing_under_a_full_dressing_which_itself_counts(self, applied, credit):
        assert last_season_credit(replace(LAST, applied=P2O5(applied)), 0.5).kg_per_ha == pytest.approx(credit)

    @pytest.mark.parametrize("forgotten", [{"applied": None}, {"harvest_kg_per_ha": None}])
    def test_is_nothing_when_nobody_remembers(self, forgotten):
        assert last_season_credit(replace(LAST, **forgotten), 0.5) == P2O5(0)

    @pytest.mark.parametrize("part", [-0.01, 1.01, float("nan")])
    def test_of_a_part_that_cannot_be_is_refused(self, part):
        with pytest.raises(OutOfRange, match="part of the surplus"):
            last_season_credit(LAST, part)

    @pytest.mark.parametrize(
        "absurd", [{"harvest_kg_per_ha": -1}, {"harvest_kg_per_ha": 20_001}, {"p2o5_g_per_kg": -1}]
    )
    def test_of_a_harvest_that_cannot_be_is_refused(self, absurd):
        with pytest.raises(OutOfRange):
            last_season_credit(replace(LAST, **absurd), 0.5)


class TestTheNeed:
    @given(seasons, parts)
    def test_of_a_zone_is_less_the_credit_and_never_below_nothing(self, last, part):
        need = fertiliser_need(ZONE, last=last, credit_part=part)

        assert need.p2o5 == ZONE.p2o5.less(last_season_credit(last, part))
        assert need.credit == last_season_credit(last, part)
        assert need.basis is (Basis.LAST_SEASON if need.credit.kg_per_ha else Basis.ZONE)
        assert (need.k2o, need.n_limit) == (ZONE.k2o, ZONE.n_limit)

    def test_of_a_soil_test_has_no_credit_taken_off_as_well(self):
        need = fertiliser_need(ZONE, soil=CLASSES[1], last=LAST, credit_part=0.5)

        assert (need.p2o5, need.credit, need.basis) == (P2O5(40), P2O5(0), Basis.SOIL_TEST)

    def test_has_no_credit_where_the_programme_names_no_part(self):
        assert fertiliser_need(ZONE, last=LAST) == Need(P2O5(46), K2O(10), N(20), Basis.ZONE, P2O5(0))

    def test_without_a_memory_is_the_zones(self):
        assert fertiliser_need(ZONE).p2o5 == P2O5(46)
        assert fertiliser_need(ZONE).basis is Basis.ZONE

    def test_of_another_crops_soil_class_is_refused(self):
        with pytest.raises(CannotBe, match="take the class of the crop"):
            fertiliser_need(ZONE, soil=SoilClass("y", "low", 0, P2O5(60)))


class TestSoilClasses:
    @pytest.mark.parametrize(
        ("test", "key"), [(0, "low"), (7.999, "low"), (8, "mid"), (29.999, "mid"), (30, "high"), (1000, "high")]
    )
    def test_the_lower_edge_belongs_to_a_class(self, test, key):
        assert soil_class_of(CLASSES, test).key == key

    @given(st.floats(0, 500), st.floats(0, 500))
    def test_a_richer_soil_never_needs_more(self, one, other):
        poorer, richer = sorted((one, other))

        assert soil_class_of(CLASSES, richer).p2o5 <= soil_class_of(CLASSES, poorer).p2o5

    @pytest.mark.parametrize("classes", [[], CLASSES[1:], [CLASSES[0], CLASSES[0]], [CLASSES[0], *CLASSES[:0:-1]]])
    def test_classes_that_leave_a_gap_are_refused(self, classes):
        with pytest.raises(CannotBe, match="start at 0 and let each start higher"):
            soil_class_of(classes, 10)

    @pytest.mark.parametrize("test", [-0.1, 1000.1, float("nan")])
    def test_a_test_that_cannot_be_is_refused(self, test):
        with pytest.raises(OutOfRange, match="phosphorus in the soil"):
            soil_class_of(CLASSES, test)


@given(st.floats(0, 9000), st.floats(0, 20), st.floats(1, 2))
def test_what_a_harvest_takes_scales(harvest, g_per_kg, times):
    assert removed_p2o5(harvest * times, g_per_kg).kg_per_ha == pytest.approx(
        removed_p2o5(harvest, g_per_kg).kg_per_ha * times
    )
