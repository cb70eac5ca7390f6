"""Promise 1 for rounds: who plans and makes messages is killed at each step; nobody is left out or told twice."""

from __future__ import annotations

import signal
import subprocess
import sys
import time
from collections import Counter

import msgspec

from advisor.records.grower import Grower
from advisor.service.clock import SystemClock, unix_ms
from advisor.service.figures import figure_changes
from advisor.service.identity import Ids
from advisor.service.outgoing import Parcel
from advisor.service.stored import Stored, to_bytes
from advisor.store.api import BUCKETS, Change, RoundRow, RoundState, Terms
from advisor.store.recount import recount
from advisor.store.redis_store import RedisStore
from tests.servers import redis_server
from tests.service.lived import figures_of
from tests.service.stage import BANDS
from tests.whole.services import SECRET

STEPS = tuple(f"{when}-{what}" for what in ("plan", "due", "commit") for when in ("before", "after"))
PHONES = tuple(f"+99900{number:08}" for number in range(120))
TEXTS = ("One", "Two")

ROUND = b"""
key = "demo"
[[steps]]
key = "one"
after_minutes = 0
good_for_hours = 6
text = { en = "One" }
[[steps]]
key = "two"
after_minutes = 30
good_for_hours = 6
text = { en = "Two" }
"""


def settle(store: RedisStore) -> None:
    now = SystemClock().now()
    for place, number in enumerate(PHONES):
        record = Grower(number, agreed=now).knows("grower.village", f"v{place % 3}", now)
        counts = figure_changes(Grower(), record, BANDS)
        grower = Ids(SECRET.encode()).number(number)
        store.commit(Change(grower, 0, to_bytes(Stored(record)), unix_ms(now), counts=counts))
    store.start_round(RoundRow("demo", RoundState.RUNNING, unix_ms(now), ROUND))


def run(store: str, step: str, times: int, ahead: int = 0) -> int:
    command = [sys.executable, "-m", "tests.whole.dying_planner", store, step, str(times), str(ahead)]
    return subprocess.run(command, check=False, timeout=120).returncode


def told(store: RedisStore) -> Counter[tuple[str, str]]:
    """What waits to be handed over, each message once a claim."""
    found: Counter[tuple[str, str]] = Counter()
    far_ms = int(time.time() * 1000) + 3 * 3_600_000
    for bucket in range(BUCKETS):
        for claimed in store.claim(bucket, far_ms, 60_000, 1000, Terms()):
            parcel = msgspec.json.decode(claimed.body, type=Parcel)
            found[parcel.number, parcel.text] += 1
    return found


def test_killed_at_each_step_nobody_is_left_out_and_nobody_is_told_twice() -> None:
    with redis_server() as redis:
        store = RedisStore(redis.address, timeout_s=9)
        store.open()
        settle(store)
        for times, step in enumerate(STEPS, start=3):
            assert run(redis.address, step, times) == -signal.SIGKILL, step
        # what one of the dead had taken is free after its lease
        assert run(redis.address, "never", 1, 1) == 0
        first = told(store)
        for times, step in enumerate(STEPS[2:], start=3):
            assert run(redis.address, step, times, 40) == -signal.SIGKILL, step
        assert run(redis.address, "never", 1, 41) == 0
        # a clock that was ahead and is right again makes nothing anew
        assert run(redis.address, "never", 1) == 0

        standing = store.standing("demo")
        assert first == {(number, "One"): 1 for number in PHONES}
        assert told(store) == {(number, "Two"): 1 for number in PHONES}, "the newer message alone waits"
        assert (standing.waiting, standing.planned) == (0, BUCKETS)
        assert standing.figures == {"made": 2 * len(PHONES)}
        assert recount(store, figures_of, ("v0", "v1", "v2")) == ()
        store.close()


def test_processes_side_by_side_make_each_message_once() -> None:
    with redis_server() as redis:
        store = RedisStore(redis.address, timeout_s=9)
        store.open()
        settle(store)
        command = [sys.executable, "-m", "tests.whole.dying_planner", redis.address, "never", "1", "0"]
        beside = [subprocess.Popen(command) for _ in range(3)]
        assert [process.wait(timeout=120) for process in beside] == [0, 0, 0]
        # one who lost a race with another is looked at again after the lease
        assert run(redis.address, "never", 1, 1) == 0

        assert told(store) == {(number, "One"): 1 for number in PHONES}
        assert store.standing("demo").figures == {"made": len(PHONES)}
        store.close()
