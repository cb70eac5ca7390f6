"""A record moves to another number: with the code from the old phone or at the agent's word, never else."""

from __future__ import annotations

from datetime import timedelta

import msgspec
import pytest
from msgspec.structs import replace

from advisor.dialogue.talk import CODE_MARK, Agree, AskAgent, Erase, GiveCode, Keep, Stop
from advisor.records.grower import Pin
from advisor.service.clock import unix_ms
from advisor.service.erasing import Erasing
from advisor.service.moving import MOST_TRIES, CannotMove, Moving
from advisor.service.outgoing import Parcel
from advisor.service.stored import Stored, from_bytes, to_bytes
from advisor.store.api import Change, Store
from advisor.store.embedded import EmbeddedStore
from advisor.store.memory import DictStore
from advisor.store.names import bucket_of
from tests.service.stage import (
    ANN,
    BANDS,
    IDS,
    NOW,
    StandingClock,
    grower_id,
    inbound,
    relaying,
    says,
    told,
    ussd,
    waiting,
)

NEW, THIRD = "+999002223344", "+999003334455"
CODE = IDS.code(grower_id(ANN), NOW)


@pytest.fixture(params=[DictStore, EmbeddedStore])
def store(request: pytest.FixtureRequest) -> Store:
    return request.param()


@pytest.fixture
def ann(store: Store) -> Store:
    """Ann agreed, is known, and has asked for a code."""
    told(store, Agree(), Keep("grower.village", "v1"), GiveCode(f"{CODE_MARK}\nGood for a day."))
    return store


def move(store: Store, old: str, new: str, code: str | None = None, clock: StandingClock | None = None) -> None:
    Moving(store, clock or StandingClock(), IDS).move(old, new, code)
    relay(store)


def relay(store: Store) -> None:
    for bucket in store.busy(0).relays:
        relaying(store).apply_waiting(bucket)


def of(store: Store, number: str) -> Stored:
    """What somebody who writes from a number meets."""
    return from_bytes(store.read(IDS.number(number), "m").value)


def village(store: Store, number: str) -> object:
    fact = of(store, number).record.fact("grower.village")
    return fact and fact.value


class TestTheCode:
    def test_comes_by_sms_to_the_old_phone_and_is_not_kept(self, ann: Store) -> None:
        assert waiting(ann) == [f"{CODE}\nGood for a day."]
        assert CODE.encode() not in (ann.value(grower_id())[1] or b"")

    def test_moves_the_record_and_the_old_number_is_a_stranger(self, ann: Store) -> None:
        move(ann, ANN, NEW, CODE)

        assert (village(ann, NEW), of(ann, NEW).record.number) == ("v1", NEW)
        assert of(ann, ANN) == Stored()

    def test_is_good_for_a_day(self, ann: Store) -> None:
        late = StandingClock(NOW + timedelta(days=1, seconds=1))
        with pytest.raises(CannotMove, match="no code is good now"):
            move(ann, ANN, NEW, CODE, late)

        move(ann, ANN, NEW, CODE, StandingClock(NOW + timedelta(days=1)))
        assert village(ann, NEW) == "v1"

    def test_is_good_once(self, ann: Store) -> None:
        move(ann, ANN, NEW, CODE)

        with pytest.raises(CannotMove, match="no code is good now"):
            move(ann, NEW, THIRD, CODE)
        assert village(ann, NEW) == "v1"

    def test_that_was_never_asked_for_is_good_for_nothing(self, store: Store) -> None:
        told(store, Agree())

        with pytest.raises(CannotMove, match="no code is good now"):
            move(store, ANN, NEW, CODE)

    def test_can_be_tried_a_few_times_and_asking_again_gives_no_more(self, ann: Store) -> None:
        for _ in range(MOST_TRIES):
            with pytest.raises(CannotMove, match="that is not the code"):
                move(ann, ANN, NEW, "000000")
        told(ann, GiveCode(CODE_MARK), id="m1")

        with pytest.raises(CannotMove, match="tried too often"):
            move(ann, ANN, NEW, CODE)
        assert (village(ann, ANN), village(ann, NEW)) == ("v1", None)

    def test_of_another_grower_is_not_this_ones(self, ann: Store) -> None:
        with pytest.raises(CannotMove, match="that is not the code"):
            move(ann, ANN, NEW, IDS.code(grower_id(THIRD), NOW))

    def test_is_not_given_to_who_did_not_agree(self, store: Store) -> None:
        told(store, GiveCode(CODE_MARK))

        assert waiting(store) == []


