"""Onset of the rains: against a plain reading of each rule, and honest about days that nobody measured."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from itertools import pairwise, product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.agronomy.errors import CannotBe, OutOfRange
from advisor.agronomy.onset_rules import DekadRule, DrySpellRule, FollowUpRule
from advisor.agronomy.rain import MOST_MM, Rain, false_start_share, onset
from tests.laws import examples

MAY = date(2026, 5, 1)


def series(*runs, first=MAY):
    """Daily rain from runs of (days, mm)."""
    return Rain(first, tuple(mm for days, mm in runs for _ in range(days)))


def longest_dry_spell(mm, dry_under):
    """Days of the longest run of dry days, told from where the wet days stand."""
    wet = [-1, *(at for at, fallen in enumerate(mm) if fallen >= dry_under), len(mm)]
    return max(after - before - 1 for before, after in pairwise(wet))


def plain_onset(mm, begin, rule):
    """Place of the onset in a series that is known throughout, read off the rule's definition in a plain way."""
    for at in range(begin, len(mm) - rule.watched):
        window = [mm[day] for day in range(begin, at + 1) if at - day < rule.wet_days]
        after = mm[at + 1 : at + rule.watched + 1]
        if sum(window) < rule.wet_mm or mm[at] < rule.dry_under_mm:
            continue
        if isinstance(rule, DrySpellRule):
            good = longest_dry_spell(after, rule.dry_under_mm) <= rule.longest_dry
        else:
            good = sum(after) >= rule.more_mm
        if good:
            return at
    return None


