"""The dealer's order of small villages, against each grower's own buy list."""

from __future__ import annotations

from collections import Counter, defaultdict
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.agronomy.buylist import Choices, Lot, Origin, buy_list
from advisor.agronomy.germination import SeedTest
from advisor.agronomy.units import ACRE_M2
from advisor.campaign.ordering import Lacking, Ordering
from advisor.campaign.seen import Seen, SeenLot, SeenPlot
from advisor.loading import load_calculator
from tests.laws import examples

DEMONSTRATION = load_calculator()
PROGRAMME = DEMONSTRATION.programme
CROP = next(crop for crop in DEMONSTRATION.crops if crop.key == "soybean")
TODAY = date(2026, 11, 2)  # a Monday
TOLD = datetime(2026, 10, 30, tzinfo=UTC)
SOWING = date(2026, 11, 25)


def field(acres: float, sowing: date | None = SOWING, spacing: str = "") -> SeenPlot:
    return SeenPlot(acres * ACRE_M2, sowing, spacing)


def bought() -> SeenLot:
    return SeenLot("bought")


def saved(grown: int | None = None, sown: int = 100) -> SeenLot:
    return SeenLot("saved") if grown is None else SeenLot("saved", SeedTest(grown, sown), TOLD)


def ordered(*seen: Seen, spacings: dict[str, int] | None = None):
    ordering = Ordering(PROGRAMME, CROP, TODAY, spacings or {})
    for each in seen:
        ordering.add(each)
    return ordering.order()


fields = st.builds(
    field, st.integers(1, 40).map(lambda tenths: tenths / 10), st.none() | st.dates(TODAY, date(2026, 12, 20))
)
sacks = st.one_of(st.just(bought()), st.just(saved()), st.integers(0, 100).map(saved))
villages = st.lists(
    st.tuples(
        st.sampled_from(["v1", "v2"]),
        st.lists(fields, min_size=1, max_size=3),
        st.lists(sacks, min_size=1, max_size=2),
    ),
    max_size=9,
).map(
    lambda rows: [
        Seen(f"g{at}", village, plots=tuple(plots), lots=tuple(lots))
        for at, (village, plots, lots) in enumerate(rows)
    ]
)


