"""A whole season's plan: its parts agree with each other, and what is not there says why."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.agronomy.batches import PartOfDay, batch_plan, uses_a_day_g
from advisor.agronomy.buylist import Advice, Lot, Origin, buy_list
from advisor.agronomy.cautions import CAUTIONS
from advisor.agronomy.errors import CannotBe, MissingFigure, OutOfRange
from advisor.agronomy.fertiliser_need import Basis, LastSeason
from advisor.agronomy.field_purse import field_purse
from advisor.agronomy.germination import SeedTest
from advisor.agronomy.nutrients import P2O5
from advisor.agronomy.opened_packs import cheapest_opening, opening_cost
from advisor.agronomy.packs import Pack
from advisor.agronomy.programme_file import read_programme
from advisor.agronomy.season_calendar import Task
from advisor.agronomy.season_parts import Absent, Part, Why
from advisor.agronomy.season_plan import season_plan
from advisor.agronomy.season_request import SeasonRequest
from advisor.agronomy.units import ACRE_M2
from tests.agronomy.conftest import HOME

BOUGHT = Lot(Origin.BOUGHT)
SOWING = date(2026, 11, 25)

lots = st.one_of(
    st.just(BOUGHT),
    st.builds(Lot, st.sampled_from(Origin), st.integers(0, 100).map(lambda grown: SeedTest(grown, 100))),
)
requests = st.builds(
    SeasonRequest,
    lots,
    st.floats(0.1, 20).map(lambda acres: acres * ACRE_M2),
    people=st.integers(1, 12),
    sowing=st.dates(date(2026, 11, 1), date(2027, 1, 20)),
    spacing=st.integers(0, 1),
    soil_mg_per_kg=st.none() | st.floats(0, 40),
    purse=st.none() | st.integers(0, 99_999).map(Decimal),
)
zones = st.integers(0, 1)
packs = st.lists(st.builds(Pack, st.integers(50, 1000), st.integers(20, 900).map(Decimal)), min_size=1, max_size=2)
plans = settings(max_examples=60, deadline=None)


def planned(programme, crop, request, zone=0, last=None):
    return season_plan(programme, crop, programme.zones[zone], request, last)


def absent(plan):
    return {each.part: each.why for each in plan.absent}


class TestThePartsAgree:
    @plans
    @given(requests, zones)
    def test_what_is_bought_covers_what_is_needed_and_costs_what_its_lines_cost(
        self, demonstration, crop, request, zone
    ):
        plan = planned(demonstration, crop, request, zone)

        assert all(line.bought_kg >= line.needed_kg * (1 - 1e-9) for line in plan.buying)
        assert plan.inputs == sum((line.cost for line in plan.buying), Decimal(0))
        assert plan.inputs == plan.bought.total + plan.fertiliser.choice.cost
        need, given_ = plan.fertiliser.need, plan.fertiliser.choice.delivered
        assert given_.p2o5.kg_per_ha >= need.p2o5.kg_per_ha * (1 - 1e-6)
        assert given_.n.kg_per_ha <= need.n_limit.kg_per_ha * (1 + 1e-6) + 1e-9

    @plans
    @given(requests, zones)
    def test_inoculant_follows_the_seed_that_is_settled_and_its_packs_the_days_of_those_who_sow(
        self, demonstration, crop, request, zone
    ):
        plan = planned(demonstration, crop, request, zone)
        product = demonstration.inoculant(crop.key)

        grams = plan.bought.seed_kg * product.dose_g_per_kg
        assert plan.bought.inoculant_g == plan.inoculation.inoculant_g == pytest.approx(grams)
        assert sum(plan.inoculation.batches.uses_g) == pytest.approx(grams)
        purchase, opening = plan.bought.inoculant_purchase, plan.inoculation.opening
        assert (purchase.lines, purchase.cost) == (opening.bought, opening.cost)
        held_g = sum(pack.size * count for pack, count in purchase.lines)
        assert held_g == sum(pack.size_g for pack in opening.packs)
        assert purchase.surplus == pytest.approx(held_g - grams, abs=1)
        assert plan.bought.sowing_days == plan.inoculation.batches.days

    @plans
    @given(requests, zones)
    def test_no_batch_outlives_its_window_or_the_seed(self, demonstration, crop, request, zone):
        plan, rules = planned(demonstration, crop, request, zone), demonstration.inoculation

        for session in plan.inoculation.batches.sessions:
            window = rules.morning if session.part_of_day is PartOfDay.MORNING else rules.evening
            for mixed_s, sown_s, over_s in session.times_s():
                assert mixed_s < sown_s < over_s <= window.to_s + 1e-6
                assert sown_s >= window.from_s
                assert over_s - mixed_s <= demonstration.inoculant(crop.key).handling.life_s + 1e-6

    @plans
    @given(requests, zones)
    def test_its_dates_are_in_order(self, demonstration, crop, request, zone):
        dates = planned(demonstration, crop, request, zone).dates
        steps = {step.task: step for step in dates.calendar.steps}

        assert [step.first for step in dates.calendar.steps] == sorted(step.first for step in dates.calendar.steps)
        assert all(step.first <= step.last for step in dates.calendar.steps)
        ways = (Task.SEED_TEST, Task.BUY, Task.PICK_UP_INOCULANT, Task.SOWING, Task.EMERGENCE_CHECK, Task.HARVEST)
        assert [steps[task].first for task in ways] == sorted(steps[task].first for task in ways)
        assert steps[Task.SOWING].first == request.sowing
        assert dates.safe == (request.sowing <= dates.last_safe)

    @plans
    @given(requests, st.integers(60, 100), st.integers(60, 100))
    def test_worse_germination_never_takes_less_seed(self, demonstration, crop, request, one, other):
        worse, better = (
            planned(demonstration, crop, replace(request, lot=Lot(Origin.SAVED, SeedTest(grown, 100)))).bought
            for grown in sorted((one, other))
        )

        assert worse.seed_kg >= better.seed_kg

    @plans
    @given(requests, zones)
    def test_money_rests_on_what_is_bought_and_the_purse_on_the_same(self, demonstration, crop, request, zone):
        plan = planned(demonstration, crop, request, zone)

        low, middle, high = plan.money.low, plan.money.middle, plan.money.high
        assert (low.harvest_kg, middle.harvest_kg, high.harvest_kg) == (
            plan.harvest.low_kg,
            plan.harvest.middle_kg,
            plan.harvest.high_kg,
        )
        assert low.cost >= plan.inputs
        assert (plan.purse is None) == (request.purse is None)
        if plan.purse is not None:
            whole = plan.purse.steps[0].package
            assert whole.cost == plan.inputs
            assert whole.harvest_kg == pytest.approx(middle.harvest_kg)
            assert plan.purse.short == max(0, plan.inputs - request.purse)

    @plans
    @given(requests, zones)
    def test_its_cautions_are_those_of_all_its_parts(self, demonstration, crop, request, zone):
        plan = planned(demonstration, crop, request, zone)

        parts = (plan.bought, plan.inoculation, plan.fertiliser.choice, *dict(plan.fertiliser.placed).values())
        assert set(plan.cautions) == {key for part in parts for key in part.cautions}
        assert len(set(plan.cautions)) == len(plan.cautions)
        assert set(plan.cautions) <= set(CAUTIONS)
        assert "dressed_seed_is_poison" in plan.cautions

    def test_without_people_and_soil_test_each_part_is_that_of_its_own_calculation(self, demonstration, crop):
        plan = planned(demonstration, crop, SeasonRequest(BOUGHT, ACRE_M2, sowing=SOWING, purse=Decimal(3000)))

        assert plan.bought == buy_list(demonstration, crop, ACRE_M2, BOUGHT)
        assert plan.purse == field_purse(
            demonstration, crop, demonstration.budgets[0], ACRE_M2, BOUGHT, Decimal(3000)
        )
        assert absent(plan) == {Part.ROWS: Why.NOT_ASKED, Part.INOCULATION: Why.NOT_ASKED}


class TestWhatIsGiven:
    def test_sides_give_rows_of_the_same_field_and_the_days_of_treated_seed(self, demonstration, crop):
        by_sides = planned(demonstration, crop, SeasonRequest(BOUGHT, width_m=30, length_m=40, people=1))

        assert by_sides.field.area_m2 == 1200
        assert (by_sides.field.rows.rows, by_sides.field.holes) == (50, 20_000)
        assert by_sides.field.rows.days == by_sides.inoculation.batches.days == 3
        assert (
            by_sides.bought.seed_kg == planned(demonstration, crop, SeasonRequest(BOUGHT, 1200.0)).bought.seed_kg
        )

    def test_without_a_day_of_sowing_the_window_gives_one(self, demonstration, crop):
        plan = planned(demonstration, crop, SeasonRequest(BOUGHT, ACRE_M2, today=date(2026, 10, 1)))

        assert plan.dates.calendar.sowing == plan.dates.window.opens == date(2026, 11, 15)

    def test_a_soil_test_or_last_season_changes_the_need(self, demonstration, crop):
        request = SeasonRequest(BOUGHT, ACRE_M2)
        rich = planned(demonstration, crop, replace(request, soil_mg_per_kg=35.0)).fertiliser
        last = LastSeason(P2O5(60), 1000, 12, P2O5(46))
        left = planned(demonstration, crop, request, last=last).fertiliser

        assert (rich.need.basis, rich.choice.cost, rich.placed) == (Basis.SOIL_TEST, 0, ())
        assert (left.need.basis, left.need.p2o5) == (Basis.LAST_SEASON, P2O5(46 - 0.5 * (60 - 12)))

    def test_another_variety_ripens_on_its_own_days(self, demonstration, crop):
        usual, early = (
            planned(demonstration, crop, SeasonRequest(BOUGHT, ACRE_M2, sowing=SOWING, variety=key)).dates
            for key in (None, "a2")
        )

        assert (early.calendar.step(Task.MATURITY).day, usual.calendar.step(Task.MATURITY).day) == (90, 110)
        assert early.last_safe > usual.last_safe

    def test_a_stand_is_counted_on_a_metre_of_row(self, demonstration, crop):
        aim = planned(demonstration, crop, SeasonRequest(BOUGHT, ACRE_M2)).stand

        assert aim.plants_a_metre == pytest.approx(33.3 * 0.6)
        assert (aim.leave_over_a_metre, aim.resow_under_a_metre) == (
            pytest.approx(0.8 * aim.plants_a_metre),
            pytest.approx(0.5 * aim.plants_a_metre),
        )


class TestWhatIsNotThere:
    FULL = SeasonRequest(BOUGHT, ACRE_M2, people=3, sowing=SOWING, purse=Decimal(9000))

    @pytest.mark.parametrize(
        ("lacking", "parts"),
        [
            ({"fertilising": None}, {Part.FERTILISER, Part.PURSE}),
            ({"inoculation": None}, {Part.INOCULATION}),
            ({"budgets": ()}, {Part.HARVEST, Part.MONEY, Part.PURSE}),
            ({"seasons": ()}, {Part.WINDOW}),
            ({"varieties": ()}, {Part.CALENDAR}),
        ],
    )
    def test_figures_that_a_programme_lacks_take_only_their_own_parts_away(
        self, demonstration, crop, lacking, parts
    ):
        plan = planned(replace(demonstration, **lacking), crop, self.FULL)

        assert {part for part, why in absent(plan).items() if why is Why.NO_FIGURES} == parts
        assert plan.bought.seed_kg > 0
        assert all(each.what and each.instead for each in plan.absent)

    def test_figures_that_a_crop_lacks_are_named(self, demonstration, crop):
        plan = planned(demonstration, replace(crop, days=None), self.FULL)

        assert (
            Absent(
                Part.CALENDAR,
                Why.NO_FIGURES,
                f"{crop.key}.calendar",
                "add a [calendar] section to its file",
            )
            in plan.absent
        )
        assert plan.dates is None

    def test_without_a_dressing_only_the_harvest_without_phosphorus_is_expected(self, demonstration, crop):
        plan = planned(replace(demonstration, fertilising=None), crop, self.FULL)

        assert plan.harvest.part == demonstration.budgets[0].part_no_p
        assert plan.money.middle.harvest_kg == plan.harvest.middle_kg

    def test_where_no_mixture_meets_the_need_only_fertiliser_is_left_out(self, demonstration, crop):
        fertilising = demonstration.fertilising
        only_k = replace(fertilising, products=fertilising.products[3:])

        plan = planned(replace(demonstration, fertilising=only_k), crop, self.FULL)

        assert absent(plan)[Part.FERTILISER] is absent(plan)[Part.PURSE] is Why.CANNOT_BE
        assert plan.bought == planned(demonstration, crop, self.FULL).bought

    def test_before_saved_seed_is_tested_nothing_is_bought_for_it_and_no_money_is_counted(
        self, demonstration, crop
    ):
        plan = planned(demonstration, crop, replace(self.FULL, lot=Lot(Origin.SAVED)))

        assert plan.bought.advice is Advice.TEST_FIRST
        assert {part for part, why in absent(plan).items() if why is Why.NOT_SETTLED} == {
            Part.INOCULATION,
            Part.MONEY,
            Part.PURSE,
        }
        assert (plan.inoculation, plan.money, plan.purse) == (None, None, None)
        assert plan.dates is not None

    def test_too_few_hands_for_a_large_field_leave_the_batches_out(self, demonstration, crop):
        slow = replace(demonstration.inoculation, person_m2_per_s=1e-6)

        plan = planned(replace(demonstration, inoculation=slow), crop, self.FULL)

        assert absent(plan)[Part.INOCULATION] is Why.CANNOT_BE
        assert plan.bought == buy_list(demonstration, crop, ACRE_M2, BOUGHT)


class TestWhatCannotBe:
    @pytest.mark.parametrize(
        ("change", "error"),
        [
            ({"area_m2": None}, CannotBe),
            ({"width_m": 30.0, "length_m": 40.0}, CannotBe),
            ({"area_m2": 1.0}, OutOfRange),
            ({"area_m2": None, "width_m": 0.0, "length_m": 40.0}, OutOfRange),
            ({"people": 0}, OutOfRange),
            ({"people": 1001}, OutOfRange),
            ({"spacing": 2}, OutOfRange),
            ({"purse": Decimal(-1)}, OutOfRange),
            ({"purse": Decimal("NaN")}, OutOfRange),
            ({"lot": Lot(Origin.SAVED, SeedTest(5, 10))}, OutOfRange),
        ],
    )
    def test_a_request_that_cannot_be_is_refused_as_a_whole(self, demonstration, crop, change, error):
        with pytest.raises(error):
            planned(demonstration, crop, replace(SeasonRequest(BOUGHT, ACRE_M2), **change))

    def test_a_crop_that_the_programme_does_not_grow_is_refused(self, demonstration, crops):
        partner = next(crop for crop in crops if crop.key == demonstration.land.partners[0].crop)

        with pytest.raises(MissingFigure):
            planned(demonstration, partner, SeasonRequest(BOUGHT, ACRE_M2))


class TestAnyCrop:
    @pytest.mark.parametrize("key", sorted(file.stem for file in (HOME / "agronomy/data/crops").glob("*.toml")))
    def test_each_shipped_crop_comes_out_once_a_programme_sows_it(self, crops, sources, key):
        """The demonstration with the crop in place of its own, bought by the stand: a rate is a crop's own."""
        text = (HOME / "programmes/ulami.toml").read_text("utf-8")
        text = text.replace('crop = "soybean"', f'crop = "{key}"').replace('rule = "rate"', 'rule = "population"')
        text = text.replace("fill_days = { value = 14", "fill_days = { value = 20")  # some come up later
        programme = read_programme(text, crops, sources)
        crop = next(crop for crop in crops if crop.key == key)

        plan = planned(programme, crop, TestWhatIsNotThere.FULL)

        lacks = {Part.CALENDAR} if crop.days is None else set()
        lacks |= {Part.PLACEMENT} & set(absent(plan))  # seed that deep would lie on the fertiliser
        assert set(absent(plan)) == {Part.ROWS, *lacks}
        assert plan.bought.seed_kg > 0
        assert plan.money.middle.income > 0


