"""Published rules of the onset: made series with the answer by hand, and the limits of their file."""

from __future__ import annotations

import re
from datetime import date, timedelta

import pytest

from advisor.agronomy.errors import DataFault, MissingFigure
from advisor.agronomy.figures import Figure
from advisor.agronomy.onset_rules import DekadRule, DrySpellRule, FollowUpRule, read_onset_rules
from advisor.agronomy.rain import Rain, onset
from advisor.agronomy.sources import Source

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


SOURCES = (Source("talk", "Somebody, said so", ""),)

#: A line such as ``wet = 20 mm`` stands for a figure with source and mark.
SMALL = """
[[rules]]
key = "spell"
kind = "dry_spell"
begins = 121 day of year
wet = 20 mm
wet_within = 3 day
longest_dry = 7 day
watched = 30 day
dry_under = 1 mm

[[rules]]
key = "follow"
kind = "follow_up"
wet = 25 mm
wet_within = 10 day
more = 21 mm
watched = 19 day
dry_under = 2 mm

[[rules]]
key = "thirds"
kind = "dekads"
wet = 26 mm
more = 22 mm

[[rules]]
key = "each"
kind = "each_dekad"
begins = 92 day of year
wet = 27 mm
more = 23 mm
"""

PLACES = {"spell": "rules[1]", "follow": "rules[2]", "thirds": "rules[3]", "each": "rules[4]"}


def read_small(*changes):
    text = SMALL
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new, 1)
    figure = r'\1 = { value = \2, unit = "\3", source = "talk", mark = "judgement" }'
    return read_onset_rules(re.sub(r"^(\w+) = (-?[\d.]+) (\S.*)$", figure, text, flags=re.MULTILINE), SOURCES)


def faults_of(*changes):
    try:
        read_small(*changes)
    except DataFault as fault:
        return fault.faults
    return ()


def in_rule(key, old, new):
    """The change of a line of one rule."""
    start = SMALL.index(f'key = "{key}"')
    at = SMALL.index(f"\n{old}", start)
    return (SMALL[start : at + len(old) + 1], f"{SMALL[start:at]}\n{new}")


class TestTheFile:
    def test_is_read_rule_by_rule(self):
        read = read_small()

        assert read.rules == (
            DrySpellRule("spell", 20, 3, longest_dry=7, watched=30, dry_under_mm=1),
            FollowUpRule("follow", 25, 10, more_mm=21, watched=19, dry_under_mm=2),
            DekadRule("thirds", 26, 22, each=False),
            DekadRule("each", 27, 23, each=True),
        )
        assert read.begins == (("spell", 121), ("each", 92))
        assert len(read.figures) == 16
        assert dict(read.figures)["rules[2].more"] == Figure(21.0, "mm", "talk", "judgement")

    @pytest.mark.parametrize(
        ("rule", "line", "low", "high", "unit"),
        [
            ("spell", "begins = 121", 1, 365, "day of year"),
            ("spell", "wet = 20", 1, 1000, "mm"),
            ("spell", "wet_within = 3", 1, 30, "day"),
            ("spell", "longest_dry = 7", 1, 60, "day"),
            ("spell", "watched = 30", 1, 120, "day"),
            ("spell", "dry_under = 1", 0, 20, "mm"),
            ("follow", "wet = 25", 1, 1000, "mm"),
            ("follow", "wet_within = 10", 1, 30, "day"),
            ("follow", "more = 21", 1, 1000, "mm"),
            ("follow", "watched = 19", 1, 120, "day"),
            ("follow", "dry_under = 2", 0, 20, "mm"),
            ("thirds", "more = 22", 1, 1000, "mm"),
        ],
    )
    def test_holds_figures_within_their_ranges(self, rule, line, low, high, unit):
        key = line.partition(" ")[0]

        for value in (low - 0.5, high + 0.5):
            assert faults_of(in_rule(rule, line, f"{key} = {value}")) == (
                f"{PLACES[rule]}.{key} is {value:g} {unit}: give {low} to {high} {unit}",
            )
        for value in (low, high):
            assert all("rising order" in said for said in faults_of(in_rule(rule, line, f"{key} = {value}")))

    @pytest.mark.parametrize(
        ("old", "new", "fault"),
        [
            ('key = "follow"', 'key = "spell"', "rules has spell twice: give each a name of its own"),
            (
                'kind = "dekads"',
                'kind = "weeks"',
                "rules[3].kind is 'weeks': give one of dry_spell, follow_up, dekads, each_dekad",
            ),
            (
                'key = "follow"',
                f'key = "{"x" * 25}"',
                "rules[2].key has 25 characters: give 1 to 24",
            ),
            ("wet_within = 3", "wet_within = 2.5", "rules[1].wet_within is 2.5: give a whole number"),
            (
                "watched = 30",
                "watched = 7",
                "rules[1].longest_dry + 1 is 8, more than watched, which is 7: give them in rising order",
            ),
            ("more = 22 mm", "", "rules[3].more is missing: give a table with value, unit, source and mark"),
        ],
    )
    def test_is_refused_with_what_is_wrong_in_it(self, old, new, fault):
        assert faults_of((old, new))[0] == fault

    def test_may_watch_for_just_one_day_more_than_a_spell_may_last(self):
        assert faults_of(("watched = 30", "watched = 8")) == ()

    def test_is_named_in_its_faults(self):
        with pytest.raises(DataFault, match=r"^onset rules has 1 fault\n  rules is missing: give one or more"):
            read_onset_rules("", SOURCES)

    def test_gives_a_key_24_letters(self):
        assert read_small(('key = "follow"', f'key = "{"x" * 24}"')).rules[1].key == "x" * 24

    def test_says_which_rules_there_are(self):
        with pytest.raises(MissingFigure) as missing:
            read_small().rule("monsoon")

        assert str(missing.value) == "no figure onset rule monsoon: name one of spell, follow, thirds, each"