def plain_dekad_onset(rain, rule):
    """First day of the first good dekad, by sums of rain under the name of each dekad."""
    sums, firsts = {}, {}
    for at, mm in enumerate(rain.mm):
        day = rain.first + timedelta(at)
        name = day.year, day.month, min(2, (day.day - 1) // 10)
        sums[name] = sums.get(name, 0) + mm
        firsts.setdefault(name, day)
    names = sorted(sums)
    whole = [name for name in names if firsts[name].day in (1, 11, 21)]
    for one, two, three in zip(whole, whole[1:], whole[2:], strict=False):
        followed = min(sums[two], sums[three]) if rule.each else sums[two] + sums[three]
        if sums[one] >= rule.wet_mm and followed >= rule.more_mm:
            return firsts[one]
    return None


amounts = st.sampled_from([0, 0, 0, 0.5, 1, 4, 7, 10, 13, 20, 25])
dry_spell_rules = st.builds(
    DrySpellRule, st.just("x"), st.sampled_from([10, 20, 25]), st.integers(1, 4), st.integers(1, 6),
    st.integers(4, 12), st.just(1),
)  # fmt: skip
follow_up_rules = st.builds(
    FollowUpRule, st.just("x"), st.sampled_from([10, 25]), st.integers(1, 6), st.sampled_from([10, 20]),
    st.integers(4, 12), st.just(1),
)  # fmt: skip
dekad_rules = st.builds(
    DekadRule, st.just("x"), st.sampled_from([25, 60]), st.sampled_from([20, 60]), st.booleans()
)


class TestOnset:
    @examples(300)
    @given(st.lists(amounts, min_size=1, max_size=60), dry_spell_rules | follow_up_rules, st.integers(0, 20))
    def test_of_a_known_series_is_what_a_plain_reading_gives(self, mm, rule, begin):
        if begin >= len(mm):
            begin = 0
        expected = plain_onset(mm, begin, rule)

        found = onset(Rain(MAY, tuple(mm)), rule, MAY + timedelta(begin))

        if expected is not None:
            assert found.day is not None
            assert (found.day - MAY).days <= expected
        if found.day is not None and (found.day - MAY).days < len(mm) - rule.watched:
            assert (found.day - MAY).days == expected
        elif found.day is None:
            assert expected is None

    @examples(200)
    @given(
        st.lists(st.sampled_from([0, 0, 0, 2, 6, 12]), min_size=62, max_size=120), dekad_rules, st.integers(0, 400)
    )
    def test_by_dekads_is_what_sums_by_name_give(self, mm, rule, shift):
        rain = Rain(MAY + timedelta(shift), tuple(mm))
        expected = plain_dekad_onset(rain, rule)

        found = onset(rain, rule, rain.first)

        if expected is not None:
            assert found.day == expected or found.day < expected
        if found.day is not None and found.day + timedelta(31) <= rain.last:
            assert found.day == expected

    @examples(100)
    @given(
        st.lists(amounts, min_size=6, max_size=14), st.sets(st.integers(0, 13), max_size=5),
        dry_spell_rules | follow_up_rules,
    )  # fmt: skip
    def test_with_unknown_days_spans_every_onset_that_they_allow(self, mm, unknown, rule):
        """Every unknown day is tried dry, damp and drenched."""
        rule = replace(rule, watched=4)
        tail = [0.0] * rule.watched
        known = [*(None if at in unknown else fallen for at, fallen in enumerate(mm)), *tail, *tail]
        found = onset(Rain(MAY, tuple(known)), rule, MAY)
        gaps = [at for at, fallen in enumerate(known) if fallen is None]
        firsts = set()
        for filled in product((0.0, 3.0, MOST_MM), repeat=len(gaps)):
            tried = list(known)
            for at, fallen in zip(gaps, filled, strict=True):
                tried[at] = fallen
            firsts.add(plain_onset(tried, 0, rule))

        days = {None if first is None else MAY + timedelta(first) for first in firsts}
        told = {day for day in days if day is not None}
        assert found.unknown_days == len(gaps)
        assert found.earliest == min(told, default=None) or found.earliest > MAY + timedelta(len(mm) + 3)
        if found.day is not None:
            assert None not in days
            assert max(told) <= found.day
        if found.is_sure and found.day is not None:
            assert days == {found.day}

    @given(st.lists(amounts, min_size=1, max_size=50), dry_spell_rules | follow_up_rules, st.integers(0, 49))
    def test_more_rain_on_a_day_never_makes_a_wet_and_lasting_day_worse(self, mm, rule, wetter):
        more = [fallen + (15 if at == wetter else 0) for at, fallen in enumerate(mm)]

        for at in range(len(mm)):
            assert rule.is_wet(mm, at, 0, MAY) <= rule.is_wet(more, at, 0, MAY)
            assert rule.lasts(mm, at, MAY) <= rule.lasts(more, at, MAY)

    @given(st.lists(st.none() | amounts, min_size=1, max_size=50), dry_spell_rules)
    def test_earliest_is_never_after_the_day_and_false_starts_lie_before_it(self, mm, rule):
        found = onset(Rain(MAY, tuple(mm)), rule, MAY)

        if found.day is not None:
            assert found.earliest is not None
            assert found.earliest <= found.day
            assert all(day < found.day for day in found.false_starts)
        assert found.earliest not in found.false_starts

    def test_is_open_while_the_days_after_the_rain_have_not_come(self, onset_rules):
        found = onset(series((3, 0), (1, 25), (5, 0)), onset_rules.rule("sahel-1988"), MAY)

        assert (found.day, found.earliest, found.false_starts) == (None, date(2026, 5, 4), ())
        assert not found.is_sure

    def test_needs_a_day_that_was_measured_or_asked_for(self, onset_rules):
        with pytest.raises(CannotBe, match="give daily rain"):
            onset(series((3, 0)), onset_rules.rule("dekads"), date(2026, 5, 4))
        with pytest.raises(CannotBe, match="give daily rain"):
            onset(Rain(MAY, ()), onset_rules.rule("dekads"), MAY)

    def test_of_a_series_knows_its_last_day(self):
        assert Rain(MAY, (1.0, None, 2.0)).last == date(2026, 5, 3)
        assert Rain(MAY, ()).last == date(2026, 4, 30)

    @pytest.mark.parametrize("mm", [-0.1, MOST_MM + 1, float("nan"), float("inf")])
    def test_refuses_rain_that_cannot_fall(self, mm):
        with pytest.raises(OutOfRange):
            Rain(MAY, (mm,))


class TestFalseStarts:
    def test_of_past_seasons_are_counted(self, onset_rules):
        rule = onset_rules.rule("southern-africa")
        good, false = series((1, 30), (30, 5)), series((1, 30), (40, 0))

        assert false_start_share([(good, MAY)], rule) == 0
        assert false_start_share([(good, MAY), (false, MAY), (good, MAY), (good, MAY)], rule) == 0.25

    def test_of_no_season_are_not_known(self, onset_rules):
        with pytest.raises(CannotBe, match="at least one season"):
            false_start_share([], onset_rules.rule("dekads"))
