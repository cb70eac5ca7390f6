"""The stand on the phone is the calculator's, and nothing is sown after the last day that is safe."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.advice.standing import PLACES, Stand, conditions, standing
from advisor.agronomy.cautions import ASK_DEALER_OR_EXTENSION, DRESSED_SEED_IS_POISON, FOLLOW_THE_PACK
from advisor.agronomy.errors import CannotBe, MissingFigure
from advisor.agronomy.germination import Method
from advisor.agronomy.masses import SeedQuality
from advisor.agronomy.row_plans import field_stand
from advisor.agronomy.stand_check import RowCount, StandAdvice
from advisor.agronomy.units import ACRE_M2

SOWN = date(2026, 11, 20)
VALLEY, HILLS = "v1", "v4"


def run(programme, crop, name, sight, day=8, sown=SOWN):
    now = datetime(sown.year, sown.month, sown.day, 9, tzinfo=UTC) + timedelta(day)
    calculation = next(each for each in standing(programme, crop) if each.name == name)
    return calculation.run({"plot.sowing": str(sown), **sight}, now)


def stand(programme, crop, plants, day=8, sown=SOWN, **more):
    return run(programme, crop, "stand", {"plot.plants": plants, **more}, day, sown)


class TestWhereToCount:
    def test_a_rope_of_20_m_folded_three_times_is_2_5_m(self, programme, crop):
        """20 m halved three times; common practice, no source, for five places."""
        found = run(programme, crop, "where_to_count", {})

        assert found == {"rope": 20, "folds": 3, "piece": 2.5, "places": 5}

    @pytest.mark.parametrize(("rope_m", "folds"), [(3, 0), (3.1, 1), (6, 1), (10, 2), (30, 4)])
    def test_any_rope_is_folded_until_it_is_short_enough(self, programme, crop, rope_m, folds):
        found = run(replace(programme, rope_m=rope_m), crop, "where_to_count", {})

        assert (found["folds"], found["piece"]) == (folds, rope_m / 2**folds)


class TestDays:
    def test_in_the_valley_are_the_seventh_to_the_tenth(self, programme, crop):
        found = run(programme, crop, "stand_days", {"grower.village": VALLEY})

        assert (found["check_from"], found["check_to"]) == (date(2026, 11, 27), date(2026, 11, 30))

    def test_in_the_hills_come_a_quarter_later(self, programme, crop):
        """7 and 10 days times 1.25, a day that is begun counted (arithmetic)."""
        found = run(programme, crop, "stand_days", {"grower.village": HILLS})

        assert (found["check_from"], found["check_to"]) == (date(2026, 11, 29), date(2026, 12, 3))

    @pytest.mark.parametrize(("day", "too_soon"), [(-3, True), (0, True), (6, True), (7, False), (60, False)])
    def test_before_the_first_it_is_too_soon(self, programme, crop, day, too_soon):
        assert run(programme, crop, "stand_days", {}, day)["too_soon"] is too_soon


class TestTheStand:
    """Five pieces of 2.5 m in rows 60 cm apart are 7.5 m²; 33.3 are meant, 26.64 and 16.65 the edges."""

    @pytest.mark.parametrize(
        ("plants", "stands", "per_m2"),
        [
            (250, Stand.GOOD, 33),
            (200, Stand.GOOD, 27),
            (199, Stand.FILL, 27),
            (125, Stand.FILL, 17),
            (124, Stand.SOW_AGAIN, 17),
            (0, Stand.SOW_AGAIN, 0),
        ],
    )
    def test_is_left_filled_or_sown_again_by_the_programmes_edges(self, programme, crop, plants, stands, per_m2):
        found = stand(programme, crop, plants)

        assert (found["stands"], found["plants"], found["meant"]) == (stands, per_m2, 33)

    @pytest.mark.parametrize(
        ("plants", "day", "stands"),
        [
            (150, 14, Stand.FILL),
            (150, 15, Stand.LATE_TO_FILL),
            (150, 40, Stand.LATE_TO_FILL),
            (100, 21, Stand.SOW_AGAIN),
            (100, 22, Stand.LATE_TO_SOW),
            (250, 40, Stand.GOOD),
        ],
    )
    def test_is_too_late_after_the_programmes_days(self, programme, crop, plants, day, stands):
        found = stand(programme, crop, plants, day)

        assert found["stands"] is stands
        assert (found["fill_by"], found["sow_again_by"]) == (date(2026, 12, 4), date(2026, 12, 11))

    @pytest.mark.parametrize(("plants", "late"), [(150, Stand.LATE_TO_FILL), (100, Stand.LATE_TO_SOW)])
    def test_nothing_is_sown_after_the_last_safe_day_of_the_zone(self, programme, crop, plants, late):
        """The rains end on 15 April; less 115 days, and 20 dry ones, is 10 January (arithmetic)."""
        sown = date(2027, 1, 2)
        on_it, after, elsewhere = (
            stand(programme, crop, plants, day, sown, **village)
            for day, village in ((8, {"grower.village": VALLEY}), (9, {"grower.village": VALLEY}), (9, {}))
        )

        assert on_it["fill_by"] == on_it["sow_again_by"] == date(2027, 1, 10)
        assert on_it["stands"] in (Stand.FILL, Stand.SOW_AGAIN)
        assert after["stands"] is late
        assert elsewhere["stands"] is on_it["stands"]

    @given(plants=st.integers(0, 2000), day=st.integers(0, 200), spacing=st.sampled_from(["60x10", "60x5"]))
    def test_follows_the_calculator_wherever_no_season_limits_it(self, programme, crop, plants, day, spacing):
        counts = [RowCount(plants, PLACES * 2.5)]
        expected = field_stand(programme, crop, ACRE_M2, counts, day, SeedQuality(0.85, Method.PAPER, 0.98)).check

        found = stand(programme, crop, plants, day, **{"plot.spacing": spacing})["stands"]

        advice = {
            Stand.GOOD: StandAdvice.LEAVE,
            Stand.FILL: StandAdvice.FILL_GAPS,
            Stand.SOW_AGAIN: StandAdvice.RESOW,
        }
        assert advice.get(found, StandAdvice.TOO_LATE) is expected.advice


class TestSeedForGaps:
    def test_9_3_plants_a_square_metre_on_an_acre_take_6_9_kg_and_35_g(self, programme, crop):
        """180 plants on 7.5 m² are 24; 0.13 g a seed, 85 % twice, 98 % pure, 5 g of inoculant a kg."""
        found = run(programme, crop, "seed_for_gaps", {"plot.plants": 180, "plot.area": ACRE_M2})

        assert found["seed"] == pytest.approx(9.3 * ACRE_M2 / (0.85 * 0.85 * 0.98) * 0.13e-3)
        assert found["powder"] == pytest.approx(found["seed"] * 5 / 1000)

    def test_weaker_own_seed_takes_more_and_is_not_paid_twice(self, programme, crop):
        known = {"plot.plants": 180, "plot.area": ACRE_M2, "lot.origin": "saved", "lot.test": (70, 100)}
        on_paper, in_soil = (
            run(programme, crop, "seed_for_gaps", known | {"lot.method": method})["seed"]
            for method in ("paper", "bed")
        )

        assert on_paper == pytest.approx(9.3 * ACRE_M2 / (0.7 * 0.85) * 0.13e-3)
        assert in_soil == pytest.approx(on_paper * 0.85 / 0.95)

    @pytest.mark.parametrize(("plants", "day"), [(250, 8), (100, 8), (180, 15)])
    def test_where_no_gap_is_filled_there_is_none(self, programme, crop, plants, day):
        found = run(programme, crop, "seed_for_gaps", {"plot.plants": plants, "plot.area": ACRE_M2}, day)

        assert found == {"seed": 0, "powder": 0}

    def test_brings_that_dressed_seed_is_poison_the_pack_and_whom_to_ask(self, programme, crop):
        brought = {brings.caution for brings in standing(programme, crop)[3].brings}

        assert brought == {DRESSED_SEED_IS_POISON, FOLLOW_THE_PACK, ASK_DEALER_OR_EXTENSION}


class TestRefusals:
    def test_a_programme_without_rules_of_thin_stands_refuses(self, programme, crop):
        bare = replace(programme, land=replace(programme.land, stand=None))

        with pytest.raises(MissingFigure):
            stand(bare, crop, 180)

    def test_a_crop_without_days_refuses_to_name_them(self, programme, crop):
        with pytest.raises(MissingFigure):
            run(programme, replace(crop, days=None), "stand_days", {})

    def test_a_text_that_is_no_day_is_refused(self, programme, crop):
        with pytest.raises(CannotBe):
            run(programme, crop, "stand_days", {"plot.sowing": "2027-02-30"})


class TestConditions:
    @pytest.mark.parametrize("plants", [0, 124, 125, 199, 200, 250])
    @pytest.mark.parametrize("day", [8, 15, 22])
    def test_at_most_one_holds_and_none_only_where_it_is_too_late_to_sow_again(self, programme, crop, plants, day):
        found = {**stand(programme, crop, plants, day), "too_soon": False}
        held = [each.name for each in conditions() if each.holds(found)]

        assert len(held) == (0 if found["stands"] is Stand.LATE_TO_SOW else 1)


class TestBounds:
    @given(
        plants=st.integers(0, 2000),
        day=st.integers(0, 200),
        grown=st.integers(0, 100),
        origin=st.sampled_from(["bought", "saved"]),
        method=st.sampled_from(["paper", "bed"]),
        acres=st.floats(0.05, 20),
    )
    def test_every_result_lies_within_its_kind(self, programme, crop, plants, day, grown, origin, method, acres):
        known = {
            "plot.plants": plants,
            "plot.area": acres * ACRE_M2,
            "lot.origin": origin,
            "grower.village": HILLS,
        }
        known |= {"lot.test": (grown, 100), "lot.method": method}
        for calculation in standing(programme, crop):
            found = run(programme, crop, calculation.name, known, day)
            kinds = dict(calculation.gives)

            assert calculation.always <= set(found) <= set(kinds) | set(calculation.also)
            for name, value in found.items():
                if name in kinds:
                    kinds[name].check(value)
