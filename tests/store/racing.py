"""What the processes of a race do; in a module of its own, since a new process imports it."""

from __future__ import annotations

from collections.abc import Callable
from multiprocessing import get_context
from multiprocessing.synchronize import Barrier
from typing import Any

from advisor.store.api import Committed, Remembered, Verdict
from advisor.store.opening import open_store
from tests.store.samples import ANN, MINUTE_MS, NOON_MS, change, message, out

_CONTEXT = get_context("spawn")
_PATIENCE_S = 60

Racer = Callable[[str, str, int, Barrier], Any]


def race(racer: Racer, address: str, rounds: int, names: tuple[str, ...] = ("one", "two")) -> list[Any]:
    """Runs one process a name, starting every round together, and returns what each brings home."""
    barrier = _CONTEXT.Barrier(len(names), timeout=_PATIENCE_S)
    with _CONTEXT.Pool(len(names), initializer=_enter, initargs=(barrier,)) as pool:
        tasks = [pool.apply_async(_run, (racer, address, name, rounds)) for name in names]
        return [task.get(_PATIENCE_S) for task in tasks]


def _enter(barrier: Barrier) -> None:
    global _barrier
    _barrier = barrier


def _run(racer: Racer, address: str, name: str, rounds: int) -> Any:
    return racer(address, name, rounds, _barrier)


def answer_the_same_messages(address: str, name: str, rounds: int, start: Barrier) -> list[tuple[str, bytes]]:
    """Reads before anybody has written, then commits at the same moment as the other process."""
    store = open_store(address)
    seen = []
    for place in range(rounds):
        reading = store.read(ANN, message(f"m{place}"))
        start.wait()
        reply = f"{name} {place}".encode()
        verdict: Verdict = store.commit(
            change(
                version=reading.version,
                value=reading.value or b"",
                message=message(f"m{place}"),
                reply=reply,
                outs=(out(name=f"page {place}", body=reply),),
                counts=(("dovi", "answered", 1),),
                history=(("message", str(place)),),
            )
        )
        seen.append(("first", reply) if isinstance(verdict, Committed) else _told(verdict))
        start.wait()
    store.close()
    return seen


def _told(verdict: Verdict) -> tuple[str, bytes]:
    return ("repeat", verdict.reply) if isinstance(verdict, Remembered) else ("conflict", b"")


def add_own_lines(address: str, name: str, rounds: int, start: Barrier) -> int:
    """Adds a line of its own to one grower again and again, reading anew after each lost race."""
    store = open_store(address)
    lost = 0
    start.wait()
    for place in range(rounds):
        while True:
            version, value = store.value(ANN)
            line = f"{name}-{place}\n".encode()
            verdict = store.commit(
                change(version=version, value=(value or b"") + line, counts=(("dovi", "lines", 1),))
            )
            if isinstance(verdict, Committed):
                break
            lost += 1
    store.close()
    return lost


def claim_all(address: str, name: str, rounds: int, start: Barrier) -> list[str]:
    """Claims messages a few at a time until there are none."""
    store = open_store(address)
    mine: list[str] = []
    start.wait()
    for _ in range(rounds):
        mine += [claimed.oid for claimed in store.claim(int(ANN[:2], 16), NOON_MS, MINUTE_MS, 3)]
    store.close()
    return mine
