"""The command line: help with an example, one line for a mistake, codes for scripts, a service that serves."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from http.server import BaseHTTPRequestHandler, HTTPServer
from pathlib import Path
from typing import Any

import click
import httpx
import msgspec
import pytest

from advisor.cli import commands, main
from advisor.commands.exits import Exit
from advisor.service.own_redis import free_port
from advisor.settings import SETTINGS
from advisor.store.keys import STORE
from tests.gateway.bodies import ANN, sms, ussd
from tests.gateway.signed import KEY
from tests.servers import RedisServer, redis_server

pytestmark = pytest.mark.alone

SECRET = {"SOWING_ID_SECRET": "drawn for the tests, thirty-two and more", "SOWING_OPEN": "yes"}


@pytest.fixture(autouse=True)
def no_settings(monkeypatch: pytest.MonkeyPatch) -> None:
    """Whoever runs the tests may have settings of their own."""
    for name in [name for name in os.environ if name.startswith("SOWING_")]:
        monkeypatch.delenv(name)


def run(*arguments: str) -> int:
    with pytest.raises(SystemExit) as ended:
        main(arguments)
    assert isinstance(ended.value.code, int)
    return ended.value.code


class TestHelp:
    @pytest.mark.parametrize("name", ["", *commands.commands])
    def test_of_every_command_shows_an_example(self, capsys: pytest.CaptureFixture[str], name: str) -> None:
        assert run(*name.split(), "--help") == Exit.DONE

        shown = capsys.readouterr().out
        assert "Example:" in shown or "Examples:" in shown
        assert f"advisor {name}" in shown

    def test_of_serve_lists_every_setting(self, capsys: pytest.CaptureFixture[str]) -> None:
        run("serve", "--help")

        shown = capsys.readouterr().out
        assert [setting.name for setting in SETTINGS if setting.name not in shown] == []

    def test_of_every_option_says_what_it_is_for(self) -> None:
        silent = [
            (name, option.name)
            for name, command in commands.commands.items()
            for option in command.params
            if isinstance(option, click.Option) and not option.help
        ]

        assert silent == []


class TestAMistake:
    @pytest.mark.parametrize(
        "arguments",
        [
            ["serve"],
            ["serve", "--demo", "--host", "0.0.0.0"],
            ["serve", "--demo", "--port", "99999"],
            ["serve", "--demo", "--workers", "2"],
            ["serve", "--demo", "--gateway", "nowhere"],
            ["send"],
            ["sow"],
        ],
    )
    def test_gets_one_line_and_its_code(self, capsys: pytest.CaptureFixture[str], arguments: list[str]) -> None:
        assert run(*arguments) == Exit.WRONG_USAGE

        *before, last = capsys.readouterr().err.strip().splitlines()
        assert last.startswith("Error: ")
        assert not any("Traceback" in line for line in before)

    @pytest.mark.parametrize("command", ["serve", "send"])
    def test_that_leaves_out_the_keys_is_told_how_to_draw_them_and_how_to_do_without(
        self, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, command: str
    ) -> None:
        told = {
            "SOWING_GATEWAY": "http://127.0.0.1:9/sms",
            "SOWING_SENDER": "4040",
            "SOWING_STORE": "redis://127.0.0.1:9/0",
        }
        for name, value in (SECRET | told).items():
            monkeypatch.setenv(name, value)
        monkeypatch.delenv("SOWING_OPEN")

        assert run(command) == Exit.WRONG_USAGE
        shown = capsys.readouterr().err
        assert "SOWING_OUTBOUND_KEYS is not set: draw one with" in shown
        assert ("SOWING_INBOUND_KEYS is not set" in shown) == (command == "serve")
        assert "or set SOWING_OPEN=yes" in shown

    def test_in_the_programme_is_a_problem_found(
        self, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, tmp_path: Path
    ) -> None:
        (tmp_path / "p.toml").write_text('key = "x"\n', encoding="utf-8")
        monkeypatch.setenv("SOWING_PROGRAMME", str(tmp_path / "p.toml"))

        assert run("serve", "--demo") == Exit.PROBLEMS
        assert "Error: " in capsys.readouterr().err

    def test_in_the_programme_is_found_before_anything_is_started_or_made(
        self, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
    ) -> None:
        (tmp_path / "p.toml").write_text('key = "x"\n', encoding="utf-8")
        settings = {"SOWING_PROGRAMME": str(tmp_path / "p.toml"), "SOWING_DATA": str(tmp_path / "data")} | SECRET
        for name, value in settings.items():
            monkeypatch.setenv(name, value)

        assert run("serve") == Exit.PROBLEMS
        assert not (tmp_path / "data").exists()

    def test_in_the_port_is_told_before_anything_is_said_to_listen(
        self, capsys: pytest.CaptureFixture[str], gateway: Gateway
    ) -> None:
        port = str(gateway.server_port)

        assert run("serve", "--demo", "--port", port) == Exit.WRONG_USAGE
        shown = capsys.readouterr().err
        assert f"Error: port {port} is taken: give --port or end what listens there" in shown
        assert "listening" not in shown

    def test_in_the_host_is_told_so(
        self, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
    ) -> None:
        for name, value in SECRET.items():
            monkeypatch.setenv(name, value)

        # an address kept for documentation, so no machine has it
        assert run("serve", "--host", "192.0.2.1") == Exit.WRONG_USAGE
        assert "cannot listen on 192.0.2.1:8000" in capsys.readouterr().err

    def test_in_the_programme_s_path_is_wrong_usage(self, monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
        monkeypatch.setenv("SOWING_PROGRAMME", str(tmp_path / "missing.toml"))

        assert run("serve", "--demo") == Exit.WRONG_USAGE

    def test_of_ours_shows_no_trace_and_no_text(
        self, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
    ) -> None:
        def broken(*_: object, **__: object) -> None:
            raise RuntimeError(f"a fault that names {ANN}")

        monkeypatch.setattr("advisor.commands.serving.read_settings", broken)

        assert run("serve", "--demo") == Exit.UNEXPECTED
        shown = capsys.readouterr().err
        assert shown.startswith("advisor: unexpected RuntimeError at test_cli.py:")
        assert ANN not in shown


class TestAStoreThatRefuses:
    """Its server answers, and no waiting will mend what it says: one line, and no start."""

    @pytest.fixture(autouse=True)
    def settings(self, monkeypatch: pytest.MonkeyPatch) -> None:
        for name, value in SECRET.items():
            monkeypatch.setenv(name, value)
        monkeypatch.setenv("SOWING_SENDER", "1212")
        monkeypatch.setenv("SOWING_PORT", str(free_port()))

    @pytest.fixture(params=[("serve",), ("send", "--once", "--gateway", "http://127.0.0.1:9/sms")])
    def command(self, request: pytest.FixtureRequest) -> tuple[str, ...]:
        return request.param

    def refused(self, capsys: pytest.CaptureFixture[str], *command: str) -> str:
        assert run(*command) == Exit.WRONG_USAGE
        lines = capsys.readouterr().err.strip().splitlines()
        assert [line for line in lines if "listening" in line or "Traceback" in line] == []
        assert lines[-1].startswith("Error: SOWING_STORE: ")
        return lines[-1]

    def test_a_database_that_is_not_there(
        self,
        capsys: pytest.CaptureFixture[str],
        monkeypatch: pytest.MonkeyPatch,
        shared_redis: RedisServer,
        command: tuple[str, ...],
    ) -> None:
        monkeypatch.setenv("SOWING_STORE", f"redis://127.0.0.1:{shared_redis.port}/99")

        assert "DB index is out of range" in self.refused(capsys, *command)

    @pytest.mark.parametrize("who", ["", ":wrong@", "nobody:wrong@"])
    def test_a_password(
        self, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, who: str
    ) -> None:
        with redis_server() as server:
            with server.client() as client:
                client.config_set("requirepass", "right")
            monkeypatch.setenv("SOWING_STORE", f"redis://{who}127.0.0.1:{server.port}/0")

            line = self.refused(capsys, "serve")

        assert "give the right user, password and database" in line
        assert "wrong" not in line.replace("username", "")

    def test_another_secret(
        self, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, command: tuple[str, ...]
    ) -> None:
        with redis_server() as server:
            with server.client() as client:
                client.hset(STORE, "secret", "of another")
            monkeypatch.setenv("SOWING_STORE", server.address)

            line = self.refused(capsys, *command)

        assert "fingerprint of the secret" in line

    def test_a_description_of_another_kind(
        self, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
    ) -> None:
        with redis_server() as server:
            with server.client() as client:
                client.set(STORE, "x")
            monkeypatch.setenv("SOWING_STORE", server.address)

            assert STORE in self.refused(capsys, "serve")


class Gateway(HTTPServer):
    """A gateway that takes everything."""

    def __init__(self) -> None:
        super().__init__(("127.0.0.1", 0), Taking)
        self.taken: list[dict[str, Any]] = []

    @property
    def address(self) -> str:
        return f"http://127.0.0.1:{self.server_port}/sms"


class Taking(BaseHTTPRequestHandler):
    server: Gateway

    def do_POST(self) -> None:
        body = self.rfile.read(int(self.headers["Content-Length"]))
        self.server.taken.append(msgspec.json.decode(body))
        self.send_response(204)
        self.end_headers()

    def log_message(self, *_: object) -> None: ...


@pytest.fixture
def gateway() -> Iterator[Gateway]:
    with Gateway() as running:
        thread = threading.Thread(target=running.serve_forever, args=(0.02,))
        thread.start()
        yield running
        running.shutdown()
        thread.join()


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
