"""The inoculation of a plot in the district, and what a programme may say about it."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.agronomy.cautions import CAUTIONS
from advisor.agronomy.errors import MissingFigure
from advisor.agronomy.inoculation import inoculation_plan
from advisor.agronomy.inoculation_figures import Handling, Inoculation, LifeStarts, SowingWindow
from advisor.agronomy.packs import Pack
from advisor.agronomy.powder_measures import measured_dose
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
        assert [(pack.size, times) for pack, times in plan.opening.bought] == [(250, 1)]
        assert (plan.opening.cost, plan.opening.lost_g) == (Decimal(350), 150)

    @given(st.floats(0.05, 20), st.integers(1, 30))
    def test_buys_what_is_fresh_on_each_day_and_measures_every_batch(self, programme, product, acres, people):
        plan = planned(programme, product, acres, people)

        (pack, times), *others = plan.opening.bought
        assert (plan.opening.cost, others) == (pack.price * len(plan.opening.packs), [])
        assert times * pack.size >= plan.inoculant_g - 1e-2
        assert len(plan.doses) == len(plan.batches.sessions)
        for (dose,), session in zip(plan.doses, plan.batches.sessions, strict=True):
            assert dose.grams == session.batch.inoculant_g
            assert [level.measure.key for level in dose.level] == ["screw-cap", "crown-cap", "teaspoon"]

    def test_of_a_slow_sowing_opens_packs_one_after_the_other(self, programme, product):
        plan = planned(programme, product, acres=1, people=2)

        assert plan.batches.days == 5
        assert [pack.day for pack in plan.opening.packs] == [1, 3, 5]

    def test_carries_every_caution_of_its_parts_once(self, programme, product):
        plan = planned(programme, product)
        parts = {*plan.batches.cautions, *plan.opening.cautions, *plan.doses[0][0].cautions}

        assert set(plan.cautions) == parts <= set(CAUTIONS)
        assert len(plan.cautions) == len(parts)

    def test_of_packs_of_two_sizes_says_the_dose_from_each_that_is_open_in_a_session(self, programme, product):
        sizes = (Pack(30, Decimal(40)), Pack(120, Decimal(125)))
        plan = planned(programme, replace(product, packs=sizes), acres=2, people=5)

        assert [(pack.size_g, pack.day, pack.last_day) for pack in plan.opening.packs] == [
            (120, 1, 2), (30, 3, 3), (30, 3, 4), (30, 4, 4),
        ]  # fmt: skip
        assert [(session.first_day, session.last_day) for session in plan.batches.sessions] == [
            (1, 3), (1, 3), (4, 4), (4, 4),
        ]  # fmt: skip
        assert [len(doses) for doses in plan.doses] == [2, 2, 1, 1]
        batch_g, powder = plan.batches.sessions[0].batch.inoculant_g, product.handling
        assert plan.doses[0] == tuple(
            measured_dose(batch_g, size_g, programme.measures, powder.bulk_g_per_ml, powder.over_dose)
            for size_g in (120, 30)
        )
        for doses, session in zip(plan.doses, plan.batches.sessions, strict=True):
            assert {dose.grams for dose in doses} == {session.batch.inoculant_g}

    def test_needs_the_table_inoculation(self, programme, product):
        with pytest.raises(MissingFigure, match=r"add the table \[inoculation\]"):
            inoculation_plan(product, None, (), ACRE_M2, 20, 5)

    def test_needs_the_handling_of_the_product(self, programme, product):
        with pytest.raises(MissingFigure, match="add the table handling to the inoculant i1"):
            inoculation_plan(replace(product, handling=None), programme.inoculation, (), ACRE_M2, 20, 5)


class TestTheProgrammeFile:
    def test_gives_hours_clocks_and_measures(self, programme, product):
        assert programme.inoculation == Inoculation(
            SowingWindow(6.5 * 3600, 10 * 3600), SowingWindow(16 * 3600, 18.5 * 3600), pytest.approx(75 / 3600)
        )
        assert product.handling == Handling(3600, 7200, LifeStarts.MIXED, 0.4, 30, 0.25)
        assert [(each.key, each.label.default, each.volume_ml) for each in programme.measures] == [
            ("teaspoon", "teaspoon", 5),
            ("crown-cap", "crown cap", 5),
            ("screw-cap", "screw cap", 7),
        ]

    def test_may_say_nothing_about_inoculating(self, programme_text, crop, sources):
        start, end = programme_text.index("[inoculants.handling]"), programme_text.index("[inoculation]")
        rest = programme_text.index("[[measures]]")
        without = programme_text[:start] + programme_text[rest:]

        programme = read_programme(without, (crop,), sources)

        assert start < end < rest
        assert programme.inoculation is None
        assert programme.inoculant(crop.key).handling is None

    def test_noon_itself_may_be_an_edge(self, programme_text, crop, sources):
        edge = programme_text.replace("morning_to = { value = 10,", "morning_to = { value = 12,").replace(
            "evening_from = { value = 16,", "evening_from = { value = 12,"
        )

        assert read_programme(edge, (crop,), sources).inoculation.morning.to_s == 12 * 3600
