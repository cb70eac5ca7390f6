"""An agent with a basic phone: the PIN, whom it opens the work for, and what is recorded of a grower."""

from __future__ import annotations

import logging
import pickle
from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta
from random import Random

import pytest

from advisor.dialogue.book import Book
from advisor.records.grower import PIN_LOCKED, PIN_OPENS, PIN_TRIES
from advisor.service.caring import UnfitPin, is_pin, new_mark
from advisor.service.moving import Moving
from advisor.service.pins import NoRecord
from advisor.store.api import Store
from advisor.store.embedded import EmbeddedStore
from advisor.store.memory import DictStore
from tests.service.agents import ANN, OTHER, PIN, VALLEY, Village, charge
from tests.service.stage import IDS

WRONG = "That is not the PIN."
LOCKED = "Too many tries: locked for a day."
ASKS_WHOM = "Which grower?"


@pytest.fixture(params=[DictStore, EmbeddedStore])
def store(request: pytest.FixtureRequest) -> Store:
    return request.param()


class TestWhoMayWork:
    def test_a_growers_menus_are_as_they_were(self, place: Village) -> None:
        place.dial(ANN)
        assert place.type(ANN, "8").startswith("What do you need?\n1 Ask my agent")

    def test_an_agent_is_asked_for_the_pin_first(self, place: Village) -> None:
        place.dial(VALLEY)
        assert place.type(VALLEY, "8", "1").startswith("Type your PIN.")

    def test_the_pin_opens_it(self, place: Village) -> None:
        assert place.works().startswith(ASKS_WHOM)

    def test_the_pin_of_another_agent_does_not(self, place: Village) -> None:
        place.dial(VALLEY)
        assert place.type(VALLEY, "8", "1", OTHER).startswith(WRONG)

    def test_an_agent_with_a_new_number_goes_on_with_the_same_pin(self, place: Village) -> None:
        new = "+99900700009"
        Moving(place.store, place.clock, IDS).move(VALLEY, new, None)
        place.relay()
        programme = place.book.programme
        agents = tuple(replace(one, number=new) if one.number == VALLEY else one for one in programme.agents)
        book = replace(place.book, programme=replace(programme, agents=agents))

        after = Village(book, place.store, place.clock, count=1000)

        assert after.works(new).startswith(ASKS_WHOM)
        after.dial(VALLEY)
        assert "PIN" not in after.type(VALLEY, "1", "1", "1", "8", "1"), (
            "whoever gets the old number is a stranger"
        )

    def test_without_a_pin_an_agent_is_told_to_ask_for_one(self, book: Book, store: Store) -> None:
        place = Village(book, store)
        place.agrees(VALLEY, "1")
        place.dial(VALLEY)
        assert place.type(VALLEY, "8", "1").startswith("You have no PIN yet.")

    def test_a_pin_needs_an_agent_who_agreed(self, book: Book, store: Store) -> None:
        place = Village(book, store)
        with pytest.raises(NoRecord, match="call once and agree"):
            place.pins.set(place.agent(), PIN)

    @pytest.mark.parametrize("pin", ["", "12345", "123456789", "12345a", "111111", "345678", "987654", "909090 "])
    def test_a_pin_that_is_short_or_easy_is_refused(self, place: Village, pin: str) -> None:
        with pytest.raises(UnfitPin):
            place.pins.set(place.agent(), pin)

    def test_the_keyword_by_sms_leads_there_for_an_agent_alone(self, place: Village) -> None:
        place.sms(VALLEY, "WORK")
        place.sms(ANN, "WORK")
        assert place.texts(VALLEY)[0].startswith("Type your PIN.")
        assert not place.texts(ANN)[0].startswith("Type your PIN.")

    def test_by_sms_the_pin_opens_it_too(self, place: Village) -> None:
        for text in ("KAZI", PIN, "2233"):
            place.sms(VALLEY, text)
        assert place.texts(VALLEY)[-1].startswith("Grower 2233")

    def test_the_work_shuts_by_itself_in_the_midst_of_it(self, place: Village) -> None:
        charge(place)
        place.clock.at += PIN_OPENS
        assert "Type your PIN." in place.type(VALLEY, "1")
        assert ASKS_WHOM in place.type(VALLEY, PIN)

    def test_what_is_on_a_screen_when_it_shuts_is_not_recorded(self, place: Village) -> None:
        charge(place)
        place.type(VALLEY, "1", "50", "today")
        place.clock.at += PIN_OPENS
        place.type(VALLEY, "1")
        place.relay()
        assert place.facts(ANN) == {}

    def test_a_call_taken_up_after_that_shows_nothing_of_the_grower(self, place: Village) -> None:
        charge(place)
        place.clock.at += PIN_OPENS
        assert "2233" not in place.dial(VALLEY)

    def test_who_says_stop_at_the_pin_is_obeyed(self, place: Village) -> None:
        place.sms(VALLEY, "WORK")
        place.sms(VALLEY, "STOP")
        assert place.record(VALLEY).stopped is not None


