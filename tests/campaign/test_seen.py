"""Which bag of seed a field is sown with, as an agent's lists see it."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

from hypothesis import given
from hypothesis import strategies as st

from advisor.campaign.seen import Seen, SeenLot, SeenPlot
from tests.laws import examples

NOW = datetime(2027, 3, 1, tzinfo=UTC)
BAGS = SeenLot("saved", number=1), SeenLot("bought", number=2), SeenLot("saved", number=3)


def fields(*bags: int | None) -> tuple[SeenPlot, ...]:
    return tuple(SeenPlot(4000.0, bag=bag) for bag in bags)


class TestAField:
    def test_is_sown_with_the_bag_that_was_chosen_for_it_whichever_is_in_hand(self) -> None:
        for plot in range(2):
            for lot in range(2):
                seen = Seen("a", plots=fields(2, 1), plot=plot, lots=BAGS[:2], lot=lot)
                assert [lot.number for _, lot in seen.sowings()] == [2, 1]

    def test_in_hand_is_not_sown_with_the_bag_of_another_that_a_round_has_asked_about(self) -> None:
        """Bag 2 was chosen for the second field; the round then asked of it, with the first field in hand."""
        seen = Seen("a", plots=fields(None, 2), plot=0, lots=BAGS[:2], lot=1)
        assert seen.lots_of_plots() == (0, 1)

    def test_for_which_none_was_chosen_is_sown_with_the_bag_that_was_last_chosen_for_any(self) -> None:
        lots = (SeenLot("saved", to_sow=NOW), SeenLot("saved", number=2, to_sow=NOW + timedelta(1)))
        assert Seen("a", plots=fields(None), lots=lots, lot=0).lots_of_plots() == (1,)

    def test_whose_bag_is_kept_no_more_is_as_one_without(self) -> None:
        assert Seen("a", plots=fields(7), lots=BAGS[:2], lot=1).lots_of_plots() == (1,)

    @examples(60)
    @given(
        st.lists(st.none() | st.integers(1, 4), min_size=1, max_size=4),
        st.integers(1, 3),
        st.data(),
    )
    def test_has_one_bag_and_takes_none_that_is_another_fields_while_one_is_free(
        self, chosen: list[int | None], count: int, data: st.DataObject
    ) -> None:
        plot, lot = data.draw(st.integers(0, len(chosen) - 1)), data.draw(st.integers(0, count - 1))
        found = Seen("a", plots=fields(*chosen), plot=plot, lots=BAGS[:count], lot=lot).lots_of_plots()

        assert len(found) == len(chosen)
        kept = {bag - 1 for bag in chosen if bag is not None and bag <= count}
        for bag, place in zip(chosen, found, strict=True):
            if bag is not None and bag <= count:
                assert place == bag - 1
        others = [place for bag, place in zip(chosen, found, strict=True) if bag is None or bag > count]
        free = set(range(count)) - kept
        assert len(set(others) & free) == min(len(others), len(free))
