"""What may leave is decided inside the claim: consent, quiet hours, the day's most, pages in order, the newest."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from msgspec.structs import replace

from advisor.store import keys
from advisor.store.api import Out, RoundRow, RoundState, Settlement, Store, Terms
from advisor.store.redis_store import RedisStore
from tests.store.samples import ANN, BEN, DAY_MS, HOUR_MS, MINUTE_MS, NOON_MS, change, neighbour_of, out, settle

BUCKET = int(ANN[:2], 16)
NEAR = neighbour_of(ANN)
OPEN = Terms("20270115")
NIGHT = replace(OPEN, until_ms=NOON_MS, again_ms=NOON_MS + HOUR_MS)
LANES = (0, 1, 2)

Queue = Callable[..., Out]


@pytest.fixture
def queue(store: Store) -> Queue:
    """Queues one message for a grower of Ann's bucket, by default for all day."""

    def put(name: str = "step", grower: str = ANN, lane: int = 2, **more: object) -> Out:
        version, _ = store.value(grower)
        one = out(grower, name, **{"lane": lane, "expires_ms": NOON_MS + 2 * DAY_MS, **more})
        store.commit(change(grower, version=version, outs=(one,)))
        return one

    return put


def leaving(store: Store, terms: Terms = OPEN, now_ms: int = NOON_MS, **more: object) -> list[str]:
    """What a claim hands out, which is settled."""
    claims = store.claim(BUCKET, now_ms, MINUTE_MS, 10, terms, **more)
    store.settle(BUCKET, [Settlement(one.oid, one.lane, "sent") for one in claims], now_ms)
    return [one.body.decode() for one in claims]


class TestLanes:
    def test_only_those_asked_for_are_claimed(self, store: Store, queue: Queue) -> None:
        for lane in LANES:
            queue(f"lane {lane}", lane=lane)

        assert leaving(store, lanes=(0, 1)) == ["lane 0", "lane 1"]
        assert leaving(store, lanes=(2,)) == ["lane 2"]

    def test_the_buckets_with_answers_and_alerts_are_told_apart(self, store: Store, queue: Queue) -> None:
        queue("step", lane=2)
        assert (store.busy(NOON_MS).outbox, store.busy(NOON_MS).urgent) == ((BUCKET,), ())
        queue("alert", lane=1)
        assert store.busy(NOON_MS).urgent == (BUCKET,)


class TestConsent:
    @pytest.mark.parametrize("lane", LANES)
    def test_without_it_only_answers_leave(self, store: Store, queue: Queue, lane: int) -> None:
        one = queue(lane=lane)
        version, _ = store.value(ANN)
        store.commit(change(version=version, lapses_ms=NOON_MS + HOUR_MS))

        assert leaving(store) == (["step"] if lane == 0 else [])
        assert store.state(one.oid) == ("sent" if lane == 0 else "failed")

    @pytest.mark.parametrize("lane", [1, 2])
    def test_whoever_is_gone_is_sent_nothing(self, store: Store, queue: Queue, lane: int) -> None:
        one = queue(lane=lane)
        store.commit(change(version=store.value(ANN)[0], value=None))

        assert leaving(store) == []
        assert store.state(one.oid) == "failed"


class TestQuietHours:
    @pytest.mark.parametrize(("lane", "leaves"), [(0, True), (1, True), (2, False)])
    def test_hold_rounds_alone(self, store: Store, queue: Queue, lane: int, leaves: bool) -> None:
        queue(lane=lane)

        assert bool(leaving(store, NIGHT)) is leaves

    def test_end_when_they_end(self, store: Store, queue: Queue) -> None:
        queue()
        assert leaving(store, NIGHT) == []
        assert store.busy(NOON_MS + HOUR_MS - 1).outbox == (), "nobody asks for it all night"

        assert leaving(store, OPEN, NOON_MS + HOUR_MS - 1) == []
        assert leaving(store, OPEN, NOON_MS + HOUR_MS) == ["step"]

    def test_begin_at_their_moment(self, store: Store, queue: Queue) -> None:
        queue()

        assert leaving(store, replace(NIGHT, until_ms=NOON_MS + 1)) == ["step"]


