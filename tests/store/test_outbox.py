"""Outgoing messages: queued once, claimed by one sender at a time, settled upwards only."""

from __future__ import annotations

import time
from collections.abc import Callable

import pytest

from advisor.store import keys
from advisor.store.api import STATE_RANK, Claimed, Claims, Out, Store
from advisor.store.encoding import OutRecord
from advisor.store.plans import Keeps
from advisor.store.redis_store import RedisStore
from tests.servers import RedisServer
from tests.store.conftest import Made
from tests.store.samples import ANN, BEN, DAY_MS, HOUR_MS, MINUTE_MS, NOON_MS, change, out, settle

BUCKET = int(ANN[:2], 16)

Queue = Callable[..., tuple[Out, ...]]


@pytest.fixture
def queue(store: Store) -> Queue:
    """Puts messages into Ann's outbox."""

    def put(*outs: Out, **more: object) -> tuple[Out, ...]:
        version, _ = store.value(ANN)
        store.commit(change(version=version, outs=outs, **more))
        return outs

    return put


def claimed_names(store: Store, now_ms: int = NOON_MS, most: int = 10) -> list[str]:
    return [claimed.body.decode() for claimed in store.claim(BUCKET, now_ms, MINUTE_MS, most)]


class TestClaiming:
    def test_a_due_message_is_handed_out_with_all_a_sender_needs(self, store: Store, queue: Queue) -> None:
        (only,) = queue(out(body=b"\0 any bytes \xff", lane=1))

        assert store.state(only.oid) == "queued"
        assert tuple(store.claim(BUCKET, NOON_MS, MINUTE_MS, 10)) == (
            Claimed(only.oid, 1, b"\0 any bytes \xff", 1, NOON_MS + HOUR_MS, grower=ANN),
        )

    def test_answers_go_before_alerts_before_rounds_and_the_oldest_first(self, store: Store, queue: Queue) -> None:
        queue(
            out(name="round", lane=2, not_before_ms=NOON_MS - 9),
            out(name="alert", lane=1),
            out(name="answer", lane=0),
            out(name="older answer", lane=0, not_before_ms=NOON_MS - 5),
        )

        assert claimed_names(store) == ["older answer", "answer", "alert", "round"]

    def test_no_more_than_asked_are_claimed(self, store: Store, queue: Queue) -> None:
        queue(*(out(name=f"page {page}", lane=page % 3) for page in range(6)))

        assert [len(claimed_names(store, most=4)) for _ in range(3)] == [4, 2, 0]

    def test_it_is_said_whether_more_is_due(self, store: Store, queue: Queue) -> None:
        queue(
            *(out(name=f"page {page}", lane=page % 3) for page in range(5)),
            out(name="later", not_before_ms=NOON_MS + 5),
        )

        claims = [store.claim(BUCKET, NOON_MS, MINUTE_MS, most) for most in (2, 3, 3)]

        assert [(len(claim), claim.more) for claim in claims] == [(2, True), (3, False), (0, False)]

    def test_what_is_not_due_waits(self, store: Store, queue: Queue) -> None:
        queue(out(not_before_ms=NOON_MS + 5))

        assert claimed_names(store, NOON_MS + 4) == []
        assert store.busy(NOON_MS + 4).outbox == ()
        assert store.busy(NOON_MS + 5).outbox == (BUCKET,)
        assert claimed_names(store, NOON_MS + 5) == ["answer"]

    def test_a_claimed_message_is_nobody_elses_until_the_lease_ends(self, store: Store, queue: Queue) -> None:
        (only,) = queue(out())

        assert claimed_names(store) == ["answer"]
        assert claimed_names(store, NOON_MS + MINUTE_MS - 1) == []
        (again,) = store.claim(BUCKET, NOON_MS + MINUTE_MS, MINUTE_MS, 10)
        assert (again.oid, again.attempts) == (only.oid, 2)

    def test_a_message_past_its_time_expires_and_is_not_handed_out(self, store: Store, queue: Queue) -> None:
        (only,) = queue(out(expires_ms=NOON_MS))

        assert claimed_names(store, NOON_MS + 1) == []
        assert store.state(only.oid) == "expired"
        assert store.busy(NOON_MS + DAY_MS).outbox == ()

    def test_the_first_attempt_that_the_gateway_may_know_of_is_told_to_each_later_one(
        self, store: Store, queue: Queue
    ) -> None:
        (only,) = queue(out())

        begun = [store.claim(BUCKET, NOON_MS + minute * MINUTE_MS, MINUTE_MS, 1) for minute in range(3)]

        assert [claims.taken[0].begun_ms for claims in begun] == [0, NOON_MS, NOON_MS]
        settle(store, only.oid, 0, "later", NOON_MS, NOON_MS, attempts=0, begun_ms=0)
        (again,) = store.claim(BUCKET, NOON_MS + HOUR_MS, MINUTE_MS, 1)
        assert (again.begun_ms, again.attempts) == (0, 1)

    def test_one_that_the_gateway_may_have_is_handed_out_past_its_time_to_be_put_aside(
        self, store: Store, queue: Queue
    ) -> None:
        (only,) = queue(out(expires_ms=NOON_MS))
        assert claimed_names(store, NOON_MS) == ["answer"]

        (late,) = store.claim(BUCKET, NOON_MS + MINUTE_MS, MINUTE_MS, 10)

        assert (late.oid, late.begun_ms) == (only.oid, NOON_MS)

    def test_after_a_stop_only_its_confirmation_leaves(self, store: Store, queue: Queue) -> None:
        (held_back,) = queue(out(name="reminder", to=ANN))
        queue(out(name="confirmation"), stop=(ANN, True))

        assert claimed_names(store) == ["confirmation"]
        assert store.state(held_back.oid) == "failed"

    def test_somebody_elses_stop_holds_nothing_back(self, store: Store, queue: Queue) -> None:
        queue(out(name="reminder", to=ANN), stop=(BEN, True))

        assert claimed_names(store) == ["reminder"]

    def test_a_message_queued_twice_is_one_message(self, store: Store, queue: Queue) -> None:
        (only,) = queue(out())
        assert claimed_names(store) == ["answer"]
        queue(out(body=b"changed", not_before_ms=NOON_MS - 5))
        assert claimed_names(store) == [], "the lease holds"
        settle(store, only.oid, 0, "sent", NOON_MS)
        queue(out())

        assert claimed_names(store, NOON_MS + DAY_MS) == []


