"""Consent taken back, everything erased, and records that nothing is heard of: what stays, what goes."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import msgspec
import pytest
from msgspec import structs

from advisor.dialogue.talk import Agree, Effect, Erase, Keep, Send, Withdraw
from advisor.records.grower import Grower
from advisor.service.changing import record_after
from advisor.service.clock import unix_ms
from advisor.service.erasing import Erasing, Removed
from advisor.service.errors import Busy, OtherBody
from advisor.service.inbound import Inbound
from advisor.service.stored import Stored
from advisor.store.api import Change, Conflict, Store, Verdict
from advisor.store.embedded import EmbeddedStore
from advisor.store.memory import DictStore
from advisor.store.names import bucket_of
from tests.service.stage import (
    ANN,
    BANDS,
    HOUR,
    IDS,
    NOW,
    StandingClock,
    dialogues,
    grower_id,
    inbound,
    relaying,
    rounds,
    says,
    session,
    sms,
    stored,
    ussd,
    waiting,
)

DAY = timedelta(days=1)
BUCKET = bucket_of(grower_id())
FACTS = (Keep("grower.village", "v1"), Keep("lot.origin", "bought"), Keep("lot.test", (45, 50)))


@pytest.fixture(params=[DictStore, EmbeddedStore])
def store(request: pytest.FixtureRequest) -> Store:
    return request.param()


def agreed(store: Store, *effects: Effect, id: str = "m0") -> None:  # noqa: A002
    """Ann agrees, says some facts, and asks for the list by SMS, which waits to be handed over."""
    told = (Agree(), *FACTS, Send("list", ("Buy 50 kg",)), *effects)
    inbound(store, says("Noted.", *told, to=session())).take(ussd("1", id=id))


def figures(store: Store) -> dict[str, int]:
    return {name: count for name, count in store.counts("v1").items() if count}


class TestAnErase:
    def test_leaves_the_mark_on_the_do_not_contact_list_and_nothing_else(self, store: Store) -> None:
        agreed(store)
        assert figures(store) == {"growers": 1, "started": 1, "tested": 1, "good": 1}

        inbound(store, says("All is erased.", Erase())).take(ussd("1", id="m1"))

        assert store.value(grower_id()) == (0, None)
        assert store.history(grower_id()) == ()
        assert figures(store) == {}
        assert waiting(store) == []
        assert store.stopped(grower_id(), grower_id())

    def test_sends_its_one_confirmation_by_sms_and_nothing_after(self, store: Store) -> None:
        agreed(store)

        inbound(store, says("All is erased.", Erase())).take(sms("1", id="m1"))

        assert waiting(store) == ["All is erased."]

    def test_asked_again_under_one_id_gives_the_first_answer_and_does_nothing(self, store: Store) -> None:
        agreed(store)
        erase = inbound(store, says("All is erased.", Erase()))
        first = erase.take(ussd("1", id="m1"))
        agreed(store, id="m2")

        again = erase.take(ussd("1", id="m1"))

        assert (again.body, again.outcome) == (first.body, "repeated")
        assert stored(store).record.agreed is not None

    def test_takes_the_text_of_earlier_answers_away_but_not_that_they_were_given(self, store: Store) -> None:
        agreed(store)
        inbound(store, says("All is erased.", Erase())).take(ussd("1", id="m1"))

        again = inbound(store, says("Anew")).take(ussd("1", id="m0"))

        assert (msgspec.json.decode(again.body), again.outcome) == ({"text": "", "open": False}, "repeated")
        assert store.value(grower_id()) == (0, None)
        with pytest.raises(OtherBody):
            inbound(store, says("Anew")).take(ussd("2", id="m0"))

    def test_an_earlier_sms_that_comes_again_is_acknowledged_and_answered_no_more(self, store: Store) -> None:
        inbound(store, says("Noted.", Agree())).take(sms("hello", id="m0"))
        inbound(store, says("All is erased.", Erase())).take(ussd("1", id="m1"))

        again = inbound(store, says("Anew")).take(sms("hello", id="m0"))

        assert msgspec.json.decode(again.body) == {"id": "m0"}
        assert waiting(store) == []

    def test_by_somebody_who_never_agreed_puts_the_number_on_the_list(self, store: Store) -> None:
        inbound(store, says("All is erased.", Erase())).take(ussd("1"))

        assert store.value(grower_id()) == (0, None)
        assert store.stopped(grower_id(), grower_id())

    def test_consent_given_again_takes_the_number_off_the_list_and_begins_anew(self, store: Store) -> None:
        agreed(store)
        inbound(store, says("All is erased.", Erase())).take(ussd("1", id="m1"))

        inbound(store, says("Welcome.", Agree())).take(ussd("1", id="m2"))

        assert stored(store) == Stored(Grower(ANN, agreed=NOW))
        assert not store.stopped(grower_id(), grower_id())

    def test_from_a_number_of_another_bucket_frees_that_number_too(self, store: Store) -> None:
        """Ann's number changed: the new one, which points to her, lies in another bucket."""
        agreed(store)
        new = next(number for end in range(99) if bucket_of(grower_id(number := f"+9990022{end:05}")) != BUCKET)
        at_ms = unix_ms(NOW)
        store.commit(Change(grower_id(new), 0, None, at_ms, pointer=(grower_id(new), grower_id())))

        inbound(store, says("All is erased.", Erase())).take(ussd("1", id="m1", number=new))
        relaying(store).apply_waiting(BUCKET)

        assert store.value(grower_id()) == (0, None)
        assert store.read(grower_id(new), "m9").grower == grower_id(new)
        assert store.stopped(grower_id(new), grower_id(new))
        assert store.relays(BUCKET, 10) == ()


