"""What every store promises about growers, messages, figures and history, on four kinds of store."""

from __future__ import annotations

import time

import pytest
from msgspec.structs import replace

from advisor.store.api import Committed, Conflict, Parked, Reading, Relay, Remembered, Store, Waiting
from advisor.store.plans import Keeps
from tests.store.conftest import Made
from tests.store.samples import (
    ANN,
    BEN,
    COR,
    DAY_MS,
    HOUR_MS,
    NOON_MS,
    change,
    full_change,
    message,
    neighbour_of,
    out,
    stranger_to,
)


def committed(store: Store, *args: object, **more: object) -> int:
    """Commits and returns the new version."""
    verdict = store.commit(change(*args, **more))
    assert isinstance(verdict, Committed)
    return verdict.version


class TestReadingAndCommitting:
    def test_a_number_nobody_wrote_from_is_its_own_grower_with_nothing_known(self, store: Store) -> None:
        assert store.read(ANN, message("m1")) == Reading(ANN, 0, None, None)

    def test_a_committed_value_is_read_back_byte_by_byte(self, store: Store) -> None:
        value = bytes(range(256))

        version = committed(store, value=value)

        assert store.value(ANN) == (version, value)
        assert store.read(ANN, message("m1")) == Reading(ANN, version, value, None)

    def test_an_empty_value_is_a_value(self, store: Store) -> None:
        version = committed(store, value=b"")

        assert store.value(ANN) == (version, b"")

    def test_every_commit_raises_the_version_by_one(self, store: Store) -> None:
        first = committed(store)

        assert committed(store, version=first) == first + 1

    def test_a_commit_on_an_old_version_changes_nothing(self, store: Store) -> None:
        first = committed(store, value=b"one")
        second = committed(store, version=first, value=b"two")

        verdict = store.commit(full_change(version=first, value=b"lost"))

        assert verdict == Conflict()
        assert store.value(ANN) == (second, b"two")
        assert store.counts("dovi") == {}
        assert store.history(ANN) == ()
        assert store.busy(NOON_MS + DAY_MS).outbox == ()

    @pytest.mark.parametrize("version", [1, NOON_MS])
    def test_a_commit_on_a_value_that_is_not_there_changes_nothing(self, store: Store, version: int) -> None:
        assert store.commit(change(version=version)) == Conflict()
        assert store.value(ANN) == (0, None)

    def test_a_first_commit_on_a_value_that_is_there_changes_nothing(self, store: Store) -> None:
        version = committed(store, value=b"one")

        assert store.commit(change(value=b"other")) == Conflict()
        assert store.value(ANN) == (version, b"one")

    def test_no_value_deletes_the_grower(self, store: Store) -> None:
        version = committed(store)

        assert store.commit(change(version=version, value=None)) == Committed(0)
        assert store.value(ANN) == (0, None)

    def test_a_value_that_came_again_never_has_a_version_held_from_before(self, store: Store) -> None:
        held = committed(store)
        store.commit(change(version=held, value=None))
        committed(store, at_ms=NOON_MS + 1)

        assert store.commit(change(version=held, value=b"late")) == Conflict()

    def test_a_message_may_be_answered_without_anything_known(self, store: Store) -> None:
        store.commit(change(value=None, message=message("m1"), digest="d", reply=b"hello"))

        assert store.read(ANN, message("m1")) == Reading(ANN, 0, None, Remembered("d", b"hello"))


