"""What goes on without a message: relays, lapsed sessions, hand-over, and a loop that nothing kills."""

from __future__ import annotations

import threading
from dataclasses import replace

import msgspec
import pytest

from advisor.records.grower import Grower
from advisor.service.clock import unix_ms
from advisor.service.relaying import Relaying, Told, told
from advisor.service.rounds import Rounds
from advisor.service.stored import Stored, from_bytes, to_bytes
from advisor.store.api import Busy, Change, Conflict, Relay, StoreUnavailable, Verdict, bucket_of
from advisor.store.memory import DictStore
from tests.service.stage import ANN, BANDS, HOUR, NOW, StandingClock, echo, grower_id, inbound, ussd

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

        done = Relaying(store, StandingClock(), BANDS).apply_waiting(SENDER_BUCKET)

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
                Relaying(store, StandingClock(), BANDS).apply_waiting(SENDER_BUCKET)

        assert store.counts("v1")["good"] == 1

    def test_that_meets_writers_waits_for_the_next_round(self) -> None:
        class Contested(DictStore):
            def commit(self, change: Change) -> Verdict:
                return Conflict() if change.applied else super().commit(change)

        store = village()
        store.__class__ = Contested

        assert Relaying(store, StandingClock(), BANDS).apply_waiting(SENDER_BUCKET) == 0
        assert len(store.relays(SENDER_BUCKET, 10)) == 1

    def test_keeps_the_session_of_its_target(self) -> None:
        store = village()
        inbound(store, echo).take(ussd("1"))
        before = from_bytes(store.value(grower_id())[1])

        Relaying(store, StandingClock(), BANDS).apply_waiting(SENDER_BUCKET)

        after = from_bytes(store.value(grower_id())[1])
        assert after == replace(before, record=after.record)
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

        Rounds(store, clock, Relaying(store, clock, BANDS)).go_over()

        assert store.value(grower_id()) == (0, None)

    def test_applies_relays(self) -> None:
        store, clock = village(), StandingClock()

        Rounds(store, clock, Relaying(store, clock, BANDS)).go_over()

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
        rounds = Rounds(store, clock, Relaying(store, clock, BANDS), pause_s=0.01)
        thread = threading.Thread(target=rounds.run, args=(stopping,))
        thread.start()

        assert seen.wait(10)
        stopping.set()
        thread.join(10)

        assert not thread.is_alive()
        assert [line.split(" place")[0] for line in caplog.messages] == [
            "event=round outcome=store_unavailable",
            "event=round outcome=fault fault=RuntimeError",
        ]
