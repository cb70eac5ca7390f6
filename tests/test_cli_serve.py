"""Serving and sending as processes of their own: they answer, hand over, and end when they are told to."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import httpx
import pytest

from advisor.commands.exits import Exit
from advisor.service.own_redis import free_port
from tests.gateway.bodies import ANN, sms, ussd
from tests.gateway.signed import KEY
from tests.servers import redis_server
from tests.taking import Gateway, taking_gateway  # noqa: F401 - a fixture
from tests.test_cli import SECRET, no_settings, run  # noqa: F401 - a fixture

pytestmark = pytest.mark.alone


@contextmanager
def served(
    *arguments: str, folder: Path, ends_with: int = 0, **settings: str
) -> Iterator[tuple[httpx.Client, subprocess.Popen[str]]]:
    """The service as a process of its own."""
    port = free_port()
    environment = {name: value for name, value in os.environ.items() if not name.startswith("SOWING_")}
    command = [sys.executable, "-m", "advisor", "serve", "--port", str(port), *arguments]
    log = folder / "serve.log"
    with log.open("w") as stderr:
        process = subprocess.Popen(command, env=environment | settings, stderr=stderr, text=True)
    try:
        with httpx.Client(base_url=f"http://127.0.0.1:{port}", trust_env=False, timeout=10) as client:
            wait_until(lambda: process.poll() is not None or is_up(client))
            assert process.poll() is None, log.read_text()
            yield client, process
        process.send_signal(signal.SIGTERM)
        assert process.wait(20) == ends_with
    finally:
        process.kill()
        process.wait()


def is_up(client: httpx.Client) -> bool:
    try:
        return client.get("/health").status_code == 200
    except httpx.TransportError:
        return False


def wait_until(happened: Any) -> None:
    until_s = time.monotonic() + 30
    while not happened():
        assert time.monotonic() < until_s, "it did not happen"
        time.sleep(0.05)


def now() -> str:
    return datetime.now(UTC).isoformat()


class TestServe:
    def test_as_a_demonstration_answers_calls_and_sms(self, tmp_path: Path, gateway: Gateway) -> None:
        with served("--demo", "--gateway", gateway.address, folder=tmp_path) as (client, _):
            health = client.get("/health").json()
            screen = client.post("/gateway/ussd", json=ussd(event="begin", input="", at=now()))
            taken = client.post("/gateway/sms", json=sms(at=now(), from_="+999004445566"))
            wait_until(lambda: gateway.taken)

        assert (health["ready"], health["demo"]) == (True, True)
        assert (screen.status_code, screen.json()["open"]) == (200, True)
        assert (taken.status_code, taken.json()) == (202, {"id": "t1"})
        assert [sent["to"] for sent in gateway.taken] == ["+999004445566"]
        assert [sent["from"] for sent in gateway.taken] == ["2500"]
        log = (tmp_path / "serve.log").read_text()
        assert "keeps nothing" in log
        assert "known to everybody" in log
        assert "event=message channel=ussd" in log
        assert [number for number in (ANN, "999004445566") if number in log] == []

    def test_as_a_demonstration_keeps_out_of_an_installation(self, tmp_path: Path, gateway: Gateway) -> None:
        with redis_server() as server:
            installation = {"SOWING_STORE": server.address, "SOWING_GATEWAY": gateway.address} | SECRET
            with served("--demo", folder=tmp_path, **installation) as (client, _):
                health = client.get("/health").json()
                client.post("/gateway/sms", json=sms(at=now())).raise_for_status()
            with server.client() as looking:
                assert looking.dbsize() == 0

        assert "keeps nothing" in health["store"]
        assert gateway.taken == []
        ignored = (
            "warning: a demonstration does not heed SOWING_STORE, SOWING_ID_SECRET, SOWING_GATEWAY, SOWING_OPEN\n"
        )
        assert ignored in (tmp_path / "serve.log").read_text()

    def test_says_at_the_start_what_weakens_its_store(self, tmp_path: Path) -> None:
        with redis_server("--appendonly", "no") as server:
            installation = {"SOWING_STORE": server.address} | SECRET
            with served(folder=tmp_path, **installation):
                log = (tmp_path / "serve.log").read_text()

        told = [
            line for line in log.partition("listening on")[0].splitlines() if "appendonly is no: set it" in line
        ]
        assert [line.startswith("warning: ") for line in told] == [True, False]
        assert "event=start" in told[1]

    def test_says_nothing_of_a_store_that_keeps_its_promises(self, tmp_path: Path) -> None:
        keys = {"SOWING_ID_SECRET": SECRET["SOWING_ID_SECRET"], "SOWING_INBOUND_KEYS": KEY}
        with redis_server() as server, served(folder=tmp_path, SOWING_STORE=server.address, **keys):
            log = (tmp_path / "serve.log").read_text()

        assert "warning" not in log

    def test_on_a_private_store_remembers_after_a_restart(self, tmp_path: Path) -> None:
        data = {"SOWING_DATA": str(tmp_path / "data")} | SECRET
        body = ussd(event="begin", input="", at=now())

        with served(folder=tmp_path, **data) as (client, _):
            first = client.post("/gateway/ussd", json=body)
        with served(folder=tmp_path, **data) as (client, _):
            again = client.post("/gateway/ussd", json=body)
            other = client.post("/gateway/ussd", json=body | {"input": "9"})

        assert (first.status_code, again.text, other.status_code) == (200, first.text, 409)
        assert "SOWING_STORE=redis://127.0.0.1:" in (tmp_path / "serve.log").read_text()

    def test_by_several_workers_counts_for_all_of_them(self, tmp_path: Path) -> None:
        data = {"SOWING_DATA": str(tmp_path / "data"), "SOWING_WORKERS": "2"} | SECRET
        with served(folder=tmp_path, **data) as (client, _):
            for number in range(8):
                # a connection of its own, so that either worker may take it
                httpx.post(
                    f"{client.base_url}/gateway/ussd",
                    json=ussd(id=str(number), at=now()),
                    trust_env=False,
                ).raise_for_status()
            text = client.get("/metrics").text

        counted = [line for line in text.splitlines() if line.startswith("sowing_message_seconds_count")]
        assert [line.rpartition(" ")[2] for line in counted] == ["8.0"]


class TestSend:
    def test_once_hands_over_what_a_service_left(self, tmp_path: Path, gateway: Gateway) -> None:
        settings = {"SOWING_DATA": str(tmp_path / "data")} | SECRET
        with served(folder=tmp_path, **settings) as (client, _):
            client.post("/gateway/sms", json=sms(at=now()))
            log = (tmp_path / "serve.log").read_text()
            store = log.partition("SOWING_STORE=")[2].split()[0]
            environment = os.environ | SECRET | {"SOWING_STORE": store, "SOWING_SENDER": "1212"}
            command = [sys.executable, "-m", "advisor", "send", "--once", "--gateway", gateway.address]

            ended = subprocess.run(command, env=environment, capture_output=True, text=True, check=False)

        assert (ended.returncode, ended.stdout) == (0, "tried 1 messages\n")
        assert [(sent["from"], sent["to"]) for sent in gateway.taken] == [("1212", ANN)]

    def test_without_a_store_to_take_from_is_wrong_usage(self, monkeypatch: pytest.MonkeyPatch) -> None:
        for name, value in (SECRET | {"SOWING_SENDER": "1212"}).items():
            monkeypatch.setenv(name, value)

        assert run("send", "--gateway", "http://127.0.0.1:9/sms") == Exit.WRONG_USAGE
