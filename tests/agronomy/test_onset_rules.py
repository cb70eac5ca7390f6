"""Published rules of the onset: made series with the answer by hand, and the limits of their file."""

from __future__ import annotations

import re
from datetime import date

import pytest

from advisor.agronomy.errors import DataFault, MissingFigure
from advisor.agronomy.onset_rules import read_onset_rules
from advisor.agronomy.rain import Rain, onset
from tests.agronomy.conftest import HOME

MAY = date(2026, 5, 1)


def series(*runs, first=MAY):
    """Daily rain from runs of (days, mm)."""
    return Rain(first, tuple(mm for days, mm in runs for _ in range(days)))


class TestThePublishedRules:
    """Made series, each with the answer read off the published words by hand."""

    def test_sahel_counts_a_spell_of_seven_dry_days_as_good_and_of_eight_as_a_false_start(self, onset_rules):
        rule = onset_rules.rule("sahel-1988")
        seven = series((1, 0), (2, 10), (7, 0), *[(1, 5), (2, 0)] * 12)
        eight = series((1, 0), (2, 10), (8, 0), *[(1, 5), (2, 0)] * 12, (1, 20), *[(1, 3), (4, 0)] * 7)

        assert onset(seven, rule, MAY).day == date(2026, 5, 3)
        assert onset(eight, rule, MAY).false_starts[0] == date(2026, 5, 3)
        assert onset(eight, rule, MAY).day == date(2026, 6, 17)

    def test_sahel_wants_20_mm_in_three_days_and_not_in_four(self, onset_rules):
        rule, after = onset_rules.rule("sahel-1988"), [(1, 2)] * 31

        assert onset(series((1, 8), (1, 4), (1, 8), *after), rule, MAY).day == date(2026, 5, 3)
        assert onset(series((1, 8), (2, 3), (1, 8), *after), rule, MAY).day is None

    def test_two_days_do_not_see_rain_spread_over_three(self, onset_rules):
        rain = series((1, 8), (1, 6), (1, 8), *[(1, 2)] * 31)

        assert onset(rain, onset_rules.rule("two-days-1981"), MAY).day is None
        assert onset(rain, onset_rules.rule("sahel-1988"), MAY).day == date(2026, 5, 3)

    def test_zimbabwe_breaks_at_ten_dry_days_and_not_at_nine(self, onset_rules):
        rule, november = onset_rules.rule("zimbabwe-manual"), date(2026, 11, 10)
        nine = series((1, 20), (9, 0), (20, 2), first=november)
        ten = series((1, 20), (10, 0), (20, 2), first=november)

        assert onset(nine, rule, november).day == november
        assert onset(ten, rule, november).day is None
        assert onset(ten, rule, november).false_starts == (november,)

    def test_southern_africa_wants_20_mm_more_in_the_next_twenty_days(self, onset_rules):
        rule = onset_rules.rule("southern-africa")
        enough = series((1, 5), (8, 0), (1, 20), (19, 0), (1, 20), (1, 0))
        short = series((1, 5), (8, 0), (1, 20), (19, 0), (1, 19.9), (30, 0))

        assert onset(enough, rule, MAY).day == date(2026, 5, 10)
        assert onset(short, rule, MAY).day is None
        assert onset(short, rule, MAY).false_starts == (date(2026, 5, 10),)

    def test_dekads_may_share_the_20_mm_and_each_dekad_may_not(self, onset_rules):
        rain = series((10, 3), (10, 2), (11, 0), (30, 0))

        assert onset(rain, onset_rules.rule("dekads"), MAY).day == MAY
        assert onset(rain, onset_rules.rule("each-dekad"), MAY).day is None

    def test_the_rules_differ_on_one_series(self, onset_rules):
        """22 mm on the 7th, nothing for eight days, then 3 mm every other day: only 18 mm by the 27th."""
        rain = series((6, 1), (1, 22), (8, 0), *[(1, 3), (1, 0)] * 25)

        days = {rule.key: onset(rain, rule, MAY).day for rule in onset_rules.rules}

        assert days == {
            "sahel-1988": None,
            "two-days-1981": date(2026, 5, 7),
            "zimbabwe-manual": date(2026, 5, 7),
            "southern-africa": date(2026, 5, 16),
            "dekads": MAY,
            "each-dekad": None,
        }

    def test_say_from_which_day_they_count(self, onset_rules):
        assert dict(onset_rules.begins) == {"sahel-1988": 121, "two-days-1981": 92, "zimbabwe-manual": 314}

    def test_that_nobody_knows_are_refused(self, onset_rules):
        with pytest.raises(MissingFigure, match="name one of sahel-1988"):
            onset_rules.rule("monsoon")

    def test_are_refused_where_the_file_is_wrong(self, sources):
        text = (HOME / "agronomy/data/onset_rules.toml").read_text("utf-8")
        faulty = text.replace('kind = "dekads"', 'kind = "weeks"').replace('key = "each-dekad"', 'key = "dekads"')

        with pytest.raises(DataFault) as raised:
            read_onset_rules(faulty, sources)

        assert any("kind is 'weeks': give one of dry_spell" in fault for fault in raised.value.faults)
        assert "rules has dekads twice: give each a name of its own" in raised.value.faults


class TestTheLimitsOfTheFile:
    LIMITS = {  # noqa: RUF012 - a table of a test
        "begins": (1, 365), "wet": (1, 1000), "wet_within": (1, 30), "longest_dry": (1, 60), "watched": (1, 120),
        "more": (1, 1000), "dry_under": (0, 20),
    }  # fmt: skip

    @staticmethod
    def with_value(key, value, kind):
        """The file with another value under a key of the first rule of a kind."""
        text = (HOME / "agronomy/data/onset_rules.toml").read_text("utf-8")
        before, kinded, after = text.partition(f'kind = "{kind}"')
        return before + kinded + re.sub(rf"(\n{key} = {{ value = )\d+", rf"\g<1>{value}", after, count=1)

    @pytest.mark.parametrize(
        ("kind", "key"),
        [
            *(
                ("dry_spell", key)
                for key in ("begins", "wet", "wet_within", "longest_dry", "watched", "dry_under")
            ),
            *(("follow_up", key) for key in ("wet", "wet_within", "more", "watched", "dry_under")),
            *(("dekads", key) for key in ("wet", "more")),
        ],
    )
    def test_are_allowed_themselves_and_nothing_beyond_them(self, sources, kind, key):
        low, high = self.LIMITS[key]

        for value in (low, high):
            read_onset_rules(self.with_value(key, value, kind), sources)
        for value in (low - 1, high + 1):
            with pytest.raises(DataFault, match=rf"\.{key} is "):
                read_onset_rules(self.with_value(key, value, kind), sources)