class TestTheDaysMost:
    TERMS = replace(OPEN, per_day=2, tomorrow_ms=NOON_MS + DAY_MS)

    def test_is_for_rounds_alone_and_the_rest_waits_for_tomorrow(self, store: Store, queue: Queue) -> None:
        for number in range(3):
            queue(f"step {number}", not_before_ms=NOON_MS - 9 + number)
        queue("answer", lane=0)

        assert leaving(store, self.TERMS) == ["answer", "step 0", "step 1"]
        assert leaving(store, self.TERMS, NOON_MS + HOUR_MS) == []
        tomorrow = replace(self.TERMS, day="20270116")
        assert leaving(store, tomorrow, NOON_MS + DAY_MS) == ["step 2"]

    def test_is_each_growers_own(self, store: Store, queue: Queue) -> None:
        for grower in (ANN, NEAR):
            for number in range(3):
                queue(f"{number}", grower)

        growers = [one.grower for one in store.claim(BUCKET, NOON_MS, MINUTE_MS, 10, self.TERMS)]
        assert sorted(growers) == sorted([ANN, ANN, NEAR, NEAR])

    def test_counts_a_message_once_a_day_however_often_it_is_tried(self, store: Store, queue: Queue) -> None:
        queue("step 0")
        for minute in range(4):
            assert len(store.claim(BUCKET, NOON_MS + minute * MINUTE_MS, MINUTE_MS, 10, self.TERMS)) == 1
        queue("step 1")

        assert sorted(leaving(store, self.TERMS, NOON_MS + HOUR_MS)) == ["step 0", "step 1"]

    def test_counts_a_message_again_on_a_day_on_which_it_is_tried_again(self, store: Store, queue: Queue) -> None:
        """It may have arrived on either: the most is kept to on both."""
        queue("step 0")
        assert len(store.claim(BUCKET, NOON_MS, MINUTE_MS, 10, self.TERMS)) == 1
        tomorrow = replace(self.TERMS, day="20270116", per_day=1)
        assert leaving(store, tomorrow, NOON_MS + DAY_MS) == ["step 0"]
        queue("step 1")

        assert leaving(store, tomorrow, NOON_MS + DAY_MS) == []


class TestPages:
    def pages(self, store: Store, many: int = 3, **more: object) -> tuple[Out, ...]:
        oids = [out(name=f"page {number}").oid for number in range(many)]
        pages = tuple(
            out(name=f"page {number}", not_before_ms=NOON_MS - 9 + number, after=before, **more)
            for number, before in enumerate(["", *oids[:-1]])
        )
        store.commit(change(outs=pages))
        return pages

    def test_leave_in_one_go(self, store: Store) -> None:
        self.pages(store)

        assert leaving(store) == ["page 0", "page 1", "page 2"]

    def test_wait_for_the_page_before_that_another_sender_holds(self, store: Store) -> None:
        first, *_ = self.pages(store)
        assert len(store.claim(BUCKET, NOON_MS, MINUTE_MS, 1)) == 1

        assert leaving(store) == []
        settle(store, first.oid, 0, "sent", NOON_MS)
        assert leaving(store, now_ms=NOON_MS + 1000) == ["page 1", "page 2"]

    def test_wait_for_the_page_before_that_is_tried_again_later(self, store: Store) -> None:
        first, *_ = self.pages(store)
        assert len(store.claim(BUCKET, NOON_MS, MINUTE_MS, 1)) == 1
        settle(store, first.oid, 0, "later", NOON_MS, NOON_MS + MINUTE_MS)

        for second in range(0, 60, 5):
            assert leaving(store, now_ms=NOON_MS + 1000 * second) == []
        assert leaving(store, now_ms=NOON_MS + MINUTE_MS + 1000) == ["page 0", "page 1", "page 2"]

    @pytest.mark.parametrize("state", ["failed", "expired", "dead", "unknown", "delivered"])
    def test_do_not_wait_for_one_that_has_ended(self, store: Store, state: str) -> None:
        first, *_ = self.pages(store)
        settle(store, first.oid, 0, state, NOON_MS)

        assert leaving(store) == ["page 1", "page 2"]

    def test_of_another_bucket_follow_nobody(self) -> None:
        with pytest.raises(ValueError, match="another bucket"):
            out(ANN, after=out(BEN).oid)


class TestARoundsState:
    @pytest.fixture(autouse=True)
    def started(self, store: Store) -> None:
        store.start_round(RoundRow("weeding", RoundState.RUNNING, NOON_MS, b"key = 'weeding'"))

    def test_running_holds_nothing(self, store: Store, queue: Queue) -> None:
        queue(round="weeding")

        assert leaving(store) == ["step"]

    def test_paused_holds_its_messages_until_it_goes_on(self, store: Store, queue: Queue) -> None:
        queue(round="weeding")
        queue("of another", round="harvest")
        queue("answer", lane=0)
        store.set_round("weeding", RoundState.PAUSED)

        assert sorted(leaving(store)) == ["answer", "of another"]
        assert leaving(store, now_ms=NOON_MS + HOUR_MS) == []
        store.set_round("weeding", RoundState.RUNNING)
        assert leaving(store, now_ms=NOON_MS + 2 * HOUR_MS) == ["step"]

    def test_stopped_lets_none_leave_any_more(self, store: Store, queue: Queue) -> None:
        one = queue(round="weeding")
        store.set_round("weeding", RoundState.STOPPED)

        assert leaving(store) == []
        assert store.state(one.oid) == "failed"


