"""Germination tests in replicates: two counts, the published tolerances, and when to test again."""

from __future__ import annotations

from math import floor, inf

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import studentized_range

from advisor.agronomy.errors import CannotBe, OutOfRange
from advisor.agronomy.germination import Method, SeedTest
from advisor.agronomy.replicates import Basis, Replicate, replicated_test, tolerated_range

sets = st.integers(1, 100).flatmap(
    lambda sown: st.lists(st.builds(Replicate, st.integers(0, sown), st.just(sown)), min_size=1, max_size=4)
)


def of_hundred(*grown):
    return replicated_test([Replicate(each, 100) for each in grown], Method.PAPER)


def of_early(*early):
    return replicated_test([Replicate(80, 100, early=each) for each in early], Method.PAPER).early


class TestReplicatesOfOneLot:
    @given(sets)
    def test_count_as_one_test_of_all_their_seeds(self, replicates):
        found = replicated_test(replicates, Method.BED)

        assert found.test == SeedTest(
            sum(each.grown for each in replicates), sum(each.sown for each in replicates), Method.BED
        )

    @given(sets, st.randoms())
    def test_say_the_same_in_any_order(self, replicates, chance):
        turned = list(replicates)
        chance.shuffle(turned)

        assert replicated_test(turned, Method.PAPER) == replicated_test(replicates, Method.PAPER)

    @given(sets)
    def test_are_tested_again_exactly_where_they_lie_further_apart_than_tolerated(self, replicates):
        found = replicated_test(replicates, Method.PAPER)

        alone = len(replicates) == 1
        assert (found.tolerated is None) == (found.basis is None) == alone
        assert found.test_again == (not alone and found.spread > found.tolerated)

    @given(
        st.integers(1, 100).flatmap(lambda sown: st.tuples(st.integers(0, sown), st.just(sown))), st.integers(2, 4)
    )
    def test_that_are_all_alike_always_agree(self, counts, times):
        assert not replicated_test([Replicate(*counts)] * times, Method.PAPER).test_again

    @pytest.mark.parametrize(
        ("grown", "again"),
        [
            ((92, 90, 88, 87), False),
            ((95, 90, 85, 82), False),
            ((96, 90, 84, 82), True),
            ((99, 99, 98, 94), False),
            ((100, 100, 100, 99), False),
            ((100, 100, 100, 95), False),
            ((100, 100, 100, 94), True),
            ((80, 91), False),
            ((79, 91), True),
        ],
    )
    def test_agree_up_to_the_edge_and_not_beyond(self, grown, again):
        assert of_hundred(*grown).test_again is again

    def test_of_unlike_size_are_refused(self):
        with pytest.raises(CannotBe, match="replicates of 50 and 100 seeds cannot be compared: put out as many"):
            replicated_test([Replicate(40, 50), Replicate(80, 100)], Method.PAPER)

    @pytest.mark.parametrize("many", [0, 5])
    def test_of_none_or_of_five_are_refused(self, many):
        with pytest.raises(OutOfRange, match=f"replicates is {many}, allowed is 1 to 4"):
            replicated_test([Replicate(40, 50)] * many, Method.PAPER)


class TestTheTwoCounts:
    def test_show_how_fast_the_seeds_are(self):
        found = replicated_test([Replicate(88, 100, early=61), Replicate(90, 100, early=59)], Method.PAPER)

        assert found.early == 0.6
        assert found.test.germination == 0.89

    def test_may_be_one_where_nobody_looked_early(self):
        assert of_hundred(88, 90).early is None

    def test_of_some_sets_only_are_refused(self):
        with pytest.raises(CannotBe, match="the first count is there for 1 of 2 sets"):
            replicated_test([Replicate(88, 100, early=61), Replicate(90, 100)], Method.PAPER)

    def test_may_find_nothing_early(self):
        assert of_early(0, 0) == 0
        assert of_early(0, 10) == 0.05

    def test_never_fall(self):
        assert Replicate(60, 100, early=60).early == 60
        with pytest.raises(CannotBe, match="cannot be fewer than 61 at the first: add what was taken off"):
            Replicate(60, 100, early=61)

    @pytest.mark.parametrize("four", [(-1, 100, None), (10, 0, None), (10, 101, None), (10, 100, -1)])
    def test_that_cannot_be_are_refused(self, four):
        with pytest.raises(OutOfRange):
            Replicate(*four)

    def test_of_more_seedlings_than_seeds_are_refused(self):
        with pytest.raises(CannotBe):
            Replicate(51, 50)


