"""The gateway's trouble is told from a message's own, and all senders together keep to what it takes."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, timedelta
from typing import Any

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.dialogue.talk import Send
from advisor.service.backoff import ATTEMPTS
from advisor.service.clock import unix_ms
from advisor.service.outgoing import Parcel
from advisor.service.posting import NOT_REACHED, Response
from advisor.service.verdicts import IN_A_ROW, LONGEST_ASKED_S, Result, verdict_of
from advisor.store.api import Settlement, Terms
from advisor.store.memory import DictStore
from advisor.store.names import bucket_of
from tests.service.pacing import BUCKET, DAY_S, PHONES, Gateway, go, sender, store_with
from tests.service.stage import NOW, StandingClock, grower_id, inbound, rounds, says, sms


class TestAGatewayBeingSetUpAnew:
    @pytest.mark.parametrize(
        "answer", [*(Response(status) for status in (401, 403, 404, 500, 503, 0)), NOT_REACHED]
    )
    def test_loses_nothing_however_many_wait_and_is_asked_seldom(self, answer: Response) -> None:
        store, oids = store_with(100)
        clock = StandingClock()
        back_s = 2 * 3600.0
        gateway = Gateway(clock, lambda _oid: answer if clock.monotonic_s() < back_s else Response(200))
        one = sender(store, clock, gateway)

        go(store, clock, one, back_s, pause_s=20)
        asked = len(gateway.begun)
        go(store, clock, one, 2 * 3600, pause_s=60)

        assert {store.state(oid) for oid in oids} == {"sent"}
        assert asked < back_s / 50, "once a minute, after the first"

    def test_is_told_from_one_message_that_it_does_not_like(self) -> None:
        store, oids = store_with(200)
        clock = StandingClock()
        gateway = Gateway(clock, lambda oid: Response(404 if oid == oids[7] else 200))

        go(store, clock, sender(store, clock, gateway), 30)

        assert {store.state(oid) for oid in oids[:7] + oids[8:]} == {"sent"}, "nobody waits for it"
        go(store, clock, sender(store, clock, gateway), 4 * 3600, pause_s=60)
        assert (store.state(oids[7]), gateway.oids.count(oids[7])) == ("dead", ATTEMPTS)

    @pytest.mark.parametrize(("status", "may_have_it"), [(404, False), (500, True)])
    def test_is_not_taken_to_have_what_it_said_it_does_not_know(self, status: int, may_have_it: bool) -> None:
        """Whoever lets a message leave again after it was given up goes by that."""
        store, oids = store_with(1)
        clock = StandingClock()

        go(store, clock, sender(store, clock, Gateway(clock, lambda _oid: Response(status))), 4 * 3600, pause_s=60)

        assert store.state(oids[0]) == "dead"
        assert (store._outs[oids[0]].begun_ms > 0) is may_have_it

    def test_is_told_from_several_messages_that_it_does_not_like(self) -> None:
        store, oids = store_with(200)
        clock = StandingClock()
        bad = set(sorted(oids)[::40])
        gateway = Gateway(clock, lambda oid: Response(404 if oid in bad else 200))

        go(store, clock, sender(store, clock, gateway), 20)

        assert {store.state(oid) for oid in set(oids) - bad} == {"sent"}, "nobody waits for them"
        assert len(gateway.begun) < 200 + 5 * len(bad)

    def test_is_told_from_one_message_that_is_all_there_is(self) -> None:
        store, oids = store_with(1)
        clock = StandingClock()
        gateway = Gateway(clock, lambda _oid: Response(500))

        go(store, clock, sender(store, clock, gateway), 4 * 3600, pause_s=60)

        assert (store.state(oids[0]), len(gateway.begun)) == ("dead", ATTEMPTS)


class TestTooManyRequests:
    @pytest.mark.parametrize("status", [429, 503])
    def test_slow_every_sender_and_not_only_one_message(self, status: int) -> None:
        store, oids = store_with(60)
        clock = StandingClock()
        answers = [Response(200)] * 5 + [Response(status, asked_s=30)]
        gateway = Gateway(clock, lambda _oid: answers.pop(0) if answers else Response(200))
        senders = [sender(store, clock, gateway) for _ in range(2)]

        rounds(store, clock, senders[0]).go_over()
        told_s = gateway.begun[5][1]
        while clock.monotonic_s() < 40:
            for one in senders:
                rounds(store, clock, one).go_over()
            clock.wait(0.5)

        early = [at_s for _, at_s in gateway.begun[6:] if at_s < told_s + 30]
        assert early == []
        assert {store.state(oid) for oid in oids} == {"sent"}

    def test_cost_a_message_no_attempt(self) -> None:
        store, oids = store_with(1)
        clock = StandingClock()
        answers = [Response(429)] * 40
        gateway = Gateway(clock, lambda _oid: answers.pop(0) if answers else Response(200))

        go(store, clock, sender(store, clock, gateway), 6 * 3600, pause_s=10)

        assert (store.state(oids[0]), len(gateway.begun)) == ("sent", 41)

    def test_keep_the_pages_of_an_answer_in_their_order(self) -> None:
        store, clock = DictStore(), StandingClock()
        inbound(store, says("1 of 3", Send("list", ("2 of 3", "3 of 3")))).take(sms("list"))
        clock.wait(1)
        answers = [Response(429, asked_s=20), Response(200), Response(429), Response(500)]
        texts: list[str] = []

        def post(oid: str, body: bytes, may_begin: object) -> Response:
            answer = answers.pop(0) if answers else Response(200)
            if answer.status == 200:
                texts.append(msgspec.json.decode(body)["text"])
            return answer

        senders = [sender(store, clock, post) for _ in range(3)]
        while clock.monotonic_s() < 120:
            for one in senders:
                rounds(store, clock, one).go_over()
            clock.wait(0.2)

        assert texts == ["1 of 3", "2 of 3", "3 of 3"]

    def test_hold_back_the_pages_that_were_claimed_with_the_one_that_is_put_off(self) -> None:
        store, clock = DictStore(), StandingClock()
        inbound(store, says("1 of 3", Send("list", ("2 of 3", "3 of 3")))).take(sms("list"))
        clock.wait(1)
        gateway = Gateway(clock, lambda _oid: Response(500))

        sender(store, clock, gateway).send_due(BUCKET)

        assert len(gateway.begun) == 1
        assert store.backlog(unix_ms(clock.now()) + 10_000).outbox == 3, "they wait behind it"


class TestTheGatewaysMemory:
    def test_over_a_message_that_it_may_have_is_put_aside_and_not_repeated(self) -> None:
        store, oids = store_with(1)
        clock = StandingClock()
        gateway = Gateway(clock, lambda _oid: Response(0))
        one = sender(store, clock, gateway)
        one.send_due(bucket_of(grower_id(PHONES[0])))
        clock.wait(DAY_S - 60)
        one.send_due(bucket_of(grower_id(PHONES[0])))
        assert len(gateway.begun) == 2, "it is known again"
        clock.wait(3600)

        one.send_due(bucket_of(grower_id(PHONES[0])))

        assert len(gateway.begun) == 2
        (aside,) = store.aside(bucket_of(oids[0][1:3] + "0" * 14))
        assert (aside.oid, aside.state, aside.round) == (oids[0], "unknown", "weeding")
        assert msgspec.json.decode(aside.body, type=Parcel).text == "Weed now"

    @pytest.mark.parametrize("answer", [NOT_REACHED, Response(429), Response(404)])
    def test_does_not_matter_where_it_cannot_have_it(self, answer: Response) -> None:
        store, oids = store_with(1)
        clock = StandingClock()
        gateway = Gateway(clock, lambda _oid: answer if clock.monotonic_s() < 60 else Response(200))
        one = sender(store, clock, gateway)
        go(store, clock, one, 60, pause_s=20)
        clock.wait(25 * 3600)

        go(store, clock, one, 60, pause_s=20)

        assert store.state(oids[0]) == "sent"

    def test_is_not_waited_for_where_the_messages_own_time_is_over(self) -> None:
        store, oids = store_with(1, hours=1)
        clock = StandingClock()
        gateway = Gateway(clock, lambda _oid: Response(0))

        go(store, clock, sender(store, clock, gateway), 3700, pause_s=20)

        assert store.state(oids[0]) == "unknown"

    def test_is_for_the_stores_state_alone_once_a_receipt_comes(self) -> None:
        store, oids = store_with(1, hours=1)
        clock = StandingClock()
        go(store, clock, sender(store, clock, Gateway(clock, lambda _oid: Response(0))), 3700, pause_s=20)

        store.settle(int(oids[0][1:3], 16), [Settlement(oids[0], None, "delivered")], unix_ms(clock.now()))

        assert store.state(oids[0]) == "delivered"


class TestTheWholeRate:
    @pytest.mark.parametrize("senders", [1, 3])
    def test_is_kept_to_by_all_senders_together(self, senders: int) -> None:
        store, _ = store_with(300)
        clock = StandingClock()
        gateway = Gateway(clock, lambda _oid: Response(200), takes_s=0.001)
        going = [sender(store, clock, gateway, per_second=20) for _ in range(senders)]

        while len(gateway.begun) < 300 and clock.monotonic_s() < 60:
            for one in going:
                rounds(store, clock, one).go_over()

        times = sorted(at_s for _, at_s in gateway.begun)
        assert len(times) == 300
        for first, last in zip(times, times[60:], strict=False):
            assert last - first > 0.9, "60 take two seconds at least, but for what was in hand"
        assert times[-1] < 30, "and it is made use of"

    def test_goes_to_answers_first(self) -> None:
        store, oids = store_with(200)
        clock = StandingClock()
        gateway = Gateway(clock, lambda _oid: Response(200), takes_s=0.001)
        one = sender(store, clock, gateway, per_second=10)
        go(store, clock, one, 2, pause_s=0.1)
        inbound(store, says("Menu"), clock).take(sms("menu", at=clock.now()))
        asked = len(gateway.begun)

        go(store, clock, one, 1, pause_s=0.1)

        later = gateway.oids[asked : asked + 6]
        assert any(oid not in oids for oid in later), "one of the very next"


class TestTheVerdict:
    statuses = st.integers(0, 599)

    @given(statuses, st.integers(1, 20), st.integers(0, 400), st.floats(0, 1e5), st.booleans())
    def test_gives_up_only_what_counts_and_holds_an_hour_at_most(
        self, status: int, attempts: int, troubled: int, asked_s: float, reached: bool
    ) -> None:
        verdict = verdict_of(Response(status, asked_s, reached), attempts, troubled)

        assert 0 <= verdict.hold_s <= LONGEST_ASKED_S
        if verdict.result is Result.GIVEN_UP:
            assert attempts >= ATTEMPTS
            assert troubled < IN_A_ROW
        if not verdict.counts or verdict.hold_s:
            assert verdict.result is Result.LATER

    def test_a_wait_that_is_asked_for_is_everybodys(self) -> None:
        assert verdict_of(Response(429, 7.0), 1, 1).hold_s == 7.0
        assert verdict_of(Response(503, 7.0), 1, 1).hold_s == 7.0
        assert verdict_of(Response(500, 7.0), 1, 1).hold_s == 0.0


def test_terms_are_asked_for_at_each_claim() -> None:
    asked = []

    def terms(now: Any) -> Terms:
        asked.append(now)
        return Terms()

    store, _ = store_with(3)
    clock = StandingClock()
    going = replace(sender(store, clock, Gateway(clock, lambda _oid: Response(200))), terms=terms)

    go(store, clock, going, 3)

    assert asked
    assert all(now.tzinfo is UTC and now - NOW < timedelta(seconds=9) for now in asked)
