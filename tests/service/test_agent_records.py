"""What an agent records of a grower by phone: whom it is about, what is read back, and rain gauges."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from msgspec.structs import replace

from advisor.records.grower import Grower, Value
from advisor.records.rain_book import Reading
from advisor.records.several import all_of, begins, drops, place_in_hand
from advisor.service.clock import unix_ms
from advisor.service.erasing import Erasing
from advisor.service.gauging import Gauges
from advisor.service.moving import Moving
from advisor.service.stored import from_bytes, to_bytes
from advisor.store.api import Change
from tests.service.agents import ANN, CLEO, PIN, VALLEY, Village, charge
from tests.service.stage import BANDS, IDS

ASKS_WHOM = "Which grower?"


def record_with(place: Village, facts: dict[str, Value]) -> Grower:
    record = place.record(ANN)
    for name, told in facts.items():
        record = record.knows(name, told, place.clock.now())
    return record


def keep(place: Village, record: Grower) -> None:
    grower = IDS.number(ANN)
    version, value = place.store.value(grower)
    after = to_bytes(replace(from_bytes(value), record=record))
    place.store.commit(Change(grower, version, after, unix_ms(place.clock.now()), heard=False))


class TestChoosingAGrower:
    def test_by_the_last_digits(self, place: Village) -> None:
        assert charge(place, "2233").startswith("Grower 2233: what do you record?")

    @pytest.mark.parametrize("typed", [ANN, "1112233", f"00{ANN[1:]}", "11 12 233"])
    def test_by_more_of_the_number_or_all_of_it(self, place: Village, typed: str) -> None:
        assert charge(place, typed).startswith("Grower 2233")

    def test_nobody_of_another_agent_is_found(self, place: Village) -> None:
        assert charge(place, "3333").startswith("You care for no grower with that number.")
        assert place.type(VALLEY, CLEO).startswith("You care for no grower with that number.")

    def test_a_grower_can_be_given_to_another_agent(self, place: Village, monkeypatch: pytest.MonkeyPatch) -> None:
        version, value = place.store.value(IDS.number(CLEO))
        stored = from_bytes(value)
        record = stored.record.knows("grower.agent", "a1", place.clock.now())
        place.store.commit(
            Change(IDS.number(CLEO), version, to_bytes(replace(stored, record=record)), 1, heard=False)
        )
        assert charge(place, "3333").startswith("Grower 3333")

    def test_where_two_numbers_end_alike_more_digits_are_asked_for(self, place: Village) -> None:
        place.agrees("+999009992233", "1")
        assert charge(place, "2233").startswith("Several numbers end so.")
        assert place.type(VALLEY, "12233").startswith("Grower 2233")

    @pytest.mark.parametrize("typed", ["33", "Ann", "", "*"])
    def test_less_is_asked_again(self, place: Village, typed: str) -> None:
        assert charge(place, typed).startswith("Type the last 4 digits or more.")

    def test_who_agreed_a_moment_ago_is_found(self, place: Village) -> None:
        assert charge(place, "7788").startswith("You care for no grower")
        place.agrees("+999001117788", "1")
        assert place.type(VALLEY, "7788").startswith("Grower 7788")

    def test_a_number_that_changed_is_found_and_the_old_one_is_not(self, place: Village) -> None:
        Moving(place.store, place.clock, IDS).move(ANN, "+999001115566", None)
        place.relay()
        assert charge(place, "2233").startswith("You care for no grower")
        assert place.type(VALLEY, "5566").startswith("Grower 5566")

    def test_who_erased_everything_is_not_found(self, place: Village) -> None:
        Erasing(place.store, place.clock, BANDS).at_the_operators_word(ANN, IDS)
        assert charge(place, "2233").startswith("You care for no grower")

    def test_no_walk_over_growers_is_needed(self, place: Village, monkeypatch: pytest.MonkeyPatch) -> None:
        charge(place, "9999")  # where the store has growers of an earlier version, the first look-up lists them
        monkeypatch.setattr(type(place.store), "settled", lambda self, bucket: pytest.fail("a walk"))
        assert place.type(VALLEY, "2233").startswith("Grower 2233")

    def test_who_has_not_agreed_is_not_found(self, place: Village) -> None:
        stranger = "+999001119999"
        place.dial(stranger)
        place.type(stranger, "1", "2", "2")
        assert charge(place, "9999").startswith("You care for no grower")

    def test_another_grower_takes_no_answer_along(self, place: Village) -> None:
        charge(place)
        place.type(VALLEY, "1", "50", "0", "0", "5", "2244")
        assert place.type(VALLEY, "1").startswith("How many seeds are in the test?")


class TestRecording:
    def test_a_sown_test_counts_once_it_is_read_back(self, place: Village) -> None:
        charge(place)
        back = place.type(VALLEY, "1", "50", "today")
        place.relay()
        assert "50 seeds in the test, sown 1 Mar." in back
        assert place.facts(ANN) == {}
        place.type(VALLEY, "1")
        place.relay()
        assert place.facts(ANN) == {
            "lot.test_day": "2027-03-01",
            "lot.test_day_by": "a1",
            "lot.test_sown": 50,
            "lot.test_sown_by": "a1",
        }

    def test_nothing_is_written_to_the_agents_own_record(self, place: Village) -> None:
        charge(place)
        place.type(VALLEY, "1", "50", "today", "1")
        place.relay()
        assert place.facts(VALLEY) == {}

    def test_the_grower_gets_one_sms_that_says_so(self, place: Village) -> None:
        charge(place)
        place.type(VALLEY, "1", "50", "today", "1")
        place.relay()
        place.relay()
        assert place.texts() == [
            "Your agent has recorded your seed test: 50 seeds, sown 1 Mar.\nNot right? Tell your agent."
        ]

    def test_it_is_in_the_growers_language(self, place: Village) -> None:
        baraka = "+999001114455"
        place.dial(baraka)
        place.type(baraka, "2", "1", "2")
        charge(place, "4455")
        place.type(VALLEY, "4", "12/3", "1")
        place.relay()
        assert place.texts(baraka)[0].startswith("Afisa wako ameandika")

    def test_a_repeat_of_the_message_records_nothing_twice(self, place: Village) -> None:
        charge(place)
        place.type(VALLEY, "1", "50", "today", "1")
        for _ in range(3):
            place.again(VALLEY, "1")
            place.relay()
        assert len(place.texts()) == 1

    def test_a_last_count_of_one_number_is_of_those_sown(self, place: Village) -> None:
        """The trap of 45: it is 45 of the 50 that were sown, and is read back as that."""
        charge(place)
        place.type(VALLEY, "1", "50", "today", "1")
        place.relay()
        place.type(VALLEY, "2", "2233", "3")
        assert "45 of 50 are up at the last count." in place.type(VALLEY, "45")
        place.type(VALLEY, "1")
        place.relay()
        assert place.facts(ANN) == {"lot.test": (45, 50), "lot.test_by": "a1"} | {
            name: "a1" for name in ("lot.test_day_by", "lot.test_sown_by") if name in place.facts(ANN)
        }

    def test_ninety_of_fifty_is_asked_again(self, place: Village) -> None:
        charge(place)
        assert place.type(VALLEY, "3", "90 of 50").startswith("More grew than were sown?")

    def test_more_up_than_sown_is_asked_about(self, place: Village) -> None:
        charge(place)
        place.type(VALLEY, "1", "50", "today", "1")
        place.relay()
        place.type(VALLEY, "2", "2233", "2")
        assert place.type(VALLEY, "60").startswith("That is more than were sown.")

    def test_a_last_count_below_the_first_is_asked_about(self, place: Village) -> None:
        charge(place)
        place.type(VALLEY, "2", "40", "1")
        place.relay()
        place.type(VALLEY, "2", "2233", "3")
        assert place.type(VALLEY, "30 of 50").startswith("That is less than at the first count.")

    def test_who_said_stop_gets_no_sms_and_the_record_is_right(self, place: Village) -> None:
        place.sms(ANN, "STOP")
        before = place.texts()
        charge(place)
        place.type(VALLEY, "1", "50", "today", "1")
        place.relay()
        assert place.facts(ANN)["lot.test_sown"] == 50
        assert place.texts() == before

    def test_of_who_was_erased_meanwhile_nothing_is_kept(self, place: Village) -> None:
        charge(place)
        place.type(VALLEY, "1", "50", "today", "1")
        place.sms(ANN, "ERASE")
        place.sms(ANN, "1")
        before = place.texts()
        place.relay()
        assert place.record(ANN).facts == ()
        assert place.texts() == before

    def test_of_who_took_consent_back_meanwhile_nothing_is_kept(self, place: Village) -> None:
        charge(place)
        place.type(VALLEY, "1", "50", "today", "1")
        place.dial(ANN)
        place.type(ANN, "8", "6", "1", "1")
        place.relay()
        assert place.record(ANN).facts == ()

    def test_what_the_grower_said_since_stands(self, place: Village) -> None:
        charge(place)
        place.type(VALLEY, "4", "12/3", "1")
        place.clock.at += timedelta(minutes=1)
        version, value = place.store.value(IDS.number(ANN))
        stored = from_bytes(value)
        record = stored.record.knows("plot.sowing", "2027-03-20", place.clock.now())
        place.store.commit(
            Change(IDS.number(ANN), version, to_bytes(replace(stored, record=record)), 1, heard=False)
        )
        place.relay()
        assert place.facts(ANN)["plot.sowing"] == "2027-03-20"

    def test_going_back_and_saying_yes_again_sends_no_second_sms(self, place: Village) -> None:
        charge(place)
        place.type(VALLEY, "1", "50", "today", "1", "0", "1")
        place.relay()
        assert len(place.texts()) == 1

    def test_what_was_just_recorded_is_known_at_once(self, place: Village) -> None:
        charge(place)
        place.type(VALLEY, "1", "50", "today", "1", "1", "2", "40", "1", "1", "3")
        assert place.type(VALLEY, "30").startswith("That is less than at the first count.")


class TestAGaugeByPhone:
    def test_is_recorded_for_its_zone_once_it_is_read_back(self, place: Village) -> None:
        place.dial(VALLEY)
        assert place.type(VALLEY, "8", "3").startswith("Type your PIN.")
        back = place.type(VALLEY, PIN, "2", "28/2", "12.5")
        assert "Kesu, 28 Feb: 12.5 mm of rain." in back
        place.relay()
        assert Gauges(place.store, place.clock, IDS).of("valley").readings == ()
        place.type(VALLEY, "1")
        place.relay()
        assert Gauges(place.store, place.clock, IDS).of("valley").readings == (
            Reading("v2", date(2027, 2, 28), 12.5, "a1"),
        )

    def test_the_same_day_again_is_a_correction(self, place: Village) -> None:
        place.dial(VALLEY)
        place.type(VALLEY, "8", "3", PIN, "2", "28/2", "125", "1")
        place.clock.at += timedelta(seconds=20)
        place.type(VALLEY, "1", "28/2", "12.5", "1")
        place.relay()
        assert [one.mm for one in Gauges(place.store, place.clock, IDS).of("valley").readings] == [12.5]

    @pytest.mark.parametrize("typed", ["501", "-3", "much"])
    def test_what_cannot_be_is_asked_again(self, place: Village, typed: str) -> None:
        place.dial(VALLEY)
        assert "How many mm fell?" in place.type(VALLEY, "8", "3", PIN, "2", "28/2", typed)


class TestAGrowerWithTwoBags:
    @pytest.fixture
    def bags(self, place: Village) -> Village:
        """Ann's first bag has a test of 50 seeds; the second, which is in hand, one of 100."""
        keep(place, begins(record_with(place, {"lot.origin": "saved", "lot.test_sown": 50}), "lot"))
        keep(place, record_with(place, {"lot.bag": 2, "lot.origin": "saved", "lot.test_sown": 100}))
        return place

    def test_is_asked_for_the_number_of_the_bag(self, bags: Village) -> None:
        assert charge(bags).startswith("Grower 2233 has several bags of seed.\nWhich one?")
        assert bags.type(VALLEY, "3").startswith("Grower 2233 has no bag 3.")
        assert bags.type(VALLEY, "1", "1").startswith("Bag 1\nGrower 2233: what do you record?")

    def test_with_one_bag_is_not(self, place: Village) -> None:
        assert charge(place).startswith("Grower 2233: what do you record?")

    def test_has_the_bag_read_back_and_told(self, bags: Village) -> None:
        charge(bags)

        assert bags.type(VALLEY, "1", "3", "45").startswith("Bag 1\nGrower 2233:\n45 of 50 are up")
        bags.type(VALLEY, "1")
        bags.relay()
        assert bags.texts()[-1].startswith("Bag 1\nYour agent has recorded your seed test: 45 of 50 grew.")

    @pytest.mark.parametrize(("bag", "counted"), [(1, (45, 50)), (2, (45, 100))])
    def test_has_the_count_kept_with_the_bag_that_was_told_and_with_no_other(
        self, bags: Village, bag: int, counted: tuple[int, int]
    ) -> None:
        charge(bags)
        bags.type(VALLEY, str(bag), "3", "45", "1")
        bags.relay()

        every = [{fact.name: fact.value for fact in lot} for lot in all_of(bags.record(ANN), "lot")]
        assert [lot.get("lot.test") for lot in every] == [counted if at == bag else None for at in (1, 2)]
        assert place_in_hand(bags.record(ANN), "lot") == 1

    def test_is_asked_again_for_the_next_record(self, bags: Village) -> None:
        charge(bags)
        bags.type(VALLEY, "1", "2", "30", "1")

        assert bags.type(VALLEY, "1").startswith("Grower 2233 has several bags of seed.")
        assert bags.type(VALLEY, "2", "2", "60").startswith("Bag 2\nGrower 2233:\n60 are up")

    def test_is_asked_the_same_by_sms(self, bags: Village) -> None:
        for text in ("WORK", PIN, "2233", "1", "3", "45"):
            bags.sms(VALLEY, text)

        assert bags.texts(VALLEY)[-1].startswith("Bag 1\nGrower 2233:\n45 of 50")

    def test_whose_bag_is_gone_meanwhile_keeps_the_others_as_they_are(self, bags: Village) -> None:
        charge(bags)
        bags.type(VALLEY, "1", "3", "45", "1")
        keep(bags, drops(bags.record(ANN), "lot", 0))
        bags.relay()

        assert bags.facts(ANN).get("lot.test") is None
        assert bags.texts() == []