class TestToleratedRange:
    @pytest.mark.parametrize("many", [2, 3, 4])
    @pytest.mark.parametrize("size", [10, 25, 50, 99])
    def test_without_a_row_is_the_97_5_percent_point_of_the_range(self, many, size):
        for part in (0.2, 0.5, 0.8, 0.9):
            test = SeedTest(round(part * many * size), many * size)
            p = test.germination
            point = studentized_range.ppf(0.975, many, inf) * (size * p * (1 - p)) ** 0.5

            assert tolerated_range(test, many) == (floor(point + 0.25), Basis.FORMULA)

    @pytest.mark.parametrize(
        ("many", "lowest", "differing"),
        [
            (2, 71, {97: 1, 94: 1, 92: 1, 87: 1, 80: 1, 75: 1}),
            (4, 51, {99: 1, 98: 1, 95: 1, 94: 1, 56: -1}),  # 56 is from memory
        ],
    )
    def test_of_the_table_differs_from_the_formula_only_where_the_publication_does(self, many, lowest, differing):
        highest = {2: 97, 4: 99}[many]
        found = {}
        for percent in range(lowest, highest + 1):
            point = studentized_range.ppf(0.975, many, inf) * (percent * (100 - percent) / 100) ** 0.5
            row, _ = tolerated_range(SeedTest(percent * many, 100 * many), many)
            found[percent] = row - floor(point + 0.25)

        assert {percent: more for percent, more in found.items() if more} == differing

    def test_of_the_formula_gives_the_published_rows_of_four_and_is_at_most_one_less_for_two(self):
        for percent in range(71, 94):
            for many in (2, 4):
                test = SeedTest(percent * many, 100 * many)
                point = studentized_range.ppf(0.975, many, inf) * (percent * (100 - percent) / 100) ** 0.5

                assert tolerated_range(test, many)[0] - floor(point + 0.25) in ((0,) if many == 4 else (0, 1))

    @given(st.integers(0, 400))
    def test_is_the_same_for_seeds_that_grow_and_seeds_that_do_not(self, grown):
        percent = floor(grown / 4 + 0.5)
        mirrored = SeedTest((101 - percent) * 4, 400) if percent >= 1 else SeedTest(400, 400)

        if 2 <= percent <= 99:
            assert tolerated_range(SeedTest(grown, 400), 4)[0] == tolerated_range(mirrored, 4)[0]

    def test_never_grows_away_from_one_half(self):
        widest = [tolerated_range(SeedTest(percent * 4, 400), 4)[0] for percent in range(51, 100)]

        assert widest == sorted(widest, reverse=True)

    @pytest.mark.parametrize(
        ("percent", "many", "basis"),
        [
            (99, 4, Basis.PUBLISHED), (71, 4, Basis.PUBLISHED), (70, 4, Basis.FROM_MEMORY),
            (51, 4, Basis.FROM_MEMORY), (100, 4, Basis.FORMULA), (97, 2, Basis.PUBLISHED),
            (98, 2, Basis.FORMULA), (70, 2, Basis.FORMULA), (30, 2, Basis.PUBLISHED), (90, 3, Basis.FORMULA),
        ],
    )  # fmt: skip
    def test_says_what_it_rests_on(self, percent, many, basis):
        assert tolerated_range(SeedTest(percent * many, 100 * many), many)[1] is basis

    def test_of_seeds_that_all_grow_or_all_fail_is_none(self):
        assert tolerated_range(SeedTest(400, 400), 4)[0] == tolerated_range(SeedTest(0, 400), 4)[0] == 0

    @pytest.mark.parametrize("many", [1, 5])
    def test_of_one_or_five_sets_is_refused(self, many):
        with pytest.raises(OutOfRange):
            tolerated_range(SeedTest(300, 400), many)