class TestSettling:
    @pytest.mark.parametrize("lane", [0, 1, 2, None])
    @pytest.mark.parametrize("state", ["sent", "failed", "expired", "delivered"])
    def test_a_settled_message_is_not_handed_out_again(
        self, store: Store, queue: Queue, state: str, lane: int | None
    ) -> None:
        (only,) = queue(out(lane=lane or 0))
        assert claimed_names(store) == ["answer"]

        settle(store, only.oid, lane, state, NOON_MS)

        assert store.state(only.oid) == state
        assert claimed_names(store, NOON_MS + MINUTE_MS) == []
        assert store.busy(NOON_MS + DAY_MS).outbox == ()

    @pytest.mark.parametrize("first", [state for state in STATE_RANK if state != "queued"])
    @pytest.mark.parametrize("second", ["sent", "failed", "expired", "delivered", "later"])
    def test_states_only_move_up(self, store: Store, queue: Queue, first: str, second: str) -> None:
        (only,) = queue(out())
        settle(store, only.oid, 0, first, NOON_MS)

        settle(store, only.oid, 0, second, NOON_MS, NOON_MS if second == "later" else None)

        moves = second != "later" and STATE_RANK[second] > STATE_RANK[first]
        assert store.state(only.oid) == (second if moves else first)
        assert claimed_names(store, NOON_MS + MINUTE_MS) == []

    def test_a_receipt_that_overtakes_the_acknowledgement_stands(self, store: Store, queue: Queue) -> None:
        (only,) = queue(out(lane=2))
        store.claim(BUCKET, NOON_MS, MINUTE_MS, 1)
        settle(store, only.oid, None, "delivered", NOON_MS)
        settle(store, only.oid, 2, "sent", NOON_MS)

        assert store.state(only.oid) == "delivered"

    def test_later_tries_again_then_and_not_before(self, store: Store, queue: Queue) -> None:
        (only,) = queue(out())
        store.claim(BUCKET, NOON_MS, MINUTE_MS, 1)

        settle(store, only.oid, 0, "later", NOON_MS, NOON_MS + 5 * MINUTE_MS)

        assert claimed_names(store, NOON_MS + 5 * MINUTE_MS - 1) == []
        (again,) = store.claim(BUCKET, NOON_MS + 5 * MINUTE_MS, MINUTE_MS, 1)
        assert again.attempts == 2

    def test_later_of_a_claim_whose_lease_is_over_changes_nothing_for_the_next(
        self, store: Store, queue: Queue
    ) -> None:
        """A process that stood still, as on a machine that is moved, gives back what another has taken since."""
        (only,) = queue(out())
        (slow,) = store.claim(BUCKET, NOON_MS, MINUTE_MS, 1)
        (quick,) = store.claim(BUCKET, NOON_MS + MINUTE_MS, MINUTE_MS, 1)
        assert (slow.attempts, quick.attempts) == (1, 2)

        given_back = {"claim": slow.attempts, "attempts": 0, "begun_ms": 0}
        settle(store, only.oid, 0, "later", NOON_MS + MINUTE_MS, NOON_MS, **given_back)

        assert len(store.claim(BUCKET, NOON_MS + 2 * MINUTE_MS - 1, MINUTE_MS, 1)) == 0, "it is still taken"
        (third,) = store.claim(BUCKET, NOON_MS + 2 * MINUTE_MS, MINUTE_MS, 1)
        assert (third.attempts, third.begun_ms) == (3, NOON_MS), "the gateway may have it since the first attempt"

    def test_later_without_a_moment_is_refused(self, store: Store, queue: Queue) -> None:
        (only,) = queue(out())

        with pytest.raises(ValueError, match="again_ms"):
            settle(store, only.oid, 0, "later", NOON_MS)

    def test_an_unknown_state_is_refused(self, store: Store, queue: Queue) -> None:
        (only,) = queue(out())

        with pytest.raises(ValueError, match="allowed are"):
            settle(store, only.oid, 0, "lost", NOON_MS)

    def test_a_receipt_for_an_unknown_message_changes_nothing(self, store: Store) -> None:
        settle(store, "b07-unknown", None, "delivered", NOON_MS)

        assert store.state("b07-unknown") is None

    def test_a_state_is_forgotten_after_its_time(self, made: Made) -> None:
        store = made(Keeps(marks_ms=40))
        only = out()
        store.commit(change(outs=(only,)))
        settle(store, only.oid, 0, "sent", NOON_MS)
        time.sleep(0.06)
        store.commit(change(BEN, at_ms=NOON_MS + 60))

        assert store.state(only.oid) is None


