"""The command line on a store with damaged keys: the rest is done, the keys are named, the code says so."""

from __future__ import annotations

import pytest

from advisor.commands.exits import Exit
from advisor.store.keys import of_lane
from tests.servers import redis_server
from tests.test_cli import SECRET, run


def test_send_once_names_damaged_keys_and_ends_with_a_problem(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    with redis_server() as server, server.client() as client:
        client.set(of_lane(7, 0), "x")
        for name, value in (SECRET | {"SOWING_SENDER": "1212", "SOWING_STORE": server.address}).items():
            monkeypatch.setenv(name, value)

        assert run("send", "--once", "--gateway", "http://127.0.0.1:9/sms") == Exit.PROBLEMS

    shown = capsys.readouterr()
    assert shown.out == "tried 0 messages\n"
    assert of_lane(7, 0) in shown.err
