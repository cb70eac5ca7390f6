"""Stop and start again: what is held back, what is answered, and what is left of somebody who never agreed."""

from __future__ import annotations

from datetime import timedelta

import pytest

from advisor.dialogue.talk import Agree, Effect, Send, Start, Stop
from advisor.records.grower import Grower
from advisor.service.clock import unix_ms
from advisor.service.stored import Stored
from advisor.store.memory import DictStore
from advisor.store.names import bucket_of
from tests.service.stage import ANN, HOUR, NOW, grower_id, inbound, says, session, sms, stored, ussd, waiting


class TestAStop:
    def test_a_stop_is_kept_as_a_mark_without_a_number(self) -> None:
        store = DictStore()

        inbound(store, says("Stopped.", Stop())).take(sms("stop"))

        assert stored(store) == Stored(Grower(stopped=NOW))
        assert store.stopped(grower_id(), grower_id())

    def test_stop_holds_back_what_was_waiting_but_not_its_own_confirmation(self) -> None:
        store = DictStore()
        inbound(store, says("Noted.", Agree(), Send("list", ("page 1",)))).take(sms("yes"))

        inbound(store, says("Stopped.", Stop())).take(sms("stop", id="m2"))

        assert waiting(store) == ["Stopped."]

    def test_who_asks_after_a_stop_is_answered(self) -> None:
        store = DictStore()
        inbound(store, says("Stopped.", Agree(), Stop())).take(sms("stop"))

        inbound(store, says("Menu")).take(sms("menu", id="m2"))

        assert sorted(waiting(store)) == ["Menu", "Stopped."]

    def test_consent_given_again_takes_the_stop_away(self) -> None:
        store = DictStore()
        inbound(store, says("Stopped.", Agree(), Stop())).take(sms("stop"))

        inbound(store, says("Welcome back.", Agree())).take(ussd("1", id="m2"))

        assert stored(store).record.stopped is None
        assert not store.stopped(grower_id(), grower_id())


class TestAStopTakenBack:
    def test_by_a_message_sent_before_the_stop_it_is_not(self) -> None:
        """The network held the earlier message up; the grower's last word was stop."""
        store = DictStore()
        inbound(store, says("Welcome.", Agree())).take(ussd("1", id="m0", at=NOW - timedelta(minutes=9)))
        inbound(store, says("Stopped.", Stop())).take(sms("stop", at=NOW - timedelta(minutes=1)))

        inbound(store, says("Messages again.", Start())).take(ussd("1", id="m2", at=NOW - timedelta(minutes=2)))

        assert stored(store).record.stopped is not None
        assert store.stopped(grower_id(), grower_id())

    def test_takes_the_number_off_the_list_and_the_mark_out_of_the_record(self) -> None:
        store = DictStore()
        inbound(store, says("Stopped.", Agree(), Stop())).take(sms("stop"))

        inbound(store, says("Messages again.", Start())).take(ussd("1", id="m2"))

        assert stored(store) == Stored(Grower(ANN, agreed=NOW))
        assert not store.stopped(grower_id(), grower_id())

    def test_leaves_nothing_of_somebody_who_never_agreed(self) -> None:
        store = DictStore()
        inbound(store, says("Stopped.", Stop())).take(sms("stop"))

        inbound(store, says("Messages again.", Start())).take(ussd("1", id="m2"))

        assert store.value(grower_id()) == (0, None)
        assert not store.stopped(grower_id(), grower_id())

    @pytest.mark.parametrize("effect", [Start(), Agree()])
    def test_takes_effect_though_the_mark_lapsed_with_an_unconsented_session(self, effect: Effect) -> None:
        store = DictStore()
        inbound(store, says("Stopped.", Stop())).take(sms("stop"))
        inbound(store, says("Area?", to=session())).take(ussd(id="m2"))
        assert store.lapse(bucket_of(grower_id()), unix_ms(NOW + HOUR), 10) == 1
        assert store.stopped(grower_id(), grower_id())

        inbound(store, says("Welcome back.", effect)).take(ussd("1", id="m3"))

        assert not store.stopped(grower_id(), grower_id())

    def test_is_not_needed_to_be_answered_though_the_mark_lapsed(self) -> None:
        store = DictStore()
        inbound(store, says("", Stop())).take(sms("stop"))
        inbound(store, says("Area?", to=session())).take(ussd(id="m2"))
        store.lapse(bucket_of(grower_id()), unix_ms(NOW + HOUR), 10)

        inbound(store, says("Menu")).take(sms("menu", id="m3"))

        assert waiting(store) == ["Menu"]