class TestNumberAndTextGo:
    def test_when_nobody_claims_a_message_they_go_soon_after_its_time(self, made: Made) -> None:
        store = made(Keeps(overdue_ms=20))
        only = out(expires_ms=NOON_MS + 20)
        store.commit(change(outs=(only,)))
        assert store.state(only.oid) == "queued"
        time.sleep(0.06)
        store.commit(change(BEN, at_ms=NOON_MS + 60))

        assert store.state(only.oid) is None, "not known until a claim finds it gone"
        assert store.busy(NOON_MS + 60).outbox == (BUCKET,)
        assert store.claim(BUCKET, NOON_MS + 60, MINUTE_MS, 10) == Claims()
        assert store.state(only.oid) == "expired"
        assert store.busy(NOON_MS + DAY_MS).outbox == ()

    def test_a_claim_does_not_keep_them_longer(self, made: Made) -> None:
        store = made(Keeps(overdue_ms=20))
        only = out(expires_ms=NOON_MS + 200)
        store.commit(change(outs=(only,)))
        assert claimed_names(store) == ["answer"]
        time.sleep(0.24)
        store.commit(change(BEN, at_ms=NOON_MS + 240))

        assert store.state(only.oid) is None
        assert claimed_names(store, NOON_MS + MINUTE_MS) == []
        assert store.state(only.oid) == "expired"

    def test_a_message_on_its_way_when_its_time_is_over_can_still_be_settled(self, store: Store) -> None:
        only = out(expires_ms=NOON_MS)
        store.commit(change(outs=(only,)))
        assert claimed_names(store) == ["answer"]

        settle(store, only.oid, 0, "sent", NOON_MS + MINUTE_MS)

        assert store.state(only.oid) == "sent"

    def test_a_message_settled_in_the_wrong_lane_is_not_handed_out_again(self, store: Store, queue: Queue) -> None:
        (only,) = queue(out(lane=1))
        settle(store, only.oid, 2, "sent", NOON_MS)

        assert claimed_names(store) == []
        assert store.state(only.oid) == "sent"
        assert store.busy(NOON_MS).outbox == ()

    @pytest.mark.parametrize("claims", [0, 1])
    def test_on_a_server_they_carry_their_own_end(
        self, real_store: RedisStore, emptied_redis: RedisServer, claims: int
    ) -> None:
        real_store.commit(change(outs=(out(),)))
        for _ in range(claims):
            real_store.claim(BUCKET, NOON_MS, MINUTE_MS, 10)

        with emptied_redis.client() as client:
            left_ms = client.pttl(keys.of_out(out().oid))

        assert HOUR_MS < left_ms <= HOUR_MS + Keeps().overdue_ms

    def test_number_and_text_are_dropped_once_handed_over(self) -> None:
        record = OutRecord.of(out(body=b"+999001000001 two bags", to=ANN), ANN).ended("sent")

        assert record.body == b""
        assert b"999001" not in record.text
        assert ANN.encode() not in record.text
