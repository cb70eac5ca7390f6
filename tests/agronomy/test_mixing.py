"""Mixtures: the least nitrogen for a need, against a solver of linear programmes."""

from __future__ import annotations

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy.optimize import linprog

from advisor.agronomy.cut_mix import cheapest_cut
from advisor.agronomy.errors import CannotBe, OutOfRange
from advisor.agronomy.fertiliser_need import Basis, Need
from advisor.agronomy.grades import Grade
from advisor.agronomy.mixing import Held, Wanted, held, is_enough, least_nitrogen_kg, left_of, wanted_on
from advisor.agronomy.nutrients import K2O, P2O5, N
from tests.laws import examples

parts = st.sampled_from([0, 0.05, 0.1, 0.18, 0.3, 0.46])
helds = st.builds(Held, st.integers(0, 60), parts, parts, parts)
stocks = st.lists(helds, min_size=1, max_size=4)
wanteds = st.builds(Wanted, st.integers(0, 12), st.sampled_from([0, 0, 1, 4]), st.integers(0, 8))


def solved(costs, stock, wanted, limit=False):
    """Least of the costs by HiGHS, None where the need cannot be met."""
    rows = [[-each.p for each in stock], [-each.k for each in stock]]
    sides = [-wanted.p, -wanted.k]
    if limit:
        rows, sides = [*rows, [each.n for each in stock]], [*sides, wanted.n]
    found = linprog(costs, A_ub=rows, b_ub=sides, bounds=[(0, each.kg) for each in stock])
    return found.fun if found.status == 0 else None


@examples(150)
@given(stocks, wanteds)
def test_the_least_nitrogen_is_what_a_solver_finds(stock, wanted):
    least = solved([each.n for each in stock], stock, wanted)

    if least is None:
        assert not is_enough(stock, wanted)
        with pytest.raises(CannotBe, match="buy more of it"):
            least_nitrogen_kg(stock, wanted)
        return
    applied = least_nitrogen_kg(stock, wanted)
    assert sum(kg * each.n for kg, each in zip(applied, stock, strict=True)) == pytest.approx(least, abs=1e-6)
    assert sum(kg * each.p for kg, each in zip(applied, stock, strict=True)) >= wanted.p - 1e-6
    assert sum(kg * each.k for kg, each in zip(applied, stock, strict=True)) >= wanted.k - 1e-6
    assert all(0 <= kg <= each.kg for kg, each in zip(applied, stock, strict=True))
    assume(abs(least - wanted.n) > 1e-6)
    assert is_enough(stock, wanted) == (least < wanted.n)


@given(stocks, wanteds, st.integers(0, 3), st.integers(1, 20))
def test_more_of_a_product_is_never_less_enough(stock, wanted, place, more):
    at = place % len(stock)
    larger = [*stock[:at], Held(stock[at].kg + more, stock[at].n, stock[at].p, stock[at].k), *stock[at + 1 :]]

    assert is_enough(larger, wanted) or not is_enough(stock, wanted)


def test_nitrogen_at_its_limit_is_within_it_and_a_little_more_is_not():
    stock = [Held(100, 0.18, 0.46, 0)]

    assert is_enough(stock, Wanted(46, 0, 18))
    assert not is_enough(stock, Wanted(46, 0, 17.9999))


@examples(100)
@given(
    st.lists(st.tuples(parts, parts, parts), min_size=1, max_size=4),
    st.lists(st.integers(1, 200), min_size=4, max_size=4),
    wanteds,
)
def test_the_cheapest_mix_of_bags_that_can_be_cut_is_what_a_solver_finds(holds, prices, wanted):
    assume(wanted.p or wanted.k)
    stock = [Held(1e6, n, p, k) for p, k, n in holds]
    least = solved(prices[: len(holds)], stock, wanted, limit=True)

    if least is None:
        with pytest.raises(CannotBe, match="ask the dealer"):
            cheapest_cut(tuple(holds), tuple(prices[: len(holds)]), wanted)
        return
    mix = cheapest_cut(tuple(holds), tuple(prices[: len(holds)]), wanted)
    assert sum(kg * price for kg, price in zip(mix.kg, prices, strict=False)) == pytest.approx(least, rel=1e-6)
    worth = mix.price_p * wanted.p + mix.price_k * wanted.k - mix.price_n * wanted.n
    assert worth == pytest.approx(least, rel=1e-6)
    for (p, k, n), price in zip(holds, prices, strict=False):
        assert mix.price_p * p + mix.price_k * k - mix.price_n * n <= price * (1 + 1e-6)


def test_phosphorus_that_is_met_but_for_binary_noise_asks_for_no_nitrogen():
    """In binary fractions 0.1 and 0.7 are a hair less than 0.8, and no bag that is left holds that hair."""
    bare = [Held(1, 0, 0.1, 0), Held(1, 0, 0.7, 0), Held(50, 0.13, 0, 0.46)]

    assert sum(each.p for each in bare) < 0.8
    assert is_enough(bare, Wanted(0.8, 4.6, 1.3))


