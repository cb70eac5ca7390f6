"""Messages that were given up or may have arrived are kept with number and text, and never handed out again."""

from __future__ import annotations

import time

import pytest

from advisor.store import keys
from advisor.store.api import Aside, Store
from advisor.store.plans import Keeps
from advisor.store.redis_store import RedisStore
from tests.servers import RedisServer
from tests.store.conftest import Made
from tests.store.samples import ANN, BEN, DAY_MS, HOUR_MS, MINUTE_MS, NOON_MS, change, forgetting, out, settle

BUCKET = int(ANN[:2], 16)
STEP = out(name="step", lane=2, round="weeding", expires_ms=NOON_MS + 2 * DAY_MS)


def put_aside(store: Store, state: str = "dead") -> None:
    store.commit(change(outs=(STEP,)))
    (one,) = store.claim(BUCKET, NOON_MS, MINUTE_MS, 1)
    settle(store, one.oid, one.lane, state, NOON_MS + 5, grower=one.grower, round=one.round)


@pytest.mark.parametrize("state", ["dead", "unknown"])
def test_they_are_listed_with_all_that_helps(store: Store, state: str) -> None:
    put_aside(store, state)

    assert store.aside(BUCKET) == (Aside(STEP.oid, state, NOON_MS + 5, 1, ANN, "weeding", b"step"),)
    assert store.state(STEP.oid) == state
    assert store.backlog(NOON_MS + DAY_MS).aside == 1


@pytest.mark.parametrize("state", ["dead", "unknown"])
def test_they_are_never_handed_out_again_nor_queued_again(store: Store, state: str) -> None:
    put_aside(store, state)
    store.commit(change(version=store.value(ANN)[0], outs=(STEP,)))

    assert store.busy(NOON_MS + DAY_MS).outbox == ()
    assert len(store.claim(BUCKET, NOON_MS + DAY_MS, MINUTE_MS, 1)) == 0


@pytest.mark.parametrize(
    ("state", "receipt", "then"),
    [
        ("unknown", "delivered", "delivered"),
        ("unknown", "failed", "failed"),
        ("unknown", "sent", "sent"),
        ("dead", "delivered", "delivered"),
    ],
)
def test_a_receipt_that_comes_after_all_takes_them_off_the_list(
    store: Store, state: str, receipt: str, then: str
) -> None:
    put_aside(store, state)

    settle(store, STEP.oid, None, receipt, NOON_MS + HOUR_MS)

    assert (store.aside(BUCKET), store.state(STEP.oid)) == ((), then)
    assert store.backlog(NOON_MS + HOUR_MS).aside == 0


@pytest.mark.parametrize("receipt", ["sent", "failed", "expired"])
def test_what_was_given_up_stays_so_but_for_a_delivery(store: Store, receipt: str) -> None:
    put_aside(store)

    settle(store, STEP.oid, None, receipt, NOON_MS + HOUR_MS)

    assert [one.state for one in store.aside(BUCKET)] == ["dead"]


def test_an_erase_takes_them_along_though_their_own_time_is_over(made: Made) -> None:
    store = made(Keeps(overdue_ms=1))
    store.commit(change(outs=(out(name="step", lane=2, expires_ms=NOON_MS + 20),)))
    (one,) = store.claim(BUCKET, NOON_MS, MINUTE_MS, 1)
    settle(store, one.oid, one.lane, "unknown", NOON_MS, grower=one.grower)
    time.sleep(0.06)
    store.commit(change(BEN, at_ms=NOON_MS + 60))
    assert len(store.aside(BUCKET)) == 1

    store.commit(forgetting(version=store.value(ANN)[0], at_ms=NOON_MS + 60))

    assert (store.aside(BUCKET), store.state(one.oid), store.backlog(NOON_MS).aside) == ((), None, 0)


def test_they_go_after_their_time(made: Made) -> None:
    store = made(Keeps(aside_ms=40))
    put_aside(store)
    time.sleep(0.06)
    store.commit(change(BEN, at_ms=NOON_MS + 99))

    assert (store.aside(BUCKET), store.state(STEP.oid)) == ((), None)


def test_an_erase_takes_the_days_count_along(real_store: RedisStore, emptied_redis: RedisServer) -> None:
    from advisor.store.api import Terms

    real_store.commit(change(outs=(STEP,)))
    assert len(real_store.claim(BUCKET, NOON_MS, MINUTE_MS, 1, Terms("20270115", 3, tomorrow_ms=1))) == 1
    with emptied_redis.client() as client:
        assert client.hgetall(keys.of_day(BUCKET, "20270115")) == {ANN.encode(): b"1"}
        assert 0 < client.pttl(keys.of_day(BUCKET, "20270115")) <= 2 * DAY_MS

        real_store.commit(forgetting(version=real_store.value(ANN)[0]))

        assert client.keys("*day*") == []
