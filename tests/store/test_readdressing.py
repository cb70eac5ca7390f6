"""Messages that wait get another number with the change that moves their grower, on four kinds of store."""

from __future__ import annotations

import pytest

from advisor.store import keys
from advisor.store.api import Change, Committed, Conflict, Readdress, Store
from advisor.store.names import bucket_of
from advisor.store.redis_store import RedisStore
from tests.store.samples import ANN, BEN, COR, HOUR_MS, NOON_MS, change, out

NEW = BEN
MOVES = Readdress(NEW, b"old ", b"new one ")
MINUTE_MS = 60_000


def queued(store: Store, *names: str, version: int = 0, **more: object) -> int:
    outs = tuple(out(name=name, body=f"old {name}\nand more".encode(), **more) for name in names)
    verdict = store.commit(change(version=version, outs=outs))
    assert isinstance(verdict, Committed)
    return verdict.version


def bodies(store: Store, now_ms: int = NOON_MS) -> list[bytes]:
    return sorted(claimed.body for claimed in store.claim(bucket_of(ANN), now_ms, MINUTE_MS, 100))


def test_what_waits_goes_to_the_new_number_with_the_same_text(store: Store) -> None:
    version = queued(store, "answer", to=ANN)
    version = queued(store, "reminder", version=version, to=ANN, lane=2, round="weeding")

    store.commit(change(version=version, readdress=MOVES))

    assert bodies(store) == [b"new one answer\nand more", b"new one reminder\nand more"]


def test_a_stop_from_the_new_number_holds_it_back_and_one_from_the_old_does_not(store: Store) -> None:
    version = queued(store, "answer", to=ANN)
    store.commit(change(version=version, readdress=MOVES))
    near = ANN[:2] + COR[2:]
    store.commit(change(near, stop=(NEW, True)))
    assert bodies(store) == []

    other = queued(store, "other", version=store.value(ANN)[0], to=COR)
    store.commit(change(version=other, readdress=MOVES))
    store.commit(change(near, version=store.value(near)[0], stop=(NEW, False)))
    store.commit(change(near, version=store.value(near)[0], stop=(COR, True)))
    assert bodies(store) == [b"new one other\nand more"]


def test_what_no_stop_holds_back_is_still_held_back_by_none(store: Store) -> None:
    version = queued(store, "confirmation")
    store.commit(change(version=version, readdress=MOVES, stop=None))
    store.commit(change(ANN[:2] + COR[2:], stop=(NEW, True)))

    assert bodies(store) == [b"new one confirmation\nand more"]


def test_what_was_claimed_stays_as_it_is_since_it_may_have_arrived(store: Store) -> None:
    version = queued(store, "answer", to=ANN)
    assert bodies(store) == [b"old answer\nand more"]

    store.commit(change(version=version, readdress=MOVES))

    assert bodies(store, NOON_MS + MINUTE_MS) == [b"old answer\nand more"]


def test_nothing_is_readdressed_by_a_change_that_is_refused(store: Store) -> None:
    version = queued(store, "answer", to=ANN)

    assert store.commit(change(version=version + 1, readdress=MOVES)) == Conflict()

    assert bodies(store) == [b"old answer\nand more"]


def test_what_is_of_another_number_or_grower_stays(store: Store) -> None:
    near = ANN[:2] + COR[2:]
    version = queued(store, "answer", to=ANN)
    store.commit(change(near, outs=(out(near, "theirs", body=b"old theirs"),)))

    store.commit(change(version=version, readdress=Readdress(NEW, b"older ", b"new one ")))

    assert bodies(store) == [b"old answer\nand more", b"old theirs"]


def test_it_keeps_its_time(store: Store) -> None:
    version = queued(store, "answer", to=ANN, expires_ms=NOON_MS + MINUTE_MS)
    store.commit(change(version=version, readdress=MOVES))

    assert bodies(store, NOON_MS + HOUR_MS) == []


def test_a_message_that_is_damaged_holds_no_move_up(real_store: RedisStore) -> None:
    version = queued(real_store, "answer", "other", to=ANN)
    real_store.link.one("SET", keys.of_out(out(name="answer").oid), "?")

    assert isinstance(real_store.commit(change(version=version, readdress=MOVES)), Committed)

    assert bodies(real_store) == [b"new one other\nand more"]


def test_it_is_committed_by_itself(store: Store) -> None:
    with pytest.raises(ValueError, match="moves is read for first"):
        store.commit_all([Change(ANN, 0, b"{}", NOON_MS, readdress=MOVES)])