def test_of_ways_with_as_little_nitrogen_the_least_product_is_applied():
    """Both bags hold P2O5 without nitrogen, so the richer one is applied and the poorer one stays in its bag."""
    stock = [Held(100, 0, 0.18, 0), Held(100, 0, 0.46, 0)]

    assert least_nitrogen_kg(stock, Wanted(23, 0, 0)) == pytest.approx((0, 50))


def test_two_needs_are_met_by_parts_of_two_products():
    """0.2 and 0.1 of the first, 0.1 and 0.3 of the second: 20 kg and 30 kg bring 7 kg P2O5 and 11 kg K2O."""
    stock = [Held(100, 0.1, 0.2, 0.1), Held(100, 0.1, 0.1, 0.3)]

    assert least_nitrogen_kg(stock, Wanted(7, 11, 0)) == pytest.approx((20, 30))


def test_of_a_large_bag_a_small_plot_takes_its_part():
    stock = [Held(50, 0.18, 0.46, 0.3)]

    assert least_nitrogen_kg(stock, Wanted(0.46, 0, 0)) == pytest.approx((1,))
    assert least_nitrogen_kg(stock, Wanted(0, 0.6, 0)) == pytest.approx((2,))
    assert is_enough(stock, Wanted(0.46, 0, 0.18))
    assert not is_enough(stock, Wanted(0.46, 0, 0.17))


def test_for_nothing_nothing_is_applied():
    assert least_nitrogen_kg([Held(100, 0.1, 0.2, 0.1)], Wanted(0, 0, 0)) == (0,)
    assert least_nitrogen_kg([], Wanted(0, 0, 0)) == ()


def test_an_amount_of_a_product_holds_its_parts_in_a_hundred():
    assert held(50, Grade(18, 46, 5)) == Held(50, 0.18, 0.46, 0.05)


@pytest.mark.parametrize(
    ("kg", "expected"), [(60, 60), (1e-7, 1e-7), (6e-8, 0), (5e-8, 0), (0, 0), (-1, 0), (6.1e-8, 6.1e-8)]
)
def test_what_is_left_of_a_need_is_nothing_under_a_part_in_a_thousand_million(kg, expected):
    assert left_of(kg, 60) == expected
    assert left_of(1e-9, 1) == 0


@pytest.mark.parametrize(
    ("p", "k", "enough"),
    [
        (46, 10, True),
        (46 * (1 + 1e-12), 10, True),
        (46 * (1 + 1e-7), 10, False),
        (46, 10 * (1 + 1e-12), True),
        (46, 10 * (1 + 1e-7), False),
    ],
)
def test_a_stock_that_holds_the_need_to_a_hair_is_enough(p, k, enough):
    assert is_enough([Held(100, 0, 0.46, 0.1)], Wanted(p, k, 0)) is enough


def test_bags_are_cut_to_what_costs_least_at_prices_that_say_so():
    """46 kg P2O5 with 9 kg nitrogen at most: half of it from the cheap bag with nitrogen, half from the other.

    A kilogram more of nitrogen allowed would put 5.56 kg of the cheap bag for as much of the other, 10 less each.
    """
    mix = cheapest_cut(((0.46, 0, 0.18), (0.46, 0, 0), (0, 0.6, 0)), (100.0, 110.0, 60.0), Wanted(46, 30, 9))

    assert mix.kg == pytest.approx((50, 50, 50))
    assert (mix.price_p, mix.price_k, mix.price_n) == pytest.approx((110 / 0.46, 100, 10 / 0.18))


def test_a_limit_of_no_nitrogen_leaves_bags_without_it():
    mix = cheapest_cut(((0.46, 0, 0.18), (0.46, 0, 0)), (100.0, 110.0), Wanted(46, 0, 0))

    assert mix.kg == pytest.approx((0, 100))
    assert mix.price_p == pytest.approx(110 / 0.46)


def test_a_plot_without_area_is_refused():
    with pytest.raises(OutOfRange, match="area"):
        wanted_on(Need(P2O5(46), K2O(0), N(20), Basis.ZONE, P2O5(0)), 0)


@given(st.floats(0, 90), st.floats(0, 30), st.floats(0, 40), st.floats(100, 1e5))
def test_the_need_of_a_plot_is_its_part_of_a_hectares(p2o5, k2o, n_limit, area_m2):
    wanted = wanted_on(Need(P2O5(p2o5), K2O(k2o), N(n_limit)), area_m2)
    part = area_m2 / 10_000

    assert (wanted.p, wanted.k, wanted.n) == pytest.approx((p2o5 * part, k2o * part, n_limit * part))
