"""The search for the cheapest fertiliser: what it says of a dealer's list, and lists that lead it astray."""

from __future__ import annotations

from decimal import Decimal
from itertools import product
from math import inf, prod

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from advisor.agronomy.errors import CannotBe
from advisor.agronomy.fertiliser_search import Candidate, Dealer, cheapest_grams
from advisor.agronomy.frontier import Pure, frontier_up_to
from advisor.agronomy.mixing import Held, Wanted, is_enough
from advisor.agronomy.packs import Pack, cheapest_purchase
from tests.laws import examples

DAP = Candidate(((50_000, 5200), (25_000, 2700)), 0.18, 0.46, 0)
PLAIN = Candidate(((50_000, 5600),), 0, 0.46, 0)
WEAK = Candidate(((50_000, 2300),), 0, 0.18, 0)
POTASH = Candidate(((50_000, 3900), (1000, 90)), 0, 0, 0.6)
EVEN = Candidate(((50_000, 4500),), 0, 0.2, 0.2)
NITRATE = Candidate(((50_000, 5000),), 0.13, 0, 0.46)
SACK = Candidate(((100_000, 8000),), 0.18, 0.46, 0)
SMALL = Candidate(((25_000, 2800),), 0.18, 0.46, 0)
PLAIN_DEAR = Candidate(((50_000, 8000),), 0, 0.46, 0)
DEAR = Candidate(((50_000, 20_000),), 0, 0.46, 0)
UREA = Candidate(((50_000, 4000),), 0.46, 0, 0)


def test_a_kilogram_costs_what_it_costs_in_the_cheapest_pack():
    assert (DAP.coins_per_kg, POTASH.coins_per_kg) == (104, 78)


def test_a_list_is_parted_into_what_brings_one_nutrient_only_and_all_else_that_is_of_use():
    dealer = Dealer.of((DAP, PLAIN, WEAK, POTASH, UREA), Wanted(46, 30, 9))

    assert (dealer.pure_p, dealer.pure_k, dealer.mixed) == ((1, 2), (3,), (0,))
    assert dealer.of_p == (Pure(PLAIN.packs, 0.46), Pure(WEAK.packs, 0.18))
    assert dealer.of_k == (Pure(POTASH.packs, 0.6),)
    assert (dealer.rate_p, dealer.rate_k) == pytest.approx((112 / 0.46, 78 / 0.6))
    assert dealer.worth == pytest.approx((0.104,))
    assert Dealer.of((DAP,), Wanted(46, 0, 20)).rate_p == inf


def test_bags_that_can_be_cut_cost_less_than_any_that_cannot_and_as_much_again_for_twice_the_plot():
    """50 kg of the first, 50 of the second and 50 of potash: 5,200, 5,600 and 3,900."""
    dealer = Dealer.of((DAP, PLAIN, POTASH), Wanted(46, 30, 9))

    assert dealer.least_cost(1.0) == pytest.approx(14_700)
    assert dealer.least_cost(2.5) == pytest.approx(36_750)


@pytest.mark.parametrize(
    ("candidates", "wanted", "plots", "grams", "cost"),
    [
        # whole bags as they are cut
        ((DAP, PLAIN, POTASH), Wanted(46, 30, 9), 1.0, [50_000, 50_000, 50_000], 14_700),
        ((DAP, PLAIN, POTASH), Wanted(23, 15, 4.5), 2.0, [50_000, 50_000, 50_000], 14_700),
        # one nutrient alone, by pure products; loose potash for the last kilogram
        ((PLAIN, WEAK), Wanted(9, 0, 0), 1.0, [0, 50_000], 2300),
        ((PLAIN, WEAK), Wanted(32, 0, 0), 1.0, [50_000, 50_000], 7900),
        ((POTASH,), Wanted(0, 30.6, 0), 1.0, [51_000], 3990),
        ((POTASH, UREA), Wanted(0, 0.6, 0), 1.0, [1000, 0], 90),
        # nitrogen that stays in the bag: one bag of 9 kg, of which 5 may be applied
        ((DAP,), Wanted(12, 0, 5), 1.0, [50_000], 5200),
        ((DAP, PLAIN), Wanted(12, 0, 1), 1.0, [0, 50_000], 5600),
        # both nutrients from one product, or from two that fit their bags better
        ((EVEN, PLAIN, POTASH), Wanted(10, 10, 0), 1.0, [50_000, 0, 0], 4500),
        ((EVEN, PLAIN, NITRATE), Wanted(44, 44, 20), 1.0, [0, 100_000, 100_000], 21_200),
        # two products that share the nitrogen
        ((DAP, NITRATE), Wanted(23, 23, 15.5), 1.0, [50_000, 50_000], 10_200),
        # of both only a part is applied, since the bags hold 11 kg of nitrogen
        ((DAP, NITRATE), Wanted(8, 8, 6), 1.0, [25_000, 50_000], 7700),
        # the mix that could be cut is of a large bag, and the whole bags that cost least are of a small one
        ((SACK, SMALL, NITRATE, DEAR), Wanted(11.5, 23, 20), 1.0, [0, 25_000, 50_000, 0], 7800),
        ((SACK, SMALL, PLAIN_DEAR), Wanted(34.5, 0, 4.5), 1.0, [0, 25_000, 50_000], 10_800),
        # all nitrogen that is allowed, to the kilogram
        ((DAP,), Wanted(46, 0, 18), 1.0, [100_000], 10_400),
        # no nitrogen allowed
        ((DAP, NITRATE, PLAIN, POTASH), Wanted(23, 30, 0), 1.0, [0, 0, 50_000, 50_000], 9500),
    ],
)
def test_the_cheapest_purchase_of_a_list(candidates, wanted, plots, grams, cost):
    found = Dealer.of(candidates, wanted).search(plots)

    assert (list(found.grams), found.cost) == (grams, cost)
    if plots == 1:
        assert list(cheapest_grams(candidates, wanted)) == grams


