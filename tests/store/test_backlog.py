"""How much waits: the operator's figures, from the lengths of queues alone."""

from __future__ import annotations

from advisor.store.api import Backlog, Relay, Store
from tests.store.samples import (
    ANN,
    BEN,
    COR,
    HOUR_MS,
    MINUTE_MS,
    NOON_MS,
    change,
    message,
    out,
    settle,
    stranger_to,
)


def test_of_an_empty_store_nothing_waits(store: Store) -> None:
    assert store.backlog(NOON_MS) == Backlog(0, 0, 0)


def test_what_is_due_is_counted_over_lanes_and_buckets(store: Store) -> None:
    later = out(name="later", not_before_ms=NOON_MS + MINUTE_MS)
    store.commit(change(ANN, outs=(out(), out(name="alert", lane=1), later)))
    store.commit(change(BEN, outs=(out(BEN, "round", lane=2),)))

    assert store.backlog(NOON_MS).outbox == 3
    assert store.backlog(NOON_MS + MINUTE_MS).outbox == 4


def test_what_is_handed_over_waits_no_more_and_what_is_leased_waits_again_after_its_lease(store: Store) -> None:
    store.commit(change(ANN, outs=(out(), out(name="second"))))
    first, second = store.claim(int(ANN[:2], 16), NOON_MS, MINUTE_MS, 10)
    settle(store, first.oid, first.lane, "sent", NOON_MS)

    assert store.backlog(NOON_MS).outbox == 0
    assert store.backlog(NOON_MS + MINUTE_MS).outbox == 1
    settle(store, second.oid, second.lane, "failed", NOON_MS)
    assert store.backlog(NOON_MS + HOUR_MS).outbox == 0


def test_relays_and_parked_messages_are_counted(store: Store) -> None:
    relays = tuple(Relay(f"effect-{place}", stranger_to(ANN), b"count 1") for place in range(2))
    store.commit(change(ANN, relays=relays))
    for grower in (ANN, BEN, COR):
        store.park(grower, message("m1"), NOON_MS)
    store.park(ANN, message("m1"), NOON_MS)

    assert store.backlog(NOON_MS) == Backlog(0, 2, 3)
