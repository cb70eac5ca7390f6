"""One damaged key stops nobody but itself: it is named, and what else waits goes on."""

from __future__ import annotations

from collections.abc import Iterator

import fakeredis
import pytest
import redis

from advisor.store import keys
from advisor.store.api import (
    Change,
    Claims,
    Committed,
    Out,
    Place,
    Relay,
    RoundRow,
    RoundState,
    Store,
    StoreDamaged,
    Terms,
)
from advisor.store.embedded import EmbeddedStore
from advisor.store.redis_store import RedisStore
from advisor.store.rounds import END
from tests.servers import RedisServer
from tests.store.samples import (
    ANN,
    BEN,
    HOUR_MS,
    MINUTE_MS,
    NOON_MS,
    change,
    neighbour_of,
    out,
    settle,
    stranger_to,
)

BUCKET = int(ANN[:2], 16)
NEAR = neighbour_of(ANN)
FAR = stranger_to(ANN)

GARBAGE = (
    "",
    "garbage",
    "queued",
    "queued 0 0",
    "lost 0 1 - text",
    "QUEUED 0 1 - text",
    f"queued x {NOON_MS} - text",
    f"queued 9999999999 {NOON_MS} - text",
    "queued 0 99999999999999999 - text",
    f"queued 0 {NOON_MS} somebody text",
)


@pytest.fixture(params=["embedded", "redis"])
def both(request: pytest.FixtureRequest) -> Iterator[tuple[RedisStore, redis.Redis]]:
    """A store and a client that can put into it what the store never would, on the fake and the real server."""
    store: RedisStore
    if request.param == "redis":
        server: RedisServer = request.getfixturevalue("emptied_redis")
        store, client = RedisStore(server.address), server.client()
    else:
        shared = fakeredis.FakeServer(version=(7,))
        store, client = EmbeddedStore(shared), fakeredis.FakeStrictRedis(server=shared, protocol=2)
    yield store, client
    store.close()
    client.close()


def plant(client: redis.Redis, key: str, text: str | None) -> None:
    """Puts text there, or for None a list, which no key of the store is."""
    client.delete(key)
    if text is None:
        client.rpush(key, "planted")
    else:
        client.set(key, text)


def bodies(claims: Claims) -> list[bytes]:
    return [claimed.body for claimed in claims]


class TestBusy:
    @pytest.mark.parametrize(
        "key",
        [keys.of_lane(BUCKET, 1), keys.of_relays(BUCKET), keys.of_lapses(BUCKET)],
    )
    def test_a_damaged_key_is_named_and_hides_no_other(
        self, both: tuple[RedisStore, redis.Redis], key: str
    ) -> None:
        store, client = both
        for grower in (ANN, FAR):
            store.commit(change(grower, outs=(out(grower),), relays=(Relay("e1", BEN, b""),), lapses_ms=NOON_MS))
        plant(client, key, None)

        busy = store.busy(NOON_MS)

        there = tuple(sorted((BUCKET, int(FAR[:2], 16))))
        assert busy.damaged == (key,)
        assert busy.outbox == there, "lane 0 of the bucket is well"
        assert busy.relays == tuple(bucket for bucket in there if key != keys.of_relays(bucket))
        assert busy.lapses == tuple(bucket for bucket in there if key != keys.of_lapses(bucket))

    def test_the_operators_figures_count_what_is_well(self, both: tuple[RedisStore, redis.Redis]) -> None:
        store, client = both
        store.commit(change(outs=(out(),), relays=(Relay("e1", BEN, b""),)))
        plant(client, keys.of_lane(BUCKET, 1), None)

        assert (store.backlog(NOON_MS).outbox, store.backlog(NOON_MS).relays) == (1, 1)

    def test_nothing_is_damaged_in_a_store_that_is_well(self, store: Store) -> None:
        store.commit(change(outs=(out(),)))

        assert store.busy(NOON_MS).damaged == ()
        assert store.claim(BUCKET, NOON_MS, MINUTE_MS, 10).damaged == ()