class TestTheOrder:
    @examples(30)
    @given(villages)
    def test_gives_each_grower_what_the_own_buy_lists_ask_for(self, seen):
        """Brute force: each field's list by itself, added up by village, week, product and what it rests on."""
        wanted: dict[tuple, Counter[str]] = defaultdict(Counter)
        left_out: Counter[str] = Counter()
        for grower in seen:
            for plot, lot in grower.sowings():
                own = buy_list(PROGRAMME, CROP, plot.area_m2, Lot(Origin(lot.origin), lot.test))
                for product, mass_g, before in (
                    (own.seed_product, own.seed_kg * 1000, CROP.days.buy_by),
                    (own.inoculant_product, own.inoculant_g, CROP.days.pick_up),
                ):
                    purchase = own.seed_purchase if product == own.seed_product else own.inoculant_purchase
                    if product is None or purchase is None:
                        continue
                    week = None
                    if plot.sowing is not None:
                        day = max(TODAY, plot.sowing - timedelta(before))
                        week = day - timedelta(day.weekday())
                    key = grower.village, week, product, own.germination_tested
                    # whole grams, up, as the sums have them
                    wanted[key][grower.grower] += -(-round(mass_g * 1e6) // 10**6)
                left_out[grower.village] += own.seed_purchase is None and own.inoculant_purchase is None

        found = ordered(*seen)

        got = {}
        for line in found.lines:
            grams: Counter[str] = Counter()
            for group in line.groups:
                for share in group.shares:
                    grams[share.grower] += share.grams
            got[line.village, line.week, line.product, line.tested] = grams
            assert line.grams == sum(grams.values())
            assert line.growers == len(grams)
        assert got == wanted
        assert {village: count for village, _, count in found.left_out} == {v: n for v, n in left_out.items() if n}

    @examples(30)
    @given(villages)
    def test_buys_whole_packs_that_are_enough_and_never_dearer_than_alone(self, seen):
        for line in ordered(*seen).lines:
            size = sum(pack.size * count for pack, count in line.packs)
            assert size == line.grams + line.left_g
            assert line.cost == sum(pack.price * count for pack, count in line.packs)
            assert line.cost <= line.alone
            assert sum(share.pays for group in line.groups for share in group.shares) == line.cost
            assert all(len(group.shares) <= PROGRAMME.share_most for group in line.groups)

    @examples(30)
    @given(villages, st.randoms())
    def test_is_the_same_whoever_comes_first(self, seen, chance):
        shuffled = list(seen)
        chance.shuffle(shuffled)

        assert ordered(*shuffled) == ordered(*seen)


class TestSharing:
    def test_neighbours_of_a_week_share_bags_of_seed(self):
        """0.4 and 0.6 acres take 8 and 12 kg: alone 2 and 3 bags of 5 kg, together 4."""
        both = ordered(
            Seen("ann", "v1", plots=(field(0.4),), lots=(bought(),)),
            Seen("ben", "v1", plots=(field(0.6),), lots=(bought(),)),
        )

        seed = next(line for line in both.lines if line.product == "s1")
        assert [(pack.size, count) for pack, count in seed.packs] == [(5000, 4)]
        assert (seed.cost, seed.alone, seed.left_g) == (Decimal(2300), Decimal(2875), 0)

    def test_tested_and_assumed_seed_share_no_bag(self):
        apart = ordered(
            Seen("ann", "v1", plots=(field(0.4),), lots=(bought(),)),
            Seen("ben", "v1", plots=(field(0.6),), lots=(SeenLot("bought", SeedTest(90, 100), TOLD),)),
        )

        seed = [(line.tested, line.cost) for line in apart.lines if line.product == "s1"]
        assert seed == [(True, Decimal(1725)), (False, Decimal(1150))]

    @pytest.mark.parametrize(("later", "packs"), [(0, 1), (1, 2)])
    def test_inoculant_is_shared_only_by_who_sows_on_the_same_day(self, later, packs):
        """An opened pack of 250 g keeps two days; each of these needs 40 g of it."""
        both = ordered(
            Seen("ann", "v1", plots=(field(0.4),), lots=(saved(90),)),
            Seen("ben", "v1", plots=(field(0.4, SOWING + timedelta(later)),), lots=(saved(90),)),
        )

        (inoculant,) = both.lines
        assert [(pack.size, count) for pack, count in inoculant.packs] == [(250, packs)]

    def test_inoculant_is_not_shared_by_who_sows_longer_than_an_opened_pack_keeps(self):
        """12.5 acres are ten days of sowing and five packs; the neighbour's 40 g come from none of them."""
        both = ordered(
            Seen("ann", "v1", plots=(field(12.5),), lots=(saved(90),)),
            Seen("ben", "v1", plots=(field(0.4),), lots=(saved(90),)),
        )

        (inoculant,) = both.lines
        assert [(pack.size, count) for pack, count in inoculant.packs] == [(250, 6)]

    def test_nobody_shares_without_a_day(self):
        (seed,) = (
            line
            for line in ordered(
                Seen("ann", "v1", plots=(field(0.4, None),), lots=(bought(),)),
                Seen("ben", "v1", plots=(field(0.6, None),), lots=(bought(),)),
            ).lines
            if line.product == "s1"
        )

        assert seed.week is None
        assert seed.cost == seed.alone == Decimal(2875)

    @pytest.mark.parametrize(("day", "packs"), [(TODAY, 1), (TODAY - timedelta(1), 2)])
    def test_inoculant_is_not_shared_by_who_is_late_to_sow(self, day, packs):
        """Two who meant the same day that is past need not sow on one day now."""
        both = ordered(
            Seen("ann", "v1", plots=(field(0.4, day),), lots=(saved(90),)),
            Seen("ben", "v1", plots=(field(0.4, day),), lots=(saved(90),)),
        )

        (inoculant,) = both.lines
        assert [(pack.size, count) for pack, count in inoculant.packs] == [(250, packs)]


class TestNoTestComes:
    """A round gave the test up, so nothing but the sowing is to come."""

    CLOSED = replace(SeenLot("saved"), closed="untested", closed_at=TOLD)

    def test_inoculant_is_ordered_for_the_seed_that_is_kept_back_and_no_seed(self):
        """An acre takes 20 kg at 80 %, so as at 60 % 26.67; 5 g each: common practice, no source."""
        found = ordered(Seen("ann", "v1", plots=(field(1),), lots=(self.CLOSED,)))

        (inoculant,) = found.lines
        assert (inoculant.product, inoculant.tested, inoculant.grams) == ("i1", False, 134)
        assert found.left_out == ()

    def test_once_it_is_tested_the_test_counts(self):
        found = ordered(Seen("ann", "v1", plots=(field(1),), lots=(replace(self.CLOSED, test=SeedTest(90, 100)),)))

        assert [(line.product, line.tested, line.grams) for line in found.lines] == [("i1", True, 100)]


class TestWeeks:
    @pytest.mark.parametrize(
        ("sowing", "week"),
        [
            (SOWING, date(2026, 11, 16)),  # bought five days before a Wednesday: on Friday
            (TODAY + timedelta(2), TODAY),  # should have been bought last week: at once
            (TODAY, TODAY),
            (TODAY - timedelta(1), TODAY),  # meant and not told as sown: it still has to be bought
            (TODAY - timedelta(28), TODAY),
        ],
    )
    def test_seed_is_at_hand_before_it_is_sown_and_never_in_the_past(self, sowing, week):
        found = ordered(Seen("ann", "v1", plots=(field(1, sowing),), lots=(bought(),)))

        assert next(line.week for line in found.lines if line.product == "s1") == week


class TestLeftOut:
    @pytest.mark.parametrize(
        ("plot", "lot", "why"),
        [
            (SeenPlot(), bought(), Lacking.FIELD),
            (replace(field(1, TODAY - timedelta(1)), sown=True), bought(), Lacking.SOWN),
            (replace(field(1, TODAY), sown=True), bought(), Lacking.SOWN),
            (field(1, TODAY - timedelta(29)), bought(), Lacking.LONG_PAST),
            (field(1), SeenLot(), Lacking.SEED),
            (field(1), saved(), Lacking.TEST),
            (field(21), bought(), Lacking.FIGURES),
            (field(1), saved(15, 19), Lacking.FIGURES),
        ],
    )
    def test_a_field_that_is_not_in_the_order_is_counted_with_the_reason(self, plot, lot, why):
        found = ordered(Seen("ann", "v1", plots=(plot,), lots=(lot,)))

        assert (found.lines, found.left_out) == ((), (("v1", why, 1),))


class TestSeveral:
    def test_each_field_and_each_lot_counts(self):
        """An acre with the own tested seed in hand, one with bought seed: 20 kg are bought, both are treated."""
        ann = Seen("ann", "v1", plots=(field(1), field(1)), lots=(bought(), saved(90)), lot=1)

        found = ordered(ann)

        grams = {(line.product, line.tested): line.grams for line in found.lines}
        assert grams == {("s1", False): 20_000, ("i1", True): 100, ("i1", False): 100}

    def test_the_spacing_that_was_chosen_counts(self):
        close = {"60x5": 1}
        own = buy_list(PROGRAMME, CROP, ACRE_M2, Lot(Origin.BOUGHT, SeedTest(70, 100)), Choices(spacing=1))

        found = ordered(
            Seen("a", "v1", plots=(field(1, SOWING, "60x5"),), lots=(SeenLot("bought", SeedTest(70, 100)),)),
            spacings=close,
        )

        assert next(line.cost for line in found.lines if line.product == "s1") == own.seed_purchase.cost
