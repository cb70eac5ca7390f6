"""A message that is older than its id is remembered, and an id that is used again."""

from __future__ import annotations

from datetime import timedelta

import msgspec
import pytest

from advisor.dialogue.talk import Agree, Stop
from advisor.records.grower import Grower
from advisor.service.changing import Message
from advisor.service.clock import unix_ms
from advisor.store.memory import DictStore
from advisor.store.names import bucket_of
from tests.service.stage import (
    ANN,
    NOW,
    StandingClock,
    counting,
    echo,
    grower_id,
    inbound,
    says,
    session,
    sms,
    stored,
    ussd,
    waiting,
)
from tests.store.samples import settle


class TestAnOldMessage:
    def test_is_answered_and_changes_nothing(self) -> None:
        store = DictStore()
        step, taken = counting(echo)

        answer = inbound(store, step).take(ussd("2", at=NOW - timedelta(hours=72, seconds=1)))

        assert (msgspec.json.decode(answer.body), answer.outcome) == ({"text": "", "open": False}, "stale")
        assert (taken(), store.value(grower_id())) == (0, (0, None))

    def test_is_old_only_beyond_the_memory(self) -> None:
        clock, store = StandingClock(NOW - timedelta(hours=100)), DictStore()
        inbound(store, says("Welcome.", Agree()), clock).take(ussd("1", id="m0", at=clock.now()))

        answer = inbound(store, echo).take(ussd("2", at=NOW - timedelta(hours=72)))
        assert answer.outcome == "moved"

    @pytest.mark.parametrize(("minutes", "outcome"), [(60, "moved"), (61, "stale")])
    def test_before_consent_is_old_after_an_hour_since_ids_are_forgotten_then(
        self, minutes: int, outcome: str
    ) -> None:
        answer = inbound(DictStore(), echo).take(ussd("2", at=NOW - timedelta(minutes=minutes)))

        assert answer.outcome == outcome

    def test_from_before_the_consent_is_old_after_an_hour_too(self) -> None:
        clock, store = StandingClock(NOW - timedelta(hours=2)), DictStore()
        inbound(store, says("Stopped.", Stop()), clock).take(sms("stop", id="s1", at=clock.now()))
        clock.at += timedelta(minutes=10)
        inbound(store, says("Welcome.", Agree()), clock).take(ussd("1", id="m0", at=clock.now()))
        clock.at = NOW

        again = inbound(store, says("Stopped.", Stop()), clock).take(
            sms("stop", id="s1", at=NOW - timedelta(hours=2))
        )

        assert again.outcome in ("stale", "repeated")
        assert stored(store).record.stopped is None

    def test_by_sms_leaves_no_reply(self) -> None:
        store = DictStore()

        answer = inbound(store, echo).take(sms("2", at=NOW - timedelta(hours=100)))

        assert msgspec.json.decode(answer.body) == {"id": "m1"}
        assert waiting(store) == []

    def test_that_was_answered_in_time_gets_its_answer_still(self) -> None:
        clock, store = StandingClock(), DictStore()
        use = inbound(store, echo, clock)
        first = use.take(ussd("2", at=NOW - timedelta(hours=71)))
        clock.at += timedelta(hours=2)

        assert use.take(ussd("2", at=NOW - timedelta(hours=71))).body == first.body


class TestAnIdUsedAgainOnceItIsForgotten:
    def test_gets_its_reply_delivered(self) -> None:
        store, clock = DictStore(), StandingClock()
        use = inbound(store, says("Yes", Agree()), clock)
        use.take(sms("first"))
        settle(store, sent_oid(store), 0, "sent", unix_ms(clock.now()))
        clock.at += timedelta(hours=73)
        store.lapse(bucket_of(grower_id()), unix_ms(clock.at), 1)  # a round, by which this store learns the time

        use.take(sms("second", at=clock.at))

        assert waiting(store, after=timedelta(hours=73)) == ["Yes"]


def sent_oid(store: DictStore) -> str:
    (claimed,) = store.claim(bucket_of(grower_id()), unix_ms(NOW), 1, 1)
    return claimed.oid


def test_each_step_is_given_session_record_and_the_moment() -> None:
    given: list[object] = []
    store = DictStore()
    inbound(store, says("Area?", Agree(), to=session())).take(ussd("1"))
    message: Message = ussd("2", id="m2")

    inbound(store, lambda *all_of_them: given.extend(all_of_them) or echo(*all_of_them)).take(message)

    assert given == [session(), Grower(ANN, agreed=NOW), message.event, NOW]