class TestClaim:
    @pytest.mark.parametrize("text", [None, *GARBAGE])
    def test_a_damaged_message_is_named_and_the_others_are_handed_out(
        self, both: tuple[RedisStore, redis.Redis], text: str | None
    ) -> None:
        store, client = both
        first, broken, last = (out(name=name) for name in ("first", "broken", "last"))
        store.commit(change(outs=(first, broken, last)))
        plant(client, keys.of_out(broken.oid), text)
        before = client.dump(keys.of_out(broken.oid))

        claims = store.claim(BUCKET, NOON_MS, MINUTE_MS, 10)

        assert sorted(bodies(claims)) == [b"first", b"last"]
        assert claims.damaged == (keys.of_out(broken.oid),)
        assert client.dump(keys.of_out(broken.oid)) == before, "it is left to the operator"

    def test_a_damaged_message_is_named_once_a_lease_and_keeps_nobody_busy(
        self, both: tuple[RedisStore, redis.Redis]
    ) -> None:
        store, client = both
        store.commit(change(outs=(out(),)))
        plant(client, keys.of_out(out().oid), "garbage")
        named = Claims(damaged=(keys.of_out(out().oid),))

        assert store.claim(BUCKET, NOON_MS, MINUTE_MS, 10) == named
        assert store.busy(NOON_MS).outbox == ()
        assert store.claim(BUCKET, NOON_MS, MINUTE_MS, 10) == Claims()
        assert store.claim(BUCKET, NOON_MS + MINUTE_MS, MINUTE_MS, 10) == named

    @pytest.mark.parametrize("lane", [0, 1, 2])
    def test_a_damaged_lane_is_named_and_the_other_lanes_go_on(
        self, both: tuple[RedisStore, redis.Redis], lane: int
    ) -> None:
        store, client = both
        store.commit(change(outs=tuple(out(name=f"lane {place}", lane=place) for place in range(3))))
        plant(client, keys.of_lane(BUCKET, lane), None)

        claims = store.claim(BUCKET, NOON_MS, MINUTE_MS, 10)

        assert bodies(claims) == [b"lane %d" % place for place in range(3) if place != lane]
        assert claims.damaged == (keys.of_lane(BUCKET, lane),)

    def test_without_the_do_not_contact_list_nothing_leaves(self, both: tuple[RedisStore, redis.Redis]) -> None:
        store, client = both
        store.commit(change(outs=(out(),)))
        plant(client, keys.of_stops(BUCKET), None)
        before = {key: client.dump(key) for key in client.scan_iter()}

        with pytest.raises(StoreDamaged) as damaged:
            store.claim(BUCKET, NOON_MS, MINUTE_MS, 10)

        assert damaged.value.key == keys.of_stops(BUCKET)
        assert {key: client.dump(key) for key in client.scan_iter()} == before


class TestWhatARoundMustPass:
    @pytest.mark.parametrize(
        "key", [keys.of_idle(BUCKET), keys.of_pauses(BUCKET), keys.of_day(BUCKET, "20270115")]
    )
    def test_where_it_cannot_be_read_no_round_leaves_and_answers_do(
        self, both: tuple[RedisStore, redis.Redis], key: str
    ) -> None:
        store, client = both
        outs = (out(name="answer"), out(name="step", lane=2, round="weeding"))
        store.commit(change(outs=outs))
        plant(client, key, None)
        terms = Terms("20270115", 3, tomorrow_ms=NOON_MS + HOUR_MS)

        claims = store.claim(BUCKET, NOON_MS, MINUTE_MS, 10, terms)

        assert (bodies(claims), claims.damaged) == ([b"answer"], (key,))
        assert store.state(outs[1].oid) == "queued"
        client.delete(key)
        if key == keys.of_idle(BUCKET):
            client.zadd(key, {ANN: NOON_MS})
        assert bodies(store.claim(BUCKET, NOON_MS + MINUTE_MS, MINUTE_MS, 10, terms)) == [b"answer", b"step"]

    def test_a_stop_is_obeyed_though_the_growers_messages_cannot_be_read(
        self, both: tuple[RedisStore, redis.Redis]
    ) -> None:
        store, client = both
        broken, well = out(name="broken", to=ANN), out(name="well", lane=2, to=ANN)
        store.commit(change(outs=(broken, well)))
        plant(client, keys.of_out(broken.oid), None)

        assert isinstance(store.commit(change(version=store.value(ANN)[0], stop=(ANN, True))), Committed)

        assert store.stopped(ANN, ANN)
        assert store.state(well.oid) == "failed"
        assert bodies(store.claim(BUCKET, NOON_MS + HOUR_MS, MINUTE_MS, 10)) == []


