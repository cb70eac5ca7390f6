"""The list of visits on an agent's phone: the one that the terminal shows, of the growers in the agent's care."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest

from advisor.advice.visit_list import MOST_MESSAGES, visit_messages
from advisor.by_book import visiting_of
from advisor.dialogue.book import Book
from advisor.records.grower import Grower
from advisor.service.clock import unix_ms
from advisor.service.stored import Stored, from_bytes, to_bytes
from advisor.store.api import Change
from advisor.wording.segments import segments
from tests.service.agents import ANN, CLEO, PIN, VALLEY, Village
from tests.service.stage import IDS, NOW

DAY = timedelta(days=1)
FIELD_M2 = 10117.141056


def keep(place: Village, number: str, village: str, *, asks: bool = False, **facts: object) -> None:
    grower = IDS.number(number)
    version, _ = place.store.value(grower)
    record = Grower(number, agreed=NOW - 40 * DAY).knows("grower.village", village, NOW - 40 * DAY)
    for name, told in facts.items():
        record = record.knows(name.replace("_", ".", 1), told, NOW - DAY)  # type: ignore[arg-type]
    record = record.asks("Why are my leaves pale?", NOW) if asks else record
    place.store.commit(Change(grower, version, to_bytes(Stored(record)), unix_ms(NOW)))


def sowing(days: int) -> str:
    return (NOW.date() + days * DAY).isoformat()


@pytest.fixture
def place(book: Book, place: Village) -> Village:
    """In the valley bad seed, seed given up untested and a question; in the hills, another agent's, bad seed."""
    keep(place, ANN, "v2", plot_area=FIELD_M2, plot_sowing=sowing(12), lot_origin="saved", lot_test=(28, 100))
    late = {"plot_sowing": sowing(9), "lot_origin": "saved", "lot_closed": "untested"}
    keep(place, "+999001112244", "v1", plot_area=FIELD_M2, **late)
    keep(place, "+999001112255", "v3", asks=True)
    keep(place, CLEO, "v4", lot_origin="saved", lot_test=(28, 100))
    return place


def asked_for(place: Village) -> list[str]:
    """What an agent gets who asks for the list on a call."""
    place.dial(VALLEY)
    place.type(VALLEY, "8", "4", PIN, "1")
    before = len(place.texts(VALLEY))
    place.relay()
    return place.texts(VALLEY)[before:]


class TestTheList:
    def test_comes_by_sms_with_why_and_what_to_bring_the_most_pressing_first(self, place: Village) -> None:
        assert "\n".join(asked_for(place)).split("\n") == [
            "2233 Kesu, days left: 12. Bad seed: 28 of 100. Bring 50 kg of other seed.",
            "2244 Dovi, days left: 9. Seed not tested. Keep back 74.1 kg of grain.",
            "2255 Lawi. Has a question. Answer it.",
        ]

    def test_has_the_growers_of_the_terminals_in_its_order(self, place: Village) -> None:
        told = visiting_of(place.book, place.store, place.clock).visits(agent=place.agent())

        endings = [line[:4] for text in asked_for(place) for line in text.split("\n")]

        assert endings == [visit.number[-4:] for visit in told]

    def test_has_nobody_of_another_agent(self, place: Village) -> None:
        assert not any("3333" in text for text in asked_for(place))

    def test_comes_behind_the_pin_alone(self, place: Village) -> None:
        place.dial(VALLEY)
        assert place.type(VALLEY, "8", "4").startswith("Type your PIN.")
        place.type(VALLEY, "1")
        place.relay()
        assert place.texts(VALLEY) == []

    def test_comes_once_for_a_message_that_is_repeated(self, place: Village) -> None:
        place.dial(VALLEY)
        place.type(VALLEY, "8", "4", PIN, "1")
        place.again(VALLEY, "1")
        place.relay()
        place.relay()
        assert sum("2233" in text for text in place.texts(VALLEY)) == 1

    def test_is_left_to_a_process_that_makes_lists(self, place: Village) -> None:
        there = place.relaying
        place.relaying = replace(there, makes_lists=False)
        assert asked_for(place) == []
        place.relaying = there
        place.relay()
        assert any("2233" in text for text in place.texts(VALLEY))

    def test_of_nobody_says_so(self, book: Book, place: Village) -> None:
        for number in (ANN, "+999001112244", "+999001112255"):
            version, _ = place.store.value(IDS.number(number))
            place.store.commit(Change(IDS.number(number), version, None, unix_ms(NOW)))
        assert asked_for(place) == ["None of your growers needs a visit."]

    @pytest.mark.parametrize("language", ["en", "sw", "hi", "fr"])
    def test_of_many_is_a_few_messages_of_one_segment_each(self, place: Village, language: str) -> None:
        for at in range(60):
            keep(place, f"+9990019{at:05}", "v1", plot_sowing=sowing(20), lot_origin="saved", lot_test=(28, 100))
        visits = visiting_of(place.book, place.store, place.clock).visits()

        texts = visit_messages(visits, place.book.programme, place.book.voices[language])

        assert len(texts) <= MOST_MESSAGES
        assert all(segments(text) == 1 for text in texts)
        shown = [line for text in texts for line in text.split("\n")]
        assert str(len(visits) - (len(shown) - 1)) in shown[-1]

    def test_of_several_bags_names_the_bag(self, place: Village) -> None:
        (visit, *_) = visiting_of(place.book, place.store, place.clock).visits(agent=place.agent())
        both = replace(visit, reasons=(replace(visit.reasons[0], bag=2),))

        (text,) = visit_messages((both,), place.book.programme, place.book.voices["en"])

        assert text == "2233 Kesu, days left: 12. Bag 2: Bad seed: 28 of 100. Bring 50 kg of other seed."

    @pytest.mark.parametrize("language", ["en", "sw", "hi", "fr"])
    def test_says_which_day_of_sowing_is_past(self, place: Village, language: str) -> None:
        (visit, *_) = visiting_of(place.book, place.store, place.clock).visits(agent=place.agent())
        late = replace(visit, days_left=-2, sowing=NOW.date() - 2 * DAY)

        text, *_ = visit_messages((late,), place.book.programme, place.book.voices[language])

        assert text.startswith("2233 ")
        assert str(late.sowing.day) in text.split(late.village)[-1]
        if language == "en":
            assert text.startswith("2233 Kesu, was to sow on 27 Feb. Bad seed: 28 of 100.")

    def test_keeps_nothing_in_the_agents_record(self, place: Village) -> None:
        before = from_bytes(place.store.value(IDS.number(VALLEY))[1]).record.facts
        asked_for(place)
        assert from_bytes(place.store.value(IDS.number(VALLEY))[1]).record.facts == before
