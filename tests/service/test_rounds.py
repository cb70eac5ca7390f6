"""What goes on without a message: relays, lapsed sessions, hand-over, and a loop that nothing kills."""

from __future__ import annotations

import contextlib
import threading
from dataclasses import replace

import msgspec
import pytest
from msgspec import structs

from advisor.records.grower import Grower
from advisor.service.clock import unix_ms
from advisor.service.damage import REMEMBERED_S, Damage
from advisor.service.posting import Response
from advisor.service.relaying import Told, told
from advisor.service.rounds import Rounds
from advisor.service.sending import Sender
from advisor.service.sound import AWAY_MOST
from advisor.service.stored import Stored, from_bytes, to_bytes
from advisor.store.api import Busy, Change, Claims, Conflict, Relay, StoreDamaged, StoreUnavailable, Verdict
from advisor.store.memory import DictStore
from advisor.store.names import bucket_of
from tests.service.stage import (
    ANN,
    HOUR,
    NOW,
    StandingClock,
    echo,
    grower_id,
    inbound,
    relaying,
    rounds,
    sms,
    ussd,
)

AGENT = "+999007778899"
SENDER_BUCKET = bucket_of(grower_id(AGENT))
TEST_COUNTED = msgspec.json.encode(Told({"lot.test": (45, 50)}, unix_ms(NOW)))


def village() -> DictStore:
    """Ann has agreed and lives in a village; an agent's count of her seed test waits to be relayed."""
    store = DictStore()
    ann = Grower(ANN, agreed=NOW).knows("grower.village", "v1", NOW)
    counts = (("v1", "growers", 1),)
    store.commit(Change(grower_id(), 0, to_bytes(Stored(ann)), unix_ms(NOW), counts=counts))
    relay = Relay("count-1", grower_id(), TEST_COUNTED)
    store.commit(Change(grower_id(AGENT), 0, b"{}", unix_ms(NOW), relays=(relay,)))
    return store


def record(store: DictStore) -> Grower:
    return from_bytes(store.value(grower_id())[1]).record


class TestARelay:
    def test_changes_its_target_and_the_figures_there(self) -> None:
        store = village()

        done = relaying(store).apply_waiting(SENDER_BUCKET)

        assert done == 1
        assert record(store).fact("lot.test").value == (45, 50)
        assert {name: count for name, count in store.counts("v1").items() if count} == {
            "growers": 1,
            "tested": 1,
            "good": 1,
        }
        assert store.relays(SENDER_BUCKET, 10) == ()

    def test_is_applied_once_though_taking_it_away_failed(self) -> None:
        class Forgetful(DictStore):
            def relay_done(self, bucket: int, effect: str) -> None:
                raise StoreUnavailable("away")

        store = village()
        store.__class__ = Forgetful
        for _ in range(2):
            with pytest.raises(StoreUnavailable):
                relaying(store).apply_waiting(SENDER_BUCKET)

        assert store.counts("v1")["good"] == 1

    def test_that_meets_writers_waits_for_the_next_round(self) -> None:
        class Contested(DictStore):
            def commit(self, change: Change) -> Verdict:
                return Conflict() if change.applied else super().commit(change)

        store = village()
        store.__class__ = Contested

        assert relaying(store).apply_waiting(SENDER_BUCKET) == 0
        assert len(store.relays(SENDER_BUCKET, 10)) == 1

    def test_keeps_the_session_of_its_target(self) -> None:
        store = village()
        inbound(store, echo).take(ussd("1"))
        before = from_bytes(store.value(grower_id())[1])

        relaying(store).apply_waiting(SENDER_BUCKET)

        after = from_bytes(store.value(grower_id())[1])
        assert after == structs.replace(before, record=after.record)
        assert after.session is not None

    def test_teaches_nothing_of_who_has_not_agreed(self) -> None:
        assert told(Grower(), Told({"plot.area": 1.0}, unix_ms(NOW))) == Grower()

    def test_does_not_overwrite_what_was_learnt_later(self) -> None:
        known = Grower(ANN, agreed=NOW).knows("plot.area", 2.0, NOW + HOUR)

        assert told(known, Told({"plot.area": 1.0}, unix_ms(NOW))) == known