class TestSettling:
    def test_where_the_list_of_what_is_put_aside_is_damaged_the_message_waits(
        self, both: tuple[RedisStore, redis.Redis]
    ) -> None:
        store, client = both
        store.commit(change(outs=(out(),)))
        plant(client, keys.of_aside(BUCKET), None)

        assert settle(store, out().oid, 0, "dead", NOON_MS, grower=ANN) == (keys.of_aside(BUCKET),)
        assert store.state(out().oid) == "queued"

    @pytest.mark.parametrize("text", [None, *GARBAGE])
    @pytest.mark.parametrize("lane", [0, None])
    def test_a_receipt_for_a_damaged_message_says_so_and_changes_nothing(
        self, both: tuple[RedisStore, redis.Redis], lane: int | None, text: str | None
    ) -> None:
        store, client = both
        store.commit(change(outs=(out(),)))
        plant(client, keys.of_out(out().oid), text)
        before = {key: client.dump(key) for key in client.scan_iter()}

        assert settle(store, out().oid, lane, "delivered", NOON_MS) == (keys.of_out(out().oid),)
        with pytest.raises(StoreDamaged) as damaged:
            store.state(out().oid)
        assert damaged.value.key == keys.of_out(out().oid)

        assert {key: client.dump(key) for key in client.scan_iter()} == before


class TestRelays:
    @pytest.mark.parametrize("text", [None, "", "garbage", "garbage with a body", ANN])
    def test_a_damaged_relay_waits_behind_the_others_and_is_then_named(
        self, both: tuple[RedisStore, redis.Redis], text: str | None
    ) -> None:
        store, client = both
        store.commit(change(relays=(Relay("broken", BEN, b""), Relay("well", BEN, b"do this"))))
        plant(client, keys.of_relay(BUCKET, "broken"), text)

        assert [relay.effect for relay in store.relays(BUCKET, 10)] == ["well"]

        store.relay_done(BUCKET, "well")
        with pytest.raises(StoreDamaged) as damaged:
            store.relays(BUCKET, 10)
        assert damaged.value.key == keys.of_relay(BUCKET, "broken")


class TestLapses:
    @pytest.mark.parametrize("text", [None, "garbage"])
    def test_a_damaged_session_is_named_and_all_others_lapse(
        self, both: tuple[RedisStore, redis.Redis], text: str | None
    ) -> None:
        store, client = both
        growers = sorted((ANN, NEAR, ANN[:2] + "00000000000000"))
        for grower in growers:
            store.commit(change(grower, lapses_ms=NOON_MS))
        plant(client, keys.of_grower(growers[0]), text)

        with pytest.raises(StoreDamaged) as damaged:
            store.lapse(BUCKET, NOON_MS, 10)

        assert damaged.value.key == keys.of_grower(growers[0])
        assert [store.value(grower) for grower in growers[1:]] == [(0, None)] * 2


def test_a_message_that_is_queued_again_over_a_damaged_one_is_not_lost_in_silence(
    both: tuple[RedisStore, redis.Redis],
) -> None:
    store, client = both
    again: Out = out(expires_ms=NOON_MS + HOUR_MS)
    plant(client, keys.of_out(again.oid), "garbage")
    queued = Change(ANN, 0, b"{}", NOON_MS, outs=(again,))

    with pytest.raises(StoreDamaged) as damaged:
        store.commit(queued)

    assert damaged.value.key == keys.of_out(again.oid)
    assert client.keys() == [keys.of_out(again.oid).encode()]


