"""Faults planted in what hangs on rain, one at a time; each breaks one promise, and the checks must tell which."""

from __future__ import annotations

import itertools
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from typing import Any

import pytest

from advisor.agronomy.onset_rules import FollowUpRule
from advisor.agronomy.rain import Rain
from advisor.campaign import onsets as campaign_onsets
from advisor.campaign.deciding import Running
from advisor.records.rain_book import Begun, RainBook, Reading
from advisor.service import agent_notes, onsets, speaking, stored
from advisor.service.agent_notes import AgentNotes
from advisor.service.onsets import Onsets, Rains
from tests.season.planted import a_step_is_not_marked
from tests.season.world import World


def a_gauge_is_read_but_once(_world: World, patch: pytest.MonkeyPatch) -> None:
    reads = RainBook.reads

    def careless(self: RainBook, reading: Reading, today: date) -> RainBook:
        places = {(one.village, one.day) for one in self.readings}
        return self if (reading.village, reading.day) in places else reads(self, reading, today)

    patch.setattr(RainBook, "reads", careless)


def one_zone_is_told_of_the_rain_of_another(_world: World, patch: pytest.MonkeyPatch) -> None:
    of = Onsets._of

    def everywhere(self: Onsets, books: Any) -> Rains:
        known, since_ms = of(self, books)
        return tuple((village, known[0][1]) for village in self.zone_of if known), since_ms

    patch.setattr(Onsets, "_of", everywhere)


def too_little_rain_is_enough(_world: World, patch: pytest.MonkeyPatch) -> None:
    is_wet = FollowUpRule.is_wet
    patch.setattr(FollowUpRule, "is_wet", lambda self, *given: is_wet(replace(self, wet_mm=4.0), *given))


def a_beginning_is_noted_days_late(_world: World, patch: pytest.MonkeyPatch) -> None:
    noted = onsets.noted

    def late(begun: Any, rain: Rain, *given: Any) -> tuple[Begun, ...]:
        return noted(begun, Rain(rain.first, rain.mm[:-2]), *given)

    patch.setattr(onsets, "noted", late)


def a_false_start_is_not_noted(_world: World, patch: pytest.MonkeyPatch) -> None:
    patch.setattr(campaign_onsets, "_as_it_stands", lambda last, _found, _today: last)


def any_rains_are_a_false_start(_world: World, patch: pytest.MonkeyPatch) -> None:
    lasts = FollowUpRule.lasts
    patch.setattr(FollowUpRule, "lasts", lambda self, *given: lasts(replace(self, more_mm=900.0), *given))


def rains_that_begin_again_are_taken_for_the_first(_world: World, patch: pytest.MonkeyPatch) -> None:
    patch.setattr(Running, "_first_of", lambda _self, _step, _facts: 0)


def who_has_sown_is_told_to_sow(_world: World, patch: pytest.MonkeyPatch) -> None:
    for module in (speaking, stored):
        patch.setattr(module, "sown_on", lambda _day, _learnt_s: None)


def agents_are_told_of_growers_of_others(_world: World, patch: pytest.MonkeyPatch) -> None:
    patch.setattr(agent_notes, "is_in_care", lambda record, _agent: record.agreed is not None)


def agents_are_told_nothing(_world: World, patch: pytest.MonkeyPatch) -> None:
    patch.setattr(AgentNotes, "tell", lambda _self, _under_way: 0)


def agents_are_told_again(_world: World, patch: pytest.MonkeyPatch) -> None:
    drawn, outgoing = itertools.count(), agent_notes.outgoing_id
    patch.setattr(agent_notes, "_not_told", lambda _record, dues: list(dues))
    patch.setattr(agent_notes, "outgoing_id", lambda *parts: outgoing(*parts, str(next(drawn))))


#: What each breaks, as the checks call it.
FAULTS_OF_RAIN: dict[Callable[[World, pytest.MonkeyPatch], None], str] = {
    a_gauge_is_read_but_once: "rain",
    one_zone_is_told_of_the_rain_of_another: "misled",
    too_little_rain_is_enough: "misled",
    any_rains_are_a_false_start: "misled",
    who_has_sown_is_told_to_sow: "misled",
    a_beginning_is_noted_days_late: "missed",
    a_false_start_is_not_noted: "missed",
    rains_that_begin_again_are_taken_for_the_first: "missed",
    a_step_is_not_marked: "doubled",
    agents_are_told_again: "doubled",
    agents_are_told_nothing: "missed",
    agents_are_told_of_growers_of_others: "miscounted",
}
