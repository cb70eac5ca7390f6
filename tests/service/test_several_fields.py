"""Several fields in the store: what a message takes up, begins or drops is in the record."""

from __future__ import annotations

import pytest

from advisor.dialogue.talk import Agree, Begin, Drop, Erase, Keep, TakeUp
from advisor.records.several import all_of
from advisor.service.changing import record_after
from advisor.service.stored import Stored, from_bytes, to_bytes
from advisor.store.api import Store
from advisor.store.embedded import EmbeddedStore
from advisor.store.memory import DictStore
from tests.service.stage import ANN, NOW, grower_id, inbound, says, session, stored, ussd

TWO = (Agree(), Keep("plot.area", 1.0), Begin("plot"), Keep("plot.area", 2.0))


@pytest.fixture(params=[DictStore, EmbeddedStore])
def store(request: pytest.FixtureRequest) -> Store:
    return request.param()


def areas(store: Store) -> list[object]:
    return [facts[0].value for facts in all_of(stored(store).record, "plot")]


class TestAMessage:
    def test_that_begins_a_field_keeps_the_one_of_before_aside(self, store: Store) -> None:
        inbound(store, says("Noted.", *TWO, to=session())).take(ussd("1", id="m0"))

        assert areas(store) == [1.0, 2.0]
        assert stored(store).record.fact("plot.area").value == 2.0  # type: ignore[union-attr]

    def test_that_takes_one_up_loses_nothing(self, store: Store) -> None:
        inbound(store, says("Noted.", *TWO, to=session())).take(ussd("1", id="m0"))
        inbound(store, says("Field 1.", TakeUp("plot", 0), to=session())).take(ussd("1", id="m1"))

        assert areas(store) == [1.0, 2.0]
        assert stored(store).record.fact("plot.area").value == 1.0  # type: ignore[union-attr]

    def test_that_drops_one_leaves_the_other(self, store: Store) -> None:
        inbound(store, says("Noted.", *TWO, to=session())).take(ussd("1", id="m0"))
        inbound(store, says("Gone.", Drop("plot", 1), to=session())).take(ussd("1", id="m1"))

        assert areas(store) == [1.0]

    def test_that_erases_leaves_nothing_of_any(self, store: Store) -> None:
        inbound(store, says("Noted.", *TWO, to=session())).take(ussd("1", id="m0"))
        inbound(store, says("Erased.", Erase())).take(ussd("1", id="m1"))

        assert store.value(grower_id()) == (0, None)


class TestTheStoredForm:
    def test_is_the_third_only_where_something_is_aside(self) -> None:
        one = record_after(Stored().record, TWO[:2], ANN, NOW)
        two = record_after(Stored().record, TWO, ANN, NOW)

        kept = [to_bytes(Stored(record)) for record in (one, two)]

        assert [value[:6] for value in kept if value] == [b'{"v":1', b'{"v":3']
        assert [from_bytes(value).record for value in kept] == [one, two]