class TestRounds:
    ROW = RoundRow("demo", RoundState.RUNNING, NOON_MS, b"key = 'demo'")

    @pytest.mark.parametrize("kind", ["pause", "due", "round", "idle"])
    def test_planning_names_a_damaged_key_and_writes_nothing(
        self, both: tuple[RedisStore, redis.Redis], kind: str
    ) -> None:
        store, client = both
        store.start_round(self.ROW)
        store.commit(change(ANN))
        (key,) = (key for key in _keys_of_a_round() if key.split(":")[1] == kind)
        plant(client, key, None)

        with pytest.raises(StoreDamaged) as damaged:
            store.plan(BUCKET, "demo", Place(0, END), Place(NOON_MS, END), [(ANN, NOON_MS)])

        assert damaged.value.key == key
        assert kind == "due" or not client.exists(keys.of_due(BUCKET, "demo"))

    @pytest.mark.parametrize("kind", ["pause", "due", "out"])
    def test_taking_who_is_due_names_a_damaged_key(self, both: tuple[RedisStore, redis.Redis], kind: str) -> None:
        store, client = both
        store.start_round(self.ROW)
        store.commit(change(ANN, dues=(("demo", NOON_MS),)))
        (key,) = (key for key in _keys_of_a_round() if key.split(":")[1] == kind)
        plant(client, key, None)

        with pytest.raises(StoreDamaged) as damaged:
            store.claim_due(BUCKET, "demo", NOON_MS, MINUTE_MS, 10, 10)

        assert damaged.value.key == key

    def test_a_damaged_list_hides_no_other(self, both: tuple[RedisStore, redis.Redis]) -> None:
        store, client = both
        store.start_round(self.ROW)
        for grower in (ANN, FAR):
            store.commit(change(grower, dues=(("demo", NOON_MS),), tallies=(("demo", "sent", 1),)))
        damaged = (keys.of_due(BUCKET, "demo"), keys.of_round_in(BUCKET, "demo"))
        for key in damaged:
            plant(client, key, None)

        assert store.due_in(["demo"], NOON_MS) == ((("demo", int(FAR[:2], 16)),), damaged[:1])
        standing = store.standing("demo")
        assert (standing.waiting, standing.figures, standing.damaged) == (1, {"sent": 1}, damaged)

    def test_a_damaged_value_is_named_and_the_others_are_taken(self, both: tuple[RedisStore, redis.Redis]) -> None:
        store, client = both
        store.start_round(self.ROW)
        for grower in (ANN, NEAR):
            store.commit(change(grower, dues=(("demo", NOON_MS),)))
        plant(client, keys.of_grower(NEAR), "garbage")

        dues = store.claim_due(BUCKET, "demo", NOON_MS, MINUTE_MS, 10, 10)

        assert [valued.grower for valued in dues.taken] == [ANN]
        assert dues.damaged == (keys.of_grower(NEAR),)

    @pytest.mark.parametrize("field", ["state", "started", "text"])
    def test_a_row_that_is_none_is_named(self, both: tuple[RedisStore, redis.Redis], field: str) -> None:
        store, client = both
        store.start_round(self.ROW)
        client.hdel(keys.of_round("demo"), field)

        with pytest.raises(StoreDamaged, match="round:demo"):
            store.rounds()

    def test_a_place_that_is_none_is_named(self, both: tuple[RedisStore, redis.Redis]) -> None:
        store, client = both
        client.hset(keys.of_round_in(BUCKET, "demo"), "plan", "garbage")

        with pytest.raises(StoreDamaged, match="round:demo"):
            store.place(BUCKET, "demo")
        assert store.standing("demo").damaged == (keys.of_round_in(BUCKET, "demo"),)

    @pytest.mark.parametrize("key", [keys.ROUNDS, keys.of_round("demo")])
    def test_a_round_is_not_started_over_a_damaged_key(
        self, both: tuple[RedisStore, redis.Redis], key: str
    ) -> None:
        store, client = both
        plant(client, key, None)

        with pytest.raises(StoreDamaged) as damaged:
            store.start_round(self.ROW)

        assert damaged.value.key == key
        assert not client.exists(keys.of_pauses(BUCKET))


def _keys_of_a_round() -> tuple[str, ...]:
    return (
        keys.of_pauses(BUCKET),
        keys.of_due(BUCKET, "demo"),
        keys.of_round_in(BUCKET, "demo"),
        keys.of_idle(BUCKET),
        keys.of_lane(BUCKET, 2),
    )
