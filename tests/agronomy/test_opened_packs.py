"""Opened packs: the fewest that are fresh, proven against every way to open them, and nothing lost unsaid."""

from __future__ import annotations

from decimal import Decimal
from itertools import combinations_with_replacement, count

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.agronomy.errors import CannotBe, MissingFigure, OutOfRange
from advisor.agronomy.opened_packs import (
    OpenedPack,
    OpeningPlan,
    Together,
    cheapest_opening,
    open_packs,
    packs_together,
)
from advisor.agronomy.packs import Pack
from tests.laws import examples

uses = st.lists(st.integers(1, 60), min_size=1, max_size=5)
sizes_g = st.integers(10, 80)
lives = st.integers(1, 4)


def fewest_by_every_way(uses_g, pack_g, life_days):
    """The smallest number of packs for which some choice of opening days serves every day.

    By Hall's theorem it does when the packs that are fresh on any of a set of days hold what those days need.
    """
    days = range(len(uses_g))
    sets_of_days = [[day for day in days if chosen >> day & 1] for chosen in range(1, 1 << len(uses_g))]
    for packs in count(1):
        for opened in combinations_with_replacement(days, packs):
            if all(
                sum(uses_g[day] for day in chosen)
                <= pack_g * sum(any(day in range(o, o + life_days) for day in chosen) for o in opened)
                for chosen in sets_of_days
            ):
                return packs
    return None


