"""The private Redis: kept on disk, one to a folder, and taken over from a service that was killed."""

from __future__ import annotations

import os
import signal
import stat
import subprocess
import sys
import time
from pathlib import Path

import pytest

from advisor.service.clock import SystemClock
from advisor.service.own_redis import NoPrivateStore, private_redis, server_program
from advisor.store.api import Change
from advisor.store.opening import open_store
from tests.service.stage import grower_id

PROGRAM = server_program() or "redis-server"
RUN_AND_HANG = """
import sys, time
from pathlib import Path
from advisor.service.clock import SystemClock
from advisor.service.own_redis import private_redis
with private_redis(sys.argv[1], Path(sys.argv[2]), SystemClock()) as address:
    print(address, flush=True)
    time.sleep(60)
"""


def test_what_was_written_is_there_at_the_next_start(tmp_path: Path) -> None:
    for version, value in enumerate((b"first", b"second")):
        with private_redis(PROGRAM, tmp_path / "data", SystemClock()) as address:
            store = open_store(address)
            store.open()
            found, held = store.value(grower_id())
            assert held == (b"first" if version else None)
            store.commit(Change(grower_id(), found, value, 1000))


def test_its_settings_keep_every_promise(tmp_path: Path) -> None:
    with private_redis(PROGRAM, tmp_path, SystemClock()) as address:
        assert open_store(address).ready() == (True, "ready")


def test_what_it_writes_can_be_read_by_its_owner_alone(tmp_path: Path) -> None:
    folder = tmp_path / "data"
    before = os.umask(0o022)
    try:
        with private_redis(PROGRAM, folder, SystemClock()) as address:
            store = open_store(address)
            store.open()
            store.commit(Change(grower_id(), 0, b"first", 1000))
            written = [file for file in folder.rglob("*.aof") if file.stat().st_size]

            assert written
            assert [stat.S_IMODE(file.stat().st_mode) & 0o077 for file in written] == [0] * len(written)
            assert stat.S_IMODE(folder.stat().st_mode) == 0o700
    finally:
        os.umask(before)


def test_a_folder_has_one_service(tmp_path: Path) -> None:
    with (
        private_redis(PROGRAM, tmp_path, SystemClock()),
        pytest.raises(NoPrivateStore, match="another service"),
        private_redis(PROGRAM, tmp_path, SystemClock()),
    ):
        raise AssertionError("a second one started")


def test_one_that_outlived_its_service_is_ended_and_its_data_taken_up(tmp_path: Path) -> None:
    command = [sys.executable, "-c", RUN_AND_HANG, PROGRAM, str(tmp_path)]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as service:
        assert service.stdout is not None
        store = open_store(service.stdout.readline().strip())
        store.open()
        store.commit(Change(grower_id(), 0, b"kept", 1000))
        os.kill(service.pid, signal.SIGKILL)

    with private_redis(PROGRAM, tmp_path, SystemClock()) as address:
        assert open_store(address).value(grower_id())[1] == b"kept"


def test_a_folder_that_cannot_be_made_is_told_in_one_line(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("no folder")

    with (
        pytest.raises(NoPrivateStore, match="set SOWING_DATA to another"),
        private_redis(PROGRAM, tmp_path / "file" / "data", SystemClock()),
    ):
        raise AssertionError("it started")


def test_a_server_that_cannot_start_is_told_in_one_line(tmp_path: Path) -> None:
    (tmp_path / "appendonlydir").write_text("not a folder")
    started_s = time.monotonic()

    with (
        pytest.raises(NoPrivateStore, match=r"redis\.log"),
        private_redis(PROGRAM, tmp_path, SystemClock()),
    ):
        raise AssertionError("it started")
    assert time.monotonic() - started_s < 10
