"""A round that a demonstration tries: each message on its day, though the clock is moved by weeks at once."""

from __future__ import annotations

from datetime import datetime, timedelta

import msgspec
import pytest

from advisor.agronomy.errors import DataFault
from advisor.service.clock import ShiftedClock
from advisor.service.damage import Damage
from advisor.service.outgoing import Delivery
from advisor.service.posting import Response
from advisor.service.sending import Sender
from advisor.service.trying_rounds import RoundTrial
from advisor.store.api import RoundState
from advisor.store.memory import DictStore
from tests.service.campaigning import ANN, NUMBERS, SOWING, THREE, campaigns, settle
from tests.service.stage import HOUR, IDS, NOW, StandingClock, rounds

BEN = NUMBERS[1]
DAY = 24 * HOUR


class Stage:
    """A trial on the store of dictionaries, and what left when."""

    def __init__(self) -> None:
        self.store, self.clock = DictStore(), ShiftedClock(StandingClock(NOW))
        self.left: list[tuple[datetime, str, str]] = []
        self.held: list[bool] = []
        sender = Sender(self.store, self.clock, "http://127.0.0.1:9/sms", "2500", self._post, Damage(self.clock))
        self.rounds = rounds(self.store, self.clock, sender)
        self.trial = RoundTrial(campaigns(self.store, self.clock), self.rounds, self.clock, IDS)

    def _post(self, _oid: str, body: bytes, _may_begin: object) -> Response:
        delivery = msgspec.json.decode(body, type=Delivery)
        self.held.append(self.rounds.turn.locked())
        self.left.append((self.clock.now(), delivery.number, delivery.text))
        return Response(200)

    def texts(self, number: str = ANN) -> list[str]:
        return [text for _, to, text in self.left if to == number]


@pytest.fixture
def stage() -> Stage:
    found = Stage()
    sowing = (NOW + 31 * DAY).date().isoformat()
    settle(found.store, (ANN, BEN), **{SOWING.replace(".", "_", 1): sowing})
    return found


def test_what_is_due_at_the_start_leaves_at_once(stage: Stage) -> None:
    stage.trial.start(THREE, [ANN])

    assert stage.left == [(NOW, ANN, "One")]


def test_each_message_leaves_at_its_moment_though_the_clock_goes_far(stage: Stage) -> None:
    stage.trial.start(THREE, [ANN])
    stage.trial.pass_to(NOW + 60 * DAY)

    day = (NOW + 10 * DAY).replace(hour=5, minute=0)
    assert stage.left == [(NOW, ANN, "One"), (NOW + HOUR, ANN, "Two"), (day, ANN, "Is it still that day?")]
    assert stage.clock.now() == NOW + 60 * DAY


def test_a_clock_that_is_only_moved_leaves_what_was_due_unsaid(stage: Stage) -> None:
    stage.trial.start(THREE, [ANN])
    stage.clock.move_to(NOW + 9 * HOUR)
    stage.trial.pass_to(NOW + 9 * DAY)

    assert stage.texts() == ["One"]


def test_nobody_else_is_told_of_it(stage: Stage) -> None:
    stage.trial.start(THREE, [BEN])
    stage.trial.pass_to(NOW + 2 * HOUR)

    assert (stage.texts(BEN), stage.texts(ANN)) == (["One", "Two"], [])


def test_another_takes_its_place(stage: Stage) -> None:
    first = stage.trial.start(THREE, [ANN])
    second = stage.trial.start(THREE, [BEN])
    stage.trial.pass_to(NOW + 2 * HOUR)

    assert {row.key: row.state for row in stage.store.rounds()} == {
        first: RoundState.STOPPED,
        second: RoundState.RUNNING,
    }
    assert stage.texts() == ["One"]


def test_the_same_round_is_tried_again_from_its_beginning(stage: Stage) -> None:
    stage.trial.start(THREE, [ANN])
    stage.trial.start(THREE, [ANN])

    assert stage.texts() == ["One", "One"]


def test_back_the_clock_goes_at_once(stage: Stage) -> None:
    stage.trial.start(THREE, [ANN])
    stage.trial.pass_to(NOW - DAY)

    assert (stage.clock.now(), stage.texts()) == (NOW - DAY, ["One"])


def test_the_clock_goes_to_no_year_that_the_service_cannot_count_in(stage: Stage) -> None:
    with pytest.raises(ValueError, match="cannot be moved to the year 2300"):
        stage.trial.pass_to(NOW.replace(year=2300))

    assert stage.clock.now() == NOW


def test_a_slip_of_the_year_is_told_and_nothing_happens(stage: Stage) -> None:
    stage.trial.start(THREE, [ANN])
    with pytest.raises(ValueError, match="more than 400 days at once"):
        stage.trial.pass_to(NOW + 401 * DAY)

    assert (stage.clock.now(), stage.texts()) == (NOW, ["One"])


def test_without_a_round_the_clock_is_moved(stage: Stage) -> None:
    stage.trial.pass_to(NOW + DAY)

    assert (stage.clock.now(), stage.left) == (NOW + DAY, [])


def test_the_loops_of_the_service_wait_while_time_passes(stage: Stage) -> None:
    stage.trial.start(THREE, [ANN])
    stage.trial.pass_to(NOW + 2 * HOUR)

    assert stage.held == [True, True]
    assert not stage.rounds.turn.locked()


def test_a_text_that_is_no_round_leaves_the_one_on_trial(stage: Stage) -> None:
    stage.trial.start(THREE, [ANN])
    with pytest.raises(DataFault):
        stage.trial.start("key = 3", [ANN])
    stage.trial.pass_to(NOW + timedelta(hours=2))

    assert stage.texts() == ["One", "Two"]
