"""``advisor growers import`` killed in the middle, several times, on a real server: run again, nothing doubles."""

from __future__ import annotations

import os
import subprocess
import sys
import time
from pathlib import Path

import pytest

from advisor.service.stored import from_bytes
from advisor.store.keys import secret_mark
from advisor.store.names import BUCKETS
from advisor.store.plans import Keeps
from advisor.store.recount import recount
from advisor.store.redis_store import RedisStore
from tests.servers import RedisServer, redis_server
from tests.service.lived import figures_of
from tests.whole.services import SECRET

pytestmark = pytest.mark.alone

GROWERS = 6_000
VILLAGES = ("v1", "v2", "v3")


def importing(server: RedisServer, file: Path) -> subprocess.Popen[bytes]:
    environment = {**os.environ, "SOWING_STORE": server.address, "SOWING_ID_SECRET": SECRET}
    command = [sys.executable, "-m", "advisor", "growers", "import", str(file)]
    return subprocess.Popen(command, env=environment, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL)


def whole_table(file: Path) -> None:
    lines = ["number,village,seed_origin,field_area,field_unit,consent_how,consent_on"]
    lines += [f"0{place:09},{VILLAGES[place % 3]},saved,1,acre,paper,2026-11-01" for place in range(GROWERS)]
    file.write_text("\n".join(lines) + "\n")


def killed_once_there_are(count: int, store: RedisStore, started: subprocess.Popen[bytes]) -> int:
    """Kills it once so many growers are there; how many there are then."""
    until = time.monotonic() + 120
    while len(set(store.growers())) < count and started.poll() is None and time.monotonic() < until:
        time.sleep(0.005)
    started.kill()
    started.communicate()
    return len(set(store.growers()))


def test_an_import_killed_three_times_and_run_again_is_as_if_it_never_was(tmp_path: Path) -> None:
    file = tmp_path / "growers.csv"
    whole_table(file)
    with redis_server() as server:
        store = RedisStore(server.address, Keeps(), secret_mark(SECRET.encode()), timeout_s=10)
        store.open()
        before = 0
        for part in (1, 4, 8):
            there = killed_once_there_are(GROWERS * part // 12, store, importing(server, file))
            assert before < there < GROWERS
            assert recount(store, figures_of, VILLAGES) == ()
            before = there
        server.restart()

        last = importing(server, file)
        told, _ = last.communicate(timeout=300)

        assert last.returncode == 0
        assert f"{GROWERS - before} new, 0 changed, {before} as they were".encode() in told
        growers = list(store.growers())
        assert (len(growers), len(set(growers))) == (GROWERS, GROWERS)
        assert sum(store.counts(village)["growers"] for village in VILLAGES) == GROWERS
        assert recount(store, figures_of, VILLAGES) == ()
        for bucket in range(BUCKETS):
            for valued in store.values(store.settled(bucket)).taken:
                record = from_bytes(valued.value).record
                assert (record.agreed_how, len(record.facts)) == ("paper", 3)
        store.close()
