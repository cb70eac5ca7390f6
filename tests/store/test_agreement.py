"""The dictionary and the real server, driven side by side by the same random history, never differ."""

from __future__ import annotations

from typing import Any

from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, rule, run_state_machine_as_test

from advisor.store.api import Change, Committed, Out, Place, Relay, RoundRow, RoundState, Settlement, Store, Terms
from advisor.store.keys import outgoing_id
from advisor.store.memory import DictStore
from advisor.store.names import bucket_of_out
from advisor.store.plans import Keeps
from advisor.store.redis_store import RedisStore
from tests.servers import RedisServer
from tests.store.samples import ANN, BEN, DAY_MS, HOUR_MS, NOON_MS, message, neighbour_of

GROWERS = (ANN, BEN, neighbour_of(ANN))
BUCKETS = tuple(sorted({int(grower[:2], 16) for grower in GROWERS}))
VILLAGES = ("dovi", "kesu")

#: The dictionary's time is the machine's and the server's is its own: nothing goes by time in either.
_KEEPS = Keeps(overdue_ms=DAY_MS)

growers = st.sampled_from(GROWERS)
buckets = st.sampled_from(BUCKETS)
names = st.sampled_from(["a", "b", "c"])
minutes = st.integers(0, 90)
wholes = st.integers(-3, 3)
round_keys = st.sampled_from(["r1", "r2"])


@st.composite
def changes(draw: st.DrawFn) -> dict[str, Any]:
    """A change but for its version and its moment, which the machine knows."""
    grower = draw(growers)
    near = [other for other in GROWERS if other[:2] == grower[:2]]
    outs = st.builds(
        Out,
        names.map(lambda name: outgoing_id(grower, name)),
        st.sampled_from([0, 1, 2]),
        minutes.map(_moment),
        minutes.map(_moment),
        st.binary(max_size=9),
        st.sampled_from(["", *near]),
        st.sampled_from(["", "weeding", "harvest"]),
        st.sampled_from(["", outgoing_id(grower, "a")]),
    )
    return {
        "grower": grower,
        "value": draw(st.none() | st.binary(max_size=20)),
        "message": draw(st.none() | names.map(message)),
        "digest": draw(names),
        "reply": draw(st.binary(max_size=9)),
        "outs": tuple(draw(st.lists(outs, max_size=3))),
        "relays": tuple(draw(st.lists(st.builds(Relay, names, growers, st.binary(max_size=9)), max_size=2))),
        "applied": draw(st.none() | names),
        "counts": tuple(draw(st.lists(st.tuples(st.sampled_from(VILLAGES), names, wholes), max_size=3))),
        "history": draw(st.sampled_from([(), (("what", "began"),), (("what", "tested"), ("by", "agent"))])),
        "lapses_ms": draw(st.none() | minutes.map(_moment)),
        "idle_ms": draw(st.none() | minutes.map(_moment)),
        "dues": tuple(draw(st.lists(st.tuples(round_keys, st.none() | minutes.map(_moment)), max_size=2))),
        "pointer": draw(st.none() | st.tuples(st.sampled_from(near), st.none() | growers)),
        "stop": draw(st.none() | st.tuples(st.sampled_from(near), st.booleans())),
    }


def _moment(minute: int) -> int:
    return NOON_MS + minute * 60_000


