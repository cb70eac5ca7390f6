"""The nodule check on the phone: its days, and what the counts say, against the calculator and the guides."""

from dataclasses import replace
from datetime import UTC, date, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.advice.roots import Look, Told, roots
from advisor.agronomy.errors import CannotBe, MissingFigure
from advisor.agronomy.nodules import Nodulation, NoduleCount, nodule_score
from advisor.dialogue.notices import notice_of

VALLEY, HILLS = "v1", "v4"
SOWN = "2026-11-20"
COLOURS = ["white", "green", "brown"]
IN_TIME, EARLY, LATE = date(2026, 12, 28), date(2026, 12, 24), date(2027, 1, 2)


def run(programme, crop, name, day, **answers):
    calculation = next(each for each in roots(programme, crop) if each.name == name)
    sight = {"plot.sowing": SOWN, "grower.village": VALLEY, **answers}
    return calculation.run(sight, datetime(day.year, day.month, day.day, 9, tzinfo=UTC))


class TestDays:
    """Five to six weeks after planting: Pennsylvania State University, Evaluating nodulation, 2020."""

    @pytest.mark.parametrize(
        ("day", "look"),
        [
            (date(2026, 12, 24), Look.EARLY),
            (date(2026, 12, 25), Look.IN_TIME),
            (date(2027, 1, 1), Look.IN_TIME),
            (date(2027, 1, 2), Look.LATE),
        ],
    )
    def test_of_the_valley_are_35_to_42_from_sowing(self, programme, crop, day, look):
        found = run(programme, crop, "nodule_days", day)

        assert (found["from"], found["to"]) == (date(2026, 12, 25), date(2027, 1, 1))
        assert found["look"] is look

    def test_of_the_cool_hills_come_later(self, programme, crop):
        """A quarter more: 43.75 and 52.5 days, rounded up (arithmetic on the programme's figure)."""
        found = run(programme, crop, "nodule_days", IN_TIME, **{"grower.village": HILLS})

        assert (found["from"], found["to"]) == (date(2027, 1, 3), date(2027, 1, 12))

    @pytest.mark.parametrize("lacks", ["village", "seasons"])
    def test_of_a_place_that_is_not_known_are_those_of_warm_soil(self, programme, crop, lacks):
        bare = replace(programme, seasons=()) if lacks == "seasons" else programme
        village = "" if lacks == "village" else HILLS

        found = run(bare, crop, "nodule_days", IN_TIME, **{"grower.village": village})
        assert found["from"] == date(2026, 12, 25)

    def test_plants_and_what_is_enough_are_those_of_the_guide(self, programme, crop):
        """Five plants or more, ten nodules on each: Manitoba Pulse and Soybean Growers, 2019."""
        assert run(programme, crop, "nodule_plants", IN_TIME) == {
            "plants": 5,
            "enough": 10,
            "after": 35,
            "after_last": 42,
        }

    def test_a_crop_without_calendar_or_scheme_is_refused_by_name(self, programme, crop):
        with pytest.raises(MissingFigure) as refused:
            run(programme, replace(crop, days=None), "nodule_days", IN_TIME)
        assert notice_of(refused.value) == "no_dates"
        for silent in (None, replace(crop.harvest, nodules=())):
            with pytest.raises(MissingFigure, match=r"harvest\.nodules"):
                run(programme, replace(crop, harvest=silent), "nodule_plants", IN_TIME)


class TestCounts:
    @pytest.mark.parametrize(
        ("nodules", "answers", "told", "shown"),
        [
            # Ten that work on each of five plants are enough, by the guide; a hair less is not.
            (50, {"red": 10}, Told.WORK, {"working": 10}),
            (49, {"red": 10}, Told.FAIL, {"few": 9}),
            (62, {"red": 8}, Told.UNREAD, {}),
            (63, {"red": 8}, Told.WORK, {"working": 10}),
            (62, {"red": 8, "inside": "green"}, Told.FAIL, {"few": 9}),
            (62, {"red": 4, "inside": "white"}, Told.YOUNG, {}),
            (62, {"red": 5, "inside": "white"}, Told.FAIL, {"few": 6}),
            (62, {"red": 4, "inside": "brown"}, Told.DROWNED, {}),
            (6, {"red": 2}, Told.UNREAD, {}),
            (6, {"red": 6}, Told.FAIL, {"few": 1}),
            (0, {}, Told.FAIL, {"few": 0}),
        ],
    )
    def test_in_the_days_of_the_check_are_read_by_the_guide(self, programme, crop, nodules, answers, told, shown):
        found = run(programme, crop, "nodule_score", IN_TIME, nodules=nodules, **answers)

        assert found["told"] is told
        assert {name: found[name] for name in ("working", "few") if name in found} == shown

    def test_before_those_days_few_are_no_verdict_and_enough_are_good(self, programme, crop):
        early = [run(programme, crop, "nodule_score", EARLY, nodules=n, red=8)["told"] for n in (0, 20, 70)]

        assert early == [Told.TOO_SOON, Told.TOO_SOON, Told.WORK]

    def test_after_them_they_are_read_the_same(self, programme, crop):
        assert run(programme, crop, "nodule_score", LATE, nodules=0)["told"] is Told.FAIL

    @pytest.mark.parametrize("nodules", [1, 6, 60])
    def test_more_red_ones_than_were_cut_are_refused_with_the_reason(self, programme, crop, nodules):
        cut = run(programme, crop, "nodules_to_cut", IN_TIME, nodules=nodules)["cut"]
        assert cut == min(10, nodules)

        with pytest.raises(CannotBe) as refused:
            run(programme, crop, "nodule_score", IN_TIME, nodules=nodules, red=cut + 1)
        assert notice_of(refused.value) == "more_cut"

    @given(
        nodules=st.integers(1, 2500), share=st.floats(0, 1), inside=st.sampled_from(["white", "green", "brown"])
    )
    def test_the_verdict_is_the_calculators(self, programme, crop, nodules, share, inside):
        cut = min(10, nodules)
        red = round(cut * share)
        scored = nodule_score(NoduleCount(5, nodules, red, **{inside: cut - red}), crop.harvest.scheme())

        found = run(programme, crop, "nodule_score", IN_TIME, nodules=nodules, red=red, inside=inside)
        assert (found["told"] is Told.WORK) == (scored.verdict is Nodulation.WORKING)
        shown = found.get("working", found.get("few"))
        assert shown is None or shown <= scored.working_per_plant + 1e-6
        # What is said of poor nodules never reads as enough.
        assert found.get("few", 0) < found["enough"] <= found.get("working", found["enough"])
