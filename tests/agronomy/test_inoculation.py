"""The inoculation of a plot in the district, and what a programme may say about it."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.agronomy.cautions import CAUTIONS
from advisor.agronomy.errors import DataFault, MissingFigure
from advisor.agronomy.inoculation import inoculation_plan
from advisor.agronomy.inoculation_figures import LifeStarts
from advisor.agronomy.programme_file import read_programme
from advisor.agronomy.units import ACRE_M2


@pytest.fixture(scope="module")
def product(programme, crop):
    return programme.inoculant(crop.key)


def planned(programme, product, acres=1.0, people=5):
    return inoculation_plan(
        product, programme.inoculation, programme.measures, acres * ACRE_M2, acres * 20, people
    )


class TestThePlan:
    def test_of_an_acre_for_five_people(self, programme, product):
        plan = planned(programme, product)

        assert (plan.inoculant_g, plan.water_ml) == (100, 40)
        assert (plan.batches.days, plan.batches.batches) == (2, 13)
        assert [(pack.day, round(pack.used_g)) for pack in plan.opening.packs] == [(1, 100)]
        assert (plan.pack.size, plan.cost, plan.opening.lost_g) == (250, Decimal(350), 150)

    @given(st.floats(0.05, 20), st.integers(1, 30))
    def test_buys_what_is_fresh_on_each_day_and_measures_every_batch(self, programme, product, acres, people):
        plan = planned(programme, product, acres, people)

        assert plan.cost == plan.pack.price * len(plan.opening.packs)
        assert len(plan.opening.packs) * plan.pack.size >= plan.inoculant_g - 1e-2
        assert len(plan.doses) == len(plan.batches.sessions)
        for dose, session in zip(plan.doses, plan.batches.sessions, strict=True):
            assert dose.grams == session.batch.inoculant_g
            assert [level.measure.key for level in dose.level] == ["screw-cap", "crown-cap", "teaspoon"]

    def test_of_a_slow_sowing_opens_packs_one_after_the_other(self, programme, product):
        plan = planned(programme, product, acres=1, people=2)

        assert plan.batches.days == 5
        assert [pack.day for pack in plan.opening.packs] == [1, 3, 5]

    def test_carries_every_caution_of_its_parts_once(self, programme, product):
        plan = planned(programme, product)
        parts = {*plan.batches.cautions, *plan.opening.cautions, *plan.doses[0].cautions}

        assert set(plan.cautions) == parts <= set(CAUTIONS)
        assert len(plan.cautions) == len(parts)

    def test_needs_the_table_inoculation(self, programme, product):
        with pytest.raises(MissingFigure, match=r"add the table \[inoculation\]"):
            inoculation_plan(product, None, (), ACRE_M2, 20, 5)

    def test_needs_the_handling_of_the_product(self, programme, product):
        with pytest.raises(MissingFigure, match="add the table handling to the inoculant i1"):
            inoculation_plan(replace(product, handling=None), programme.inoculation, (), ACRE_M2, 20, 5)


class TestTheProgrammeFile:
    def test_gives_hours_clocks_and_measures(self, programme, product):
        assert programme.inoculation.morning.length_s == 3.5 * 3600
        assert programme.inoculation.evening.from_s == 16 * 3600
        assert programme.inoculation.person_m2_per_s * 3600 == pytest.approx(75)
        assert product.handling.life_starts is LifeStarts.MIXED
        assert product.handling.bulk_g_per_ml == 0.4
        assert [measure.key for measure in programme.measures] == ["teaspoon", "crown-cap", "screw-cap"]

    def test_may_say_nothing_about_inoculating(self, programme_text, crop, sources):
        start, end = programme_text.index("[inoculants.handling]"), programme_text.index("[inoculation]")
        rest = programme_text.index("[[measures]]")
        without = programme_text[:start] + programme_text[rest:]

        programme = read_programme(without, (crop,), sources)

        assert start < end < rest
        assert programme.inoculation is None
        assert programme.inoculant(crop.key).handling is None

    @pytest.mark.parametrize(
        ("old", "new", "fault"),
        [
            (
                'life = { value = 2, unit = "hour"',
                'life = { value = 1, unit = "hour"',
                "inoculants[1].handling.life",
            ),
            ('life_starts = "mixed"', 'life_starts = "noon"', "inoculants[1].handling.life_starts is 'noon'"),
            (
                "bulk_density = { value = 0.4,",
                "bulk_density = { value = 3.1,",
                "inoculants[1].handling.bulk_density",
            ),
            (
                "over_dose = { value = 0.25,",
                "over_dose = { value = -0.1,",
                "inoculants[1].handling.over_dose is -0.1",
            ),
            ("morning_to = { value = 10,", "morning_to = { value = 12.5,", "inoculation.morning_to is 45000 s"),
            (
                "evening_from = { value = 16,",
                "evening_from = { value = 11.9,",
                "inoculation.evening_from is 42840 s",
            ),
            ("morning_to = { value = 10,", "morning_to = { value = 6,", "inoculation.morning_from is 23400, more"),
            (
                "evening_to = { value = 18.5,",
                "evening_to = { value = 15,",
                "inoculation.evening_from is 57600, more",
            ),
            ('key = "crown-cap"', 'key = "teaspoon"', "measures has teaspoon twice"),
            ("volume = { value = 7,", "volume = { value = 0,", "measures[3].volume is 0 ml"),
        ],
    )
    def test_what_cannot_be_is_refused_with_its_place(self, programme_text, crop, sources, old, new, fault):
        assert old in programme_text

        with pytest.raises(DataFault) as raised:
            read_programme(programme_text.replace(old, new, 1), (crop,), sources)

        assert any(found.startswith(fault) for found in raised.value.faults), raised.value.faults

    def test_windows_of_less_than_an_hour_together_are_refused(self, programme_text, crop, sources):
        short = programme_text.replace("morning_to = { value = 10,", "morning_to = { value = 6.9,").replace(
            "evening_to = { value = 18.5,", "evening_to = { value = 16.5,"
        )

        with pytest.raises(DataFault, match="evening_to leaves 3240 s of sowing a day in both"):
            read_programme(short, (crop,), sources)

    def test_noon_itself_may_be_an_edge(self, programme_text, crop, sources):
        edge = programme_text.replace("morning_to = { value = 10,", "morning_to = { value = 12,").replace(
            "evening_from = { value = 16,", "evening_from = { value = 12,"
        )

        assert read_programme(edge, (crop,), sources).inoculation.morning.to_s == 12 * 3600
