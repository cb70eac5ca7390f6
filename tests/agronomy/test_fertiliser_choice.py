"""The cheapest fertiliser within the limit, proven against every combination of bags; the check of a dressing."""

from __future__ import annotations

from decimal import Decimal
from functools import cache
from itertools import product
from math import prod

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from advisor.agronomy.cautions import CAUTIONS
from advisor.agronomy.errors import CannotBe, MissingFigure, OutOfRange
from advisor.agronomy.fertiliser_check import Flag, check_dressing
from advisor.agronomy.fertiliser_choice import FertiliserCost, choose_fertiliser
from advisor.agronomy.fertiliser_figures import FertiliserProduct
from advisor.agronomy.fertiliser_need import Basis, Need
from advisor.agronomy.grades import Grade
from advisor.agronomy.labels import Label
from advisor.agronomy.mixing import Held, Wanted
from advisor.agronomy.nutrients import K2O, P2O5, N, P, p_from_p2o5
from advisor.agronomy.offers import Sale
from advisor.agronomy.packs import Pack
from advisor.agronomy.powder_measures import measure_g
from advisor.agronomy.units import ACRE_M2
from tests.agronomy.test_mixing import solved
from tests.laws import examples

HECTARE_M2 = 10_000

grades = st.one_of(
    st.sampled_from([(18, 46, 0), (0, 46, 0), (0, 18, 0), (0, 0, 60), (15, 15, 15), (10, 0, 30), (46, 0, 0)]),
    st.tuples(st.sampled_from([0, 5, 20]), st.sampled_from([0, 10, 46]), st.sampled_from([0, 10])).filter(any),
)
ways = st.lists(
    st.tuples(st.integers(2, 9), st.integers(1, 40)), min_size=1, max_size=2, unique_by=lambda way: way[0]
)
dealers = st.lists(st.tuples(grades, ways), min_size=1, max_size=3)


def need_of(p2o5, k2o=0.0, n_limit=20.0):
    return Need(P2O5(p2o5), K2O(k2o), N(n_limit), Basis.ZONE, P2O5(0))


def products_of(dealer):
    return [
        FertiliserProduct(
            f"f{at}", Label("f"), Grade(*grade), 1.0, tuple(Pack(kg * 1000, Decimal(p)) for kg, p in packs), None
        )
        for at, (grade, packs) in enumerate(dealer)
    ]


