"""``advisor backup``: where it writes to, and what it leaves alone."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from advisor.cli import main
from advisor.commands.exits import Exit
from tests.servers import RedisServer


@pytest.fixture
def settings(monkeypatch: pytest.MonkeyPatch, shared_redis: RedisServer) -> None:
    for name in [name for name in os.environ if name.startswith("SOWING_")]:
        monkeypatch.delenv(name)
    with shared_redis.client() as client:
        client.flushall()
    monkeypatch.setenv("SOWING_STORE", shared_redis.address)
    monkeypatch.setenv("SOWING_ID_SECRET", "drawn for the tests, thirty-two and more")


def run(*arguments: str) -> int:
    with pytest.raises(SystemExit) as ended:
        main(arguments)
    assert isinstance(ended.value.code, int)
    return ended.value.code


@pytest.mark.usefixtures("settings")
class TestTheFile:
    def test_is_written(self, tmp_path: Path) -> None:
        assert run("backup", str(tmp_path / "all.backup")) == Exit.DONE
        assert (tmp_path / "all.backup").is_file()

    def test_in_a_folder_that_is_not_there_is_said_in_one_line(
        self, tmp_path: Path, capsys: pytest.CaptureFixture[str]
    ) -> None:
        assert run("backup", str(tmp_path / "missing" / "all.backup")) == Exit.WRONG_USAGE

        assert "all.backup cannot be written (No such file or directory)" in capsys.readouterr().err

    def test_never_takes_the_place_of_what_is_no_file(self, tmp_path: Path) -> None:
        pipe = tmp_path / "pipe"
        os.mkfifo(pipe)

        assert run("backup", str(pipe)) == Exit.WRONG_USAGE
        assert pipe.is_fifo()