MIXED = [(0, 20, 20), (15, 15, 15), (13, 0, 46), (18, 46, 0), (12, 24, 12), (20, 20, 0), (0, 10, 30), (0, 46, 0)]
lists = st.lists(
    st.builds(
        lambda grade, kg, price: Candidate(((kg * 1000, price),), *(part / 100 for part in grade)),
        st.sampled_from(MIXED),
        st.sampled_from([10, 25, 50]),
        st.integers(500, 6000),
    ),
    min_size=3,
    max_size=4,
)


def by_every_combination(candidates, wanted):
    """What the cheapest combination of whole bags costs, None where none is enough."""
    most = [
        max(wanted.p / each.p if each.p else 0, wanted.k / each.k if each.k else 0) * 1000 // each.packs[0][0] + 2
        for each in candidates
    ]
    assume(prod(most) <= 3000)
    priced = sorted(
        (sum(count * each.packs[0][1] for count, each in zip(counts, candidates, strict=True)), counts)
        for counts in product(*(range(int(number)) for number in most))
    )
    for cost, counts in priced:
        stock = [
            Held(count * each.packs[0][0] / 1000, each.n, each.p, each.k)
            for count, each in zip(counts, candidates, strict=True)
        ]
        if is_enough(stock, wanted):
            return cost
    return None


@examples(150)
@given(lists, st.sampled_from([5, 11, 20]), st.sampled_from([0, 5, 11, 20]), st.sampled_from([0, 2, 5, 40]))
def test_no_combination_of_bags_is_cheaper_where_most_hold_both_nutrients(candidates, p, k, n):
    wanted = Wanted(p, k, n)
    cheapest = by_every_combination(candidates, wanted)

    if cheapest is None:
        with pytest.raises(CannotBe):
            Dealer.of(tuple(candidates), wanted)
    else:
        assert Dealer.of(tuple(candidates), wanted).search(1.0).cost == cheapest


def test_a_list_that_cannot_meet_the_need_is_refused():
    with pytest.raises(CannotBe, match="ask the dealer for a product"):
        cheapest_grams((DAP, UREA), Wanted(46, 30, 20))


@examples(25)
@given(
    st.tuples(st.integers(5, 50), st.integers(300, 6000)),
    st.tuples(st.integers(2, 20), st.integers(100, 3000)),
    st.integers(20, 160),
    st.floats(150, 500),
)
def test_a_long_list_of_one_nutrient_costs_what_the_cheapest_packs_cost(bag, small, loose, kg):
    """Two products that hold 10 and 20 %: packs of twice as much of the one are packs of the other."""
    tenth = Pure(((bag[0] * 1000, bag[1]), (1000, loose)), 0.1)
    fifth = Pure(((small[0] * 1000, small[1]),), 0.2)
    found = frontier_up_to((tenth, fifth), kg)
    packs = [
        Pack(bag[0] * 1000, Decimal(bag[1])),
        Pack(1000, Decimal(loose)),
        Pack(small[0] * 2000, Decimal(small[1])),
    ]

    for part in (0.3, 0.77, 1):
        at = found.least(kg * part)
        need_g = -(-round(kg * part * 10_000_000) // 1000)
        assert found.costs[at] == cheapest_purchase(packs, need_g).cost
        assert sum(grams * each for grams, each in zip(found.grams[at], (0.1, 0.2), strict=True)) / 1000 == (
            pytest.approx(found.kg[at])
        )
