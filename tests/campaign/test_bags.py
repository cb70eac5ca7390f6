"""Whole bags among growers: everybody gets what is needed, and what is bought is all accounted for."""

from __future__ import annotations

from collections import Counter
from decimal import Decimal

from hypothesis import given
from hypothesis import strategies as st

from advisor.agronomy.packs import Pack, cheapest_purchase
from advisor.campaign.bags import MOST_TOGETHER, Bag, Portion, bought_by, shared_out, weighed_out
from tests.laws import examples

SMALL, LARGE = Pack(5000, Decimal(575)), Pack(25000, Decimal(2600))
dealers = st.sampled_from([(SMALL, LARGE), (SMALL,), (LARGE,), (Pack(250, Decimal(350)),)])
needs = st.lists(st.integers(1, 60_000), min_size=1, max_size=90).map(
    lambda grams: [(f"g{place:03}", each) for place, each in enumerate(grams)]
)


class TestWholeBags:
    @examples(40)
    @given(dealers, needs, st.integers(1, 5))
    def test_what_growers_get_and_what_is_left_is_what_is_bought(self, packs, wanted, most):
        groups, _ = shared_out(packs, wanted, most, 0)

        bags = [bag for group in groups for bag in weighed_out(group)]
        got: Counter[str] = Counter()
        for bag in bags:
            for portion in bag.portions:
                got[portion.grower] += portion.grams
            assert sum(portion.grams for portion in bag.portions) + bag.left_g == bag.pack.size
            assert all(portion.grams > 0 for portion in bag.portions)
        assert got == dict(wanted)
        assert Counter(bag.pack for bag in bags) == dict(bought_by(groups))
        assert sum(bag.pack.size for bag in bags) == sum(got.values()) + sum(bag.left_g for bag in bags)

    @examples(40)
    @given(st.sampled_from([SMALL, LARGE]), needs, st.integers(1, 5))
    def test_of_one_size_no_group_is_left_with_a_bag_or_more(self, pack, wanted, most):
        groups, _ = shared_out([pack], wanted, most, 0)

        for group in groups:
            left = [bag.left_g for bag in weighed_out(group)]
            assert sum(left) == group.purchase.surplus < pack.size
            assert sum(each > 0 for each in left) <= 1

    @examples(40)
    @given(dealers, needs, st.integers(1, 5))
    def test_nobody_pays_more_than_alone_and_the_bills_are_the_cost(self, packs, wanted, most):
        groups, _ = shared_out(packs, wanted, most, 0)

        for group in groups:
            assert 1 <= len(group.shares) <= most
            assert sum(share.pays for share in group.shares) == group.purchase.cost
            assert all(share.pays <= cheapest_purchase(packs, share.grams).cost for share in group.shares)

    @examples(40)
    @given(dealers, needs, st.integers(1, 5))
    def test_few_take_from_several_opened_bags(self, packs, wanted, most):
        """A grower is split only where a bag ends: never more portions than growers and bags."""
        groups, _ = shared_out(packs, wanted, most, 0)

        for group in groups:
            bags = weighed_out(group)
            portions = sum(len(bag.portions) for bag in bags)
            assert portions <= len(group.shares) + len(bags) - 1

    def test_more_growers_than_are_looked_at_together_are_not_called_exact(self):
        wanted = [(f"g{place:03}", 1000) for place in range(MOST_TOGETHER + 1)]

        groups, exact = shared_out([SMALL], wanted, 5, 0)

        assert not exact
        assert sum(len(group.shares) for group in groups) == len(wanted)

    def test_who_needs_a_whole_bag_takes_it_unopened(self):
        (group,), _ = shared_out([SMALL, LARGE], [("ann", 27_000), ("ben", 3_000)], 2, 0)

        assert weighed_out(group) == (
            Bag(LARGE, (Portion("ann", 25_000),), 0),
            Bag(SMALL, (Portion("ben", 3_000), Portion("ann", 2_000)), 0),
        )