class TestTheNewestOfARound:
    def test_takes_the_place_of_the_one_that_waits(self, store: Store, queue: Queue) -> None:
        queue("step 1", round="weeding")
        queue("step 2", round="weeding")

        assert leaving(store) == ["step 2"]
        assert leaving(store, now_ms=NOON_MS + HOUR_MS) == []

    def test_leaves_other_rounds_and_other_growers_alone(self, store: Store, queue: Queue) -> None:
        queue("of another round", round="harvest")
        queue("of a neighbour", NEAR, round="weeding")
        queue("of no round")
        queue("step 2", round="weeding")

        assert sorted(leaving(store)) == ["of a neighbour", "of another round", "of no round", "step 2"]

    def test_is_not_pushed_out_by_an_older_one_that_is_queued_again(self, store: Store, queue: Queue) -> None:
        queue("step 1", round="weeding")
        queue("step 2", round="weeding")
        queue("step 1", round="weeding")

        assert leaving(store) == ["step 2"]

    def test_keeps_the_older_one_from_coming_back_when_its_hand_over_ends_later(
        self, store: Store, queue: Queue
    ) -> None:
        older = queue("step 1", round="weeding")
        assert len(store.claim(BUCKET, NOON_MS, MINUTE_MS, 1)) == 1
        queue("step 2", round="weeding")

        settle(store, older.oid, 2, "later", NOON_MS, NOON_MS)

        assert leaving(store) == ["step 2"]
        assert leaving(store, now_ms=NOON_MS + HOUR_MS) == []


class TestAStop:
    def test_takes_what_waits_out_of_the_outbox_in_the_same_commit(self, store: Store, queue: Queue) -> None:
        waiting = [queue(f"lane {lane}", lane=lane, to=ANN) for lane in LANES]
        answer = queue("to whatever number", lane=0)
        version, _ = store.value(ANN)

        store.commit(change(version=version, outs=(out(name="Stopped."),), stop=(ANN, True)))

        assert [store.state(one.oid) for one in (*waiting, answer)] == ["failed"] * 4
        assert store.backlog(NOON_MS).outbox == 1
        assert leaving(store) == ["Stopped."]

    def test_takes_what_is_leased_too_and_no_later_try_brings_it_back(self, store: Store, queue: Queue) -> None:
        one = queue(to=ANN)
        assert len(store.claim(BUCKET, NOON_MS, MINUTE_MS, 1)) == 1
        store.commit(change(version=store.value(ANN)[0], stop=(ANN, True)))

        settle(store, one.oid, 2, "later", NOON_MS, NOON_MS)

        assert store.state(one.oid) == "failed"
        assert store.busy(NOON_MS + DAY_MS).outbox == ()

    @pytest.mark.parametrize("lane", LANES)
    def test_holds_back_what_is_queued_with_it_or_after_it_too(
        self, store: Store, queue: Queue, lane: int
    ) -> None:
        """The claim looks for itself: a decision that was made before the stop may be written after it."""
        told = {"lane": lane, "to": ANN, "expires_ms": NOON_MS + DAY_MS}
        store.commit(change(outs=(out(name="with it", **told),), stop=(ANN, True)))
        after = queue("after it", lane=lane, to=ANN)

        assert leaving(store) == []
        assert (store.state(out(name="with it").oid), store.state(after.oid)) == ("failed", "failed")

    def test_that_is_taken_back_takes_nothing(self, store: Store, queue: Queue) -> None:
        queue("step", to=ANN)
        store.commit(change(version=store.value(ANN)[0], stop=(ANN, False)))

        assert leaving(store) == ["step"]

    def test_leaves_the_neighbours_alone(self, store: Store, queue: Queue) -> None:
        queue("a neighbour's", NEAR, to=NEAR)
        queue("step", to=ANN)
        store.commit(change(version=store.value(ANN)[0], stop=(ANN, True)))

        assert leaving(store) == ["a neighbour's"]


def test_a_newer_message_of_a_round_takes_the_place_of_one_whose_time_went_unseen(
    queue: Queue, store: Store
) -> None:
    """As where nobody handed over for so long that number and text of the older one are gone."""
    old = queue("old", round="weeding", expires_ms=NOON_MS + MINUTE_MS)
    if isinstance(store, RedisStore):
        # the server's own clock cannot be moved on by a month: what it would have let go by then goes by hand
        assert store.link.one("DEL", keys.of_out(old.oid)) == 1
    later_ms = NOON_MS + 30 * DAY_MS
    version, _ = store.value(ANN)
    one = out(ANN, "new", lane=2, round="weeding", not_before_ms=later_ms, expires_ms=later_ms + HOUR_MS)
    store.commit(change(ANN, version=version, at_ms=later_ms, outs=(one,)))

    assert leaving(store, now_ms=later_ms) == ["new"]