def test_three_dekads_are_looked_at_to_their_last_day_and_no_further(onset_rules):
    """Of the calendar: the longest three dekads on end have 31 days."""
    rule = onset_rules.rule("dekads")
    firsts = [date(2027, 1, 1) + timedelta(day) for day in range(366 * 4)]
    dekads = [day for day in firsts if rule.is_candidate(day)]

    longest = max((fourth - first).days for first, fourth in zip(dekads, dekads[3:], strict=False))
    assert longest - 1 == rule.ahead
    assert {day.day for day in dekads} == {1, 11, 21}


@pytest.mark.parametrize("first", [date(2027, 2, 21), date(2028, 2, 21), date(2026, 12, 11), date(2026, 4, 21)])
def test_a_dekad_ends_with_its_month(first):
    """20 mm on the last day of the second dekad count, a day later they are of the third."""
    second = {2: 10, 12: 11, 4: 10}[first.month]
    one = ((first + timedelta(11)).replace(day=1) - first).days if first.day == 21 else 10
    rule = DekadRule("x", 20, 20, each=True)
    wet = [20.0] + [0.0] * 60

    for at, each in ((one + second - 1, True), (one + second, False)):
        mm = list(wet)
        mm[at] = 20.0
        mm[one + second + 5] = 20.0
        assert rule.is_wet(mm, 0, 0, first)
        assert rule.lasts(mm, 0, first) is each


def test_a_dekad_that_began_before_counting_is_passed_over():
    rain = series((20, 3), (41, 2))
    rule = DekadRule("x", 20, 20, each=True)

    assert onset(rain, rule, MAY).day == MAY
    assert onset(rain, rule, MAY + timedelta(1)).day == date(2026, 5, 11)


class TestTheEdges:
    """A day with just so much rain is not dry, and just so much rain is enough, also by a hair of binary sums."""

    SPELL = DrySpellRule("x", 20, 3, longest_dry=2, watched=6, dry_under_mm=1)
    FOLLOW = FollowUpRule("x", 20, 3, more_mm=10, watched=6, dry_under_mm=1)

    @pytest.mark.parametrize("rule", [SPELL, FOLLOW])
    @pytest.mark.parametrize(
        ("mm", "wet"),
        [
            ((15, 4, 1), True),
            ((15, 4.5, 0.9), False),
            ((15, 3.9, 1), False),
            ((6.6, 6.7, 6.7), True),
            ((15, 3, 2 - 4e-7), True),
            ((15, 3, 2 - 6e-7), False),
            ((20, 0, 0, 1), False),
        ],
    )
    def test_of_a_wet_day(self, rule, mm, wet):
        assert rule.is_wet(mm, len(mm) - 1, 0, MAY) is wet

    def test_of_days_before_counting_begins(self):
        assert self.SPELL.is_wet((15, 4, 1), 2, 0, MAY)
        assert not self.SPELL.is_wet((15, 4, 1), 2, 1, MAY)

    @pytest.mark.parametrize(
        ("after", "lasts"), [((0, 0, 1, 0, 0, 1, 0, 0, 0), True), ((0, 0, 0.9, 1, 1, 1), False), ((), True)]
    )
    def test_of_a_dry_spell(self, after, lasts):
        assert self.SPELL.lasts((20, *after), 0, MAY) is lasts

    @pytest.mark.parametrize(
        ("after", "lasts"), [((4, 0, 0, 0, 0, 6, 9), True), ((4, 0, 0, 0, 0, 5.9, 9), False), ((), False)]
    )
    def test_of_rain_that_follows(self, after, lasts):
        assert self.FOLLOW.lasts((20, *after), 0, MAY) is lasts

    @pytest.mark.parametrize(
        ("second", "third", "both", "each"),
        [
            (6, 6, True, False),
            (11.9, 0, False, False),
            (12, 0, True, False),
            (10, 10, True, True),
            (9.9, 10, True, False),
        ],
    )
    def test_of_two_dekads_that_follow(self, second, third, both, each):
        mm = (2.0,) * 10 + (0.0,) * 9 + (second,) + (third,) + (0.0,) * 10 + (50.0,)

        assert DekadRule("x", 20, 12, each=False).is_wet(mm, 0, 0, MAY)
        assert not DekadRule("x", 20.1, 12, each=False).is_wet(mm, 0, 0, MAY)
        assert DekadRule("x", 20, 12, each=False).lasts(mm, 0, MAY) is both
        assert DekadRule("x", 20, 10, each=True).lasts(mm, 0, MAY) is each