class TestConsentTakenBack:
    def test_leaves_the_open_conversation_for_an_hour_and_a_mark_on_the_list(self, store: Store) -> None:
        agreed(store)
        open_until = session(until=NOW + 40 * HOUR)

        inbound(store, says("We keep nothing.", Withdraw(), to=open_until)).take(ussd("1", id="m1"))

        assert stored(store) == Stored(Grower(), structs.replace(open_until, until=NOW + HOUR))
        assert store.history(grower_id()) == ()
        assert figures(store) == {}
        assert waiting(store) == []
        assert store.lapse(BUCKET, unix_ms(NOW + HOUR), 10) == 1
        assert store.value(grower_id()) == (0, None)

    def test_puts_the_number_on_the_list_until_consent_is_given_again(self, store: Store) -> None:
        agreed(store)
        inbound(store, says("We keep nothing.", Withdraw(), to=session())).take(ussd("1", id="m1"))
        assert store.stopped(grower_id(), grower_id())

        inbound(store, says("Area?", Keep("plot.area", 10.0), to=session())).take(ussd("1", id="m2"))
        assert store.stopped(grower_id(), grower_id()), "a call alone is no consent"

        inbound(store, says("Noted.", Agree())).take(ussd("1", id="m3"))
        assert not store.stopped(grower_id(), grower_id())
        assert stored(store).record == Grower(ANN, agreed=NOW)

    def test_goes_on_answering(self, store: Store) -> None:
        agreed(store)
        inbound(store, says("We keep nothing.", Withdraw(), to=session())).take(ussd("1", id="m1"))

        inbound(store, says("Buy 50 kg", Keep("plot.area", 10.0), to=session())).take(sms("1", id="m2"))

        assert waiting(store) == ["Buy 50 kg"]
        assert stored(store).record == Grower()

    def test_keeps_the_mark_of_a_stop(self) -> None:
        record = Grower(ANN, agreed=NOW, stopped=NOW).knows("plot.area", 10.0, NOW)

        assert record_after(record, (Withdraw(),), ANN, NOW) == Grower(stopped=NOW)
        assert record_after(record, (Erase(),), ANN, NOW) == Grower()


