"""How fast the stores are against each other: ratios within one run, since machines differ.

The base is a bare ``SET`` of the same value on the same server, one
trip and no check: what a message costs more than that is the price of its promises.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from statistics import median

from advisor.store.api import Store
from advisor.store.keys import grower_id
from advisor.store.opening import open_store
from tests.servers import redis_server
from tests.store.samples import NUMBERS, SECRET, change, message, out

_MESSAGES = 400
_ROUNDS = 5


def ratios() -> list[tuple[str, float, float]]:
    """What was measured, seconds a message, and how many bare writes that is."""
    with redis_server("--appendfsync", "everysec") as relaxed, redis_server() as strict:
        rows = []
        for name, server in (("everysec", relaxed), ("always", strict)):
            with server.client() as client:
                rows.append((f"bare SET, {name}", _seconds(lambda place: client.set(f"k{place}", b"x" * 400))))
            store = open_store(server.address)
            rows.append((f"message, {name}", _seconds(_messages(store))))
            store.close()
    for address in ("embedded:", "memory:"):
        seconds = _seconds(_messages(open_store(address)))
        rows.append((f"message, {address}", seconds))
    base = rows[0][1]
    return [(name, seconds, seconds / base) for name, seconds in rows]


def _messages(store: Store) -> Callable[[int], object]:
    growers = [grower_id(SECRET, number) for number in NUMBERS]

    def one(place: int) -> object:
        grower = growers[place % len(growers)]
        reading = store.read(grower, message(f"m{place}"))
        told = {"message": message(f"m{place}"), "reply": b"y" * 140, "history": (("what", "answered"),)}
        outs = (out(grower, f"page {place}", body=b"z" * 160),)
        return store.commit(change(grower, reading.version, b"x" * 400, outs=outs, **told))

    return one


def _seconds(act: Callable[[int], object]) -> float:
    taken = []
    for turn in range(_ROUNDS):
        begun = time.perf_counter()
        for place in range(_MESSAGES):
            act(turn * _MESSAGES + place)
        taken.append((time.perf_counter() - begun) / _MESSAGES)
    return median(taken)