class TestARound:
    def test_sweeps_lapsed_sessions(self) -> None:
        store, clock = DictStore(), StandingClock()
        inbound(store, echo, clock).take(ussd("1"))
        clock.at += HOUR

        rounds(store, clock).go_over()

        assert store.value(grower_id()) == (0, None)

    def test_applies_relays(self) -> None:
        store, clock = village(), StandingClock()

        rounds(store, clock).go_over()

        assert record(store).fact("lot.test") is not None

    def test_outlives_trouble(self, caplog: pytest.LogCaptureFixture) -> None:
        """The loop goes on after a store that was away and after a fault of ours."""
        caplog.set_level("INFO", logger="advisor")
        seen = threading.Event()
        troubles: list[Exception] = [StoreUnavailable("away"), RuntimeError("a fault that names +999001112233")]

        class Troubled(DictStore):
            def busy(self, now_ms: int) -> Busy:
                if troubles:
                    raise troubles.pop(0)
                seen.set()
                return super().busy(now_ms)

        store, clock, stopping = Troubled(), StandingClock(), threading.Event()
        going = rounds(store, clock, pause_s=0.01)
        thread = threading.Thread(target=going.run, args=(stopping,))
        thread.start()

        assert seen.wait(10)
        stopping.set()
        thread.join(10)

        assert not thread.is_alive()
        assert [line.split(" place")[0] for line in caplog.messages] == [
            "event=round outcome=store_unavailable what=away",
            "event=round outcome=fault fault=RuntimeError",
        ]


BEN, CLEO = "+999004445566", "+999008889999"


class Unsound(DictStore):
    """A store in which claims and lapses of one bucket fail, and which counts the rest."""

    def __init__(self, bucket: int, error: Exception) -> None:
        super().__init__()
        self.bucket, self.error = bucket, error

    def claim(self, bucket: int, now_ms: int, lease_ms: int, most: int, *more) -> Claims:
        self._meet(bucket)
        return super().claim(bucket, now_ms, lease_ms, most, *more)

    def lapse(self, bucket: int, now_ms: int, most: int) -> int:
        self._meet(bucket)
        return super().lapse(bucket, now_ms, most)

    def _meet(self, bucket: int) -> None:
        if bucket == self.bucket:
            raise self.error


def handing_over(store: DictStore, clock: StandingClock) -> tuple[Rounds, list[str]]:
    """Rounds with a gateway that takes everything, and the numbers that it took messages for."""
    taken: list[str] = []

    def post(oid: str, body: bytes, may_begin: object) -> Response:
        taken.append(msgspec.json.decode(body)["to"])
        return Response(200)

    return rounds(store, clock, Sender(store, clock, "http://127.0.0.1:9/", "1212", post, Damage(clock))), taken


class TestWhatIsWrongInOneBucket:
    @pytest.mark.parametrize(
        "error", [StoreDamaged("{b07}:stops"), RuntimeError("a fault"), StoreUnavailable("away")]
    )
    def test_holds_no_other_back(self, error: Exception) -> None:
        clock = StandingClock()
        store = Unsound(bucket_of(grower_id(BEN)), error)
        for number in (ANN, BEN, CLEO):
            inbound(store, echo, clock).take(sms("hello", number=number))
        going, taken = handing_over(store, clock)

        with contextlib.suppress(StoreUnavailable):
            going.go_over()
        clock.at += HOUR
        with contextlib.suppress(StoreUnavailable):
            going.go_over()

        assert sorted(taken) == sorted([ANN, CLEO])
        assert [store.value(grower_id(number))[1] is None for number in (ANN, BEN, CLEO)] == [True, False, True]

    def test_is_logged_once_counted_each_time_and_named(self, caplog: pytest.LogCaptureFixture) -> None:
        clock = StandingClock()
        store = Unsound(bucket_of(grower_id()), StoreDamaged("{b07}:stops"))
        inbound(store, echo, clock).take(sms("hello"))
        going, _ = handing_over(store, clock)

        for _ in range(3):
            going.go_over()

        # whatever level an earlier test has set for the log of the process
        damaged = [line for line in caplog.messages if line.startswith("event=damaged")]
        assert damaged == ["event=damaged key={b07}:stops"]
        assert going.damage.keys() == ("{b07}:stops",)
        clock.wait(REMEMBERED_S)
        assert going.damage.keys() == ()

    def test_is_named_by_the_store_beside_its_answers(self) -> None:
        class Named(DictStore):
            def busy(self, now_ms: int) -> Busy:
                return replace(super().busy(now_ms), damaged=("{b07}:lane:0",))

            def claim(self, bucket: int, now_ms: int, lease_ms: int, most: int, *more) -> Claims:
                return structs.replace(
                    super().claim(bucket, now_ms, lease_ms, most, *more), damaged=("{b07}:o:b07-1",)
                )

        store, clock = Named(), StandingClock()
        inbound(store, echo, clock).take(sms("hello"))
        going, taken = handing_over(store, clock)

        going.go_over()

        assert going.damage.keys() == ("{b07}:lane:0", "{b07}:o:b07-1")
        assert taken == [ANN]

    def test_that_nothing_answers_in_a_row_ends_the_round(self) -> None:
        class Away(DictStore):
            asked = 0

            def busy(self, now_ms: int) -> Busy:
                return Busy((), (), tuple(range(256)))

            def lapse(self, bucket: int, now_ms: int, most: int) -> int:
                self.asked += 1
                raise StoreUnavailable("away")

        store = Away()

        with pytest.raises(StoreUnavailable):
            rounds(store, StandingClock()).go_over()
        assert store.asked == AWAY_MOST

    def test_in_one_relay_holds_no_other_back(self) -> None:
        store = village()
        broken = Relay("broken", grower_id(), b"?")
        store.commit(
            Change(grower_id(AGENT), store.value(grower_id(AGENT))[0], b"{}", unix_ms(NOW), relays=(broken,))
        )

        assert relaying(store).apply_waiting(SENDER_BUCKET) == 1
        assert [waiting.effect for waiting in store.relays(SENDER_BUCKET, 10)] == ["broken"]


