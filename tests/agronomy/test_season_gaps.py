"""A season's plan says of each part that is left out which, why and what to give; and refuses what cannot be."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal

import pytest

from advisor.agronomy.buylist import Lot, Origin
from advisor.agronomy.errors import CannotBe, OutOfRange
from advisor.agronomy.limits import LARGEST
from advisor.agronomy.money import MOST_MONEY
from advisor.agronomy.packs import MOST_UNITS, Pack, most_packs
from advisor.agronomy.row_plans import row_plan
from advisor.agronomy.season_calendar import calendar
from advisor.agronomy.season_days import variety_of, zone_season
from advisor.agronomy.season_parts import Absent, Part, Why
from advisor.agronomy.season_plan import season_plan
from advisor.agronomy.season_request import SeasonRequest
from advisor.agronomy.units import ACRE_M2

BOUGHT, OWN = Lot(Origin.BOUGHT), Lot(Origin.SAVED)
ACRES = 2.5 * ACRE_M2
SOWING = date(2026, 11, 25)
FIELD = "a field is an area or a width and a length: give one of the two"


def planned(programme, crop, zone=0, **asked):
    request = SeasonRequest(**({"lot": BOUGHT, "area_m2": ACRES, "people": 4, "sowing": SOWING} | asked))
    return season_plan(programme, crop, programme.zones[zone], request)


class TestWhatIsNotAskedIsLeftOut:
    @pytest.mark.parametrize(
        ("asked", "part", "what", "instead"),
        [
            ({}, Part.ROWS, "the sides of the field", "give its width and length"),
            ({"people": None}, Part.INOCULATION, "the people who sow", "say how many come"),
            ({"sowing": None}, Part.CALENDAR, "the day of sowing", "give it, or today for the window"),
            ({}, Part.PURSE, "the money there is", "give a purse"),
        ],
    )
    def test_and_told_with_what_to_give(self, demonstration, crop, asked, part, what, instead):
        assert Absent(part, Why.NOT_ASKED, what, instead) in planned(demonstration, crop, **asked).absent

    def test_while_seed_is_not_tested_nothing_that_depends_on_it_is_planned(self, demonstration, crop):
        plan = planned(demonstration, crop, lot=OWN, purse=Decimal(9000))
        waiting = {absent for absent in plan.absent if absent.why is Why.NOT_SETTLED}

        assert waiting == {
            Absent(part, Why.NOT_SETTLED, "seed that is not tested yet", "test it, then plan again")
            for part in (Part.INOCULATION, Part.MONEY, Part.PURSE)
        }


class TestWhatTheProgrammeLacksIsLeftOut:
    def test_fertiliser(self, demonstration, crop):
        plan = planned(replace(demonstration, fertilising=None), crop)

        instead = "a [fertilising] table to the programme file"
        [found] = [absent for absent in plan.absent if absent.part is Part.FERTILISER]
        assert (found.why, found.what) == (Why.NO_FIGURES, "fertilising")
        assert found.instead.endswith(instead)

    def test_the_stand_check(self, demonstration, crop):
        plan = planned(replace(demonstration, land=replace(demonstration.land, stand=None)), crop)

        [found] = [absent for absent in plan.absent if absent.part is Part.STAND]
        assert (found.why, found.what) == (Why.NO_FIGURES, "stand_check")
        assert found.instead.endswith("a [stand_check] section to the programme file")

    def test_how_deep_the_crop_is_sown(self, demonstration, crop):
        plan = planned(demonstration, replace(crop, land=replace(crop.land, sowing=None)))

        [found] = [absent for absent in plan.absent if absent.part is Part.PLACEMENT]
        assert (found.why, found.what) == (Why.NO_FIGURES, f"{crop.key}.sowing")
        assert found.instead.endswith("a [sowing] section to its file")

    def test_the_window_where_no_day_is_named(self, demonstration, crop):
        plan = planned(replace(demonstration, seasons=()), crop, sowing=None, today=SOWING)

        instead = "give it: no window is known here"
        assert Absent(Part.CALENDAR, Why.NO_FIGURES, "the day of sowing", instead) in plan.absent
        assert plan.dates is None


class TestWhatIsAskedIsTaken:
    def test_rows_are_those_of_the_spacing_and_of_one_person_where_nobody_says_how_many(self, demonstration, crop):
        plan = planned(demonstration, crop, area_m2=None, width_m=40, length_m=30, people=None, spacing=1)

        assert plan.field.rows == row_plan(demonstration, crop, 40, 30, 1, 1)
        assert plan.field.rows != row_plan(demonstration, crop, 40, 30, 1, 0)

    def test_dates_are_those_of_the_zone_s_soil(self, demonstration, crop):
        hills = next(at for at, zone in enumerate(demonstration.zones) if zone.key == "hills")
        season = zone_season(demonstration.seasons, crop.key, "hills")
        variety = variety_of(demonstration.varieties, crop.key)
        assert season.slowed_by > 1

        plan = planned(demonstration, crop, zone=hills)

        assert plan.dates.calendar == calendar(SOWING, crop.days, variety, season.slowed_by)

    @pytest.mark.parametrize(("days", "safe"), [(0, True), (1, False)])
    def test_the_last_safe_day_is_safe_and_the_next_is_not(self, demonstration, crop, days, safe):
        """A day after the window is judged by the rains that fall then, not by those of the year after."""
        last = planned(demonstration, crop).dates.last_safe

        dates = planned(demonstration, crop, sowing=last + timedelta(days)).dates

        assert (dates.safe, dates.last_safe) == (safe, last)

    @pytest.mark.parametrize("asked", [{"area_m2": None}, {"width_m": 40, "length_m": 30}])
    def test_a_field_is_one_thing(self, demonstration, crop, asked):
        with pytest.raises(CannotBe) as refused:
            planned(demonstration, crop, **asked)

        assert (refused.value.name, str(refused.value)) == ("field", FIELD)

    @pytest.mark.parametrize("people", [0, 1001])
    def test_people_are_one_to_a_thousand(self, demonstration, crop, people):
        with pytest.raises(OutOfRange) as refused:
            planned(demonstration, crop, people=people)

        found = refused.value
        assert (found.name, found.value, found.low, found.high, found.unit) == (
            "people",
            people,
            1,
            1000,
            "people",
        )


class TestPacksThatNoDealerHas:
    @pytest.mark.parametrize("size", [int(LARGEST), int(LARGEST) + 1])
    def test_are_too_large(self, size):
        with pytest.raises(CannotBe) as refused:
            Pack(size, Decimal(1))

        assert refused.value.name == "pack_size"
        assert str(refused.value).endswith(f"a pack of {size} g cannot be: give its size in grams, below 1e9")

    def test_cost_the_most_money_there_is_at_most(self):
        assert Pack(1, MOST_MONEY).price == MOST_MONEY
        with pytest.raises(CannotBe):
            Pack(1, MOST_MONEY + 1)

    def test_are_searched_for_so_many_units_only(self):
        packs = [Pack(1000, Decimal(125)), Pack(5000, Decimal(575))]
        with pytest.raises(OutOfRange) as refused:
            most_packs(packs, MOST_UNITS * 1000 + 1)

        found = refused.value
        assert (found.name, found.low, found.high, found.unit) == ("quantity", 0, MOST_UNITS * 1000, "g")
