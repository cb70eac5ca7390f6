"""Beginnings of the rains, one after the other: what surely began, what surely broke off, what stays open.

The rules and their amounts are those of ``data/onset_rules.toml``; the series are made up to sit at their edges.
"""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.agronomy.rain import Rain, onset
from advisor.agronomy.rain_starts import Start, starts
from advisor.loading import load_onset_rules

FIRST = date(2026, 11, 20)
RULES = {rule.key: rule for rule in load_onset_rules().rules}


def day(at: int) -> date:
    return FIRST + timedelta(days=at)


def found(rule: str, *mm: float | None) -> tuple[Start, ...]:
    return starts(Rain(FIRST, mm), RULES[rule], FIRST)


class TestSouthernAfrica:
    """25 mm in ten days, 20 mm in the twenty after them."""

    def test_begins_on_the_day_that_makes_the_amount_full(self) -> None:
        assert found("southern-africa", 10, 0, 14.9, 0, 0.1) == ()
        assert found("southern-africa", 10, 0, 14.9, 0, 1) == (Start(day(4), day(4), None),)

    def test_breaks_off_when_twenty_days_brought_too_little(self) -> None:
        dry = (30, *[0] * 10, 19.9, *[0] * 9)
        assert [one.broken_off for one in found("southern-africa", *dry)] == [day(20)]
        assert [one.broken_off for one in found("southern-africa", *dry[:-1])] == [None]
        assert [one.broken_off for one in found("southern-africa", 30, *[0] * 10, 20, *[0] * 9)] == [None]

    def test_counts_anew_behind_a_false_start(self) -> None:
        wet = found("southern-africa", 30, *[0] * 20, 24)
        assert [one.day for one in wet] == [day(0)], "rain of before counts for nothing"
        wet = found("southern-africa", 30, *[0] * 20, 24, 1)
        assert [one.day for one in wet] == [day(0), day(22)]
        assert wet[1].broken_off is None


class TestADrySpell:
    """Zimbabwe: 20 mm in three days, no spell of ten dry days in the next twenty."""

    def test_breaks_off_on_the_tenth_dry_day(self) -> None:
        assert [one.broken_off for one in found("zimbabwe-manual", 20, *[0] * 9)] == [None]
        assert [one.broken_off for one in found("zimbabwe-manual", 20, *[0] * 10)] == [day(10)]

    def test_a_day_that_nobody_read_is_not_dry(self) -> None:
        assert [one.broken_off for one in found("zimbabwe-manual", 20, *[0] * 5, None, *[0] * 5)] == [None]

    def test_remembers_the_last_day_on_which_it_had_rained_enough(self) -> None:
        assert found("zimbabwe-manual", 20, 0, 0, 0, 12, 8)[0].last_wet == day(5)


def test_a_third_of_a_month_begins_on_the_day_that_makes_it_wet() -> None:
    """25 mm from the 21st to the end of the month; the day is not the 21st, on which nobody could know it."""
    wet = starts(Rain(day(1), (5, 5, 5, 9.9, 0.1, 0)), RULES["dekads"], FIRST)
    assert [(one.day, one.broken_off) for one in wet] == [(day(5), None)]


def test_a_day_that_nobody_read_begins_nothing() -> None:
    assert found("southern-africa", None, None, 24) == ()


@pytest.mark.parametrize("rule", sorted(RULES))
class TestLaws:
    @given(mm=st.lists(st.one_of(st.none(), st.sampled_from([0.0, 0.5, 6.0, 13.0, 28.0])), max_size=70))
    def test_what_was_said_is_said_again_when_more_days_are_known(self, rule: str, mm: list[float | None]) -> None:
        """Who looks each day sees the same beginnings as who looks once at the end."""
        whole = found(rule, *mm)
        for length in range(len(mm)):
            before = found(rule, *mm[:length])
            kept = [(one.day, one.broken_off) for one in before]
            assert kept[:-1] == [(one.day, one.broken_off) for one in whole[: len(kept) - 1 if kept else 0]]
            if kept:
                assert whole[len(kept) - 1].day == kept[-1][0]

    @given(mm=st.lists(st.sampled_from([0.0, 0.5, 6.0, 13.0, 28.0]), min_size=1, max_size=90))
    def test_the_onset_that_lasts_is_none_that_broke_off(self, rule: str, mm: list[float | None]) -> None:
        lasting = onset(Rain(FIRST, tuple(mm)), RULES[rule], FIRST)
        if not lasting.false_starts and lasting.day is not None:
            assert [one.broken_off for one in found(rule, *mm)] == [None]

    @given(mm=st.lists(st.sampled_from([0.0, 6.0, 28.0]), min_size=1, max_size=60))
    def test_only_the_last_one_stands(self, rule: str, mm: list[float | None]) -> None:
        every = found(rule, *mm)
        assert all(one.broken_off is not None for one in every[:-1])
        assert all(one.broken_off is None or one.day <= one.last_wet <= one.broken_off for one in every)
