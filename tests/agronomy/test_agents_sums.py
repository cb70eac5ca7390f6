"""An agent's sums: needs by place and week, how sure they are, and whom to visit first."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.agronomy.buylist import Lot, Origin, buy_list
from advisor.agronomy.errors import OutOfRange
from advisor.agronomy.germination import SeedTest
from advisor.agronomy.packs import Pack, Purchase
from advisor.agronomy.season_calendar import When
from advisor.agronomy.units import ACRE_M2
from advisor.agronomy.village_needs import Need, Plan, Row, growers_needs, needs_of, needs_table
from advisor.agronomy.visits import Lacks, PlaceStanding, Standing, Visit, lacks, places, visits
from tests.laws import examples

TODAY = date(2026, 11, 5)
days = st.dates(date(2026, 10, 1), date(2026, 12, 31))
tests_of_seed = st.none() | st.integers(0, 100).map(lambda grown: SeedTest(grown, 100))
lots = st.builds(Lot, st.sampled_from(Origin), tests_of_seed)
plans = st.builds(
    Plan,
    st.sampled_from(["v1", "v2", "v3"]),
    st.integers(1, 40).map(lambda tenths: tenths * ACRE_M2 / 10),
    lots,
    days,
    days,
)
standings = st.builds(
    Standing,
    st.text("abcdefg", min_size=3, max_size=6),
    st.sampled_from(["v1", "v2"]),
    st.none() | st.integers(100, 9999).map(float),
    st.none() | days,
    tests_of_seed,
    st.booleans(),
)


class TestNeeds:
    def test_of_a_grower_are_what_the_buy_list_says(self, programme, crop):
        bought = buy_list(programme, crop, 2.5 * ACRE_M2, Lot(Origin.BOUGHT))
        seed, inoculant = needs_of(bought, "v1", date(2026, 11, 15), date(2026, 11, 18))

        assert (seed.product, seed.day, seed.grams, seed.tested) == ("s1", date(2026, 11, 15), 50_000, False)
        assert (inoculant.product, inoculant.day, inoculant.grams) == ("i1", date(2026, 11, 18), 250)
        assert (seed.place, seed.purchase) == ("v1", bought.seed_purchase)
        assert (inoculant.place, inoculant.purchase, inoculant.tested) == ("v1", bought.inoculant_purchase, False)
        assert seed.purchase.cost + inoculant.purchase.cost == bought.total

    @pytest.mark.parametrize(
        ("lot", "products", "tested"),
        [
            (Lot(Origin.SAVED, SeedTest(90, 100)), ["i1"], {True}),
            (Lot(Origin.SAVED, SeedTest(59, 100)), ["s1", "i1"], {False}),
            (Lot(Origin.BOUGHT, SeedTest(90, 100)), ["s1", "i1"], {True}),
            (Lot(Origin.SAVED), [], set()),
        ],
    )
    def test_are_only_what_is_bought_and_tell_tested_from_assumed(self, programme, crop, lot, products, tested):
        needs = needs_of(buy_list(programme, crop, ACRE_M2, lot), "v1", TODAY, TODAY)

        assert [need.product for need in needs] == products
        assert {need.tested for need in needs} == tested

    def test_of_own_seed_that_no_test_comes_for_are_inoculant_for_what_is_kept_back(self, programme, crop):
        """20 kg an acre at 80 % are 26.67 at the 60 % that is assumed, at 5 g a kg 133.3: arithmetic."""
        plan = Plan("v1", ACRE_M2, Lot(Origin.SAVED), TODAY, TODAY + timedelta(2))
        waits, sown = ([*growers_needs(programme, crop, [replace(plan, as_it_is=each)])] for each in (False, True))

        assert waits == []
        (inoculant,) = sown
        assert (inoculant.product, inoculant.grams, inoculant.tested) == ("i1", 134, False)
        assert (inoculant.day, inoculant.sown_in) == (TODAY + timedelta(2), 1)
        assert [*growers_needs(programme, crop, [plan, replace(plan, as_it_is=True)])] == sown

    @examples(30)
    @given(plans)
    def test_of_other_seed_do_not_hang_on_whether_a_test_is_to_come(self, programme, crop, plan):
        if plan.lot != Lot(Origin.SAVED):
            both = ([*growers_needs(programme, crop, [replace(plan, as_it_is=each)])] for each in (False, True))
            assert next(both) == next(both)

    def test_count_packs_that_must_be_opened_one_after_the_other(self, programme, crop):
        """Ten days of sowing take more packs than the grams do; the dealer must have them."""
        (inoculant,) = needs_of(
            buy_list(programme, crop, 12.5 * ACRE_M2, Lot(Origin.SAVED, SeedTest(90, 100))), "v1", TODAY, TODAY
        )

        assert sum(count for _, count in inoculant.purchase.lines) == 5
        assert inoculant.grams == 1250

    @examples(50)
    @given(st.lists(plans, max_size=12))
    def test_of_many_growers_are_those_of_each(self, programme, crop, growers):
        each = [
            need
            for grower in growers
            for need in needs_of(
                buy_list(programme, crop, grower.area_m2, grower.lot), grower.place, grower.buy_by, grower.pick_up
            )
        ]

        assert list(growers_needs(programme, crop, growers)) == each


class TestTheTable:
    @examples(50)
    @given(st.lists(plans, max_size=12))
    def test_adds_up_to_what_all_growers_buy(self, programme, crop, growers):
        lists = [buy_list(programme, crop, each.area_m2, each.lot) for each in growers]

        rows = needs_table(growers_needs(programme, crop, growers))

        assert sum((row.cost for row in rows), Decimal(0)) == sum((each.total for each in lists), Decimal(0))
        packs = Counter()
        for each in lists:
            for bought in (each.seed_purchase, each.inoculant_purchase):
                packs.update(dict(bought.lines) if bought else {})
        summed = Counter()
        for row in rows:
            summed.update(dict(row.packs))
        assert summed == packs
        seed_kg = sum(each.seed_kg for each in lists if each.seed_product is not None)
        assert sum(row.kg for row in rows if row.product == "s1") == pytest.approx(seed_kg, abs=0.02)

    @examples(50)
    @given(st.lists(plans, max_size=12), st.randoms())
    def test_does_not_depend_on_the_order_of_growers(self, programme, crop, growers, chance):
        shuffled = list(growers)
        chance.shuffle(shuffled)

        assert needs_table(growers_needs(programme, crop, growers)) == needs_table(
            growers_needs(programme, crop, shuffled)
        )

    @examples(50)
    @given(st.lists(plans, max_size=12))
    def test_has_one_row_for_each_place_week_and_product_in_order(self, programme, crop, growers):
        rows = needs_table(growers_needs(programme, crop, growers))
        keys = [(row.place, row.week, row.product) for row in rows]

        assert keys == sorted(set(keys))
        assert all(row.week.weekday() == 0 for row in rows)
        assert all(0 <= row.tested_grams <= row.grams and 0 <= row.tested_part <= 1 for row in rows)
        assert all(0 <= row.tested_growers <= row.growers for row in rows)

    def test_begins_a_week_on_monday(self):
        bag = Pack(1000, Decimal(10))
        bought = Purchase(((bag, 1),), Decimal(10), 0)
        sunday, monday = date(2026, 11, 15), date(2026, 11, 16)

        rows = needs_table([Need("v1", day, "s1", 1000, bought, False) for day in (sunday, monday)])

        assert [row.week for row in rows] == [date(2026, 11, 9), date(2026, 11, 16)]

    def test_tells_grams_packs_money_and_how_much_of_it_is_tested(self):
        large, small, dear = Pack(5000, Decimal(50)), Pack(1000, Decimal(11)), Pack(1000, Decimal(12))
        monday, sunday = date(2026, 11, 16), date(2026, 11, 22)
        needs = [
            Need("v2", monday, "s1", 900, Purchase(((dear, 1),), Decimal(12), 100), False),
            Need("v1", sunday, "s1", 5500, Purchase(((large, 1), (small, 1)), Decimal(61), 500), True),
            Need("v1", monday, "s1", 500, Purchase(((small, 1),), Decimal(11), 500), True),
            Need("v1", monday, "s1", 2000, Purchase(((small, 1), (dear, 1)), Decimal(23), 0), False),
            Need("v1", monday, "i1", 250, Purchase(((small, 1),), Decimal(11), 750), True),
        ]

        assert needs_table(needs) == (
            Row("v1", monday, "i1", 1, 250, ((small, 1),), Decimal(11), 1, 250),
            Row("v1", monday, "s1", 3, 8000, ((large, 1), (small, 3), (dear, 1)), Decimal(95), 2, 6000),
            Row("v2", monday, "s1", 1, 900, ((dear, 1),), Decimal(12), 0, 0),
        )
        assert [(row.kg, row.tested_part) for row in needs_table(needs)] == [(0.25, 1), (8, 0.75), (0.9, 0)]

    def test_refuses_a_field_that_the_programme_does_not_advise_on(self, programme, crop):
        with pytest.raises(OutOfRange):
            list(growers_needs(programme, crop, [Plan("v1", 1.0, Lot(Origin.BOUGHT), TODAY, TODAY)]))


class TestWhomToVisit:
    @pytest.mark.parametrize(
        ("standing", "wants"),
        [
            (Standing("a", "v1", 4000, TODAY, SeedTest(60, 100)), ()),
            (Standing("a", "v1", 4000, TODAY, SeedTest(59, 100)), (Lacks.GOOD_SEED,)),
            (Standing("a", "v1", 4000, TODAY, None), (Lacks.TEST,)),
            (Standing("a", "v1", 4000, TODAY, None, buys_seed=True), ()),
            (Standing("a", "v1", None, TODAY, SeedTest(90, 100)), (Lacks.PLAN,)),
            (Standing("a", "v1", 4000, None, SeedTest(40, 100)), (Lacks.GOOD_SEED, Lacks.PLAN)),
            (Standing("a", "v1"), (Lacks.TEST, Lacks.PLAN)),
        ],
    )
    def test_is_who_lacks_good_seed_a_test_or_a_plan(self, crop, standing, wants):
        assert lacks(standing, crop) == wants

    def test_is_bad_seed_first_then_no_test_then_no_plan_each_by_the_time_that_is_left(self, crop):
        soon, later = TODAY + timedelta(5), TODAY + timedelta(20)
        growers = [
            Standing("no plan", "v1", 4000, None, SeedTest(90, 100)),
            Standing("no test later", "v1", 4000, later),
            Standing("no test soon", "v1", 4000, soon),
            Standing("no test soon, larger", "v1", 9000, soon),
            Standing("bad later", "v1", 4000, later, SeedTest(50, 100)),
            Standing("bad no day", "v1", 4000, None, SeedTest(50, 100)),
            Standing("well", "v1", 4000, soon, SeedTest(90, 100)),
            Standing("sown", "v1", 4000, TODAY - timedelta(1)),
        ]

        told = visits(growers, crop, TODAY)

        assert [visit.grower for visit in told] == [
            "bad later", "bad no day", "no test soon, larger", "no test soon", "no test later", "no plan",
        ]  # fmt: skip
        assert [visit.days_left for visit in told] == [20, None, 5, 5, 20, None]
        assert [visit.test_when for visit in told] == [
            When.EARLY, None, When.TOO_LATE, When.TOO_LATE, When.EARLY, None,
        ]  # fmt: skip

    @given(st.lists(standings, max_size=12, unique_by=lambda each: each.grower))
    def test_is_everybody_who_wants_for_something_and_has_not_sown_once(self, crop, growers):
        told = visits(growers, crop, TODAY)

        expected = {
            each.grower for each in growers if lacks(each, crop) and (each.sowing is None or each.sowing >= TODAY)
        }
        assert {visit.grower for visit in told} == expected
        assert len(told) == len(expected)
        firsts = [list(Lacks).index(visit.lacks[0]) for visit in told]
        assert firsts == sorted(firsts)

    @given(st.lists(standings, max_size=12))
    def test_counts_every_grower_of_a_place_once(self, crop, growers):
        told = places(growers, crop)

        assert sum(each.growers for each in told) == len(growers)
        assert [each.place for each in told] == sorted({each.place for each in growers})
        for each in told:
            wants = [lacks(grower, crop) for grower in growers if grower.place == each.place]
            assert each.with_bad_seed == sum(Lacks.GOOD_SEED in want for want in wants)
            assert each.without_test == sum(Lacks.TEST in want for want in wants)
            assert each.without_plan == sum(Lacks.PLAN in want for want in wants)

    def test_needs_no_calendar_of_the_crop(self, crop):
        (visit,) = visits([Standing("a", "v1", 4000, TODAY + timedelta(14))], replace(crop, days=None), TODAY)

        assert (visit.lacks, visit.test_when) == ((Lacks.TEST,), None)

    def test_of_nobody_is_nobody(self, crop):
        assert visits([], crop, TODAY) == ()
        assert places([], crop) == ()

    def test_stands_by_village_with_all_that_is_wanting(self, crop):
        growers = [
            Standing("a", "v2", 4000, TODAY, SeedTest(59, 100)),
            Standing("b", "v1", 4000, None, SeedTest(59, 100)),
            Standing("c", "v1", 4000, TODAY),
            Standing("d", "v1", 4000, TODAY, SeedTest(60, 100)),
            Standing("e", "v1"),
        ]

        assert places(growers, crop) == (
            PlaceStanding("v1", growers=4, with_bad_seed=1, without_test=2, without_plan=2),
            PlaceStanding("v2", growers=1, with_bad_seed=1, without_test=0, without_plan=0),
        )

    def test_is_told_with_what_is_wanting_and_the_time_that_is_left(self, crop):
        """Ten days are left; the count takes eight, at a factor of 1.25 ten, at 1.5 twelve."""
        ann = Standing("ann", "v1", None, TODAY + timedelta(10), SeedTest(59, 100))
        ben = Standing("ben", "v1", 4000, TODAY)

        told = visits([ben, ann], crop, TODAY, 1.25)

        assert told == (
            Visit("ann", (Lacks.GOOD_SEED, Lacks.PLAN), 10, When.LATE),
            Visit("ben", (Lacks.TEST,), 0, When.TOO_LATE),
        )
        assert visits([ann], crop, TODAY, 1.5)[0].test_when is When.TOO_LATE
        assert visits([ann], replace(crop, days=None), TODAY)[0].test_when is None

    def test_is_by_day_then_by_field_then_by_name(self, crop):
        growers = [
            Standing("tomorrow", "v1", 9000, TODAY + timedelta(1)),
            Standing("a", "v1", None, TODAY),
            Standing("c", "v1", 1.0, TODAY),
            Standing("b", "v1", 1.0, TODAY),
        ]

        assert [visit.grower for visit in visits(growers, crop, TODAY)] == ["b", "c", "a", "tomorrow"]