class TestMessagesComeTwice:
    def test_the_same_message_gets_the_first_answer_and_no_second_effect(self, store: Store) -> None:
        first = full_change()
        store.commit(first)
        version, value = store.value(ANN)

        again = store.commit(replace(first, version=version, value=b"twice", reply=b"second answer"))

        assert again == Remembered("d1", b"first answer")
        assert store.value(ANN) == (version, value)
        assert store.counts("dovi") == {"growers": 1, "started": 1}
        assert len(store.history(ANN)) == 1

    def test_a_reading_shows_the_earlier_answer_with_its_digest(self, store: Store) -> None:
        store.commit(full_change())

        assert store.read(ANN, message("full")).remembered == Remembered("d1", b"first answer")

    def test_a_reply_keeps_its_spaces_and_bytes(self, store: Store) -> None:
        reply = b" a  b \n\0\xff "

        store.commit(change(message=message("m1"), digest="", reply=reply))

        assert store.read(ANN, message("m1")).remembered == Remembered("", reply)

    def test_an_answer_is_forgotten_after_its_time(self, made: Made) -> None:
        store = made(Keeps(answers_ms=40))
        store.commit(change(message=message("m1")))
        time.sleep(0.06)
        store.commit(change(BEN, at_ms=NOON_MS + 60))

        assert store.read(ANN, message("m1")).remembered is None

    def test_an_answer_may_be_forgotten_sooner_than_others(self, made: Made) -> None:
        store = made(None)
        store.commit(change(message=message("m1"), remember_ms=40))
        store.commit(change(COR, message=message("m2")))
        time.sleep(0.06)
        store.commit(change(BEN, at_ms=NOON_MS + 60))

        assert store.read(ANN, message("m1")).remembered is None
        assert store.read(COR, message("m2")).remembered is not None

    def test_another_message_is_not_taken_for_it(self, store: Store) -> None:
        store.commit(full_change())

        assert store.read(ANN, message("other")).remembered is None


class TestNumbersMove:
    def test_a_number_may_point_to_a_grower_of_another_bucket(self, store: Store) -> None:
        version = committed(store, ANN, value=b"ann")
        new = stranger_to(ANN)
        store.commit(change(new, value=None, pointer=(new, ANN)))

        assert store.read(new, message("m1")) == Reading(ANN, version, b"ann", None)

    def test_messages_from_a_moved_number_are_remembered_with_the_grower(self, store: Store) -> None:
        new = stranger_to(ANN)
        store.commit(change(new, value=None, pointer=(new, ANN)))
        committed(store, ANN, message=message("m1"), reply=b"hello")

        assert store.read(new, message("m1")).remembered == Remembered("", b"hello")

    def test_a_message_answered_before_the_move_stays_answered(self, store: Store) -> None:
        new = stranger_to(ANN)
        store.commit(change(new, value=None, message=message("m1"), reply=b"who are you"))
        store.commit(change(new, value=None, pointer=(new, ANN)))

        assert store.read(new, message("m1")).remembered == Remembered("", b"who are you")

    def test_a_pointer_can_be_taken_away(self, store: Store) -> None:
        near = neighbour_of(ANN)
        version = committed(store, pointer=(near, ANN))
        assert store.read(near, message("m1")).grower == ANN

        committed(store, version=version, pointer=(near, None))

        assert store.read(near, message("m1")).grower == near


class TestRelays:
    def test_a_relay_waits_until_it_is_done(self, store: Store) -> None:
        bucket = int(ANN[:2], 16)
        committed(store, relays=(Relay("effect-1", BEN, b"a body with spaces"),))

        assert store.relays(bucket, 10) == (Waiting(bucket, "effect-1", BEN, b"a body with spaces"),)
        assert store.busy(NOON_MS).relays == (bucket,)

        store.relay_done(bucket, "effect-1")

        assert store.relays(bucket, 10) == ()
        assert store.busy(NOON_MS).relays == ()

    def test_the_oldest_relays_come_first_and_no_more_than_asked(self, store: Store) -> None:
        version = committed(store, relays=(Relay("late", BEN, b""),), at_ms=NOON_MS + 5)
        committed(store, version=version, relays=(Relay("early", BEN, b""), Relay("earlier", BEN, b"")))

        waiting = store.relays(int(ANN[:2], 16), 2)

        assert [relay.effect for relay in waiting] == ["earlier", "early"]

    def test_the_same_effect_leaves_once(self, store: Store) -> None:
        version = committed(store, relays=(Relay("effect-1", BEN, b"first"),))
        committed(store, version=version, relays=(Relay("effect-1", BEN, b"second"),))

        assert [relay.body for relay in store.relays(int(ANN[:2], 16), 10)] == [b"first"]

    def test_an_effect_is_applied_once(self, store: Store) -> None:
        version = committed(store, BEN, applied="effect-1", counts=(("kesu", "tested", 1),))

        again = store.commit(change(BEN, version, applied="effect-1", counts=(("kesu", "tested", 1),)))

        assert isinstance(again, Remembered)
        assert store.counts("kesu") == {"tested": 1}


