"""``make bench``: what a message costs, as ratios inside one run, since machines differ and are noisy.

The store's ratios are to a bare SET on the same server; a step's to one trip of its session through JSON.
"""

from __future__ import annotations

import json
import statistics
import time
from collections.abc import Callable

from advisor.dialogue.session import session_from_json, session_to_json
from advisor.dialogue.step import step
from advisor.dialogue.talk import Event, EventKind
from advisor.loading import load_book
from tests.dialogue.talker import Talker
from tests.store import bench as store_bench

ROUNDS = 5
TURNS = 400


def median_us(run: Callable[[], object]) -> float:
    """Median of several rounds, each the mean of many turns, in microseconds."""
    rounds = []
    for _ in range(ROUNDS):
        started = time.perf_counter()
        for _ in range(TURNS):
            run()
        rounds.append((time.perf_counter() - started) / TURNS * 1e6)
    return statistics.median(rounds)


def step_ratios() -> dict[str, tuple[float, float]]:
    """For each answer of a first call: median microseconds, and the ratio to its session's trip through JSON."""
    talker = Talker(load_book())
    talker.dial()
    found = {}
    for typed in ("1", "1", "2", "1", "2.5", "1", "1"):
        event = Event(EventKind.ANSWER, typed, f"ussd:call-{talker.calls}", "bench")
        before = (talker.session, talker.grower)
        spent = median_us(lambda event=event, before=before: step(talker.book, *before, event, talker.now))
        session = talker.session
        trip = median_us(
            lambda session=session: session_from_json(json.loads(json.dumps(session_to_json(session))))
        )
        talker.type(typed)
        found[f"to {talker.spot}"] = (spent, spent / trip)
    return found


def main() -> None:
    started = time.perf_counter()
    load_book()
    built_s = time.perf_counter() - started
    print("step of the dialogue               µs   x its session through JSON")
    for name, (spent_us, ratio) in step_ratios().items():
        print(f"  {name:<30} {spent_us:6.0f}   {ratio:6.1f}")
    print(f"book read, checked and proven: {built_s:.2f} s\n")
    print("store                              µs   x a bare SET")
    for name, seconds, ratio in store_bench.ratios():
        print(f"  {name:<30} {seconds * 1e6:6.0f}   {ratio:6.1f}")


if __name__ == "__main__":
    main()
