"""A claim takes many messages at once, and what becomes of them when things go wrong in between."""

from __future__ import annotations

from typing import Any

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.service.clock import unix_ms
from advisor.service.outgoing import Parcel
from advisor.service.pacing import BEGIN_BY_S, CLAIM_MOST, SPAN_S, Pace
from advisor.service.posting import Response
from advisor.store.api import Change, Out, StoreUnavailable, Terms
from advisor.store.memory import DictStore
from tests.service.pacing import Gateway, go, sender, store_with
from tests.service.stage import ANN, NOW, StandingClock, rounds


class TestAClaimOfMany:
    @given(st.floats(0.0001, 6.0))
    def test_takes_no_more_than_can_begin_in_time(self, each_s: float) -> None:
        pace = Pace()
        pace.took(each_s)

        assert 1 <= pace.batch() <= CLAIM_MOST
        assert pace.batch() == 1 or pace.batch() * each_s <= SPAN_S

    @pytest.mark.parametrize("takes_s", [0.01, 0.1, 0.3, 2.0])
    def test_begins_each_soon_after_the_claim(self, takes_s: float) -> None:
        clock = StandingClock()
        claimed_s: dict[str, float] = {}

        class Noting(DictStore):
            def claim(self, *asked: Any) -> Any:
                claims = super().claim(*asked)
                claimed_s.update({one.oid: clock.monotonic_s() for one in claims})
                return claims

        store, oids = store_with(60)
        store.__class__ = Noting
        gateway = Gateway(clock, lambda _oid: Response(200), takes_s)

        go(store, clock, sender(store, clock, gateway), 200)

        assert {store.state(oid) for oid in oids} == {"sent"}
        assert len(gateway.begun) == len(oids), "what was given back was not tried before"
        assert all(begun_s - claimed_s[oid] <= BEGIN_BY_S for oid, begun_s in gateway.begun)

    def test_is_stopped_by_quiet_hours_that_begin_meanwhile(self) -> None:
        """All in one bucket, so that they are one claim."""
        store, clock, now_ms = DictStore(), StandingClock(), unix_ms(NOW)
        for number in range(40):
            grower = f"07{number:014x}"
            one = Out(f"b07-{number}", 2, now_ms, now_ms + 10**8, msgspec.json.encode(Parcel(ANN, "Weed now")))
            store.commit(Change(grower, 0, b"{}", now_ms, outs=(one,)))
        night_ms = now_ms + 200
        terms = Terms(until_ms=night_ms, again_ms=now_ms + 10**7)
        gateway = Gateway(clock, lambda _oid: Response(200), takes_s=0.03)

        go(store, clock, sender(store, clock, gateway, terms=lambda _now: terms), 20)

        assert 0 < len(gateway.begun) < 10
        assert all(now_ms + 1000 * at_s < night_ms for _, at_s in gateway.begun)

    def test_begins_nothing_a_second_after_a_stop(self) -> None:
        """All in one bucket; while they go out, one after the other says stop."""
        clock, now_ms = StandingClock(), unix_ms(NOW)
        store, stops = DictStore(), {}
        growers = [f"07{number:014x}" for number in range(80)]
        for number, grower in enumerate(growers):
            body = msgspec.json.encode(Parcel(ANN, "Weed now"))
            one = Out(f"b07-{number}", 2, now_ms, now_ms + 10**8, body, grower, "weeding")
            store.commit(Change(grower, 0, b"{}", now_ms, outs=(one,)))

        def answers(_oid: str) -> Response:
            grower = growers[-1 - len(stops)]
            version, value = store.value(grower)
            store.commit(Change(grower, version, value, unix_ms(clock.now()), stop=(grower, True)))
            stops[grower] = clock.monotonic_s()
            return Response(200)

        gateway = Gateway(clock, answers, takes_s=0.05)
        go(store, clock, sender(store, clock, gateway), 30)

        for oid, begun_s in gateway.begun:
            stopped_s = stops.get(growers[int(oid[4:])], 10**9)
            assert begun_s <= stopped_s + BEGIN_BY_S
        assert 40 <= len(gateway.begun) < 60


class TestAStoreThatIsAway:
    def test_when_a_hand_over_is_to_be_written_down_is_told_later(self) -> None:
        class Away(DictStore):
            fails = 3

            def settle(self, *told: Any) -> tuple[str, ...]:
                if self.fails:
                    self.fails -= 1
                    raise StoreUnavailable("away")
                return super().settle(*told)

        store, oids = store_with(5)
        store.__class__ = Away
        clock = StandingClock()
        gateway = Gateway(clock, lambda _oid: Response(200))
        one = sender(store, clock, gateway)
        for _ in range(10):
            try:
                rounds(store, clock, one).go_over()
            except StoreUnavailable:
                clock.wait(1)

        assert sorted(gateway.oids) == sorted(oids), "nothing is repeated, though the store was away"
        assert {store.state(oid) for oid in oids} == {"sent"}