class TestVillageFigures:
    def test_figures_are_summed_over_all_buckets(self, store: Store) -> None:
        for grower in (ANN, BEN, COR):
            committed(store, grower, counts=(("dovi", "growers", 1), ("dovi", "seed_kg", 12)))

        assert store.counts("dovi") == {"growers": 3, "seed_kg": 36}
        assert store.counts("lawi") == {}

    def test_figures_can_fall(self, store: Store) -> None:
        version = committed(store, counts=(("dovi", "silent", 2),))
        committed(store, version=version, counts=(("dovi", "silent", -2), ("dovi", "growers", 0)))

        assert store.counts("dovi") == {"silent": 0}


class TestHistory:
    def test_lines_come_oldest_first_with_their_fields_in_order(self, store: Store) -> None:
        first = (("what", "began"), ("by", "grower"))
        version = committed(store, history=first)
        committed(store, version=version, history=(("what", "tested"),), at_ms=NOON_MS + 1)

        assert store.history(ANN) == (first, (("what", "tested"),))
        assert store.history(BEN) == ()

    def test_a_clock_that_stands_still_or_goes_back_loses_no_line(self, store: Store) -> None:
        version = 0
        for place, at_ms in enumerate((NOON_MS, NOON_MS, NOON_MS - DAY_MS, NOON_MS + 1)):
            version = committed(store, version=version, history=(("line", str(place)),), at_ms=at_ms)

        assert [line[0][1] for line in store.history(ANN)] == ["0", "1", "2", "3"]

    def test_lines_older_than_the_retention_go(self, made: Made) -> None:
        store = made(Keeps(history_ms=DAY_MS))
        version = committed(store, history=(("line", "old"),), at_ms=NOON_MS - DAY_MS - 1)
        version = committed(store, version=version, history=(("line", "kept"),), at_ms=NOON_MS - DAY_MS)
        committed(store, version=version, history=(("line", "new"),), at_ms=NOON_MS)

        assert [line[0][1] for line in store.history(ANN)] == ["kept", "new"]


class TestUnconsentedSessionsLapse:
    def test_a_session_is_deleted_when_its_time_is_over_and_not_before(self, store: Store) -> None:
        bucket = int(ANN[:2], 16)
        committed(store, lapses_ms=NOON_MS + HOUR_MS)

        assert store.lapse(bucket, NOON_MS + HOUR_MS - 1, 10) == 0
        assert store.busy(NOON_MS + HOUR_MS - 1).lapses == ()
        assert store.busy(NOON_MS + HOUR_MS).lapses == (bucket,)
        assert store.lapse(bucket, NOON_MS + HOUR_MS, 10) == 1
        assert store.value(ANN) == (0, None)
        assert store.lapse(bucket, NOON_MS + DAY_MS, 10) == 0

    def test_whoever_agreed_meanwhile_stays(self, store: Store) -> None:
        version = committed(store, lapses_ms=NOON_MS + HOUR_MS)
        version = committed(store, version=version, value=b"agreed")

        assert store.lapse(int(ANN[:2], 16), NOON_MS + DAY_MS, 10) == 0
        assert store.value(ANN) == (version, b"agreed")

    def test_no_more_than_asked_lapse_at_once(self, store: Store) -> None:
        committed(store, ANN, lapses_ms=NOON_MS)
        committed(store, neighbour_of(ANN), lapses_ms=NOON_MS)

        assert [store.lapse(int(ANN[:2], 16), NOON_MS, 1) for _ in range(3)] == [1, 1, 0]


