"""Figures of land that contradict each other, or stand twice, and the edges up to which they may go."""

from __future__ import annotations

import pytest

from tests.agronomy.test_land_file import crop_land, faults, programme_land


@pytest.mark.parametrize(
    ("reader", "old", "new", "fault"),
    [
        (
            crop_land,
            "depth_low = 0.03",
            "depth_low = 0.06",
            "sowing.depth_low is 0.06, more than depth_high, which is 0.05: give them in rising order",
        ),
        (
            crop_land,
            "first = 5",
            "first = 9",
            "counts.first is 9, more than final, which is 8: give them in rising order",
        ),
        (
            programme_land,
            "resow_under = 0.5",
            "resow_under = 0.9",
            "stand_check.resow_under is 0.9, more than leave_over, which is 0.8: give them in rising order",
        ),
        (
            programme_land,
            'key = "rood"',
            'key = "kanto"',
            "field.units has kanto twice: give each a name of its own",
        ),
        (
            programme_land,
            'key = "rood"',
            'key = "acre"',
            "field.units has acre twice: give each a name of its own",
        ),
        (
            programme_land,
            'key = "hand"',
            'key = "finger"',
            "body_measures has finger twice: give each a name of its own",
        ),
        (
            programme_land,
            'crop = "sorghum"',
            'crop = "maize"',
            "partners has maize twice: give each a name of its own",
        ),
        (
            programme_land,
            'crop = "sorghum"',
            'crop = "teff"',
            "partners[2].crop is 'teff': give one of maize, sorghum, soybean",
        ),
        (programme_land, "most = 4", "most = 0", "body_measures[1].most is 0: give a whole number from 1 to 20"),
        (programme_land, "most = 4", "most = 21", "body_measures[1].most is 21: give a whole number from 1 to 20"),
        (programme_land, "most = 4", "", "body_measures[1].most is missing: give a whole number"),
        (
            programme_land,
            'key = "finger"',
            'key = "afingerofahandxx1"',
            "body_measures[1].key has 17 characters: give 1 to 16",
        ),
        (
            programme_land,
            'key = "kanto"',
            'key = "akantoofafieldxx1"',
            "field.units[1].key has 17 characters: give 1 to 16",
        ),
        (programme_land, 'key = "hand"', "", "body_measures[2].key is missing: give a text in quotes"),
        (programme_land, 'key = "rood"', "", "field.units[2].key is missing: give a text in quotes"),
        (
            programme_land,
            'crop = "maize"',
            "",
            "partners[1].crop is missing: give one of maize, sorghum, soybean",
        ),
        *(
            (
                programme_land,
                f'"{name}", sw =',
                f'"{name}", fr =',
                f"{place}.label.fr is no language of the programme: use en, sw",
            )
            for place, name in (
                ("body_measures[1]", "finger"),
                ("partners[1]", "maize"),
                ("field.units[1]", "kanto"),
            )
        ),
    ],
)
def test_what_contradicts_itself_or_stands_twice_is_told_in_one_line(reader, old, new, fault):
    assert faults(reader, (old, new)) == (fault,)


@pytest.mark.parametrize(
    ("reader", "old", "new"),
    [
        (crop_land, "depth_low = 0.03", "depth_low = 0.05"),
        (crop_land, "first = 5", "first = 8"),
        (programme_land, "resow_under = 0.5", "resow_under = 0.8"),
        (programme_land, "most = 4", "most = 20"),
        (programme_land, "most = 4", "most = 1"),
        (programme_land, 'key = "rood"', f'key = "{"x" * 16}"'),
        (programme_land, 'key = "hand"', f'key = "{"x" * 16}"'),
    ],
)
def test_the_edges_of_what_may_be_are_allowed(reader, old, new):
    assert faults(reader, (old, new)) == ()