def by_every_combination(dealer, wanted):
    """Cost of the cheapest combination that does, None where none does; least nitrogen by a linear solver."""

    @cache
    def does(held):
        stock = [Held(kg, *(part / 100 for part in grade)) for kg, (grade, _) in zip(held, dealer, strict=True)]
        if sum(e.kg * e.p for e in stock) < wanted.p - 1e-9 or sum(e.kg * e.k for e in stock) < wanted.k - 1e-9:
            return False
        if sum(e.kg * e.n for e in stock) <= wanted.n + 1e-9:
            return True
        return solved([e.n for e in stock], stock, wanted) <= wanted.n + 1e-7

    flat = [(at, kg, price) for at, (_, packs) in enumerate(dealer) for kg, price in packs]
    most = [
        max(
            wanted.p / grade[1] * 100 if grade[1] else 0,
            wanted.k / grade[2] * 100 if grade[2] else 0,
        )
        for grade, _ in dealer
    ]
    # What no stock however large can do, no combination does.
    if not does((10_000,) * len(dealer)):
        return None
    ranges = [range(int(-(-most[at] // kg)) + 1) for at, kg, _ in flat]
    assume(prod(len(each) for each in ranges) <= 5_000)
    combinations = sorted(
        (sum(count * price for count, (_, _, price) in zip(counts, flat, strict=True)), counts)
        for counts in product(*ranges)
    )
    for cost, counts in combinations:
        held = [0] * len(dealer)
        for count, (at, kg, _) in zip(counts, flat, strict=True):
            held[at] += count * kg
        if does(tuple(held)):
            return cost
    return None


class TestTheChoice:
    @examples(250)
    @given(
        dealers,
        st.sampled_from([0, 1, 2, 3]),
        st.sampled_from([0, 0, 0.6, 1, 1.2, 2]),
        st.sampled_from([0, 0.3, 0.9, 30]),
    )
    def test_no_combination_of_bags_is_cheaper(self, dealer, p2o5, k2o, n_limit):
        cheapest = by_every_combination(dealer, Wanted(p2o5, k2o, n_limit)) if p2o5 or k2o else 0

        if cheapest is None:
            with pytest.raises(CannotBe, match="ask the dealer for a product"):
                choose_fertiliser(products_of(dealer), need_of(p2o5, k2o, n_limit), HECTARE_M2, 0)
            return
        assert choose_fertiliser(products_of(dealer), need_of(p2o5, k2o, n_limit), HECTARE_M2, 0).cost == cheapest

    @examples(100)
    @given(
        st.floats(1, 90),
        st.sampled_from([0, 0, 10, 30]),
        st.floats(0, 40),
        st.floats(0.05, 20),
        st.integers(1, 4),
    )
    def test_meets_the_need_within_the_limit_with_what_is_bought(
        self, programme, p2o5, k2o, n_limit, acres, sharers
    ):
        products = programme.fertilising.products
        chosen = choose_fertiliser(products, need_of(p2o5, k2o, n_limit), acres * ACRE_M2, 0, sharers)

        assert chosen.delivered.p2o5.kg_per_ha >= p2o5 * (1 - 1e-6)
        assert chosen.delivered.k2o.kg_per_ha >= k2o * (1 - 1e-6)
        assert chosen.delivered.n.kg_per_ha <= n_limit * (1 + 1e-6) + 1e-9
        assert chosen.cost == sum(line.cost for line in chosen.lines)
        for line in chosen.lines:
            assert line.applied_kg <= line.bought_kg * (1 + 1e-9)
            assert line.cost == sum(offer.pack.price * count for offer, count in line.offers)
            assert line.bought_kg * 1000 == sum(offer.pack.size * count for offer, count in line.offers)

    @examples(150)
    @given(dealers, st.floats(0, 90), st.sampled_from([0, 10, 30]), st.floats(0, 40), st.floats(0.05, 20))
    def test_its_cost_alone_is_the_same_and_never_under_its_bound(self, dealer, p2o5, k2o, n_limit, acres):
        products, need = products_of(dealer), need_of(p2o5, k2o, n_limit)
        try:
            costs = FertiliserCost.of(products, need, 0)
        except CannotBe:
            with pytest.raises(CannotBe):
                choose_fertiliser(products, need, acres * ACRE_M2, 0)
            return

        cost = costs.cost(acres * ACRE_M2)
        assert cost == choose_fertiliser(products, need, acres * ACRE_M2, 0).cost
        assert costs.least(acres * ACRE_M2) <= float(cost) + 0.01

    @examples(60)
    @given(st.floats(5, 90), st.floats(0, 25), st.floats(0.1, 5), st.floats(1, 1.5))
    def test_a_larger_need_is_never_cheaper_and_a_wider_limit_never_dearer(
        self, programme, p2o5, n_limit, acres, times
    ):
        products, area_m2 = programme.fertilising.products, acres * ACRE_M2
        cost = choose_fertiliser(products, need_of(p2o5, 0, n_limit), area_m2, 0).cost

        assert choose_fertiliser(products, need_of(p2o5 * times, 0, n_limit), area_m2, 0).cost >= cost
        assert choose_fertiliser(products, need_of(p2o5, 0, n_limit * times), area_m2, 0).cost <= cost
        assert choose_fertiliser(products, need_of(p2o5, 0, n_limit), area_m2, 0, sharers=2).cost <= cost

    def test_where_one_product_holds_just_what_is_needed_another_mixture_may_fit_its_bags_better(self):
        """Five bags of 0-20-20 are bought for 220 kg; two and two of the others are 188 kg of 200."""
        dealer = [((0, 20, 20), [(50, 4500)]), ((0, 46, 0), [(50, 5500)]), ((13, 0, 46), [(50, 5000)])]

        chosen = choose_fertiliser(products_of(dealer), need_of(44, 44, 20), HECTARE_M2, 0)

        assert chosen.cost == 21_000 < 5 * 4500
        assert [(line.product, line.bought_kg) for line in chosen.lines] == [("f1", 100), ("f2", 100)]

    def test_the_limit_holds_for_what_is_applied_and_not_for_what_is_bought(self):
        dap = products_of([((18, 46, 0), [(50, 5200)])])

        chosen = choose_fertiliser(dap, need_of(25, 0, 10), HECTARE_M2, 0)
        assert chosen.lines[0].bought_kg * 0.18 == 18 > 10
        assert chosen.lines[0].bought_kg == 100
        assert chosen.delivered.n.kg_per_ha == pytest.approx(25 / 46 * 18)
        with pytest.raises(CannotBe, match=r"nothing on the list brings 26\.0 kg P2O5"):
            choose_fertiliser(dap, need_of(26, 0, 10), HECTARE_M2, 0)

    def test_loose_and_shared_bags_are_bought_where_they_are_cheaper(self):
        bag = FertiliserProduct(
            "f", Label("f"), Grade(0, 50, 0), 1, (Pack(50_000, Decimal(5000)),), Pack(1000, Decimal(120))
        )

        few = choose_fertiliser([bag], need_of(5), HECTARE_M2, 0).lines[0]
        most = choose_fertiliser([bag], need_of(24), HECTARE_M2, 0).lines[0]
        half = choose_fertiliser([bag], need_of(12), HECTARE_M2, 0, sharers=2).lines[0]
        assert [(offer.sale, count) for offer, count in few.offers] == [(Sale.LOOSE, 10)]
        assert [(offer.sale, count) for offer, count in most.offers] == [(Sale.BAG, 1)]
        assert [(offer.sale, count) for offer, count in half.offers] == [(Sale.SHARE, 1)]
        assert (few.cost, most.cost, half.cost) == (1200, 5000, 2500)

    def test_of_no_need_buys_nothing(self, programme):
        chosen = choose_fertiliser(programme.fertilising.products, need_of(0), ACRE_M2, 0)

        assert (chosen.lines, chosen.cost, chosen.delivered.p2o5) == ((), 0, P2O5(0))

    def test_carries_its_cautions(self, programme):
        chosen = choose_fertiliser(programme.fertilising.products, need_of(46), ACRE_M2, 0)

        assert {"no_bare_hands_with_fertiliser", "wash", "keep_from_children_and_food"} <= set(chosen.cautions)
        assert set(chosen.cautions) <= set(CAUTIONS)

    def test_without_a_list_is_refused(self):
        with pytest.raises(MissingFigure, match=r"add at least one to \[\[fertilising\.products\]\]"):
            choose_fertiliser([], need_of(46), ACRE_M2, 0)

    @pytest.mark.parametrize(("area_m2", "decimals", "sharers"), [(0, 0, 1), (100, 3, 1), (100, 0, 0)])
    def test_what_cannot_be_is_refused(self, programme, area_m2, decimals, sharers):
        with pytest.raises(OutOfRange):
            choose_fertiliser(programme.fertilising.products, need_of(46), area_m2, decimals, sharers)


class TestTheCheckOfADressing:
    def test_60_kg_an_acre_are_over_the_limit_and_a_mixture_within_it_is_offered(self, programme):
        products = programme.fertilising.products
        need = need_of(68.2, 0, 20)

        check = check_dressing(programme.fertilising.product("f1"), 60, ACRE_M2, need, products, 0)

        assert check.flags == (Flag.OVER_N,)
        assert check.over_n.kg_per_ha == pytest.approx(6.687, abs=1e-3)
        assert check.instead.delivered.n <= N(20 * (1 + 1e-9))
        assert check.instead.delivered.p2o5.kg_per_ha >= 68.2 * (1 - 1e-6)
        assert len(check.instead.lines) > 1

    @pytest.mark.parametrize(
        ("kg", "flags"),
        [
            (100, ()),
            (100.001, (Flag.OVER_N,)),
            (99.999, (Flag.SHORT_P2O5,)),
            (0, (Flag.SHORT_P2O5,)),
        ],
    )
    def test_both_edges_are_free_of_fault(self, programme, kg, flags):
        dap = programme.fertilising.product("f1")
        check = check_dressing(dap, kg, HECTARE_M2, need_of(46, 0, 18), programme.fertilising.products, 0)

        assert check.flags == flags
        assert (check.instead is None) == (not flags)

    def test_tells_what_a_hectare_gets_and_what_is_over_and_short(self, programme):
        """50 kg on half a hectare are 100 kg: 18 kg N, 46 kg P2O5."""
        dap = programme.fertilising.product("f1")
        check = check_dressing(dap, 50, HECTARE_M2 / 2, need_of(50, 7, 15), [dap], 0)

        assert (check.delivered.n, check.delivered.p2o5, check.delivered.k2o) == (N(18), P2O5(46), K2O(0))
        assert (check.over_n, check.short_p2o5, check.short_k2o) == (N(3), P2O5(4), K2O(7))
        assert check.flags == (Flag.OVER_N, Flag.SHORT_P2O5, Flag.SHORT_K2O)
        assert check.instead is None

    @pytest.mark.parametrize(("short_kg", "flags"), [(4e-8, ()), (2e-7, (Flag.SHORT_P2O5,))])
    def test_is_short_by_more_than_a_part_in_a_thousand_million(self, programme, short_kg, flags):
        plain = programme.fertilising.product("f2")

        assert check_dressing(plain, 100, HECTARE_M2, need_of(46 + short_kg), [plain], 0).flags == flags

    def test_of_nothing_wanted_is_over_by_two_thousand_millionths_of_a_kilogram(self, programme):
        dap = programme.fertilising.product("f1")

        assert check_dressing(dap, 1.5e-9 / 0.18, HECTARE_M2, need_of(0, 0, 0), [dap], 0).flags == (Flag.OVER_N,)

    def test_of_nothing_wanted_and_nothing_applied_has_no_fault(self, programme):
        dap = programme.fertilising.product("f1")

        assert check_dressing(dap, 0, HECTARE_M2, need_of(0, 0, 0), [], 0).flags == ()
        assert check_dressing(dap, 1e-9, HECTARE_M2, need_of(0, 0, 0), [], 0).flags == ()
        with pytest.raises(MissingFigure):
            check_dressing(dap, 1, HECTARE_M2, need_of(0, 0, 0), [], 0)

    def test_missing_potassium_is_named(self, programme):
        dap = programme.fertilising.product("f1")
        check = check_dressing(dap, 100, HECTARE_M2, need_of(46, 20, 18), programme.fertilising.products, 0)

        assert check.flags == (Flag.SHORT_K2O,)
        assert check.short_k2o == K2O(20)

    def test_where_the_list_has_nothing_better_nothing_is_offered(self, programme):
        dap = programme.fertilising.product("f1")
        check = check_dressing(dap, 60, ACRE_M2, need_of(68, 0, 10), [dap], 0)

        assert (check.flags, check.instead) == ((Flag.OVER_N,), None)


class TestTheProgrammeFile:
    def test_gives_needs_classes_products_and_furrow(self, programme, crop):
        fertilising = programme.fertilising

        assert fertilising.need(crop.key, "valley").p2o5 == P2O5(46)
        assert [each.key for each in fertilising.soil_classes_of(crop.key)] == ["low", "medium", "good", "high"]
        assert [str(each.grade) for each in fertilising.products] == ["18-46-0", "0-46-0", "0-18-0", "0-0-60"]
        assert fertilising.furrow.cover_m == pytest.approx(0.02)
        assert crop.removal.p2o5_g_per_kg == 12

    def test_turns_a_need_in_p_into_p2o5_when_it_is_read(self, programme, crop):
        assert p_from_p2o5(programme.fertilising.need(crop.key, "hills").p2o5).kg_per_ha == pytest.approx(
            P(26).kg_per_ha
        )

    def test_has_a_crown_cap_that_holds_4_6_g_of_the_first_product(self, programme):
        cap = next(measure for measure in programme.measures if measure.key == "crown-cap")

        assert measure_g(cap.volume_ml, programme.fertilising.product("f1").bulk_g_per_ml) == pytest.approx(4.6)
