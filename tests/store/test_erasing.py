"""A change that forgets takes along all that is kept of a grower, in one commit, on four kinds of store."""

from __future__ import annotations

import contextlib
import threading
from collections.abc import Iterator
from functools import partial

import fakeredis
import pytest
import redis
from msgspec.structs import replace

from advisor.store import keys, plans
from advisor.store.api import Committed, Conflict, Remembered, Store, StoreDamaged, StoreUnavailable
from advisor.store.plans import Keeps
from advisor.store.redis_store import RedisStore
from advisor.store.traces import Behind
from tests.servers import redis_server
from tests.store.samples import (
    ANN,
    BEN,
    DAY_MS,
    HOUR_MS,
    MINUTE_MS,
    NOON_MS,
    change,
    forgetting,
    full_change,
    message,
    neighbour_of,
    out,
    settle,
    stranger_to,
)

BUCKET = int(ANN[:2], 16)
NEAR = neighbour_of(ANN)
ERASE = forgetting(
    message=message("erase"),
    digest="d2",
    reply=b"erased",
    outs=(out(name="erased"),),
    counts=(("dovi", "growers", -1),),
)


def settled_in(store: Store) -> int:
    """Ann has lived in the store for a while, with everything that can be kept of her; returns her version."""
    verdict = store.commit(full_change(stop=None, lapses_ms=None))
    assert isinstance(verdict, Committed)
    verdict = store.commit(
        change(
            version=verdict.version,
            value=b"ann",
            message=message("list"),
            reply=b"buy 50 kg",
            outs=(
                out(name="later page", lane=2, not_before_ms=NOON_MS + DAY_MS, expires_ms=NOON_MS + 2 * DAY_MS),
            ),
            history=(("input", "2.5"),),
            idle_ms=NOON_MS + 730 * DAY_MS,
        )
    )
    assert isinstance(verdict, Committed)
    store.park(ANN, message("bad"), NOON_MS)
    return verdict.version