class TestAPass:
    def test_ends_though_the_clock_steps_back_in_it(self) -> None:
        clock = StandingClock()

        class Stepping(DictStore):
            def claim(self, bucket: int, now_ms: int, lease_ms: int, most: int, *more) -> Claims:
                clock.at -= HOUR
                return super().claim(bucket, unix_ms(clock.now()), lease_ms, most, *more)

        store = Stepping()
        inbound(store, echo, clock).take(sms("hello"))
        going, taken = handing_over(store, clock)

        assert (going.go_over(), taken) == (0, [])

    def test_ends_though_the_store_keeps_saying_that_something_is_due(self) -> None:
        class Insisting(DictStore):
            def busy(self, now_ms: int) -> Busy:
                return Busy((7,), (), ())

        going, _ = handing_over(Insisting(), StandingClock())

        assert going.go_over() == 0

    def test_goes_past_what_is_too_late_to_what_is_due(self) -> None:
        store, clock = DictStore(), StandingClock()
        for number in range(4):
            inbound(store, echo, clock).take(sms("early", id=f"e{number}"))
        clock.at += 2 * HOUR
        inbound(store, echo, clock).take(sms("hello", id="m2", at=clock.at))
        going, taken = handing_over(store, clock)

        assert (going.go_over(), taken) == (1, [ANN])


class TestANudge:
    def test_hands_over_in_its_bucket_and_asks_no_other(self) -> None:
        class Unasked(DictStore):
            def busy(self, now_ms: int) -> Busy:
                raise AssertionError("all buckets were asked")

        store, clock = Unasked(), StandingClock()
        going, taken = handing_over(store, clock)
        inbound(store, echo, clock, nudge=going.nudge).take(sms("hello"))

        assert (going.hand_over_nudged(), taken) == (1, [ANN])
        assert going.hand_over_nudged() == 0

    def test_is_for_nobody_where_nobody_hands_over(self) -> None:
        store, clock = DictStore(), StandingClock()
        going = rounds(store, clock)
        inbound(store, echo, clock, nudge=going.nudge).take(sms("hello"))

        assert not going.nudges.wait(0)

    def test_that_comes_all_the_time_keeps_no_round_waiting(self) -> None:
        gone_over = threading.Event()

        class Nudging(DictStore):
            def claim(self, bucket: int, now_ms: int, lease_ms: int, most: int, *more) -> Claims:
                going.nudge(bucket)
                return super().claim(bucket, now_ms, lease_ms, most, *more)

            def busy(self, now_ms: int) -> Busy:
                gone_over.set()
                return super().busy(now_ms)

        going, _ = handing_over(Nudging(), StandingClock())
        going.nudge(7)
        stopping = threading.Event()
        thread = threading.Thread(target=going.run, args=(stopping,))
        thread.start()

        assert gone_over.wait(10)
        stopping.set()
        thread.join(10)
        assert not thread.is_alive()