class Agreement(RuleBasedStateMachine):
    """Every rule does the same to both stores and compares what they say."""

    server: RedisServer

    @initialize()
    def begin(self) -> None:
        with self.server.client() as client:
            client.flushall()
        # a slow disk is not what this is about
        there = RedisStore(self.server.address, _KEEPS, timeout_s=9)
        self.stores: tuple[Store, Store] = (DictStore(_KEEPS), there)
        self.minute = 0

    def teardown(self) -> None:
        self.stores[1].close()

    @rule(draft=changes(), passed=st.integers(0, 3), stale=st.booleans())
    def commit(self, draft: dict[str, Any], passed: int, stale: bool) -> None:
        self.minute += passed
        version, _ = self.stores[0].value(draft["grower"])
        tried = Change(version=version + (1 if stale else 0), at_ms=_moment(self.minute), **draft)

        verdict = self._both("commit", tried)

        assert not (stale and isinstance(verdict, Committed))

    @rule(number=growers, name=names)
    def read(self, number: str, name: str) -> None:
        self._both("read", number, message(name))

    @rule(
        bucket=buckets,
        lease=st.integers(0, 10),
        most=st.integers(1, 5),
        per_day=st.integers(0, 2),
        night=st.booleans(),
        lanes=st.sampled_from([(0, 1, 2), (0, 1), (2,)]),
    )
    def claim(self, bucket: int, lease: int, most: int, per_day: int, night: bool, lanes: tuple[int, ...]) -> None:
        now_ms = _moment(self.minute)
        terms = Terms("20270115", per_day, now_ms + (0 if night else 1), now_ms + HOUR_MS, now_ms + 2 * HOUR_MS)
        self._both("claim", bucket, now_ms, lease * 60_000, most, terms, lanes)

    @rule(
        grower=growers,
        name=names,
        lane=st.sampled_from([0, 1, 2]),
        state=st.sampled_from(["sent", "failed", "expired", "dead", "unknown", "delivered", "later"]),
        receipt=st.booleans(),
        attempts=st.none() | st.integers(0, 9),
        begun_ms=st.none() | st.sampled_from([0, NOON_MS]),
        of_grower=st.booleans(),
    )
    def settle(
        self,
        grower: str,
        name: str,
        lane: int,
        state: str,
        receipt: bool,
        attempts: int | None,
        begun_ms: int | None,
        of_grower: bool,
    ) -> None:
        known_lane = None if receipt and state != "later" else lane
        oid, now_ms = outgoing_id(grower, name), _moment(self.minute)
        again_ms = now_ms + HOUR_MS if state == "later" else None
        told = Settlement(
            oid, known_lane, state, again_ms, attempts, begun_ms, grower if of_grower else "", "weeding"
        )
        self._both("settle", bucket_of_out(oid), [told], now_ms)
        self._both("state", oid)

    @rule(bucket=buckets, name=names)
    def finish_relay(self, bucket: int, name: str) -> None:
        self._both("relay_done", bucket, name)

    @rule(bucket=buckets, most=st.integers(1, 5))
    def lapse(self, bucket: int, most: int) -> None:
        self._both("lapse", bucket, _moment(self.minute), most)

    @rule(draft=changes(), passed=st.integers(0, 3))
    def forget(self, draft: dict[str, Any], passed: int) -> None:
        self.minute += passed
        version, _ = self.stores[0].value(draft["grower"])
        told = draft | {"forgets": True, "history": (), "pointer": None}

        self._both("commit", Change(version=version, at_ms=_moment(self.minute), **told))

    @rule(bucket=buckets, most=st.integers(1, 5))
    def idle(self, bucket: int, most: int) -> None:
        self._both("idle", bucket, _moment(self.minute), most)

    @rule(key=round_keys, state=st.sampled_from(list(RoundState)), started=st.booleans())
    def hold_a_round(self, key: str, state: RoundState, started: bool) -> None:
        if started:
            self._both("start_round", RoundRow(key, RoundState.RUNNING, NOON_MS, b"text"))
        else:
            self._both("set_round", key, state)

    @rule(key=round_keys, bucket=buckets, after=growers, minute=minutes, is_behind=st.booleans())
    def plan(self, key: str, bucket: int, after: str, minute: int, is_behind: bool) -> None:
        place = Place(1, after) if is_behind else self.stores[0].place(bucket, key)
        dues = [(grower, _moment(minute)) for grower in self.stores[0].settled(bucket)[:2]]
        self._both("plan", bucket, key, place, Place(_moment(minute), after), dues)

    @rule(key=round_keys, bucket=buckets, most=st.integers(1, 3), room=st.integers(0, 9))
    def claim_due(self, key: str, bucket: int, most: int, room: int) -> None:
        self._both("claim_due", bucket, key, _moment(self.minute), 600_000, most, room)

    @rule(draft=changes(), minute=minutes, stale=st.booleans())
    def tick(self, draft: dict[str, Any], minute: int, stale: bool) -> None:
        grower = draft["grower"]
        version, value = self.stores[0].value(grower)
        if value is not None:
            told = {"outs": draft["outs"], "dues": (("r1", _moment(minute)),), "tallies": (("r1", "sent", 1),)}
            version += 1 if stale else 0
            tried = Change(grower, version, b"ticked", _moment(self.minute), heard=False, **told)
            self._both("commit_all", [tried])

    @rule(grower=growers, name=names)
    def stumble(self, grower: str, name: str) -> None:
        self._both("stumble", grower, message(name))
        self._both("park", grower, message(name), _moment(self.minute))

    @invariant()
    def everything_that_can_be_seen_is_the_same(self) -> None:
        self._both("busy", _moment(self.minute))
        self._both("busy", NOON_MS + DAY_MS)
        for grower in GROWERS:
            self._both("value", grower)
            self._both("history", grower)
            self._both("stopped", grower, grower)
        for village in VILLAGES:
            self._both("counts", village)
        self._both("rounds")
        self._both("due_in", ("r1", "r2"), NOON_MS + DAY_MS)
        for key in ("r1", "r2"):
            self._both("standing", key)
        for bucket in BUCKETS:
            self._both("settled", bucket)
            self._both("relays", bucket, 3)
            self._both("parked", bucket)
            self._both("aside", bucket)
            assert len({frozenset(store.growers(bucket)) for store in self.stores}) == 1

    def _both(self, method: str, *arguments: object) -> object:
        ours, theirs = (getattr(store, method)(*arguments) for store in self.stores)
        assert ours == theirs, f"{method}: the dictionary says {ours}, the server {theirs}"
        return ours


def test_the_dictionary_and_the_server_never_differ(shared_redis: RedisServer) -> None:
    class OnThisServer(Agreement):
        server = shared_redis

    run_state_machine_as_test(
        OnThisServer,
        settings=settings(
            max_examples=40,
            stateful_step_count=25,
            deadline=None,
            suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
        ),
    )
