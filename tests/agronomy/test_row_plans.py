"""A field in rows, its stand, and rows between a young crop, by the figures of the files."""

from __future__ import annotations

from dataclasses import replace

import pytest

from advisor.agronomy.errors import CannotBe, MissingFigure, OutOfRange
from advisor.agronomy.germination import Method
from advisor.agronomy.masses import SeedQuality
from advisor.agronomy.row_plans import field_stand, row_plan, rows_between_young
from advisor.agronomy.seed import seed_mass_by_population_kg
from advisor.agronomy.stand_check import RowCount, StandAdvice

GOOD = SeedQuality(0.85, Method.PAPER, 1.0)


@pytest.fixture(scope="module")
def by_key(crops):
    return {crop.key: crop for crop in crops}


@pytest.fixture(scope="module")
def main(demonstration, by_key):
    return by_key[demonstration.crops[0].crop]


class TestAFieldInRows:
    def test_has_the_rows_furrows_holes_and_pegs_of_its_size(self, demonstration, main):
        plan = row_plan(demonstration, main, 31, 40, people=2)

        assert (plan.rows, plan.left_over_m) == (51, pytest.approx(0.4))
        assert (plan.furrow_m, plan.holes) == (51 * 40, 51 * 400)
        assert (plan.tools.string_m, plan.tools.pegs) == (41, 102)

    def test_at_a_closer_spacing_has_twice_the_holes_in_the_same_rows(self, demonstration, main):
        usual, closer = (row_plan(demonstration, main, 30, 40, 2, spacing) for spacing in (0, 1))

        assert closer.rows == usual.rows
        assert closer.holes == 2 * usual.holes

    def test_takes_as_many_days_as_its_people_need(self, demonstration, main):
        rate = demonstration.inoculation.person_m2_per_s * demonstration.land.work.day_s
        side = (rate * 6) ** 0.5

        assert [row_plan(demonstration, main, side, side, people).days for people in (1, 4, 6)] == [6, 2, 1]
        assert row_plan(demonstration, main, side, side, 1).person_days == pytest.approx(6)

    def test_is_sown_by_one_person_at_the_rate_at_which_inoculated_seed_is(self, demonstration):
        sowing, work = demonstration.inoculation, demonstration.land.work

        assert work.day_s == sowing.morning.length_s + sowing.evening.length_s
        for plan in demonstration.crops:
            hands = plan.sown_per_day_m2 / (sowing.person_m2_per_s * work.day_s)
            assert 2 <= hands <= 20, "a household with its helpers"

    def test_whose_programme_does_not_say_how_much_is_sown_in_an_hour_is_refused(self, demonstration, main):
        silent = replace(demonstration, inoculation=None)

        with pytest.raises(MissingFigure, match=r"no figure inoculation: add an \[inoculation\] section"):
            row_plan(silent, main, 30, 40, 2)

    def test_of_which_the_programme_says_nothing_is_refused(self, programme, crop):
        with pytest.raises(MissingFigure, match=r"no figure row_work: add a \[row_work\] section"):
            row_plan(programme, crop, 30, 40, 2)

    @pytest.mark.parametrize(
        ("width", "length", "people", "spacing"), [(0, 40, 2, 0), (30, 0, 2, 0), (30, 40, 0, 0), (30, 40, 2, 2)]
    )
    def test_that_cannot_be_is_refused(self, demonstration, main, width, length, people, spacing):
        with pytest.raises(OutOfRange):
            row_plan(demonstration, main, width, length, people, spacing)

    def test_narrower_than_its_margins_is_refused(self, demonstration, main):
        with pytest.raises(CannotBe, match="leave no room"):
            row_plan(demonstration, main, 0.5, 40, 2)


class TestTheStandOfAField:
    @pytest.mark.parametrize(
        ("plants", "days", "advice"),
        [
            (54, 10, StandAdvice.LEAVE),
            (65, 10, StandAdvice.LEAVE),
            (29, 10, StandAdvice.RESOW),
            (29, 22, StandAdvice.TOO_LATE),
            (47, 15, StandAdvice.TOO_LATE),
        ],
    )
    def test_is_judged_by_the_edges_and_days_of_the_programme(self, demonstration, main, plants, days, advice):
        found = field_stand(demonstration, main, 4000, [RowCount(plants, 3)], days, GOOD)

        # Rows of 60 cm and a target of 33.3: 60 plants on 3 m are the whole stand.
        assert found.check.part_of_target == pytest.approx(plants / 60, rel=2e-3)
        assert found.check.advice is advice
        assert (found.fill_seed_kg > 0) == (found.check.advice is StandAdvice.FILL_GAPS)

    def test_with_gaps_takes_the_seed_for_what_is_missing(self, demonstration, main):
        quality = SeedQuality(0.8, Method.BED, 0.98)
        found = field_stand(demonstration, main, 4000, [RowCount(42, 3)], 10, quality)

        expected = seed_mass_by_population_kg(
            4000, found.check.missing_per_m2, main.tsw_g, 0.8, main.bed_emergence, 0.98
        )
        assert found.check.advice is StandAdvice.FILL_GAPS
        assert found.fill_seed_kg == pytest.approx(expected)

    def test_of_which_the_programme_says_nothing_is_refused(self, programme, crop):
        with pytest.raises(MissingFigure, match=r"no figure stand_check: add a \[stand_check\] section"):
            field_stand(programme, crop, 4000, [RowCount(42, 3)], 10, GOOD)

    @pytest.mark.parametrize(
        ("area", "days", "spacing"), [(0, 10, 0), (4000, -1, 0), (4000, 10, 2), (4000, 10, -1)]
    )
    def test_that_cannot_be_is_refused(self, demonstration, main, area, days, spacing):
        with pytest.raises(OutOfRange):
            field_stand(demonstration, main, area, [RowCount(42, 3)], days, GOOD, spacing)


class TestRowsBetweenAYoungCrop:
    def test_keep_the_clearance_that_its_file_asks_for(self, demonstration, main, by_key):
        clearance = by_key["maize"].land.clearance_m

        assert rows_between_young(demonstration, main, by_key["maize"], 2 * clearance).rows_per_gap == 1
        assert rows_between_young(demonstration, main, by_key["maize"], 2 * clearance - 0.01).rows_per_gap == 0
        assert rows_between_young(demonstration, main, by_key["maize"], 2 * clearance + 0.6).rows_per_gap == 2

    def test_beside_a_crop_whose_need_nobody_knows_are_refused(self, demonstration, main, by_key):
        with pytest.raises(MissingFigure, match=r"no figure cowpea\.young\.clearance: add a \[young\] section"):
            rows_between_young(demonstration, main, by_key["cowpea"], 3)

    def test_at_a_spacing_that_is_not_on_offer_are_refused(self, demonstration, main, by_key):
        with pytest.raises(OutOfRange):
            rows_between_young(demonstration, main, by_key["maize"], 3, spacing=2)
