"""Loose sale and shared packs, proven against trying every way."""

from __future__ import annotations

from decimal import Decimal
from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.agronomy.cautions import CAUTIONS
from advisor.agronomy.errors import CannotBe, MissingFigure, OutOfRange
from advisor.agronomy.loose import LooseSale, cheapest_with_loose
from advisor.agronomy.packs import Pack, Purchase, cheapest_purchase
from advisor.agronomy.sharing import MOST_EXACT, Group, Share, Sharing, share_packs
from tests.laws import examples

packs = st.builds(Pack, st.integers(2, 30), st.integers(1, 60).map(Decimal))
dealers = st.lists(packs, min_size=1, max_size=2)
scoops = st.builds(Pack, st.integers(1, 3), st.integers(1, 9).map(Decimal))


class TestLooseSale:
    @examples(100)
    @given(dealers, scoops, st.integers(0, 60))
    def test_no_mix_of_packs_and_scoops_is_cheaper(self, offered, scoop, quantity):
        cheapest = min(
            sum((pack.price * count for pack, count in zip(offered, whole, strict=True)), scoop.price * loose)
            for loose in range(-(-quantity // scoop.size) + 1)
            for whole in product(*(range(-(-quantity // pack.size) + 1) for pack in offered))
            if sum((p.size * c for p, c in zip(offered, whole, strict=True)), scoop.size * loose) >= quantity
        )

        bought = cheapest_with_loose(offered, scoop, quantity)

        assert bought.cost == cheapest
        assert bought.surplus >= 0
        assert sum(pack.size * count for pack, count in bought.packs) + bought.loose_g == quantity + bought.surplus
        assert bought.loose_g % scoop.size == 0

    @given(dealers, scoops, st.integers(0, 300))
    def test_it_never_costs_more_than_whole_packs_or_all_of_it_loose(self, offered, scoop, quantity):
        bought = cheapest_with_loose(offered, scoop, quantity)

        assert bought.cost <= cheapest_purchase(offered, quantity).cost
        assert bought.cost <= -(-quantity // scoop.size) * scoop.price

    def test_the_last_part_is_weighed_out_where_that_is_cheaper(self):
        bag, scoop = Pack(25_000, Decimal(2600)), Pack(1000, Decimal(125))

        assert cheapest_with_loose([bag], scoop, 27_500) == LooseSale(((bag, 1),), 3000, Decimal(2975), 500)
        assert cheapest_with_loose([bag, scoop], scoop, 2000) == LooseSale((), 2000, Decimal(250), 0)

    def test_a_dealer_may_have_no_packs(self):
        bought = cheapest_with_loose([], Pack(500, Decimal(60)), 1200)

        assert (bought.packs, bought.loose_g, bought.cost, bought.surplus) == ((), 1500, Decimal(180), 300)

    def test_less_than_nothing_is_refused(self):
        with pytest.raises(OutOfRange):
            cheapest_with_loose([], Pack(500, Decimal(60)), -1)


def partitions(items):
    """Every way to split a list into groups."""
    if not items:
        yield []
        return
    first, *rest = items
    for parts in partitions(rest):
        yield [[first], *parts]
        for at in range(len(parts)):
            yield [*parts[:at], [first, *parts[at]], *parts[at + 1 :]]


needs = st.lists(st.integers(1, 40), min_size=1, max_size=6)


class TestSharing:
    @examples(150)
    @given(dealers, needs, st.integers(1, 6))
    def test_no_way_to_form_groups_is_cheaper_or_as_cheap_with_less_left_over(self, offered, grams, most):
        ways = []
        for parts in partitions(list(range(len(grams)))):
            if max(map(len, parts)) <= most:
                bought = [cheapest_purchase(offered, sum(grams[at] for at in part)) for part in parts]
                ways.append((sum(each.cost for each in bought), sum(each.surplus for each in bought), -len(parts)))

        shared = share_packs(offered, [(str(at), need) for at, need in enumerate(grams)], most, 0)

        assert shared.exact
        assert (shared.cost, shared.surplus_g, -len(shared.groups)) == min(ways)

    @examples(60)
    @given(dealers, st.lists(st.integers(1, 40), min_size=1, max_size=16), st.integers(1, 5))
    def test_all_have_what_they_need_groups_are_small_enough_and_bills_add_up(self, offered, grams, most):
        growers = [(str(at), need) for at, need in enumerate(grams)]

        shared = share_packs(offered, growers, most, 0)

        told = [(share.grower, share.grams) for group in shared.groups for share in group.shares]
        assert sorted(told) == sorted(growers)
        assert all(1 <= len(group.shares) <= most for group in shared.groups)
        assert shared.cost <= shared.alone
        assert shared.exact == (len(growers) <= MOST_EXACT)
        for group in shared.groups:
            assert all(share.pays <= cheapest_purchase(offered, share.grams).cost for share in group.shares)
            assert sum(share.pays for share in group.shares) == group.purchase.cost
            assert sum(share.grams for share in group.shares) + group.purchase.surplus == sum(
                pack.size * count for pack, count in group.purchase.lines
            )

    @examples(40)
    @given(dealers, needs, st.integers(1, 5))
    def test_larger_groups_are_never_dearer(self, offered, grams, most):
        growers = [(str(at), need) for at, need in enumerate(grams)]

        assert share_packs(offered, growers, most + 1, 0).cost <= share_packs(offered, growers, most, 0).cost

    def test_nobody_pays_more_than_alone_where_the_others_gain_all_the_same(self):
        """By grams alone ann would pay 2,071 of 2,900, and 2,000 if she had not waited for ben."""
        sacks = [Pack(25, Decimal(2000)), Pack(10, Decimal(1000)), Pack(35, Decimal(2900))]

        (group,) = share_packs(sacks, [("ann", 25), ("ben", 10)], 4, 0).groups

        assert [share.pays for share in group.shares] == [2000, 900]

    def test_of_three_neighbours_two_meet_and_the_third_buys_alone(self):
        bag = Pack(25, Decimal(2600))

        shared = share_packs([bag], [("ann", 20), ("ben", 15), ("eva", 9)], 3, 0)

        assert shared == Sharing(
            groups=(
                Group((Share("ann", 20, Decimal(2600)),), Purchase(((bag, 1),), Decimal(2600), 5)),
                Group(
                    (Share("ben", 15, Decimal(1625)), Share("eva", 9, Decimal(975))),
                    Purchase(((bag, 1),), Decimal(2600), 1),
                ),
            ),
            cost=Decimal(5200),
            surplus_g=6,
            alone=Decimal(7800),
            exact=True,
        )

    def test_what_one_would_pay_too_much_may_make_it_too_much_for_the_next(self):
        """20 by grams is 10, 9 and 1; the 11 beside ann's 9 would be 10 and 1, and ben pays 9 alone too."""
        sacks = [Pack(12, Decimal(9)), Pack(32, Decimal(20))]

        (group,) = share_packs(sacks, [("ann", 12), ("ben", 12), ("eva", 1)], 3, 0).groups

        assert [share.pays for share in group.shares] == [9, 9, 2]

    def test_of_two_ways_that_cost_the_same_the_one_that_leaves_less_over_is_taken(self):
        shared = share_packs([Pack(9, Decimal(10)), Pack(11, Decimal(20))], [("a", 3), ("b", 2), ("c", 6)], 3, 0)

        assert (shared.cost, shared.surplus_g, len(shared.groups)) == (20, 0, 1)

    def test_for_a_few_growers_every_way_is_compared_and_not_only_who_fits_next(self):
        """Whoever fits next would put the two of 4 kg into one bag, and the last of 3 kg would need a third."""
        needs_kg = (4, 4, 3, 3, 3, 3)

        shared = share_packs([Pack(10, Decimal(100))], [(f"{n}", need) for n, need in enumerate(needs_kg)], 3, 0)

        assert (shared.cost, shared.surplus_g, len(shared.groups)) == (200, 0, 2)

    def test_many_growers_who_need_half_a_bag_buy_in_pairs(self):
        shared = share_packs([Pack(50, Decimal(100))], [(f"{n:02}", 25) for n in range(30)], 4, 0)

        assert not shared.exact
        assert (shared.cost, shared.surplus_g) == (Decimal(1500), 0)

    def test_a_bag_that_is_divided_carries_its_cautions(self):
        bag = Pack(50, Decimal(100))
        told = (
            share_packs([bag], [("ann", 25), ("ben", 25)], 4, 0),
            cheapest_with_loose([bag], Pack(1, Decimal(3)), 60),
        )

        for each in told:
            assert {"dressed_seed_is_poison", "no_bare_hands_with_fertiliser", "wash"} <= set(each.cautions)
            assert set(each.cautions) <= set(CAUTIONS)

    def test_every_way_is_compared_for_up_to_ten_growers(self):
        bag = Pack(50, Decimal(100))
        ten, eleven = (share_packs([bag], [(f"{n:02}", 20) for n in range(count)], 2, 0) for count in (10, 11))

        assert (ten.exact, ten.cost) == (True, Decimal(500))
        assert (eleven.exact, eleven.cost) == (False, Decimal(600))

    def test_of_many_growers_nobody_joins_a_bag_that_is_full(self):
        """Three of 16 g fill a bag of 50 g; a fourth would open another for all."""
        shared = share_packs([Pack(50, Decimal(100))], [(f"{n:02}", 16) for n in range(12)], 4, 0)

        assert (shared.exact, shared.cost, [len(group.shares) for group in shared.groups]) == (False, 400, [3] * 4)

    def test_of_many_growers_the_largest_needs_are_placed_first(self):
        """In the order given, six of 20 g would fill three bags and each of the 30 g would take one of its own."""
        needs_g = [20] * 6 + [30] * 6

        shared = share_packs([Pack(50, Decimal(100))], [(f"{n:02}", need) for n, need in enumerate(needs_g)], 2, 0)

        assert (shared.exact, shared.cost, shared.surplus_g) == (False, Decimal(600), 0)

    def test_nobody_needs_nothing(self):
        shared = share_packs([Pack(50, Decimal(100))], [], 4, 0)

        assert (shared.groups, shared.cost, shared.exact) == ((), Decimal(0), True)

    def test_what_cannot_be_is_refused(self):
        bag = Pack(50, Decimal(100))
        with pytest.raises(CannotBe):
            share_packs([bag], [("ann", 1), ("ann", 2)], 4, 0)
        with pytest.raises(OutOfRange):
            share_packs([bag], [("ann", 0)], 4, 0)
        with pytest.raises(OutOfRange):
            share_packs([bag], [("ann", 1)], 0, 0)
        with pytest.raises(MissingFigure):
            share_packs([], [("ann", 1)], 4, 0)