class TestOpening:
    @examples(150)
    @given(st.lists(st.integers(1, 60), min_size=1, max_size=4), st.integers(20, 80), lives)
    def test_no_other_way_opens_fewer_packs(self, uses_g, pack_g, life_days):
        plan = open_packs(uses_g, pack_g, life_days)

        assert len(plan.packs) == fewest_by_every_way(uses_g, pack_g, life_days)

    @given(uses, sizes_g, lives)
    def test_never_opens_a_pack_that_is_not_used_up_without_saying_what_is_lost(self, uses_g, pack_g, life_days):
        plan = open_packs(uses_g, pack_g, life_days)

        assert all(pack.used_g + pack.lost_g == pytest.approx(pack_g) for pack in plan.packs)
        assert all(pack.used_g > 0 and pack.lost_g >= 0 for pack in plan.packs)
        assert sum(pack.used_g for pack in plan.packs) == pytest.approx(sum(uses_g))
        assert sum(pack.lost_g for pack in plan.packs) == pytest.approx(plan.lost_g)
        assert "opened_pack_does_not_keep" in plan.cautions

    @given(uses, sizes_g, lives)
    def test_opens_no_pack_while_one_that_is_fresh_has_something_left(self, uses_g, pack_g, life_days):
        plan = open_packs(uses_g, pack_g, life_days)

        for before, after in zip(plan.packs, plan.packs[1:], strict=False):
            assert before.day <= after.day
            assert before.lost_g == 0 or after.day > before.use_by_day

    @given(uses, sizes_g, lives)
    def test_takes_as_many_as_by_mass_and_as_by_days_at_least(self, uses_g, pack_g, life_days):
        plan = open_packs(uses_g, pack_g, life_days)

        assert len(plan.packs) >= max(plan.by_mass, plan.by_days)
        assert plan.by_mass == -(-sum(uses_g) // pack_g)
        assert plan.by_days == -(-len(uses_g) // life_days)

    @given(uses, sizes_g)
    def test_of_packs_that_keep_to_the_end_takes_the_number_by_mass(self, uses_g, pack_g):
        plan = open_packs(uses_g, pack_g, len(uses_g))

        assert len(plan.packs) == plan.by_mass

    @given(st.integers(1, 12), st.integers(1, 20), lives, st.integers(1, 40))
    def test_of_small_even_days_takes_the_number_by_days(self, days, use_g, life_days, spare_g):
        plan = open_packs([use_g] * days, use_g * life_days + spare_g, life_days)

        assert len(plan.packs) == plan.by_days

    @given(uses, sizes_g, lives, st.integers(2, 9))
    def test_units_scale(self, uses_g, pack_g, life_days, times):
        plan = open_packs(uses_g, pack_g, life_days)
        scaled = open_packs([use * times for use in uses_g], pack_g * times, life_days)

        assert [pack.day for pack in scaled.packs] == [pack.day for pack in plan.packs]
        assert scaled.lost_g == pytest.approx(plan.lost_g * times)

    @given(uses, sizes_g, lives)
    def test_a_longer_life_never_needs_more_packs(self, uses_g, pack_g, life_days):
        shorter, longer = (open_packs(uses_g, pack_g, life) for life in (life_days, life_days + 1))

        assert len(longer.packs) <= len(shorter.packs)

    def test_tells_of_every_pack_when_it_is_opened_used_up_and_dead(self):
        assert open_packs([100, 200, 60, 0, 5], 250, life_days=3) == OpeningPlan(
            pack_g=250,
            packs=(
                OpenedPack(250, day=1, last_day=2, use_by_day=3, used_g=250, lost_g=0),
                OpenedPack(250, day=2, last_day=3, use_by_day=4, used_g=110, lost_g=140),
                OpenedPack(250, day=5, last_day=5, use_by_day=7, used_g=5, lost_g=245),
            ),
            by_mass=2,
            by_days=2,
            lost_g=385,
        )

    def test_a_pack_lives_on_its_last_day_and_not_on_the_next(self):
        assert len(open_packs([10, 10], 50, life_days=2).packs) == 1
        assert [pack.day for pack in open_packs([10, 10, 10], 50, life_days=2).packs] == [1, 3]

    def test_days_without_sowing_make_a_pack_die_too(self):
        assert [pack.day for pack in open_packs([10, 0, 10], 50, life_days=2).packs] == [1, 3]

    def test_three_thirds_of_a_pack_are_one_pack(self):
        plan = open_packs([200 / 3] * 3, 200, life_days=3)

        assert (len(plan.packs), plan.by_mass, plan.lost_g) == (1, 1, 0)

    def test_a_day_that_needs_a_little_more_than_a_pack_opens_two_every_day(self):
        plan = open_packs([260] * 4, 250, life_days=1)

        assert (len(plan.packs), plan.by_mass, plan.by_days) == (8, 5, 4)
        assert plan.lost_g == 8 * 250 - 4 * 260


def serves(opened, uses_g, life_days):
    """Whether packs, each opened on a day, serve every day; by Hall's theorem, as above."""
    days = range(len(uses_g))
    return all(
        sum(uses_g[day] for day in chosen)
        <= sum(size for size, on in opened if any(day in range(on, on + life_days) for day in chosen))
        for chosen in ([day for day in days if mask >> day & 1] for mask in range(1, 1 << len(uses_g)))
    )


def cheapest_by_every_way(packs, uses_g, life_days, most):
    """Least price and then least mass of at most so many packs of any sizes, opened on any days."""
    found = []
    for number in range(1, most + 1):
        for chosen in combinations_with_replacement(
            [(pack, on) for pack in packs for on in range(len(uses_g))], number
        ):
            price = sum(pack.price for pack, _ in chosen), sum(pack.size for pack, _ in chosen)
            if (not found or price < min(found)) and serves([(p.size, on) for p, on in chosen], uses_g, life_days):
                found.append(price)
    return min(found)


class TestSizes:
    @examples(60)
    @given(
        st.lists(st.integers(20, 60), min_size=1, max_size=3, unique=True),
        st.lists(st.integers(1, 9), min_size=3, max_size=3),
        st.lists(st.integers(1, 30), min_size=1, max_size=3),
        st.integers(1, 3),
    )
    def test_no_other_choice_of_sizes_and_days_is_cheaper_or_loses_less(
        self, offered_g, prices, uses_g, life_days
    ):
        packs = [Pack(size_g, Decimal(price)) for size_g, price in zip(offered_g, prices, strict=False)]
        plan = cheapest_opening(packs, uses_g, life_days)

        most = sum(-(-use_g // min(offered_g)) for use_g in uses_g)
        mass_g = sum(pack.size * times for pack, times in plan.bought)
        assert (plan.cost, mass_g) == cheapest_by_every_way(packs, uses_g, life_days, most)

    @given(st.lists(sizes_g, min_size=1, max_size=4, unique=True), st.integers(1, 9), uses, lives)
    def test_what_is_bought_is_opened_used_and_lost_and_paid_for(self, offered_g, price, uses_g, life_days):
        packs = [Pack(size_g, Decimal(price + size_g // 7)) for size_g in offered_g]
        plan = cheapest_opening(packs, uses_g, life_days)

        sizes = sorted(pack.size for pack, times in plan.bought for _ in range(times))
        assert sizes == sorted(pack.size_g for pack in plan.packs)
        assert plan.cost == sum(pack.price * times for pack, times in plan.bought)
        assert sum(pack.used_g for pack in plan.packs) == pytest.approx(sum(uses_g))
        assert sum(pack.lost_g for pack in plan.packs) == pytest.approx(plan.lost_g)
        assert serves([(pack.size_g, pack.day - 1) for pack in plan.packs], uses_g, life_days)
        assert all(pack.day <= pack.last_day <= pack.use_by_day for pack in plan.packs)
        assert "opened_pack_does_not_keep" in plan.cautions

    @given(st.lists(sizes_g, min_size=1, max_size=4, unique=True), st.integers(1, 9), uses, lives)
    def test_never_costs_more_than_one_size_alone(self, offered_g, price, uses_g, life_days):
        packs = [Pack(size_g, Decimal(price + size_g // 7)) for size_g in offered_g]
        plan = cheapest_opening(packs, uses_g, life_days)

        assert plan.cost <= min(each.price * len(open_packs(uses_g, each.size, life_days).packs) for each in packs)

    @given(uses, sizes_g, lives)
    def test_of_one_size_it_is_the_plan_of_that_size(self, uses_g, pack_g, life_days):
        assert (
            cheapest_opening([Pack(pack_g, Decimal(3))], uses_g, life_days).packs
            == open_packs(uses_g, pack_g, life_days).packs
        )

    def test_a_small_pack_and_a_large_one_cost_less_than_either_alone(self):
        sizes = Pack(100, Decimal(180)), Pack(250, Decimal(350))
        plan = cheapest_opening(sizes, [100, 100, 60], 2)

        assert plan.bought == ((sizes[1], 1), (sizes[0], 1))
        assert (plan.cost, plan.lost_g) == (530, 90)
        assert [cheapest_opening([size], [100, 100, 60], 2).cost for size in sizes] == [540, 700]

    def test_at_one_price_the_size_that_loses_less_is_taken(self):
        plan = cheapest_opening([Pack(90, Decimal(10)), Pack(70, Decimal(10))], [60], 1)

        assert ([pack.size_g for pack in plan.packs], plan.lost_g) == ([70], 10)

    def test_at_one_price_and_loss_the_fewest_packs_are_taken(self):
        plan = cheapest_opening([Pack(50, Decimal(10)), Pack(100, Decimal(20))], [100], 1)

        assert [pack.size_g for pack in plan.packs] == [100]

    def test_a_milligram_more_than_a_pack_opens_another(self):
        assert [cheapest_opening([Pack(100, Decimal(9))], [use_g], 1).cost for use_g in (100, 100.001)] == [9, 18]

    def test_of_two_prices_for_one_size_the_lower_is_paid(self):
        assert cheapest_opening([Pack(50, Decimal(9)), Pack(50, Decimal(7))], [60], 1).cost == 14

    def test_a_dealer_without_packs_is_refused(self):
        with pytest.raises(MissingFigure, match="add at least one pack"):
            cheapest_opening([], [10], 1)


class TestANeighbour:
    @given(uses, uses, sizes_g, lives)
    def test_together_never_takes_more_packs_than_alone(self, own_g, other_g, pack_g, life_days):
        shared = packs_together(own_g, other_g, pack_g, life_days)

        assert shared.saved == shared.own + shared.neighbour - shared.together >= 0
        assert shared.together == len(
            open_packs(
                [sum(day) for day in zip(own_g + [0] * 5, other_g + [0] * 5, strict=False)][
                    : max(len(own_g), len(other_g))
                ],
                pack_g,
                life_days,
            ).packs
        )

    @given(uses, uses, sizes_g, lives)
    def test_it_is_the_same_for_both(self, own_g, other_g, pack_g, life_days):
        one, two = (
            packs_together(own_g, other_g, pack_g, life_days),
            packs_together(other_g, own_g, pack_g, life_days),
        )

        assert (one.own, one.saved, one.lost_g) == (two.neighbour, two.saved, two.lost_g)

    def test_who_sows_longer_has_the_last_days_alone(self):
        assert packs_together([100, 100], [60], 200, 1) == Together(2, 1, 2, 1, 140)

    def test_two_halves_of_a_pack_save_one_and_two_whole_ones_none(self):
        assert packs_together([125], [125], 250, 1).saved == 1
        assert packs_together([125], [126], 250, 1).saved == 0
        assert packs_together([250], [250], 250, 1).saved == 0


@pytest.mark.parametrize(
    "arguments",
    [([0, 10], 50, 1), ([10, 0], 50, 1), ([-1], 50, 1), ([10], 0, 1), ([10], 50, 0), ([1, -5, 1], 5, 1)],
)
def test_what_cannot_be_is_refused(arguments):
    with pytest.raises(OutOfRange):
        open_packs(*arguments)


def test_a_plan_for_no_days_is_refused():
    with pytest.raises(CannotBe, match="opens no pack"):
        open_packs([], 50, 1)
