"""Days of crops, varieties and zones in their files: which are read, and which cannot be."""

from __future__ import annotations

import pytest

from advisor.agronomy.crop import read_crop
from advisor.agronomy.errors import MissingFigure
from advisor.agronomy.season_days import variety_of, zone_season
from tests.agronomy.small_programme import faults_of_small


class TestTheFigures:
    def test_of_a_crop_without_a_calendar_are_none(self, crop_text, sources):
        lines = crop_text.split("\n")
        at = lines.index("[calendar]")
        rest = [
            n for n, line in enumerate(lines[at + 1 :], at + 1) if line.startswith("[") and "calendar" not in line
        ]

        short = "\n".join(lines[:at] + (lines[rest[0] :] if rest else []))

        assert read_crop(short, sources).days is None

    def test_that_a_programme_lacks_are_told_when_they_are_needed(self, programme, crop):
        with pytest.raises(MissingFigure, match=r"season of .* in coast"):
            zone_season(programme.seasons, crop.key, "coast")
        with pytest.raises(MissingFigure, match="variety a9"):
            variety_of(programme.varieties, crop.key, "a9")
        assert variety_of(programme.varieties, crop.key).key == "a1"
        assert variety_of(programme.varieties, crop.key, "a2").maturity_to == 95

    def test_of_both_zones_name_a_rule_that_there_is(self, programme, onset_rules):
        assert {season.zone for season in programme.seasons} == {"valley", "hills"}
        assert all(onset_rules.rule(season.onset_rule) for season in programme.seasons)


class TestASowingWindow:
    """It opens on day 310, closes on day 5 of the next year, and the rains end on day 100 of that."""

    def test_that_outlasts_the_rains_is_refused(self):
        assert faults_of_small(("rains_end = 100", "rains_end = 4")) == (
            "seasons[1].rains_end is day 4, before the window that opens on day 310 closes on day 5: "
            "give a sowing window within the rains",
        )

    @pytest.mark.parametrize(
        "changes",
        [
            [("rains_end = 100", "rains_end = 5")],
            [("rains_end = 100", "rains_end = 310")],
            [("closes = 5", "closes = 310"), ("rains_end = 100", "rains_end = 311")],
            [("opens = 310", "opens = 6"), ("rains_end = 100", "rains_end = 6")],
        ],
    )
    def test_may_close_with_the_rains_and_they_may_last_a_year(self, changes):
        assert faults_of_small(*changes) == ()
