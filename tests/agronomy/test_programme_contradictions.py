"""What one part of a programme says against another: spacings, gaps in the stand, varieties in cool soil."""

from __future__ import annotations

import pytest

from tests.agronomy.small_programme import faults_of_small

POOR = """[[seeds]]
key = "s3"
crop = "pea"
label = "cheap seed"
germination = 0.3 1
purity = 0.4 1
packs = [{ size_g = 2000, price = "1" }]

"""
CHECK = """[stand_check]
leave_over = 0.8 1
resow_under = 0.5 1
fill_days = 12 day
resow_days = 20 day

"""


class TestASpacing:
    """80 kg/ha of seed of 200 g a thousand are 40 seeds/m²; seed at the worst takes a third more."""

    PLACE = "crops.pea.spacings"

    @pytest.mark.parametrize(
        ("changes", "said"),
        [
            (
                [("row = 0.5 m", "row = 0.25 m")],
                "0.25 m by 0.1 m takes 0.97 pure seeds a hole of the rate, 1.33 seeds",
            ),
            (
                [("row = 0.5 m", "row = 0.76 m")],
                "0.76 m by 0.1 m takes 2.95 pure seeds a hole of the rate, 4.05 seeds",
            ),
            (
                [("germination = 0.86", "germination = 0.3"), ("row = 0.5 m", "row = 0.4 m")],
                "0.4 m by 0.1 m takes 1.55 pure seeds a hole of the rate, 4.27 seeds",
            ),
            (
                [("keep_back_germination = 0.65", "keep_back_germination = 0.3"), ("row = 0.5 m", "row = 0.4 m")],
                "0.4 m by 0.1 m takes 1.55 pure seeds a hole of the rate, 4.27 seeds",
            ),
        ],
    )
    def test_takes_a_seed_of_the_rate_and_no_more_than_a_hole_holds_of_the_worst(self, changes, said):
        faults = faults_of_small(*changes)

        assert f"{self.PLACE} {said} of the worst lot: give a spacing that takes 1 to 4" in faults

    @pytest.mark.parametrize(
        "changes",
        [
            # 1 / 0.97 seeds leave just one pure seed; 3 seeds are 4 at the worst.
            [("row = 0.5 m", "row = 0.2578 m")],
            [("row = 0.5 m", "row = 0.75 m")],
            [("row = 0.5 m", "row = 0.25773188 m")],
            [("row = 0.5 m", "row = 0.750000075 m")],
            # Of two kinds of seed the first is the one that is bought.
            [('[[seeds]]\nkey = "s2"\ncrop = "bean"', f'{POOR}[[seeds]]\nkey = "s2"\ncrop = "bean"')],
            # A rate that assumes no better seed than the worst is not lowered for it.
            [("rate_germination = 0.8", "rate_germination = 0.3"), ("row = 0.5 m", "row = 1.0 m")],
        ],
    )
    def test_may_take_just_one_or_just_as_many_as_a_hole_holds(self, changes):
        assert faults_of_small(*changes) == ()

    def test_is_not_held_against_the_rate_where_the_stand_is_what_is_bought_by(self):
        assert (
            faults_of_small(('buying_rule = "rate"', 'buying_rule = "population"'), ("row = 0.5", "row = 4")) == ()
        )


def test_a_variety_that_would_be_ripe_before_it_flowers_in_cool_soil_is_told():
    """45 days to flowering, twice as long in the hills, and 80 days to the first ripe pods."""
    assert faults_of_small(("slowed_by = 1.25", "slowed_by = 2")) == (
        "varieties has 'a1', which is ripe 80 days from sowing and flowers 90 days from it in hills: "
        "mend its days to maturity, or slowed_by of that season",
    )
    assert len(faults_of_small(("slowed_by = 1.25", "slowed_by = 1.77"))) == 1
    assert faults_of_small(("slowed_by = 1.25", "slowed_by = 1.755")) == ()
    other = ('a1"\ncrop = "pea"', 'a1"\ncrop = "bean"')
    assert faults_of_small(("slowed_by = 1.25", "slowed_by = 2"), other) == ()


def test_gaps_that_must_be_filled_before_the_crop_is_up_are_told():
    """Up on day 10, in the hills a quarter later."""
    check = ("[[varieties]]", f"{CHECK}[[varieties]]")

    assert faults_of_small(check) == (
        "stand_check.fill_days is 12, and pea in hills comes up until day 13: "
        "give so many days from sowing or more, or mend [calendar] of the crop",
    )
    assert faults_of_small(check, ("fill_days = 12", "fill_days = 13")) == ()
    assert faults_of_small(check, ('crop = "pea"\nopens', 'crop = "bean"\nopens')) == ()