class TestAtTheOperatorsWord:
    def test_everything_goes_and_is_said_in_counts(self, store: Store) -> None:
        agreed(store)

        removed = Erasing(store, StandingClock(), BANDS).at_the_operators_word(ANN, IDS)

        assert removed == Removed(known=True, facts=3, lines=1)
        assert store.value(grower_id()) == (0, None)
        assert store.history(grower_id()) == ()
        assert figures(store) == {}
        assert waiting(store) == []
        assert store.stopped(grower_id(), grower_id())

    def test_a_number_nobody_knows_is_put_on_the_list_all_the_same(self, store: Store) -> None:
        removed = Erasing(store, StandingClock(), BANDS).at_the_operators_word(ANN, IDS)

        assert removed == Removed(known=False, facts=0, lines=0)
        assert store.stopped(grower_id(), grower_id())

    def test_a_grower_who_writes_meanwhile_is_erased_all_the_same(self) -> None:
        class Overtaken(DictStore):
            times = 0

            def commit(self, change: Change) -> Verdict:
                if change.forgets and self.times < 3:
                    self.times += 1
                    inbound(self, says("Noted.", *FACTS)).take(sms("hello", id=f"w{self.times}"))
                    return super().commit(change)
                return super().commit(change)

        store = Overtaken()
        agreed(store)

        removed = Erasing(store, StandingClock(), BANDS).at_the_operators_word(ANN, IDS)

        assert removed.lines == 4
        assert store.value(grower_id()) == (0, None)
        assert waiting(store) == []

    def test_one_who_never_stops_writing_is_told_of_and_nothing_is_changed(self) -> None:
        class Overtaken(DictStore):
            def commit(self, change: Change) -> Verdict:
                return Conflict() if change.forgets else super().commit(change)

        store = Overtaken()
        agreed(store)

        with pytest.raises(Busy):
            Erasing(store, StandingClock(), BANDS).at_the_operators_word(ANN, IDS)

        assert stored(store).record.agreed is not None

    def test_no_number_reaches_the_log(self, store: Store, caplog: pytest.LogCaptureFixture) -> None:
        caplog.set_level("INFO", logger="advisor")
        agreed(store)

        Erasing(store, StandingClock(), BANDS).at_the_operators_word(ANN, IDS)

        assert "event=erase" in caplog.text
        assert ANN[1:] not in caplog.text


class TestRetention:
    def test_a_record_goes_once_nothing_was_heard_for_the_programmes_time(self, store: Store) -> None:
        clock = StandingClock()
        _keeping(store, clock, 30).take(ussd("1", id="m0"))
        clock.at += 30 * DAY - timedelta(seconds=1)
        rounds(store, clock).go_over()
        assert stored(store).record.agreed is not None

        clock.at += timedelta(seconds=1)
        rounds(store, clock).go_over()

        assert store.value(grower_id()) == (0, None)
        assert store.history(grower_id()) == ()
        assert figures(store) == {}
        assert not store.stopped(grower_id(), grower_id()), "who comes again is welcome"

    def test_whoever_is_heard_of_stays(self, store: Store) -> None:
        clock = StandingClock()
        _keeping(store, clock, 30).take(ussd("1", id="m0"))
        clock.at += 29 * DAY
        _keeping(store, clock, 30).take(ussd("1", id="m1", at=clock.at))
        clock.at += 29 * DAY

        rounds(store, clock).go_over()

        assert stored(store).record.agreed is not None

    def test_a_value_that_cannot_be_read_holds_no_other_back(self) -> None:
        store, clock = DictStore(), StandingClock()
        store.commit(Change(grower_id()[:2] + "0" * 14, 0, b"?", unix_ms(NOW), idle_ms=unix_ms(NOW) + 1))
        _keeping(store, clock, 30).take(ussd("1", id="m0"))
        clock.at += 30 * DAY

        assert Erasing(store, clock, BANDS).those_not_heard_of(BUCKET, 10) == 1

    def test_no_more_than_asked_go_at_once(self) -> None:
        store, clock = DictStore(), StandingClock()
        for end in range(3):
            store.commit(Change(grower_id()[:2] + f"{end:014}", 0, b'{"v":1}', unix_ms(NOW), idle_ms=unix_ms(NOW)))

        assert [Erasing(store, clock, BANDS).those_not_heard_of(BUCKET, 2) for _ in range(3)] == [2, 1, 0]


def _keeping(store: Store, clock: StandingClock, days: int) -> Inbound:
    """A service that keeps records for so many days."""
    told = replace(dialogues(says("Noted.", Agree(), *FACTS)), retention=timedelta(days=days))
    return replace(inbound(store, says("")), current=lambda: told, clock=clock)