class TestForgetting:
    def test_leaves_nothing_but_the_place_on_the_do_not_contact_list(self, store: Store) -> None:
        version = settled_in(store)

        assert store.commit(replace(ERASE, version=version)) == Committed(0)

        assert store.value(ANN) == (0, None)
        assert store.history(ANN) == ()
        assert store.parked(BUCKET) == ()
        assert store.read(NEAR, message("m1")).grower == NEAR, "the number that pointed to her points to nobody"
        assert list(store.growers()) == []
        assert store.idle(BUCKET, NOON_MS + 9999 * DAY_MS, 10) == ()
        assert store.counts("dovi") == {"growers": 0, "started": 1}
        assert store.stopped(ANN, ANN)

    def test_withdraws_every_message_that_is_queued_but_its_own(self, store: Store) -> None:
        version = settled_in(store)
        store.commit(replace(ERASE, version=version))

        leaving = store.claim(BUCKET, NOON_MS + HOUR_MS, MINUTE_MS, 10)

        assert [claimed.body for claimed in leaving] == [b"erased"]
        assert store.busy(NOON_MS + HOUR_MS).outbox == (), "the rest is no longer queued"
        assert store.state(out(name="later page").oid) is None

    def test_a_message_that_a_sender_held_already_is_not_tried_again(self, store: Store) -> None:
        version = settled_in(store)
        held = store.claim(BUCKET, NOON_MS, MINUTE_MS, 10)
        store.commit(replace(ERASE, version=version, outs=()))

        for claimed in held:
            settle(store, claimed.oid, claimed.lane, "later", NOON_MS, NOON_MS + 1)

        assert len(held) == 2
        assert len(store.claim(BUCKET, NOON_MS + HOUR_MS, MINUTE_MS, 10)) == 0

    def test_a_message_of_its_own_that_was_handed_over_before_is_not_queued_again(self, store: Store) -> None:
        own = out(name="erased")
        verdict = store.commit(change(outs=(own,)))
        assert isinstance(verdict, Committed)
        assert len(store.claim(BUCKET, NOON_MS, MINUTE_MS, 10)) == 1
        settle(store, own.oid, own.lane, "sent", NOON_MS)

        assert isinstance(store.commit(replace(ERASE, version=verdict.version, counts=())), Committed)

        assert store.state(own.oid) == "sent"
        assert len(store.claim(BUCKET, NOON_MS + HOUR_MS, MINUTE_MS, 10)) == 0

    def test_takes_the_text_out_of_every_remembered_answer_and_knows_the_messages_again(
        self, store: Store
    ) -> None:
        version = settled_in(store)
        store.commit(replace(ERASE, version=version))

        assert store.read(ANN, message("full")).remembered == Remembered("d1", b"")
        assert store.read(ANN, message("list")).remembered == Remembered("", b"")

    def test_a_repeat_gets_the_first_answer_and_changes_nothing(self, store: Store) -> None:
        version = settled_in(store)
        store.commit(replace(ERASE, version=version))
        back = store.commit(change(at_ms=NOON_MS + 9, value=b"back again", stop=(ANN, False)))
        assert isinstance(back, Committed)

        assert store.commit(replace(ERASE, version=back.version)) == Remembered("d2", b"erased")
        assert store.value(ANN) == (back.version, b"back again")
        assert not store.stopped(ANN, ANN)

    def test_on_an_old_version_changes_nothing(self, store: Store) -> None:
        version = settled_in(store)

        assert store.commit(replace(ERASE, version=version - 1)) == Conflict()

        assert store.value(ANN) == (version, b"ann")
        assert len(store.history(ANN)) == 2
        assert store.read(ANN, message("list")).remembered == Remembered("", b"buy 50 kg")

    def test_may_keep_a_value(self, store: Store) -> None:
        """Who withdraws consent goes on with the open conversation."""
        version = settled_in(store)

        kept = store.commit(change(version=version, value=b"session", forgets=True, lapses_ms=NOON_MS + HOUR_MS))

        assert kept == Committed(version + 1)
        assert store.value(ANN) == (version + 1, b"session")
        assert store.history(ANN) == ()
        assert not store.stopped(ANN, ANN)

    def test_touches_nobody_else(self, store: Store) -> None:
        for other in (NEAR, BEN):
            told = {"message": message(other[:4]), "reply": b"hello", "outs": (out(other),), "pointer": None}
            store.commit(full_change(other, **told, applied=None, relays=(), stop=None, counts=(), lapses_ms=None))
            store.park(other, message("bad"), NOON_MS)
        before = [
            (store.value(other), store.history(other), store.parked(int(other[:2], 16))) for other in (NEAR, BEN)
        ]
        store.commit(forgetting(stranger_to(ANN)))
        store.commit(forgetting(ANN))

        assert before == [
            (store.value(other), store.history(other), store.parked(int(other[:2], 16))) for other in (NEAR, BEN)
        ]
        assert [store.state(out(other).oid) for other in (NEAR, BEN)] == ["queued", "queued"]

    def test_of_somebody_nobody_knows_is_no_fault(self, store: Store) -> None:
        assert store.commit(forgetting(BEN)) == Committed(0)
        assert store.stopped(BEN, BEN)

    @pytest.mark.parametrize("more", [{"history": (("what", "erased"),)}, {"pointer": (NEAR, ANN)}])
    def test_cannot_write_what_it_forgets(self, more: dict[str, object]) -> None:
        with pytest.raises(ValueError, match="forgets"):
            forgetting(**more)


class TestGrowersNotHeardOf:
    def test_are_found_when_their_time_has_come_and_not_before(self, store: Store) -> None:
        version = _version(store.commit(change(value=b"ann", idle_ms=NOON_MS + DAY_MS)))
        store.commit(change(NEAR, idle_ms=NOON_MS + 2 * DAY_MS))
        store.commit(change(BEN))

        assert store.busy(NOON_MS + DAY_MS - 1).idle == ()
        assert store.busy(NOON_MS + DAY_MS).idle == (BUCKET,)
        (found,) = store.idle(BUCKET, NOON_MS + DAY_MS, 10)
        assert (found.grower, found.version, found.value) == (ANN, version, b"ann")
        assert len(store.idle(BUCKET, NOON_MS + 9 * DAY_MS, 10)) == 2
        assert len(store.idle(BUCKET, NOON_MS + 9 * DAY_MS, 1)) == 1

    def test_any_later_change_moves_their_time(self, store: Store) -> None:
        version = _version(store.commit(change(idle_ms=NOON_MS + DAY_MS)))
        version = _version(store.commit(change(version=version, idle_ms=NOON_MS + 2 * DAY_MS)))
        assert store.idle(BUCKET, NOON_MS + DAY_MS, 10) == ()

        version = _version(store.commit(change(version=version, lapses_ms=NOON_MS)))
        assert store.idle(BUCKET, NOON_MS + 9 * DAY_MS, 10) == ()

        store.commit(change(version=version, value=None))
        assert list(store.growers(BUCKET)) == []


