"""The one stored value of a grower: there and back, and from other versions."""

from __future__ import annotations

import pytest

from advisor.records.grower import Grower
from advisor.service.clock import unix_ms
from advisor.service.stored import Stored, from_bytes, to_bytes
from advisor.store.api import Change
from advisor.store.memory import DictStore
from tests.service.stage import ANN, NOW, echo, grower_id, inbound, session, ussd


def test_the_stored_value_survives_its_trip_through_json() -> None:
    kept = Stored(
        Grower(ANN, NOW, NOW).knows("lot.test", (45, 50), NOW),
        session(answers=(("area", 1.5), ("count", (1, 2))), trail=(session("a").spots,), page=1, learnt=("area",)),
    )

    assert from_bytes(to_bytes(kept)) == kept


@pytest.mark.parametrize(
    "older",
    [
        b'{"s":["buy_list.area"],"f":"f1","l":"en","w":"ussd:s1","u":1803891600}',
        b'{"s":["area"],"k":"number","l":"en","w":"ussd:s1","u":1803891600}',
        b'{"s":["buy_list.area"],"k":"number","l":"en","w":"ussd:s1","u":"noon"}',
        b'{"s":["buy_list.area"],"k":"number","a":{"x":[1]},"l":"en","w":"ussd:s1","u":1803891600}',
        b'["buy_list.area"]',
        b"null",
    ],
)
def test_a_session_of_another_form_is_none_and_the_record_is_kept(older: bytes) -> None:
    store, given = DictStore(), []
    record = Grower(ANN, agreed=NOW).knows("plot.area", 4000.0, NOW)
    value = to_bytes(Stored(record))
    assert value is not None
    store.commit(Change(grower_id(), 0, value[:-1] + b',"s":' + older + b"}", unix_ms(NOW)))

    answer = inbound(store, lambda *both: given.extend(both[:2]) or echo(*both)).take(ussd("2"))

    assert (answer.outcome, given) == ("moved", [None, record])


def test_only_a_value_with_marks_of_a_round_needs_a_version_that_knows_of_rounds() -> None:
    record = Grower("+99900112233")
    value = to_bytes(Stored(record.passes("demo", ("one",))))

    assert to_bytes(Stored(record)) == b'{"v":1,"r":{"n":"+99900112233"}}'
    assert value == b'{"v":2,"r":{"n":"+99900112233","p":{"demo":["one"]}}}'
    assert from_bytes(value).record.passed_in("demo") == ("one",)
