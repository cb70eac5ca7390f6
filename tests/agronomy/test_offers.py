"""Ways to buy a product, and what amounts of it or of a nutrient cost at least: against every combination."""

from __future__ import annotations

from decimal import Decimal
from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.agronomy.errors import OutOfRange
from advisor.agronomy.fertiliser_figures import FertiliserProduct
from advisor.agronomy.frontier import Pure, frontier_up_to
from advisor.agronomy.grades import Grade
from advisor.agronomy.labels import Label
from advisor.agronomy.offers import Offer, Sale, bought, coins, levels_of, levels_up_to, offers_of
from advisor.agronomy.packs import Pack, cheapest_purchase

ways = st.lists(
    st.tuples(st.integers(1, 12), st.integers(1, 30)), min_size=1, max_size=3, unique_by=lambda way: way[0]
)


def product_of(packs, scoop=None):
    return FertiliserProduct(
        "f", Label("f"), Grade(0, 46, 0), 1.0, tuple(Pack(g, Decimal(p)) for g, p in packs), scoop
    )


class TestOffers:
    @given(ways, st.integers(1, 40))
    def test_an_amount_costs_what_its_cheapest_packs_cost(self, packs, most_g):
        levels = levels_of(tuple(packs), most_g)

        for grams in range(most_g + 1):
            cost = next(cost for held, cost in zip(levels.grams, levels.costs, strict=True) if held >= grams)
            assert cost == cheapest_purchase([Pack(g, Decimal(p)) for g, p in packs], grams).cost

    @given(ways, st.integers(1, 40))
    def test_levels_rise_and_can_be_bought(self, packs, most_g):
        offers = offers_of(product_of(packs), 1, 0)
        levels = levels_up_to(offers, most_g, 0)

        assert list(levels.grams) == sorted(set(levels.grams))
        assert list(levels.costs) == sorted(set(levels.costs))
        for grams, cost in list(zip(levels.grams, levels.costs, strict=True))[:20]:
            cover = bought(offers, levels, grams)
            assert sum(offer.pack.size * count for offer, count in cover) == grams
            assert sum(offer.pack.price * count for offer, count in cover) == cost

    def test_levels_are_the_amounts_for_which_more_would_cost_more(self):
        """Two small bags cost as much as a large one that holds more, so nobody buys two."""
        offers = offers_of(product_of([(20, 30), (50, 60)]), 1, 0)
        levels = levels_up_to(offers, 100, 0)

        assert levels.unit_g == 10
        assert levels.grams[:6] == (0, 20, 50, 70, 100, 120)
        assert levels.costs[:6] == (0, 30, 60, 90, 120, 150)
        assert [bought(offers, levels, grams) for grams in (0, 20, 70, 100)] == [
            (),
            ((offers[0], 1),),
            ((offers[0], 1), (offers[1], 1)),
            ((offers[1], 2),),
        ]

    def test_levels_reach_beyond_what_is_enough_however_much_that_is(self):
        for most_g in (255, 256, 257, 5000):
            levels = levels_of(((1, 1),), most_g)
            assert levels.grams[most_g + 1] == levels.costs[most_g + 1] == most_g + 1

    def test_a_bag_is_shared_evenly_downward_by_weight_and_upward_by_coin(self):
        offers = offers_of(product_of([(50_000, 5200)], Pack(1000, Decimal(115))), 3, 0)

        assert [(offer.sale, offer.pack.size, offer.pack.price) for offer in offers] == [
            (Sale.BAG, 50_000, 5200),
            (Sale.SHARE, 16_500, 1734),
            (Sale.LOOSE, 1000, 115),
        ]

    def test_whoever_is_alone_shares_no_bag_and_two_have_half_each(self):
        alone, two = (offers_of(product_of([(50_000, 5201)]), sharers, 0) for sharers in (1, 2))

        assert [(offer.sale, offer.pack) for offer in alone] == [(Sale.BAG, Pack(50_000, Decimal(5201)))]
        assert two == (*alone, Offer(Sale.SHARE, Pack(25_000, Decimal(2601))))

    def test_a_bag_too_small_for_a_scale_is_not_shared(self):
        assert [offer.sale for offer in offers_of(product_of([(1400, 100)]), 3, 0)] == [Sale.BAG]
        assert [offer.sale for offer in offers_of(product_of([(1500, 100)]), 3, 0)] == [Sale.BAG, Sale.SHARE]

    @pytest.mark.parametrize("sharers", [0, 21])
    def test_sharers_that_cannot_be_are_refused(self, sharers):
        with pytest.raises(OutOfRange, match="sharers"):
            offers_of(product_of([(50_000, 5200)]), sharers, 0)

    @pytest.mark.parametrize(
        ("price", "decimals", "expected"), [("12.5", 2, 1250), ("12.5", 1, 125), ("12", 0, 12)]
    )
    def test_prices_are_whole_coins(self, price, decimals, expected):
        assert coins(Decimal(price), decimals) == expected


class TestAFrontier:
    @given(
        st.lists(st.tuples(ways, st.sampled_from([0.18, 0.25, 0.46])), min_size=1, max_size=2),
        st.floats(0.0001, 0.006),
    )
    def test_no_combination_brings_a_nutrient_cheaper(self, products, need_kg):
        frontier = frontier_up_to(tuple(Pure(tuple(packs), part) for packs, part in products), need_kg)
        at = frontier.least(need_kg)
        flat = [(grams * part / 1000, price) for packs, part in products for grams, price in packs]
        counts = [range(min(int(need_kg / kg) + 2, 8)) for kg, _ in flat]
        enough = [
            sum(count * price for count, (_, price) in zip(chosen, flat, strict=True))
            for chosen in product(*counts)
            if sum(count * kg for count, (kg, _) in zip(chosen, flat, strict=True)) >= need_kg * (1 - 1e-9)
        ]

        assert frontier.kg[at] >= need_kg * (1 - 1e-9)
        if enough and all(int(need_kg / kg) + 2 <= 8 for kg, _ in flat):
            assert frontier.costs[at] == min(enough)
        elif enough:
            assert frontier.costs[at] <= min(enough)

    def test_holds_the_cheapest_of_every_sum_of_products_with_what_is_bought(self):
        """12.5 kg of the second product cost as much as 10 kg of the first, which bring less."""
        frontier = frontier_up_to((Pure(((20_000, 100),), 0.5), Pure(((50_000, 100),), 0.25)), 30)

        assert frontier.kg[:4] == (0, 12.5, 25, 37.5)
        assert frontier.costs[:4] == (0, 100, 200, 300)
        assert frontier.grams[:4] == ((0, 0), (0, 50_000), (0, 100_000), (0, 150_000))

    def test_ends_with_the_first_amount_that_is_enough(self):
        frontier = frontier_up_to((Pure(((1000, 10),), 1),), 3)

        assert frontier.kg == (0, 1, 2, 3, 4)
        assert [frontier.least(kg) for kg in (0.5, 1, 1.001, 4, 4 * (1 + 1e-12), 4.1)] == [1, 1, 2, 4, 4, None]

    def test_nothing_costs_nothing_and_without_products_nothing_more_is_to_be_had(self):
        empty = frontier_up_to((), 10)

        assert empty.least(0) == 0
        assert empty.least(-3) == 0
        assert empty.least(0.1) is None
        assert empty.costs == (0,)
