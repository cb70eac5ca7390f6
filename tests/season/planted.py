"""Faults planted in the service, one at a time: each breaks one promise, and the checks must tell which."""

from __future__ import annotations

import dataclasses
import itertools
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import datetime, timedelta
from typing import Any

import pytest
from msgspec.structs import replace

from advisor.advice import seed_testing
from advisor.agronomy.germination import SeedTest
from advisor.campaign.deciding import Decision, Running
from advisor.campaign.quiet import Quiet
from advisor.dialogue.answers import counts
from advisor.dialogue.answers.results import Taken
from advisor.dialogue.talk import Effect, Event, Keep, Outcome, Stop, TakeUp, Withdraw
from advisor.records.grower import Grower, Pin
from advisor.records.several import all_of, place_in_hand
from advisor.service import caring, ticking
from advisor.service.caring import Caring
from advisor.service.changing import Message
from advisor.service.planning import Planner
from advisor.service.relaying import Relaying
from advisor.service.stored import Stored
from advisor.store.api import Out, RoundState, Waiting
from advisor.store.memory import DictStore
from tests.season.world import World

_HOUR, _DAY = timedelta(hours=1), timedelta(days=1)


def _without(world: World, lost: Callable[[Effect], bool]) -> None:
    """Effects that are decided and said, and then not kept."""
    step = world._step

    def forgetful(*given: Any) -> Outcome:
        outcome = step(*given)
        return replace(outcome, effects=tuple(effect for effect in outcome.effects if not lost(effect)))

    world._step = forgetful


def a_count_is_not_kept(world: World, _patch: pytest.MonkeyPatch) -> None:
    _without(world, lambda effect: isinstance(effect, Keep) and effect.name == "lot.test")


def a_stop_is_not_kept(world: World, _patch: pytest.MonkeyPatch) -> None:
    _without(world, lambda effect: isinstance(effect, Stop))


def a_step_is_not_marked(_world: World, patch: pytest.MonkeyPatch) -> None:
    """And a grower is looked at again in an hour, as a planner would that came by then."""
    drawn, outgoing, decide = itertools.count(), ticking.outgoing_id, ticking.next_step
    patch.setattr(Decision, "marks", ())
    patch.setattr(ticking, "next_step", lambda *given: replace(decide(*given), look_at=given[3] + _HOUR))
    patch.setattr(ticking, "outgoing_id", lambda *parts: outgoing(*parts, str(next(drawn))))


def any_time_will_do(_world: World, patch: pytest.MonkeyPatch) -> None:
    patch.setattr(Quiet, "may_send", lambda _self, _at: True)


def a_figure_is_not_counted(_world: World, patch: pytest.MonkeyPatch) -> None:
    write = DictStore._write_figures

    def careless(self: DictStore, bucket: int, change: Any) -> None:
        write(self, bucket, replace(change, counts=tuple(one for one in change.counts if one[1] != "tested")))

    patch.setattr(DictStore, "_write_figures", careless)


def a_repeat_is_a_new_message(world: World, patch: pytest.MonkeyPatch) -> None:
    drawn = itertools.count()
    message = type(world.ids).message
    patch.setattr(
        type(world.ids), "message", lambda self, number, one: message(self, number, f"{one} {next(drawn)}")
    )


def nobody_is_put_on_the_list(_world: World, patch: pytest.MonkeyPatch) -> None:
    patch.setattr(ticking, "_closed", lambda record, _decision, _now: record)


def who_has_answered_is_asked_again(_world: World, patch: pytest.MonkeyPatch) -> None:
    patch.setattr(Running, "_is_for", lambda _self, step, _facts, _held: step.started is None)


def a_consent_taken_back_is_not_kept(world: World, _patch: pytest.MonkeyPatch) -> None:
    _without(world, lambda effect: isinstance(effect, Withdraw))


def an_erase_leaves_what_was_typed(_world: World, patch: pytest.MonkeyPatch) -> None:
    patch.setattr(DictStore, "_forget", lambda _self, _bucket, _change: None)


def a_list_brings_anybody_back(_world: World, patch: pytest.MonkeyPatch) -> None:
    entry = DictStore._entry
    patch.setattr(DictStore, "_entry", lambda self, number: replace(entry(self, number), stops=False))
    commit = DictStore.commit
    patch.setattr(DictStore, "commit", lambda self, change: commit(self, replace(change, unless_stopped="")))


def a_held_round_goes_on(_world: World, patch: pytest.MonkeyPatch) -> None:
    set_round = DictStore.set_round

    def careless(self: DictStore, key: str, state: RoundState) -> RoundState | None:
        return state if state is RoundState.PAUSED else set_round(self, key, state)

    patch.setattr(DictStore, "set_round", careless)


def days_are_counted_from_another_day(_world: World, patch: pytest.MonkeyPatch) -> None:
    due = Running._due

    def later(self: Running, *given: Any) -> datetime | None:
        found = due(self, *given)
        return None if found is None else found + 5 * _DAY

    patch.setattr(Running, "_due", later)


def everybody_has_begun_late(_world: World, patch: pytest.MonkeyPatch) -> None:
    patch.setattr(Running, "_started_in", lambda _self, _late, _facts: True)


