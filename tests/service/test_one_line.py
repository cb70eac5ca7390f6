"""An SMS in one line through the whole use case, on the shipped dialogues: one reply, and nothing kept."""

from __future__ import annotations

from functools import partial

import pytest

from advisor.dialogue.step import step
from advisor.loading import load_book
from advisor.service.outgoing import Parcel, delivery_of
from advisor.service.stored import Stored
from advisor.store.memory import DictStore
from tests.service.stage import ANN, grower_id, inbound, sms, stored, ussd, waiting


@pytest.fixture(scope="module")
def decide():
    return partial(step, load_book())


@pytest.mark.parametrize(
    ("typed", "alphabet", "most"),
    [("SOYA 2 ACRES", "gsm7", 1), ("soja 20 acres", "gsm7", 1), ("सोयाबीन 20 एकड़", "ucs2", 2)],
)
def test_the_list_is_one_message_of_as_many_segments_as_promised(decide, typed, alphabet, most) -> None:
    store = DictStore()
    inbound(store, decide).take(sms(typed))

    (text,) = waiting(store)
    delivery = delivery_of("b07-1", Parcel(ANN, text), "2500")
    assert delivery.alphabet == alphabet
    assert delivery.segments == most


def test_of_somebody_unknown_nothing_is_kept(decide) -> None:
    store = DictStore()
    inbound(store, decide).take(sms("SOYA 2 ACRES"))

    assert store.value(grower_id())[1] is None
    assert stored(store) == Stored()


def test_the_same_message_again_sends_nothing_again(decide) -> None:
    store = DictStore()
    use = inbound(store, decide)
    first, again = use.take(sms("SOYA 2 ACRES")), use.take(sms("SOYA 2 ACRES"))

    assert (first.body, again.outcome) == (again.body, "repeated")
    assert len(waiting(store)) == 1


def test_an_open_call_and_what_is_known_stay_as_they_are(decide) -> None:
    store = DictStore()
    use = inbound(store, decide)
    for number, typed in enumerate(("", "1", "1", "1", "1", "2.5")):
        use.take(ussd(typed, id=f"u{number}"))
    before = stored(store)
    assert before.session is not None
    assert before.record.fact("plot.area") is not None

    use.take(sms("soya 7 acres"))
    assert stored(store) == before
