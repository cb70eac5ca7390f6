"""Inoculating for a dialogue: what its screens name, against the calculator itself."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.advice.inoculating import conditions, inoculating, plan_for
from advisor.agronomy import cautions
from advisor.agronomy.batches import PartOfDay
from advisor.agronomy.errors import MissingFigure
from advisor.agronomy.inoculation_rules import CannotInoculate
from advisor.agronomy.units import ACRE_M2

NOW = datetime(2027, 3, 1, tzinfo=UTC)


@pytest.fixture(scope="module")
def amount(book):
    return book.registry.calculation("inoculant")


@pytest.fixture(scope="module")
def batches(book):
    return book.registry.calculation("inoculation")


def seed(kg="20", people=5, **more):
    return {"dressed": "no", "seed_kg": kg, "people": people, **more}


class TestTheAmount:
    def test_50_kg_of_seed_take_250_g_and_100_ml(self, amount):
        """250 g for 50 kg, and 6 teaspoons of 5 mL for 15 kg: common practice, no source."""
        found = amount.run(seed("50"), NOW)

        assert (found["seed"], found["powder"], found["water"]) == (50, 0.25, 100)

    def test_a_known_plot_and_lot_take_the_seed_of_their_buy_list(self, amount):
        """20 kg an acre (common practice, no source) on 2.5 acres."""
        found = amount.run({"dressed": "no", "plot.area": 2.5 * ACRE_M2, "lot.origin": "bought"}, NOW)

        assert (found["seed"], found["powder"]) == (50, 0.25)

    def test_the_part_that_money_is_enough_for_takes_the_seed_of_that_part(self, amount, book):
        known = {"dressed": "no", "plot.area": 2.5 * ACRE_M2, "lot.origin": "bought"}
        known |= {"money": "3000", "portion": "part"}

        assert amount.run(known, NOW)["seed"] == book.registry.calculation("buy_list").run(known, NOW)["seed"] < 50

    def test_what_is_typed_goes_before_the_list(self, amount):
        found = amount.run(seed("12.5") | {"plot.area": 2.5 * ACRE_M2, "lot.origin": "bought"}, NOW)

        assert found["seed"] == 12.5


class TestTheBatches:
    def test_of_the_first_morning_are_those_of_the_calculator(self, batches, programme, crop):
        """An acre of 20 kg by five people who sow 75 m² an hour each: the hours of the programme."""
        found, plan = batches.run(seed(window="morning"), NOW), plan_for(programme, crop, seed())

        session = plan.batches.sessions[0]
        assert session.part_of_day is PartOfDay.MORNING
        assert (found["batches"], found["batch"]) == (session.batches, session.batch.seed_kg)
        assert (found["dose"], found["wet"]) == (session.batch.inoculant_g / 1000, session.batch.water_ml)
        assert (found["days"], found["pack_ends"]) == (plan.batches.days, plan.opening.packs[0].use_by_day)
        assert found["packs"] == ((0.25, 1),)

    def test_stand_in_the_hours_of_the_programme_an_hour_of_drying_before(self, batches):
        """Ulami sows from half past six to ten and from four to half past six, and dries for an hour."""
        times = [
            tuple(batches.run(seed(window=window), NOW)[name] for name in ("mix", "from", "to"))
            for window in ("morning", "evening")
        ]

        assert times == [("05:30", "06:30", "10:00"), ("15:00", "16:00", "18:30")]

    def test_of_the_evening_are_smaller_where_the_evening_is_cut_finer(self, batches):
        """3.5 h in four batches are 52.5 min each, 2.5 h in three 50 min (arithmetic)."""
        morning, evening = (batches.run(seed(window=window), NOW) for window in ("morning", "evening"))

        assert (morning["batches"], evening["batches"]) == (4, 3)
        assert evening["batch"] / morning["batch"] == pytest.approx(50 / 52.5)

    def test_of_a_window_that_is_not_needed_are_those_of_the_one_that_is(self, batches):
        found = batches.run(seed("1", 10, window="evening"), NOW)

        assert (found["windows"], found["from"]) == (1, "06:30")

    def test_are_smaller_the_fewer_people_there_are(self, batches):
        masses = [batches.run(seed(people=people), NOW)["batch"] for people in (1, 2, 5)]

        assert masses == sorted(masses)
        assert masses[0] < masses[-1]

    def test_leave_the_time_that_the_pack_leaves_after_drying(self, batches):
        """Two hours from mixing, of which one is for drying: common practice, no source."""
        found = batches.run(seed(), NOW)

        assert (found["drying"], found["left"]) == (60, 60)


class TestTheLastDay:
    def test_sows_what_the_full_days_leave(self, batches):
        """Six hours of five people are 2,250 m² a day; 1,797 m² of an acre are left, 4.79 hours (arithmetic)."""
        morning, evening = (
            batches.run(seed(window="last", last_window=window), NOW) for window in ("morning", "evening")
        )

        assert (morning["batches"], evening["batches"], evening["last_windows"]) == (4, 2, 2)
        left_m2 = ACRE_M2 - 2250
        assert morning["batches"] * morning["batch"] == pytest.approx(3.5 * 375 / ACRE_M2 * 20)
        assert evening["batches"] * evening["batch"] == pytest.approx((left_m2 - 3.5 * 375) / ACRE_M2 * 20)
        assert (evening["mix"], evening["from"]) == ("15:00", "16:00")

    @given(kg=st.integers(1, 400), people=st.integers(1, 30))
    def test_and_the_days_before_it_sow_all_of_the_seed(self, batches, kg, people):
        def sown(window, last_window="morning"):
            found = batches.run(seed(str(kg), people, window=window, last_window=last_window), NOW)
            return found["batches"] * found["batch"]

        found = batches.run(seed(str(kg), people), NOW)
        full_days = found["days"] - (found["last_windows"] > 0)
        parts = ("morning", "evening")
        total = full_days * sum(sown(part) for part in parts[: found["windows"]])
        total += sum(sown("last", part) for part in parts[: found["last_windows"]])

        assert total == pytest.approx(kg)

    @pytest.mark.parametrize(("kg", "last_windows"), [("20", 2), ("12", 1), ("10", 0), ("2", 0)])
    def test_is_one_of_its_own_only_where_days_are_not_alike(self, programme, crop, batches, kg, last_windows):
        found = batches.run(seed(kg), NOW)
        held = {each.name for each in conditions(programme, crop) if each.holds(found)}

        assert found["last_windows"] == last_windows
        assert ("last_day_differs" in held) == (last_windows > 0)
        assert ("last_day_has_evening" in held) == (last_windows == 2)

    def test_that_is_asked_for_where_there_is_none_is_the_first(self, batches):
        assert batches.run(seed("10", window="last"), NOW)["from"] == "06:30"

    def test_an_opened_pack_lasts_as_long_as_the_programme_says(self, batches, programme, crop):
        assert batches.run(seed(), NOW)["life"] == programme.inoculant(crop.key).opened_life_days == 2


class TestMeasures:
    def test_the_two_that_come_nearest_to_the_dose_are_named(self, batches):
        """8.1 g of peat of 0.4 g/mL: 3 screw caps of 7 mL are 8.4 g, 4.5 crown caps of 5 mL 9 g (arithmetic)."""
        found = batches.run(seed(), NOW)

        assert (found["level"], found["measure"]) == (3.0, "screw-cap")
        assert (found["other_level"], found["other_measure"]) == (4.5, "crown-cap")
        assert "part" not in found, "an eighth of 250 g is four times as much"

    def test_a_part_of_the_pack_is_named_where_it_is_near_enough(self, batches):
        """160.5 g of 250 g are two thirds and little less (arithmetic)."""
        found = batches.run(seed("999", 99), NOW)

        assert found["part"] == "2/3"

    def test_the_only_one_stands_for_both(self, programme, crop):
        alone = replace(programme, measures=programme.measures[:1])
        found = inoculating(alone, crop)[1].run(seed(), NOW)

        assert found["measure"] == found["other_measure"] == programme.measures[0].key


class TestRefusals:
    @pytest.mark.parametrize("name", ["inoculant", "inoculation"])
    @pytest.mark.parametrize("said", ["yes", "perhaps", ""])
    def test_of_dressed_seed_nothing_is_worked_out(self, book, name, said):
        with pytest.raises(CannotInoculate) as refused:
            book.registry.calculation(name).run(seed() | {"dressed": said}, NOW)

        assert refused.value.name == "dressed_seed"
        assert cautions.DRESSED_SEED_IS_POISON in refused.value.cautions

    def test_without_mass_or_list_there_is_nothing_to_inoculate(self, amount):
        with pytest.raises(MissingFigure):
            amount.run({"dressed": "no", "plot.area": ACRE_M2}, NOW)

    @pytest.mark.parametrize("left_out", ["inoculation", "measures"])
    def test_a_programme_without_the_figures_has_the_amount_and_no_batches(self, programme, crop, left_out):
        bare = replace(programme, **{left_out: None if left_out == "inoculation" else ()})
        amount, batches = inoculating(bare, crop)
        known = next(each for each in conditions(bare, crop) if each.name == "batches_are_known")

        assert amount.run(seed("50"), NOW)["powder"] == 0.25
        assert not known.holds({})
        with pytest.raises(MissingFigure):
            batches.run(seed(), NOW)

    def test_a_programme_with_them_has_both(self, programme, crop):
        assert next(each for each in conditions(programme, crop) if each.name == "batches_are_known").holds({})


class TestCautions:
    def test_all_of_the_plan_are_brought(self, batches, programme, crop):
        plan = plan_for(programme, crop, seed())
        brought = {brings.caution for brings in batches.brings}

        assert set(plan.cautions) <= brought
        assert {cautions.DRESSED_SEED_IS_POISON, cautions.ASK_DEALER_OR_EXTENSION} <= brought


class TestBounds:
    @given(kg=st.integers(10, 9990), people=st.integers(1, 99), window=st.sampled_from(["morning", "evening"]))
    def test_every_result_lies_within_the_kind_that_is_declared_for_it(self, batches, kg, people, window):
        found = batches.run(seed(str(kg / 10), people, window=window), NOW)
        kinds = dict(batches.gives)

        assert set(found) <= set(kinds) | set(batches.also)
        assert batches.always <= set(found)
        for name, value in found.items():
            if name in kinds:
                kinds[name].check(value)
