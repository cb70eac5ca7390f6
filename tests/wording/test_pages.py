"""Lines onto pages: the fewest there can be, proved against every way of cutting."""

from itertools import combinations, pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.wording.errors import TooManyPages, TooWide
from advisor.wording.pages import page_breaks

ANY_PAGES = 99

COSTS = st.lists(st.integers(0, 30), min_size=1, max_size=8)
ROOMS = st.integers(8, 60)
FOOTERS = st.integers(0, 9)


def page_cost(costs, footer):
    return sum(costs) + len(costs) - 1 + (footer + 1 if footer else 0)


def holds(costs, pages, room, more, last):
    footers = [more] * (len(pages) - 1) + [last]
    return all(page_cost(costs[a:b], under) <= room for (a, b), under in zip(pages, footers, strict=True))


def fewest_by_trying_all(costs, room, more, last):
    inner = range(1, len(costs))
    for cuts in (found for count in range(len(costs)) for found in combinations(inner, count)):
        edges = [0, *cuts, len(costs)]
        if holds(costs, list(pairwise(edges)), room, more, last):
            return len(edges) - 1
    return None


class TestTheFewestPages:
    @given(COSTS, ROOMS, FOOTERS, FOOTERS)
    def test_no_other_cut_needs_fewer_and_every_page_fits(self, costs, room, more, last):
        fewest = fewest_by_trying_all(costs, room, more, last)

        if fewest is None:
            with pytest.raises(TooWide):
                page_breaks(costs, room, more, last, ANY_PAGES)
        else:
            pages = page_breaks(costs, room, more, last, ANY_PAGES)
            assert len(pages) == fewest
            assert holds(costs, pages, room, more, last)

    @given(COSTS, ROOMS, FOOTERS, FOOTERS)
    def test_every_line_stands_on_one_page_in_its_order(self, costs, room, more, last):
        try:
            pages = page_breaks(costs, room, more, last, ANY_PAGES)
        except TooWide:
            return

        assert [line for first, end in pages for line in range(first, end)] == list(range(len(costs)))
        assert all(first < end for first, end in pages)

    def test_all_on_one_page_where_they_fit_above_the_last_footer(self):
        assert page_breaks([70, 80], room=159, more_cost=20, last_cost=6) == ((0, 2),)

    def test_the_last_page_keeps_a_line_of_its_own(self):
        assert page_breaks([10, 10], room=22, more_cost=0, last_cost=8) == ((0, 1), (1, 2))

    def test_a_line_break_costs_one(self):
        assert page_breaks([79, 79], room=159, more_cost=0, last_cost=0) == ((0, 2),)
        assert page_breaks([80, 79], room=159, more_cost=0, last_cost=0) == ((0, 1), (1, 2))


class TestWhatDoesNotFitIsRefused:
    def test_a_line_too_wide_is_named_with_the_room_beside_the_footer(self):
        with pytest.raises(TooWide) as caught:
            page_breaks([20, 155, 20], room=159, more_cost=6, last_cost=6)

        assert (caught.value.line, caught.value.cost, caught.value.room) == (1, 155, 152)

    def test_more_pages_than_allowed_are_counted(self):
        with pytest.raises(TooManyPages) as caught:
            page_breaks([150] * 5, room=159, more_cost=6, last_cost=6)

        assert (caught.value.pages, caught.value.most) == (5, 3)