@pytest.fixture(params=["embedded", "redis"])
def client(request: pytest.FixtureRequest) -> Iterator[redis.Redis]:
    if request.param == "redis":
        made = request.getfixturevalue("emptied_redis").client()
    else:
        made = fakeredis.FakeStrictRedis(server=fakeredis.FakeServer(version=(7,)), protocol=2)
    yield made
    made.close()


def everything_in(client: redis.Redis) -> dict[bytes, bytes | None]:
    return {key: client.dump(key) for key in client.scan_iter()}


BEHIND = Behind(
    traces=tuple(
        text.encode()
        for text in (
            f"m{message('full')}",
            f"m{message('list')}",
            f"o0{out().oid}",
            f"o1{out(name='second page').oid}",
            f"o2{out(name='later page').oid}",
            "seffect-0",
        )
    ),
    parked=(f"{ANN}:{message('bad')}",),
    numbers=(NEAR,),
)
TOUCHED = plans.change_plan(ERASE, Keeps(), BEHIND).keys


@pytest.mark.parametrize("key", TOUCHED)
def test_a_wrong_type_on_any_key_leaves_the_whole_store_unchanged(client: redis.Redis, key: str) -> None:
    store = RedisStore(lambda: client)
    version = settled_in(store)
    client.delete(key)
    client.rpush(key, "planted")
    before = everything_in(client)

    with pytest.raises(StoreDamaged) as damaged:
        store.commit(replace(ERASE, version=version))

    assert damaged.value.key == key
    assert everything_in(client) == before
    store.close()


@pytest.mark.parametrize("planted", ["m55ff", "x55ff", "o9b00-1", "o0" + out().oid + "x"])
def test_a_trace_more_or_less_than_was_read_leaves_the_whole_store_unchanged(
    client: redis.Redis, monkeypatch: pytest.MonkeyPatch, planted: str
) -> None:
    store = RedisStore(lambda: client)
    version = settled_in(store)
    read = store._behind

    def overtaken(grower: str) -> Behind:
        behind = read(grower)
        client.zadd(keys.of_traces(ANN), {planted: 2**53})
        return behind

    monkeypatch.setattr(store, "_behind", overtaken)
    assert store.commit(replace(ERASE, version=version)) == Conflict()
    assert store.value(ANN)[0] == version
    assert store.read(ANN, message("list")).remembered == Remembered("", b"buy 50 kg")


def test_an_answer_known_again_after_an_erase_ends_with_its_time(client: redis.Redis) -> None:
    store = RedisStore(lambda: client)
    version = settled_in(store)

    store.commit(replace(ERASE, version=version, remember_ms=HOUR_MS))

    for name in ("full", "list", "erase"):
        assert 0 < client.pttl(keys.of_message(ANN, message(name))) <= HOUR_MS


def test_an_erase_met_by_a_kill_is_done_whole_or_not_at_all() -> None:
    """The server is killed while an erase is under way, again and again; the same message then ends it."""
    done_before_the_kill = 0
    with redis_server() as server:
        store = RedisStore(server.address)
        store.open()
        for place in range(12):
            with server.client() as looking:
                looking.flushall()
            store.open()
            version = settled_in(store)
            erase = replace(ERASE, version=version)
            killer = _kill_after(server, place)
            with contextlib.suppress(StoreUnavailable):
                store.commit(erase)
            killer.join()
            server.start()

            kept = _patiently(lambda: (store.value(ANN)[1], len(store.history(ANN)), store.stopped(ANN, ANN)))
            assert kept in ((b"ann", 2, False), (None, 0, True))
            done_before_the_kill += kept[2]
            verdict = _patiently(partial(store.commit, erase))
            assert verdict == (Remembered("d2", b"erased") if kept[2] else Committed(0))
            assert (store.value(ANN)[1], store.history(ANN), store.stopped(ANN, ANN)) == (None, (), True)
        store.close()
    print(f"\n  12 kills during erases, {done_before_the_kill} of them after the commit; each whole or nothing")


def _kill_after(server, place):
    killer = threading.Timer(0.0002 * place, server.kill)
    killer.start()
    return killer


def _patiently(ask):
    for _ in range(20):
        try:
            return ask()
        except StoreUnavailable:
            continue
    return ask()


def _version(verdict: object) -> int:
    assert isinstance(verdict, Committed)
    return verdict.version