class TestOperators:
    def test_growers_are_listed_by_bucket_and_in_all(self, store: Store) -> None:
        for grower in (ANN, BEN, neighbour_of(ANN)):
            committed(store, grower)

        assert set(store.growers(int(ANN[:2], 16))) == {ANN, neighbour_of(ANN)}
        assert set(store.growers()) == {ANN, BEN, neighbour_of(ANN)}

    def test_failures_are_counted_by_message(self, store: Store) -> None:
        assert [store.stumble(ANN, message("m1")) for _ in range(12)] == list(range(1, 13))
        assert store.stumble(ANN, message("m2")) == 1

    def test_a_message_is_parked_once(self, store: Store) -> None:
        for at_ms in (NOON_MS, NOON_MS + 1):
            store.park(ANN, message("m1"), at_ms)

        assert store.parked(int(ANN[:2], 16)) == (Parked(ANN, message("m1"), NOON_MS + 1),)
        assert store.parked(int(stranger_to(ANN)[:2], 16)) == ()

    def test_the_do_not_contact_list_is_kept_until_taken_off(self, store: Store) -> None:
        version = committed(store, stop=(ANN, True))
        assert store.stopped(ANN, ANN)
        assert not store.stopped(ANN, BEN)

        version = committed(store, version=version, value=None, stop=(ANN, True))
        assert store.stopped(ANN, ANN), "the mark outlives the record"

        committed(store, version=version, stop=(ANN, False))
        assert not store.stopped(ANN, ANN)

    def test_a_store_opens_twice_and_says_it_is_ready(self, store: Store) -> None:
        store.open()

        assert store.ready()[0]


class TestWhoWaitsForTheAgent:
    def test_is_listed_over_all_buckets_the_longest_first(self, store: Store) -> None:
        for grower, since_ms in ((ANN, NOON_MS + 2), (BEN, NOON_MS), (COR, NOON_MS + 1)):
            committed(store, grower, asked_ms=since_ms)

        assert store.asked() == ((BEN, NOON_MS), (COR, NOON_MS + 1), (ANN, NOON_MS + 2))

    def test_stays_listed_while_other_things_change(self, store: Store) -> None:
        version = committed(store, asked_ms=NOON_MS)
        committed(store, version=version, stop=(ANN, True))

        assert store.asked() == ((ANN, NOON_MS),)

    def test_may_wait_for_a_later_answer_or_for_none(self, store: Store) -> None:
        version = committed(store, asked_ms=NOON_MS)
        version = committed(store, version=version, asked_ms=NOON_MS + 5)
        assert store.asked() == ((ANN, NOON_MS + 5),)

        committed(store, version=version, asked_ms=0)
        assert store.asked() == ()

    def test_is_off_the_list_once_forgotten(self, store: Store) -> None:
        version = committed(store, asked_ms=NOON_MS)
        store.commit(change(version=version, value=None, forgets=True))

        assert store.asked() == ()

    def test_that_lost_a_race_is_not_listed(self, store: Store) -> None:
        committed(store)
        assert store.commit(change(asked_ms=NOON_MS)) == Conflict()

        assert store.asked() == ()


class TestWhatCannotBeWritten:
    @pytest.mark.parametrize(
        ("more", "why"),
        [
            ({"grower": "+999001000001"}, "hexadecimal"),
            ({"grower": "999001000001"}, "hexadecimal"),
            ({"message": "+999001000001"}, "message"),
            ({"applied": "}x{"}, "applied"),
            ({"digest": "two words"}, "digest"),
            ({"at_ms": 0}, "at_ms"),
            ({"at_ms": 2**53}, "at_ms"),
            ({"remember_ms": 0}, "remember_ms"),
            ({"asked_ms": -1}, "asked_ms"),
            ({"asked_ms": 2**53}, "asked_ms"),
            ({"outs": (out(stranger_to(ANN)),)}, "another bucket"),
            ({"pointer": (stranger_to(ANN), ANN)}, "another bucket"),
            ({"pointer": (ANN, "Ann")}, "hexadecimal"),
            ({"stop": ("+999001000001", True)}, "stop"),
            ({"counts": (("Dovi Village", "growers", 1),)}, "village"),
            ({"counts": (("dovi", "growers", 10**10),)}, "counts"),
        ],
    )
    def test_a_change_refuses_it_before_any_store_sees_it(self, more: dict[str, object], why: str) -> None:
        with pytest.raises(ValueError, match=why) as refused:
            change(**more)

        assert "999001" not in str(refused.value)
