"""Moisture: dry matter stays, the jar never proves more than it shows, days in store are never flattered."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.agronomy.drying import (
    DryingNext,
    Purpose,
    Salt,
    dry_enough,
    jar_test,
    mass_at_moisture_kg,
    seed_life_factor,
    shrink,
    sold_dry_loss,
    storage_time,
)
from advisor.agronomy.errors import OutOfRange

kg, moistures = st.floats(0.01, 1e5), st.floats(0, 60)
ABSURD = [-0.001, 100, float("nan"), float("inf")]


@pytest.fixture(scope="module")
def grain(crop):
    return crop.harvest.grain


class TestMassAtAnotherMoisture:
    @given(kg, moistures, moistures)
    def test_the_dry_matter_stays(self, mass, before, after):
        there = mass_at_moisture_kg(mass, before, after)

        assert there * (100 - after) == pytest.approx(mass * (100 - before))
        assert mass_at_moisture_kg(there, after, before) == pytest.approx(mass)

    @given(kg, moistures, moistures, moistures)
    def test_a_stop_on_the_way_changes_nothing(self, mass, before, between, after):
        by_way = mass_at_moisture_kg(mass_at_moisture_kg(mass, before, between), between, after)

        assert by_way == pytest.approx(mass_at_moisture_kg(mass, before, after))

    @given(kg, moistures, st.floats(0, 10))
    def test_drier_grain_weighs_less(self, mass, after, more):
        assert mass_at_moisture_kg(mass, after + more, after) <= mass * (1 + 1e-12)

    @given(moistures, st.floats(0, 20))
    def test_what_shrinks_is_the_rest(self, after, more):
        assert shrink(after + more, after) == pytest.approx(1 - mass_at_moisture_kg(1, after + more, after))

    @given(moistures, st.floats(0, 1))
    def test_handling_is_lost_on_top_and_never_more_than_all(self, moisture, loss):
        assert shrink(moisture, moisture, loss) == pytest.approx(loss)
        assert shrink(60, 0, 1) == 1

    @pytest.mark.parametrize("absurd", ABSURD)
    def test_a_moisture_that_cannot_be_is_refused(self, absurd):
        for call in (
            lambda: mass_at_moisture_kg(1, absurd, 10),
            lambda: mass_at_moisture_kg(1, 10, absurd),
            lambda: shrink(absurd, 10),
            lambda: sold_dry_loss(10, absurd),
        ):
            with pytest.raises(OutOfRange, match=r"^moisture is"):
                call()

    def test_grain_does_not_shrink_by_getting_wetter_nor_lose_pay_by_being_wetter(self):
        assert shrink(13, 13) == sold_dry_loss(13, 13) == 0
        with pytest.raises(OutOfRange, match=r"^moisture after is 14"):
            shrink(13, 14)
        with pytest.raises(OutOfRange, match=r"^moisture is 14, allowed is 0 to 13"):
            sold_dry_loss(14, 13)

    @pytest.mark.parametrize("loss", [-0.01, 1.01])
    def test_handling_that_cannot_be_is_refused(self, loss):
        with pytest.raises(OutOfRange, match=r"^handling loss is"):
            shrink(20, 10, loss)

    def test_no_grain_is_refused(self):
        with pytest.raises(OutOfRange, match=r"^grain is 0"):
            mass_at_moisture_kg(0, 13, 10)

    @given(st.floats(0, 13), st.floats(0, 13))
    def test_the_drier_it_is_sold_the_more_is_given_away(self, one, other):
        drier, wetter = sorted((one, other))

        assert sold_dry_loss(drier, 13) >= sold_dry_loss(wetter, 13) >= 0


class TestSaltInAJar:
    @pytest.mark.parametrize("purpose", Purpose)
    def test_that_sticks_means_dry_more(self, grain, purpose):
        assert jar_test(Salt.STICKS, purpose, grain).next is DryingNext.DRY_MORE

    @pytest.mark.parametrize(("purpose", "limit"), [(Purpose.GRAIN, 12), (Purpose.SEED, 11)])
    def test_that_stays_dry_proves_neither_grain_nor_seed(self, grain, purpose, limit):
        result = jar_test(Salt.STAYS_DRY, purpose, grain)

        assert result.next is DryingNext.NOT_PROVEN
        assert (result.low_percent, result.high_percent, result.limit_percent) == (0, 15, limit)

    def test_says_only_what_lies_outside_the_range_in_which_it_turns(self, grain):
        wet = jar_test(Salt.STICKS, Purpose.GRAIN, grain)
        assert (wet.low_percent, wet.high_percent) == (14, 100)

    @pytest.mark.parametrize(("limit", "expected"), [(15, DryingNext.STORE), (14.9, DryingNext.NOT_PROVEN)])
    def test_proves_a_limit_that_is_not_below_its_range(self, grain, limit, expected):
        assert jar_test(Salt.STAYS_DRY, Purpose.GRAIN, replace(grain, grain_percent=limit)).next is expected

    @pytest.mark.parametrize(("limit", "expected"), [(14, DryingNext.DRY_MORE), (14.1, DryingNext.NOT_PROVEN)])
    def test_disproves_no_limit_inside_its_range(self, grain, limit, expected):
        assert jar_test(Salt.STICKS, Purpose.GRAIN, replace(grain, grain_percent=limit)).next is expected

    @pytest.mark.parametrize(
        ("percent", "purpose", "expected"),
        [
            (12, Purpose.GRAIN, DryingNext.STORE),
            (12.1, Purpose.GRAIN, DryingNext.DRY_MORE),
            (11, Purpose.SEED, DryingNext.STORE),
            (11.1, Purpose.SEED, DryingNext.DRY_MORE),
        ],
    )
    def test_a_meter_decides_at_the_limit_itself(self, grain, percent, purpose, expected):
        assert dry_enough(percent, purpose, grain) is expected


class TestDaysInStore:
    @given(st.floats(0, 24), st.floats(0, 21.1), st.floats(0, 5), st.floats(0, 5))
    def test_wetter_or_warmer_never_keeps_longer(self, crop, percent, celsius, wetter, warmer):
        grain = crop.harvest.grain
        worse = storage_time(min(24, percent + wetter), min(21.1, celsius + warmer), grain)

        assert worse.days <= storage_time(percent, celsius, grain).days

    def test_each_row_is_read_exactly(self, grain):
        for row in grain.storage:
            found = storage_time(row.moisture_percent, row.celsius, grain)
            assert (found.days, found.at_least) == (row.days, False)

    def test_between_rows_the_worse_one_counts_and_it_is_said(self, grain):
        found = storage_time(16.1, 10.1, grain)

        assert (found.days, found.at_least, found.row_percent, found.row_celsius) == (16, True, 18, 21.1)

    @pytest.mark.parametrize(
        ("percent", "celsius", "name"), [(24.1, 10, "moisture"), (14, 21.2, "temperature"), (-1, 10, "moisture")]
    )
    def test_outside_the_table_nothing_is_promised(self, grain, percent, celsius, name):
        with pytest.raises(OutOfRange, match=f"^{name} is"):
            storage_time(percent, celsius, grain)

    def test_where_the_table_has_a_hole_nothing_is_promised(self, grain):
        one_hot_row = tuple(row for row in grain.storage if row.celsius == 10 or row.moisture_percent == 14)

        with pytest.raises(
            OutOfRange, match=r"^moisture is 16, allowed is 0 to the table at that temperature \(unit p"
        ):
            storage_time(16, 20, replace(grain, storage=one_hot_row))

    @given(st.floats(-10, 10), st.floats(-25, 25))
    def test_seed_lives_as_much_longer_there_as_shorter_back(self, crop, drier, cooler):
        grain = crop.harvest.grain
        there, back = seed_life_factor(drier, cooler, grain), seed_life_factor(-drier, -cooler, grain)

        assert there * back == pytest.approx(1)
        assert seed_life_factor(drier + 1, cooler, grain) == pytest.approx(2 * there)
        assert seed_life_factor(drier, cooler + 5, grain) == pytest.approx(2 * there)

    def test_lives_by_the_figures_of_the_crop(self, grain):
        slower = replace(grain, halved_by_percent=2, halved_by_celsius=10)

        assert seed_life_factor(2, 0, slower) == seed_life_factor(0, 10, slower) == 2
        assert seed_life_factor(4, -10, slower) == 2

    @pytest.mark.parametrize(("drier", "cooler"), [(21, 0), (0, -51), (float("nan"), 0)])
    def test_life_far_from_where_it_was_measured_is_refused(self, grain, drier, cooler):
        with pytest.raises(OutOfRange):
            seed_life_factor(drier, cooler, grain)


def test_the_words_that_flows_and_programs_read_stay():
    assert [str(each) for each in DryingNext] == ["dry_more", "not_proven", "store"]
    assert [str(each) for each in (*Salt, *Purpose)] == ["sticks", "stays_dry", "grain", "seed"]
