"""The command line: help with an example, one line for a mistake, codes for scripts, a service that serves."""

from __future__ import annotations

import os
from pathlib import Path

import click
import pytest

from advisor.cli import commands, main
from advisor.commands.exits import Exit
from advisor.service.own_redis import free_port
from advisor.settings import SETTINGS
from advisor.store.keys import STORE
from tests.gateway.bodies import ANN
from tests.servers import RedisServer, redis_server
from tests.taking import Gateway, taking_gateway  # noqa: F401 - a fixture

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