class TestTheMove:
    def test_at_the_agents_word_needs_no_code(self, ann: Store) -> None:
        move(ann, ANN, NEW)

        assert village(ann, NEW) == "v1"

    @pytest.mark.parametrize(
        ("old", "new", "why"), [(ANN, ANN, "both numbers are the same"), (NEW, ANN, "nothing is kept")]
    )
    def test_that_cannot_be_is_refused(self, ann: Store, old: str, new: str, why: str) -> None:
        with pytest.raises(CannotMove, match=why):
            move(ann, old, new)

    def test_never_takes_the_place_of_another_record(self, ann: Store) -> None:
        told(ann, Agree(), Keep("grower.village", "v2"), number=NEW)

        with pytest.raises(CannotMove, match="has a record of its own"):
            move(ann, ANN, NEW, CODE)
        assert (village(ann, ANN), village(ann, NEW)) == ("v1", "v2")

    def test_ends_what_the_new_phone_had_begun(self, ann: Store) -> None:
        told(ann, number=NEW)
        assert of(ann, NEW).session is not None
        move(ann, ANN, NEW)

        assert of(ann, NEW).session is None

    def test_takes_along_what_waits_for_the_grower(self, ann: Store) -> None:
        Moving(ann, StandingClock(), IDS).move(ANN, NEW, None)

        (claimed,) = ann.claim(bucket_of(grower_id()), unix_ms(NOW) + 1000, 1, 100)

        parcel = msgspec.json.decode(claimed.body, type=Parcel)
        assert (parcel.number, parcel.text) == (NEW, f"{CODE}\nGood for a day.")

    def test_leaves_what_may_have_arrived_on_the_old_phone(self, ann: Store) -> None:
        assert waiting(ann) == [f"{CODE}\nGood for a day."]
        Moving(ann, StandingClock(), IDS).move(ANN, NEW, None)

        (again,) = ann.claim(bucket_of(grower_id()), unix_ms(NOW) + 9000, 1, 100)

        assert msgspec.json.decode(again.body, type=Parcel).number == ANN

    def test_a_stop_from_the_new_phone_holds_back_what_came_along(self, ann: Store) -> None:
        move(ann, ANN, NEW)
        told(ann, Stop(), number=NEW, id="m9")

        assert waiting(ann) == []

    def test_of_an_agent_takes_the_pin_along(self, store: Store) -> None:
        """The programme file then names the new number; the PIN belongs to the agent's key."""
        told(store, Agree())
        version, value = store.value(grower_id())
        stored = from_bytes(value)
        with_pin = replace(stored, record=replace(stored.record, pin=Pin("00:ff")))
        store.commit(Change(grower_id(), version, to_bytes(with_pin), unix_ms(NOW), heard=False))

        move(store, ANN, NEW)

        assert of(store, NEW).record.pin == Pin("00:ff")
        assert of(store, ANN).record.pin is None

    def test_brings_questions_figures_and_a_stop_along(self, ann: Store) -> None:
        told(ann, AskAgent("Why are my leaves pale?"), Stop(), id="m1")
        before = ann.counts("v1")
        move(ann, ANN, NEW)

        assert [question.text for question in of(ann, NEW).record.questions] == ["Why are my leaves pale?"]
        assert ann.counts("v1") == before
        assert of(ann, NEW).record.stopped is not None
        assert ann.stopped(grower_id(), IDS.number(NEW))

    def test_can_be_made_again_and_back(self, ann: Store) -> None:
        move(ann, ANN, NEW)
        move(ann, NEW, THIRD)
        assert (village(ann, THIRD), of(ann, NEW), of(ann, ANN)) == ("v1", Stored(), Stored())

        move(ann, THIRD, ANN)
        assert (village(ann, ANN), of(ann, THIRD), of(ann, NEW)) == ("v1", Stored(), Stored())

    def test_whoever_gets_the_old_number_begins_a_record_of_their_own(self, ann: Store) -> None:
        move(ann, ANN, NEW)
        told(ann, Agree(), Keep("grower.village", "v3"), id="m5")

        assert (village(ann, ANN), village(ann, NEW)) == ("v3", "v1")

    def test_that_is_relayed_twice_is_the_same(self, ann: Store) -> None:
        Moving(ann, StandingClock(), IDS).move(ANN, NEW, CODE)
        (bucket,) = ann.busy(0).relays
        (there,) = ann.relays(bucket, 9)
        relay(ann)
        told(ann, Keep("grower.village", "v4"), number=NEW, id="m6")
        assert relaying(ann)._applied(there)

        assert village(ann, NEW) == "v4"

    def test_is_undone_by_an_erase_from_the_new_number_and_by_its_operator(self, ann: Store) -> None:
        move(ann, ANN, NEW)
        inbound(ann, says("Erased.", Erase())).take(ussd("1", id="m7", number=NEW))
        relay(ann)
        assert (of(ann, NEW), ann.value(grower_id())) == (Stored(), (0, None))

        told(ann, Agree(), id="m8", number=THIRD)
        move(ann, THIRD, NEW)
        assert Erasing(ann, StandingClock(), BANDS).at_the_operators_word(NEW, IDS).known
        relay(ann)
        assert of(ann, NEW) == Stored()
