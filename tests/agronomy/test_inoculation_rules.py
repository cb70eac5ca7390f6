"""When seed is not inoculated: every refusal alone, all of them at once, and both edges."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.agronomy.cautions import CAUTIONS
from advisor.agronomy.errors import CannotBe, OutOfRange
from advisor.agronomy.inoculation_rules import (
    CannotInoculate,
    Circumstances,
    check_inoculation,
    inoculation_refusals,
)

DAY = date(2027, 3, 10)
GOOD = Circumstances("bean", "bean", DAY, DAY + timedelta(30), warmest_c=20)
WRONG = {
    "dressed_seed": {"dressed": True},
    "other_strain": {"strain_of": "pea"},
    "expired_pack": {"expires": DAY - timedelta(1)},
    "fertiliser_contact": {"touches_fertiliser": True},
    "in_the_sun": {"in_sun": True},
    "too_warm": {"warmest_c": 30.1},
}


def names(circumstances):
    return [refusal.name for refusal in inoculation_refusals(circumstances, 30)]


@pytest.mark.parametrize("name", WRONG)
def test_each_wrong_alone_is_refused_with_what_to_do_and_its_cautions(name):
    (refusal,) = inoculation_refusals(replace(GOOD, **WRONG[name]), 30)

    assert refusal.name == name
    assert isinstance(refusal, CannotBe)
    assert refusal.instead
    assert refusal.cautions
    assert set(refusal.cautions) <= set(CAUTIONS)


@given(st.sets(st.sampled_from(sorted(WRONG))))
def test_all_that_is_wrong_is_told_at_once_poison_first(wrong):
    circumstances = replace(GOOD, **{key: value for name in wrong for key, value in WRONG[name].items()})

    assert names(circumstances) == [name for name in WRONG if name in wrong]


@given(st.sets(st.sampled_from(sorted(WRONG)), min_size=1))
def test_the_first_of_them_stops_the_plan(wrong):
    circumstances = replace(GOOD, **{key: value for name in wrong for key, value in WRONG[name].items()})

    with pytest.raises(CannotInoculate) as raised:
        check_inoculation(circumstances, 30)
    assert raised.value.name == names(circumstances)[0]


def test_dressed_seed_is_called_poison_and_neither_food_nor_feed():
    (refusal,) = inoculation_refusals(replace(GOOD, dressed=True), 30)

    assert "never food or feed" in refusal.what
    assert refusal.cautions[0] == "dressed_seed_is_poison"
    assert "no_bare_hands_on_dressed_seed" in refusal.cautions


def test_a_pack_is_good_on_the_day_of_its_date_and_not_on_the_next():
    assert names(replace(GOOD, expires=DAY)) == []
    assert names(replace(GOOD, expires=DAY, used_on=DAY + timedelta(1))) == ["expired_pack"]


def test_a_pack_without_a_date_is_refused():
    assert names(replace(GOOD, expires=None)) == ["undated_pack"]


def test_the_warmest_allowed_is_allowed_and_what_nobody_knows_is_not_held_against_a_pack():
    assert names(replace(GOOD, warmest_c=30)) == []
    assert names(replace(GOOD, warmest_c=None)) == []


@pytest.mark.parametrize("celsius", [-51, 91, float("nan")])
def test_a_temperature_that_cannot_be_is_refused(celsius):
    with pytest.raises(OutOfRange, match="warmest"):
        inoculation_refusals(replace(GOOD, warmest_c=celsius), 30)


def test_what_nothing_speaks_against_still_has_its_cautions():
    assert check_inoculation(GOOD, 30) == (
        "follow_the_pack",
        "inoculant_in_shade",
        "inoculant_apart_from_fertiliser",
        "keep_from_children_and_food",
        "wash",
        "ask_dealer_or_extension",
    )
