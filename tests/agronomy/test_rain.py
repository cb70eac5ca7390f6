"""Onset of the rains: against a plain reading of each rule, and honest about days that nobody measured."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date, timedelta
from itertools import pairwise, product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.agronomy.errors import CannotBe, DataFault, MissingFigure, OutOfRange
from advisor.agronomy.onset_rules import DekadRule, DrySpellRule, FollowUpRule, read_onset_rules
from advisor.agronomy.rain import MOST_MM, Rain, false_start_share, onset
from advisor.agronomy.season_days import variety_of, zone_season
from advisor.agronomy.sow_now import Sow, SowingRain, sow_in_zone, sow_now
from advisor.agronomy.sowing_window import Window, last_safe_sowing, window_for
from tests.agronomy.conftest import HOME

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
    @settings(max_examples=300)
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

    @settings(max_examples=200)
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

    @settings(max_examples=100, deadline=None)
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


class TestFalseStarts:
    def test_of_past_seasons_are_counted(self, onset_rules):
        rule = onset_rules.rule("southern-africa")
        good, false = series((1, 30), (30, 5)), series((1, 30), (40, 0))

        assert false_start_share([(good, MAY)], rule) == 0
        assert false_start_share([(good, MAY), (false, MAY), (good, MAY), (good, MAY)], rule) == 0.25

    def test_of_no_season_are_not_known(self, onset_rules):
        with pytest.raises(CannotBe, match="at least one season"):
            false_start_share([], onset_rules.rule("dekads"))


WINDOW = Window(date(2026, 11, 15), date(2027, 1, 10), date(2027, 4, 15))
SAFE = date(2027, 1, 5)
NEEDED = SowingRain(30, 3, 2)


class TestSowNow:
    def today(self, mm, today=date(2026, 11, 20)):
        """Rain of the days up to today."""
        return sow_now(Rain(today - timedelta(len(mm) - 1), mm), today, NEEDED, WINDOW, SAFE)

    def test_takes_enough_rain_in_the_window(self):
        assert self.today((0, 0, 15, 15, 0, 0, 0)).sow is Sow.WAIT_FOR_RAIN
        assert self.today((0, 0, 0, 15, 15, 0, 0)).sow is Sow.NOW
        assert self.today((0, 0, 0, 0, 30)).sow is Sow.NOW
        told = self.today((0, 0, 0, 10, 19.5))
        assert (told.sow, told.fallen_mm, told.missing_mm) == (Sow.WAIT_FOR_RAIN, 29.5, 0.5)

    @pytest.mark.parametrize(
        ("today", "sow", "left"),
        [
            (date(2026, 11, 14), Sow.WAIT_FOR_WINDOW, 52),
            (date(2026, 11, 15), Sow.NOW, 51),
            (date(2027, 1, 5), Sow.NOW, 0),
            (date(2027, 1, 6), Sow.NOT_THIS_SEASON, -1),
        ],
    )
    def test_keeps_to_the_window_and_the_last_safe_day(self, today, sow, left):
        told = self.today((0, 0, 0, 0, 30), today)

        assert (told.sow, told.days_left) == (sow, left)

    def test_keeps_to_the_window_where_it_closes_before_the_last_safe_day(self):
        rain = Rain(date(2027, 1, 11), (40.0,))

        assert sow_now(rain, date(2027, 1, 11), NEEDED, WINDOW, date(2027, 2, 1)).sow is Sow.NOT_THIS_SEASON

    def test_looks_at_the_soil_where_a_day_was_not_measured(self):
        assert self.today((0, 0, 0, 0, None, 0, 0)).sow is Sow.LOOK_AT_SOIL
        assert self.today((None, 0, 0, 0, 0, 0)).sow is Sow.WAIT_FOR_RAIN
        assert self.today((30, None, 0, 0, 0, 0)).sow is Sow.WAIT_FOR_RAIN
        assert sow_now(Rain(MAY, ()), date(2026, 11, 20), NEEDED, WINDOW, SAFE).sow is Sow.LOOK_AT_SOIL

    def test_counts_the_first_day_of_a_series_and_does_not_know_the_day_after_its_last(self):
        assert self.today((30,)).sow is Sow.NOW
        assert self.today((29,)).sow is Sow.LOOK_AT_SOIL
        yesterday = sow_now(Rain(date(2026, 11, 17), (0, 0, 30)), date(2026, 11, 20), NEEDED, WINDOW, SAFE)
        assert (yesterday.sow, yesterday.fallen_mm) == (Sow.NOW, 30)
        short = sow_now(Rain(date(2026, 11, 15), (0, 0, 0, 0, 0)), date(2026, 11, 20), NEEDED, WINDOW, SAFE)
        assert short.sow is Sow.LOOK_AT_SOIL

    def test_looks_at_the_soil_where_the_unknown_day_could_just_bring_enough(self):
        most = SowingRain(MOST_MM, 1, 0)

        assert sow_now(Rain(MAY, (None,)), date(2026, 11, 20), most, WINDOW, SAFE).sow is Sow.LOOK_AT_SOIL

    def test_knows_nothing_of_tomorrow(self):
        rain = Rain(date(2026, 11, 15), (0, 0, 0, 0, 0, 0, 50))

        assert sow_now(rain, date(2026, 11, 20), NEEDED, WINDOW, SAFE).sow is Sow.WAIT_FOR_RAIN

    @given(st.lists(st.none() | st.floats(0, 40), min_size=8, max_size=8), st.integers(0, 400), st.booleans())
    def test_in_a_zone_rests_on_its_window_its_rain_and_the_end_of_its_rains(
        self, programme, crop, mm, day, hills
    ):
        season = zone_season(programme.seasons, crop.key, "hills" if hills else "valley")
        variety, today = variety_of(programme.varieties, crop.key), date(2026, 11, 1) + timedelta(day)
        rain = Rain(today - timedelta(7), tuple(mm))
        window = window_for(season, today)

        told = sow_in_zone(season, variety, crop.days, rain, today)

        needed = SowingRain(season.sowing_mm, season.sowing_days, season.moist_days)
        last_safe = last_safe_sowing(window.rains_end, variety, crop.days)
        assert told == sow_now(rain, today, needed, window, last_safe)
        assert told.sow is not Sow.NOW or window.opens <= today <= last_safe

    @given(st.lists(st.floats(0, 9.9), min_size=8, max_size=8), st.integers(-30, 90))
    def test_nobody_is_hurried_into_dry_soil_to_keep_a_date(self, mm, day):
        """Below 10 mm a day, three days never bring 30 mm, however close the last safe day is."""
        today = SAFE - timedelta(day)

        told = self.today(tuple(mm), today)

        assert told.sow not in (Sow.NOW, Sow.LOOK_AT_SOIL)
        assert told.missing_mm > 0

    @given(st.lists(st.none() | st.floats(0, 40), min_size=8, max_size=8), st.integers(0, 7), st.floats(0, 40))
    def test_more_rain_never_turns_sow_now_into_wait(self, mm, at, more):
        wetter = [fallen + more if n == at and fallen is not None else fallen for n, fallen in enumerate(mm)]

        if self.today(tuple(mm)).sow is Sow.NOW:
            assert self.today(tuple(wetter)).sow is Sow.NOW

    @pytest.mark.parametrize(
        "needed", [SowingRain(0, 3, 2), SowingRain(30, 0, 2), SowingRain(30, 3, -1), SowingRain(MOST_MM + 1, 3, 2)]
    )
    def test_refuses_a_rule_that_cannot_be(self, needed):
        with pytest.raises(OutOfRange):
            sow_now(Rain(MAY, (1.0,)), MAY, needed, WINDOW, SAFE)