class TestFiveTries:
    def test_then_it_is_locked_and_the_right_one_is_no_use(self, place: Village) -> None:
        place.dial(VALLEY)
        place.type(VALLEY, "8", "1")
        shown = [place.type(VALLEY, OTHER) for _ in range(PIN_TRIES)]
        assert [one.startswith(WRONG) for one in shown] == [True] * (PIN_TRIES - 1) + [False]
        assert shown[-1].startswith(LOCKED)
        assert place.type(VALLEY, PIN).startswith(LOCKED)

    def test_hanging_up_gives_no_new_ones(self, place: Village) -> None:
        for _ in range(PIN_TRIES):
            place.dial(VALLEY)
            place.type(VALLEY, "00", "8", "1", OTHER)
        assert place.record(VALLEY).pin.is_locked(place.clock.now())  # type: ignore[union-attr]

    def test_sms_and_calls_share_them(self, place: Village) -> None:
        place.dial(VALLEY)
        place.type(VALLEY, "8", "1", OTHER, OTHER, OTHER)
        place.sms(VALLEY, "WORK")
        place.sms(VALLEY, OTHER)
        place.sms(VALLEY, OTHER)
        assert place.record(VALLEY).pin.is_locked(place.clock.now())  # type: ignore[union-attr]

    def test_the_right_one_in_between_gives_five_again(self, place: Village) -> None:
        place.dial(VALLEY)
        place.type(VALLEY, "8", "1", *[OTHER] * 4, PIN)
        assert place.record(VALLEY).pin.tries == 0  # type: ignore[union-attr]

    def test_a_day_later_it_can_be_tried_again(self, place: Village) -> None:
        place.dial(VALLEY)
        place.type(VALLEY, "8", "1", *[OTHER] * 5)
        place.clock.at += PIN_LOCKED - timedelta(seconds=1)
        place.dial(VALLEY)
        assert place.type(VALLEY, "8", "1").startswith("Your PIN is locked")
        place.clock.at += timedelta(seconds=3)
        place.type(VALLEY, "00")
        assert place.works().startswith(ASKS_WHOM)

    def test_the_office_can_unlock_it(self, place: Village) -> None:
        place.dial(VALLEY)
        place.type(VALLEY, "8", "1", *[OTHER] * 5)
        place.pins.unlock(place.agent())
        assert place.type(VALLEY, PIN).startswith(ASKS_WHOM)

    def test_a_repeat_of_the_gateway_is_no_further_try(self, place: Village) -> None:
        place.dial(VALLEY)
        first = place.type(VALLEY, "8", "1", OTHER)
        assert [place.again(VALLEY, OTHER) for _ in range(9)] == [first] * 9
        assert place.record(VALLEY).pin.tries == 1  # type: ignore[union-attr]

    def test_erasing_oneself_takes_the_pin_along_and_gives_no_tries(self, place: Village) -> None:
        place.sms(VALLEY, "ERASE")
        place.sms(VALLEY, "1")
        place.agrees(VALLEY, "1")
        assert place.record(VALLEY).pin is None

    def test_a_thousand_random_tries_over_days_open_nothing(
        self, book: Book, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        """Random digits, screens left and taken up, calls and SMS: never open, and few tries judged."""
        judged: list[int] = []
        monkeypatch.setattr(
            "advisor.service.caring.is_pin",
            lambda typed, *_: judged.append(place.clock.now().toordinal()) or typed == PIN,
        )
        random, place = Random(7), Village(book, DictStore())
        place.agrees(VALLEY, "1")
        place.pins.set(place.agent(), PIN)
        for _ in range(1000):
            place.clock.at += timedelta(minutes=random.randint(1, 40))
            typed = f"{random.randrange(10**6):06d}"
            if random.random() < 0.3:
                place.sms(VALLEY, random.choice(("WORK", typed, "MENU")))
            elif random.random() < 0.5:
                place.dial(VALLEY)
                place.type(VALLEY, "00", "8", "1", typed)
            else:
                place.type(VALLEY, random.choice((typed, "0", "00", "9", "?", "")))
            assert not place.record(VALLEY).pin.is_open(place.clock.now())  # type: ignore[union-attr]
        days = (place.clock.now() - place.clock.at).days + 1000 * 40 // 1440
        assert 0 < len(judged) <= PIN_TRIES * (days + 1)
        # a lock lasts a day from its last try, so within any day no more than one series fits
        assert max(judged.count(day) for day in set(judged)) <= 2 * PIN_TRIES


class TestWhatIsTypedThere:
    """Nothing that was typed at the PIN is anywhere afterwards: no key, value, list, stream or log line."""

    @pytest.fixture
    def used(self, place: Village, caplog: pytest.LogCaptureFixture) -> Iterator[Village]:
        with caplog.at_level(logging.DEBUG):
            place.dial(VALLEY)
            place.type(VALLEY, "8", "1", OTHER, PIN, "2233", "1", "50", "today", "1")
            place.relay()
            place.sms(VALLEY, "WORK")
            place.sms(VALLEY, OTHER)
            place.sms(VALLEY, PIN)
            place.clock.at += PIN_OPENS + timedelta(hours=3)
            place.type(VALLEY, PIN)  # too late: the call is over, and it lands on another screen
            place.sms(VALLEY, f"my PIN is {PIN} ok")
            yield place

    def test_is_in_no_log_line(self, used: Village, caplog: pytest.LogCaptureFixture) -> None:
        written = "\n".join(record.getMessage() for record in caplog.get_records("setup"))
        assert "event=message" in written
        assert PIN not in written
        assert OTHER not in written

    def test_is_in_no_key_and_no_value(self, used: Village) -> None:
        kept = all_of(used.store)
        assert b"agent_work" in kept  # it did look at the history and at the sessions
        for secret in (PIN, OTHER):
            assert secret.encode() not in kept
        for number in (ANN,):
            assert number.encode() in kept  # a number stands in its own record, where this search finds it

    def test_has_no_quick_hash_either(self, used: Village) -> None:
        """A digest of the body under the id secret would let whoever has both try a million PINs in a second."""
        kept = all_of(used.store)
        for count in range(used.count + 1):
            for pin in (PIN, OTHER):
                for body in (f"{VALLEY} {count} answer {pin}", f"{VALLEY} {count} {pin}"):
                    assert IDS.digest(body.encode()).encode() not in kept

    def test_has_a_slow_one_with_a_salt_of_its_own(self) -> None:
        first, second = (new_mark(PIN, "a1", IDS.secret) for _ in range(2))
        assert first != second
        assert is_pin(PIN, first, "a1", IDS.secret)
        assert not is_pin(PIN, first, "a2", IDS.secret)
        assert not is_pin(PIN, first, "a1", b"another secret")


def all_of(store: Store) -> bytes:
    """Everything that a store in this process holds, as bytes."""
    if isinstance(store, EmbeddedStore):
        import fakeredis

        client = fakeredis.FakeStrictRedis(server=store.server, protocol=2)
        found = []
        for key in client.scan_iter(count=1000):
            kind = client.type(key)
            found.append(key)
            found.append(
                repr(
                    {
                        b"string": lambda key=key: client.get(key),
                        b"hash": lambda key=key: client.hgetall(key),
                        b"set": lambda key=key: client.smembers(key),
                        b"zset": lambda key=key: client.zrange(key, 0, -1),
                        b"stream": lambda key=key: client.xrange(key),
                    }[kind]()
                ).encode()
            )
        return b"\n".join(found)
    state = {name: value for name, value in vars(store).items() if "lock" not in name}
    return repr(state).encode() + pickle.dumps(repr(state))