def a_round_looks_at_nobody(_world: World, patch: pytest.MonkeyPatch) -> None:
    plan = Planner.plan
    patch.setattr(
        Planner,
        "plan",
        lambda self, running, *given: 0 if running.round.key == "pick_up" else plan(self, running, *given),
    )


def what_an_agent_recorded_is_lost(_world: World, patch: pytest.MonkeyPatch) -> None:
    patch.setattr(Relaying, "_applied", lambda _self, _waiting: True)


def what_an_agent_recorded_is_not_told(_world: World, patch: pytest.MonkeyPatch) -> None:
    patch.setattr(Relaying, "_outs", lambda *_given: ())


def what_an_agent_recorded_is_told_twice(_world: World, patch: pytest.MonkeyPatch) -> None:
    outs = Relaying._outs

    def twice(self: Relaying, waiting: Waiting, *given: Any) -> tuple[Out, ...]:
        return outs(self, waiting, *given) + outs(
            self, dataclasses.replace(waiting, effect=f"{waiting.effect}-again"), *given
        )

    patch.setattr(Relaying, "_outs", twice)


def an_agent_reaches_everybody(_world: World, patch: pytest.MonkeyPatch) -> None:
    patch.setattr(caring, "is_in_care", lambda record, _agent: record.agreed is not None)


def a_pin_is_never_locked(_world: World, patch: pytest.MonkeyPatch) -> None:
    patch.setattr(Pin, "is_locked", lambda _self, _now: False)


def a_pin_is_kept_as_it_was_typed(_world: World, patch: pytest.MonkeyPatch) -> None:
    veiled = Caring.veiled

    def bare(self: Caring, message: Message, *given: Any) -> tuple[Event, Message, Stored]:
        event, _, before = veiled(self, message, *given)
        return event, message, before

    patch.setattr(Caring, "veiled", bare)


def a_count_is_written_to_the_other_bag(world: World, _patch: pytest.MonkeyPatch) -> None:
    step = world._step

    def astray(session: Any, known: Grower, *given: Any) -> Outcome:
        outcome, place = step(session, known, *given), place_in_hand(known, "lot")
        if len(all_of(known, "lot")) < 2:
            return outcome
        effects: list[Effect] = []
        for effect in outcome.effects:
            is_count = isinstance(effect, Keep) and effect.name == "lot.test"
            effects += [TakeUp("lot", 1 - place), effect, TakeUp("lot", place)] if is_count else [effect]
        return replace(outcome, effects=tuple(effects))

    world._step = astray


def a_verdict_is_of_the_seeds_that_did_not_grow(_world: World, patch: pytest.MonkeyPatch) -> None:
    verdict = seed_testing._verdict
    patch.setattr(
        seed_testing,
        "_verdict",
        lambda test, crop: verdict(SeedTest(test.sown - test.grown, test.sown), crop),
    )


def ninety_of_fifty_is_taken(_world: World, patch: pytest.MonkeyPatch) -> None:
    of = counts._of
    patch.setattr(
        counts, "_of", lambda grown, sown, ask: Taken((sown, sown)) if grown > sown else of(grown, sown, ask)
    )


def a_last_count_under_the_first_is_taken(world: World, _patch: pytest.MonkeyPatch) -> None:
    step = world._step

    def forgetful(session: Any, known: Grower, *given: Any) -> Outcome:
        is_count = session is not None and session.spots and session.spots[-1].screen == "final_count"
        return step(session, known.forgets(("lot.early",)) if is_count else known, *given)

    world._step = forgetful


#: What each breaks, as the checks call it.
FAULTS: dict[Callable[[World, pytest.MonkeyPatch], None], str] = {
    a_count_is_not_kept: "lost",
    a_stop_is_not_kept: "stopped",
    a_step_is_not_marked: "doubled",
    any_time_will_do: "quiet",
    a_figure_is_not_counted: "figures",
    nobody_is_put_on_the_list: "open",
    who_has_answered_is_asked_again: "paid",
    a_repeat_is_a_new_message: "twice",
    a_consent_taken_back_is_not_kept: "returned",
    an_erase_leaves_what_was_typed: "kept",
    a_list_brings_anybody_back: "returned",
    what_an_agent_recorded_is_lost: "lost",
    what_an_agent_recorded_is_not_told: "untold",
    what_an_agent_recorded_is_told_twice: "doubled",
    an_agent_reaches_everybody: "care",
    a_pin_is_never_locked: "pin",
    a_pin_is_kept_as_it_was_typed: "kept",
    a_held_round_goes_on: "paused",
    days_are_counted_from_another_day: "untimely",
    everybody_has_begun_late: "untimely",
    a_round_looks_at_nobody: "unsent",
    a_count_is_written_to_the_other_bag: "mixed",
    a_verdict_is_of_the_seeds_that_did_not_grow: "misjudged",
    ninety_of_fifty_is_taken: "taken",
    a_last_count_under_the_first_is_taken: "taken",
}


@contextmanager
def planted(fault: Callable[[World, pytest.MonkeyPatch], None], world: World) -> Iterator[None]:
    """The fault is there, and gone afterwards."""
    with pytest.MonkeyPatch.context() as patch:
        fault(world, patch)
        yield
