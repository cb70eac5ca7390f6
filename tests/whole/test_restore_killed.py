"""``advisor restore`` killed half-way: nothing opens the store, and the same command brings it to its end."""

from __future__ import annotations

import os
import subprocess
import sys
import time
from pathlib import Path

import pytest

from advisor.dialogue.talk import Agree, Keep
from advisor.service.backups import back_up
from advisor.service.clock import SystemClock
from advisor.store.api import StoreMismatch
from advisor.store.keys import secret_mark
from advisor.store.plans import Keeps
from advisor.store.recount import recount
from advisor.store.redis_store import RedisStore
from tests.servers import RedisServer, redis_server
from tests.service.lived import figures_of
from tests.service.stage import inbound, says, session, ussd
from tests.whole.services import SECRET

GROWERS = 1500


def opened(server: RedisServer) -> RedisStore:
    return RedisStore(server.address, Keeps(), secret_mark(SECRET.encode()), timeout_s=10)


def restoring(server: RedisServer, file: Path) -> subprocess.Popen[bytes]:
    environment = {**os.environ, "SOWING_STORE": server.address, "SOWING_ID_SECRET": SECRET}
    command = [sys.executable, "-m", "advisor", "restore", str(file)]
    return subprocess.Popen(command, env=environment, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)


def test_a_restore_killed_half_way_goes_on(tmp_path: Path) -> None:
    file = tmp_path / "all.backup"
    with redis_server("--appendfsync", "everysec") as source, redis_server() as target:
        store, copy = opened(source), opened(target)
        store.open()
        facts = (Agree(), Keep("grower.village", "v1"), Keep("lot.origin", "bought"))
        for end in range(GROWERS):
            inbound(store, says("Noted.", *facts, to=session())).take(ussd("1", number=f"+99900{end:08}"))
        back_up(store, file, SystemClock())

        killed = restoring(target, file)
        until = time.monotonic() + 60
        while len(list(copy.growers())) < GROWERS // 4 and time.monotonic() < until:
            time.sleep(0.01)
        killed.kill()
        killed.wait()
        assert 0 < len(list(copy.growers())) < GROWERS
        with pytest.raises(StoreMismatch, match="half in this store"):
            copy.open()

        again = restoring(target, file)
        assert again.wait(120) == 0

        copy.open()
        assert set(copy.growers()) == set(store.growers())
        assert copy.counts("v1") == store.counts("v1")
        assert recount(copy, figures_of, ["v1"]) == ()
        for closing in (store, copy):
            closing.close()