class TestPacksAndDays:
    @settings(max_examples=60, deadline=None)
    @given(st.floats(100, 80_000), st.floats(1, 500), st.integers(1, 40), packs, st.integers(1, 5))
    def test_counted_alone_they_are_those_of_the_whole_plans(
        self, demonstration, crop, area_m2, seed_kg, people, sizes, life_days
    ):
        product, rules = demonstration.inoculant(crop.key), demonstration.inoculation
        uses_g = uses_a_day_g(area_m2, seed_kg, people, rules, product.dose_g_per_kg)

        whole = batch_plan(area_m2, seed_kg, people, rules, product.handling, product.dose_g_per_kg, 2)
        assert uses_g == whole.uses_g
        assert sum(uses_g) == pytest.approx(seed_kg * product.dose_g_per_kg)
        assert opening_cost(sizes, uses_g, life_days) == cheapest_opening(sizes, uses_g, life_days).cost

    @pytest.mark.parametrize(
        ("sizes", "uses_g", "life_days", "error"),
        [
            ((), [100.0], 2, MissingFigure),
            ((Pack(250, Decimal(1)),), [], 2, CannotBe),
            ((Pack(250, Decimal(1)),), [100.0], 0, OutOfRange),
        ],
    )
    def test_what_cannot_be_is_refused(self, sizes, uses_g, life_days, error):
        with pytest.raises(error):
            opening_cost(sizes, uses_g, life_days)
