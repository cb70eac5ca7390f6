"""Delivery receipts: early, twice, out of order or unknown, none of them is an error."""

from __future__ import annotations

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.service.clock import unix_ms
from advisor.service.damage import Damage
from advisor.service.errors import Busy
from advisor.service.outgoing import Parcel
from advisor.service.receipts import Receipts
from advisor.store.api import Change, Out, StoreUnavailable
from advisor.store.memory import DictStore
from advisor.store.names import bucket_of
from tests.service.stage import ANN, NOW, StandingClock, grower_id
from tests.store.samples import settle

OID = f"b{bucket_of(grower_id()):02x}-1"


def receipts_of(store: DictStore) -> Receipts:
    clock = StandingClock()
    return Receipts(store, clock, Damage(clock))


def handed_over() -> DictStore:
    store, now_ms = DictStore(), unix_ms(NOW)
    out = Out(OID, 0, now_ms, now_ms + 9999, msgspec.json.encode(Parcel(ANN, "Buy 18 kg")))
    store.commit(Change(grower_id(), 0, b"{}", now_ms, outs=(out,)))
    store.claim(bucket_of(grower_id()), now_ms, 1000, 1)
    return store


@pytest.mark.parametrize("statuses", [["delivered"], ["delivered", "delivered"], ["failed", "delivered"]])
def test_the_highest_state_stays(statuses: list[str]) -> None:
    store = handed_over()
    receipts = receipts_of(store)

    for status in statuses:
        receipts.note(OID, status)

    assert store.state(OID) == "delivered"


def test_one_that_overtakes_the_hand_over_is_not_undone_by_it() -> None:
    store = handed_over()
    receipts_of(store).note(OID, "delivered")

    settle(store, OID, 0, "sent", unix_ms(NOW))

    assert store.state(OID) == "delivered"


@given(st.one_of(st.text(max_size=128), st.from_regex(r"b[0-9a-f]{2}-[0-9a-f]+", fullmatch=True)))
def test_one_for_a_message_nobody_knows_changes_nothing(oid: str) -> None:
    store = DictStore()

    receipts_of(store).note(oid, "delivered")

    assert store.state("b00-1") is None


def test_while_the_store_is_away_a_repeat_is_asked_for() -> None:
    class Away(DictStore):
        def settle(self, *_: object) -> None:
            raise StoreUnavailable("away")

    with pytest.raises(Busy):
        receipts_of(Away()).note(OID, "delivered")


def test_one_whose_state_is_damaged_is_taken_and_the_key_is_named() -> None:
    class Damaged(DictStore):
        def settle(self, *_: object) -> tuple[str, ...]:
            return ("{b07}:o:b07-1",)

    receipts = receipts_of(Damaged())

    receipts.note(OID, "delivered")

    assert receipts.damage.keys() == ("{b07}:o:b07-1",)
