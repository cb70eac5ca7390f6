"""A sender with many messages and a gateway with a mind of its own, for tests of how fast it goes."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import msgspec

from advisor.service.clock import unix_ms
from advisor.service.damage import Damage
from advisor.service.outgoing import Parcel
from advisor.service.posting import Post, Response
from advisor.service.sending import Sender
from advisor.store.api import Change, Out
from advisor.store.memory import DictStore
from advisor.store.names import bucket_of
from tests.service.stage import NOW, StandingClock, grower_id, rounds

BUCKET = bucket_of(grower_id())
PHONES = tuple(f"+99900{number:07}" for number in range(600))
DAY_S = 24 * 3600


def store_with(many: int, lane: int = 2, hours: int = 48) -> tuple[DictStore, list[str]]:
    """A store with one message to each of so many growers, and their ids."""
    store, oids, now_ms = DictStore(), [], unix_ms(NOW)
    for number in PHONES[:many]:
        grower = grower_id(number)
        body = msgspec.json.encode(Parcel(number, "Weed now"))
        one = Out(
            f"b{grower[:2]}-{lane}{grower}", lane, now_ms, now_ms + hours * 3_600_000, body, grower, "weeding"
        )
        store.commit(Change(grower, 0, b"{}", now_ms, outs=(one,)))
        oids.append(one.oid)
    return store, oids


class Gateway:
    """A gateway with a mind of its own, which takes its time and notes when each request began."""

    def __init__(self, clock: StandingClock, answers: Callable[[str], Response], takes_s: float = 0.0) -> None:
        self.clock, self.answers, self.takes_s = clock, answers, takes_s
        self.begun: list[tuple[str, float]] = []

    def __call__(self, oid: str, body: bytes, may_begin: object) -> Response:
        self.begun.append((oid, self.clock.monotonic_s()))
        self.clock.wait(self.takes_s)
        return self.answers(oid)

    @property
    def oids(self) -> list[str]:
        return [oid for oid, _ in self.begun]


def sender(store: DictStore, clock: StandingClock, post: Post, **more: Any) -> Sender:
    return Sender(store, clock, "http://127.0.0.1:9/", "1212", post, Damage(clock), **{"per_second": 1000, **more})


def go(store: DictStore, clock: StandingClock, one: Sender, seconds: float, pause_s: float = 1.0) -> None:
    """Lets a sender go round for a while."""
    until_s = clock.monotonic_s() + seconds
    while clock.monotonic_s() < until_s:
        rounds(store, clock, one).go_over()
        clock.wait(pause_s)
