"""P and P₂O₅, K and K₂O: turned into each other here and nowhere else, and never mixed up."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.agronomy.errors import OutOfRange
from advisor.agronomy.nutrients import K2O, P2O5, K, N, P, k2o_from_k, k_from_k2o, p2o5_from_p, p_from_p2o5

kg = st.floats(0, 1e4)
KINDS = (N, P, P2O5, K, K2O)


class TestTurningOneIntoTheOther:
    @given(kg)
    def test_there_and_back_is_the_same(self, amount):
        assert p_from_p2o5(p2o5_from_p(P(amount))).kg_per_ha == pytest.approx(amount)
        assert k_from_k2o(k2o_from_k(K(amount))).kg_per_ha == pytest.approx(amount)

    @given(st.floats(0.01, 1e4))
    def test_the_oxide_weighs_more_than_its_element(self, amount):
        assert p_from_p2o5(P2O5(amount)).kg_per_ha < amount
        assert k_from_k2o(K2O(amount)).kg_per_ha < amount

    @given(kg, st.floats(0, 20))
    def test_units_scale(self, amount, times):
        assert p2o5_from_p(P(amount * times)).kg_per_ha == pytest.approx(p2o5_from_p(P(amount)).kg_per_ha * times)

    @pytest.mark.parametrize(
        ("turn", "asked"), [(p_from_p2o5, P2O5), (p2o5_from_p, P), (k_from_k2o, K2O), (k2o_from_k, K)]
    )
    def test_no_other_substance_is_taken_even_where_no_type_checker_looks(self, turn, asked):
        for kind in KINDS:
            if kind is not asked:
                with pytest.raises(TypeError, match=f"{asked.__name__} is asked for, {kind.__name__} is given"):
                    turn(kind(10))
        with pytest.raises(TypeError):
            turn(10.0)


class TestNeverMixedUp:
    @pytest.mark.parametrize("one", KINDS)
    @pytest.mark.parametrize("other", KINDS)
    def test_only_like_is_added_compared_and_taken_away(self, one, other):
        if one is other:
            assert one(3) + other(4) == one(7)
            assert one(3) < other(4)
            assert one(7).less(other(4)) == one(3)
            return
        assert one(3) != other(3)
        with pytest.raises(TypeError):
            one(3) + other(4)
        with pytest.raises(TypeError):
            assert one(3) < other(4)
        with pytest.raises(TypeError, match="turn one into the other first"):
            one(7).less(other(4))

    @given(kg, kg)
    def test_nothing_is_left_where_more_is_taken_away(self, amount, taken):
        left = P2O5(amount).less(P2O5(taken))

        assert left.kg_per_ha == pytest.approx(max(0, amount - taken))


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("amount", [-0.001, float("nan"), float("inf")])
def test_an_amount_that_cannot_be_is_refused(kind, amount):
    with pytest.raises(OutOfRange, match=rf"^{kind.__name__} is "):
        kind(amount)


@pytest.mark.parametrize("kind", KINDS)
def test_none_at_all_is_an_amount(kind):
    assert kind(0).kg_per_ha == 0
