"""Settings: every problem in one message, no default for a secret, nothing unknown, and a table that is true."""

from __future__ import annotations

import base64
from dataclasses import fields
from datetime import timedelta
from pathlib import Path
from typing import ClassVar

import pytest

from advisor.settings import DEMO_SECRET, SETTINGS, Settings, SettingsProblem, without_keys
from tests.gateway.signed import KEY, OTHER_KEY

SECRET = "drawn for the tests, thirty-two and more"
LEAST = {"SOWING_ID_SECRET": SECRET}


def problems(environment: dict[str, str], *, demo: bool = False) -> tuple[str, ...]:
    with pytest.raises(SettingsProblem) as refused:
        Settings.from_env(environment, demo=demo)
    return refused.value.problems


def test_a_secret_is_all_that_is_needed() -> None:
    settings = Settings.from_env(LEAST)

    assert (settings.host, settings.port, settings.workers) == ("127.0.0.1", 8000, 1)
    assert settings.message_memory == timedelta(hours=72)
    assert not settings.demo


def test_without_a_secret_there_is_no_start() -> None:
    assert [line.split()[0] for line in problems({})] == ["SOWING_ID_SECRET"]


def test_the_secret_of_the_demonstration_is_no_secret() -> None:
    assert "demonstration" in problems({"SOWING_ID_SECRET": DEMO_SECRET})[0]


@pytest.mark.parametrize(("secret", "said"), [("", "is not set"), ("short", "fewer than 32 characters")])
def test_how_to_draw_a_secret_is_said(secret: str, said: str) -> None:
    (line,) = problems({"SOWING_ID_SECRET": secret})

    assert said in line
    assert 'draw one with `python -c "import secrets; print(secrets.token_urlsafe(48))"`' in line
    assert line.endswith("keep it for life")


class TestADemonstration:
    INSTALLATION: ClassVar = {
        "SOWING_STORE": "redis://127.0.0.1:6379/0",
        "SOWING_ID_SECRET_FILE": "missing",
        "SOWING_GATEWAY": "https://gateway.example/sms",
        "SOWING_SENDER": "4040",
    }

    def test_has_a_secret_and_a_sender_of_its_own(self) -> None:
        settings = Settings.from_env({"SOWING_ID_SECRET": SECRET, "SOWING_SENDER": "4040"}, demo=True)

        assert (settings.id_secret, settings.sender) == (DEMO_SECRET, "2500")

    def test_heeds_no_store_and_no_gateway_of_an_installation_and_names_them(self) -> None:
        settings = Settings.from_env(self.INSTALLATION, demo=True)

        assert (settings.store, settings.gateway) == ("", "")
        assert settings.ignored == tuple(self.INSTALLATION)

    def test_heeds_a_gateway_that_is_given(self) -> None:
        settings = Settings.from_env(self.INSTALLATION, demo=True, given={"gateway": "http://127.0.0.1:9/sms"})

        assert (settings.gateway, settings.sender) == ("http://127.0.0.1:9/sms", "2500")

    def test_heeds_the_programme_of_an_author(self) -> None:
        assert Settings.from_env({"SOWING_PROGRAMME": "mine.toml"}, demo=True).programme == "mine.toml"

    def test_ignores_nothing_where_nothing_is_set(self) -> None:
        assert Settings.from_env({"SOWING_STORE": ""}, demo=True).ignored == ()


def test_an_installation_ignores_nothing() -> None:
    settings = Settings.from_env(LEAST | {"SOWING_STORE": "redis://127.0.0.1:6379/0"})

    assert (settings.store, settings.ignored) == ("redis://127.0.0.1:6379/0", ())


@pytest.mark.parametrize("host", ["127.0.0.1", "::1", "localhost"])
def test_a_demonstration_stays_on_this_machine(host: str) -> None:
    assert Settings.from_env({"SOWING_HOST": host}, demo=True).host == host


@pytest.mark.parametrize("host", ["0.0.0.0", "::", "192.0.2.1", "advisor.example", ""])
def test_a_demonstration_listens_nowhere_else(host: str) -> None:
    assert problems({"SOWING_HOST": host}, demo=True)[0].startswith("SOWING_HOST")


@pytest.mark.parametrize(
    ("name", "wrong"),
    [
        ("SOWING_PORT", "0"),
        ("SOWING_PORT", "65536"),
        ("SOWING_PORT", "eighty"),
        ("SOWING_PORT", "८०"),
        ("SOWING_WORKERS", "0"),
        ("SOWING_MESSAGE_HOURS", "-1"),
        ("SOWING_MESSAGE_HOURS", "1.5"),
        ("SOWING_STORE", "localhost:6379"),
        ("SOWING_STORE", "http://127.0.0.1:6379"),
        ("SOWING_STORE", "redis://x:foo"),
        ("SOWING_STORE", "redis://127.0.0.1:99999/0"),
        ("SOWING_STORE", "redis://127.0.0.1:6379/growers"),
        ("SOWING_GATEWAY", "gateway.example/sms"),
        ("SOWING_GATEWAY", "http://[::1"),
        ("SOWING_GATEWAY", "http://gateway.example:99999/"),
        ("SOWING_OPEN", "true"),
        ("SOWING_OPEN", ""),
        ("SOWING_INBOUND_KEYS", "hush"),
        ("SOWING_SPEAKERS", "192.0.2.1/24"),
        ("SOWING_WATCHERS", "localhost"),
        ("SOWING_PROXIES", "::/129"),
        ("SOWING_ADDRESS_RATE", "0"),
        ("SOWING_GROWER_RATE", "1.5"),
        ("SOWING_STOER", "redis://127.0.0.1"),
        ("SOWING_PORT_FILE", "/dev/null"),
    ],
)
def test_what_cannot_be_used_is_named(name: str, wrong: str) -> None:
    lines = problems(LEAST | {"SOWING_SENDER": "1212", name: wrong})

    assert [line.split()[0] for line in lines] == [name]
    assert ": " in lines[0]


def test_all_problems_come_at_once() -> None:
    lines = problems({"SOWING_PORT": "x", "SOWING_WORKERS": "y", "SOWING_NONSENSE": "z"})

    assert len(lines) == 4


def test_a_gateway_needs_a_sender() -> None:
    assert problems(LEAST | {"SOWING_GATEWAY": "https://gateway.example/sms"})[0].startswith("SOWING_SENDER")


def test_a_secret_can_lie_in_a_file(tmp_path: Path) -> None:
    file = tmp_path / "secret"
    file.write_text(SECRET + "\n", encoding="utf-8")

    assert Settings.from_env({"SOWING_ID_SECRET_FILE": str(file)}).id_secret == SECRET


def test_a_file_that_cannot_be_read_is_named(tmp_path: Path) -> None:
    lines = problems({"SOWING_ID_SECRET_FILE": str(tmp_path / "missing")})

    assert lines[0].startswith("SOWING_ID_SECRET_FILE")


def test_a_password_in_a_bad_address_is_not_shown() -> None:
    lines = problems(LEAST | {"SOWING_STORE": "redis://:hush@127.0.0.1:foo/0"})

    assert "hush" not in lines[0]


def test_the_variable_goes_before_its_file(tmp_path: Path) -> None:
    given = LEAST | {"SOWING_ID_SECRET_FILE": str(tmp_path / "missing")}

    assert Settings.from_env(given).id_secret == SECRET


def test_the_command_line_goes_before_the_environment() -> None:
    assert Settings.from_env(LEAST | {"SOWING_PORT": "8001"}, given={"port": "8002"}).port == 8002


class TestKeys:
    def test_are_read_from_the_variable_or_from_a_file_one_or_more(self, tmp_path: Path) -> None:
        file = tmp_path / "keys"
        file.write_text(f"{KEY}\n{OTHER_KEY}\n", encoding="utf-8")

        from_file = Settings.from_env(LEAST | {"SOWING_INBOUND_KEYS_FILE": str(file)})
        from_variable = Settings.from_env(LEAST | {"SOWING_INBOUND_KEYS": f"{KEY} {OTHER_KEY}"})

        assert from_file == from_variable
        assert len(from_file.inbound_keys.secrets) == 2

    @pytest.mark.parametrize("name", ["SOWING_INBOUND_KEYS", "SOWING_OUTBOUND_KEYS"])
    def test_that_are_none_are_named_and_not_repeated(self, name: str) -> None:
        (line,) = problems(LEAST | {name: f"{KEY} whsec_aHVzaA=="})

        assert line.startswith(f"{name} cannot be used: key 2 has 4 bytes")
        assert "aHVz" not in line
        assert KEY not in line

    def test_are_not_shown(self) -> None:
        shown = repr(Settings.from_env(LEAST | {"SOWING_INBOUND_KEYS": KEY, "SOWING_OUTBOUND_KEYS": OTHER_KEY}))

        assert "eys" not in shown
        for key in (KEY, OTHER_KEY):
            assert key[6:14] not in shown
            assert repr(base64.b64decode(key[6:]))[2:12] not in shown

    def test_of_both_directions_are_different(self) -> None:
        (line,) = problems(LEAST | {"SOWING_INBOUND_KEYS": KEY, "SOWING_OUTBOUND_KEYS": f"{OTHER_KEY} {KEY}"})

        assert line.startswith("SOWING_OUTBOUND_KEYS has a key of SOWING_INBOUND_KEYS")

    def test_and_an_open_service_do_not_go_together(self) -> None:
        (line,) = problems(LEAST | {"SOWING_INBOUND_KEYS": KEY, "SOWING_OPEN": "yes"})

        assert line.startswith("SOWING_OPEN is yes, although there are keys")

    GATEWAY: ClassVar = {"SOWING_GATEWAY": "https://gateway.example/sms", "SOWING_SENDER": "4040"}

    @pytest.mark.parametrize(
        ("given", "serving", "missing"),
        [
            ({}, True, ["SOWING_INBOUND_KEYS"]),
            (GATEWAY, True, ["SOWING_INBOUND_KEYS", "SOWING_OUTBOUND_KEYS"]),
            (GATEWAY, False, ["SOWING_OUTBOUND_KEYS"]),
            (GATEWAY | {"SOWING_INBOUND_KEYS": KEY}, True, ["SOWING_OUTBOUND_KEYS"]),
            (GATEWAY | {"SOWING_INBOUND_KEYS": KEY, "SOWING_OUTBOUND_KEYS": OTHER_KEY}, True, []),
            (GATEWAY | {"SOWING_OPEN": "yes"}, True, []),
            ({}, False, []),
        ],
    )
    def test_are_missing_unless_the_service_is_said_to_be_open(
        self, given: dict[str, str], serving: bool, missing: list[str]
    ) -> None:
        lines = without_keys(Settings.from_env(LEAST | given), serving=serving)

        assert [line.split()[0] for line in lines[: len(missing)]] == missing
        assert bool(lines) == bool(missing)

    def test_of_an_installation_are_not_heeded_in_a_demonstration(self) -> None:
        settings = Settings.from_env({"SOWING_INBOUND_KEYS": KEY, "SOWING_SPEAKERS": "192.0.2.0/24"}, demo=True)

        assert (bool(settings.inbound_keys), bool(settings.speakers)) == (False, False)
        assert settings.ignored == ("SOWING_INBOUND_KEYS", "SOWING_SPEAKERS")
        assert without_keys(settings, serving=True) == ()


def test_secrets_are_not_shown() -> None:
    shown = repr(Settings.from_env(LEAST | {"SOWING_STORE": "redis://:password@127.0.0.1/0"}))

    assert SECRET not in shown
    assert "password" not in shown


def test_the_table_holds_every_setting_once_and_its_default_is_the_true_one() -> None:
    names = [setting.name for setting in SETTINGS]
    defaults = {setting.name: setting.default for setting in SETTINGS if setting.name not in LEAST}

    assert len(names) == len(set(names))
    assert Settings.from_env(LEAST | defaults) == Settings.from_env(LEAST)
    assert {name.removeprefix("SOWING_").lower() for name in names} == {
        {"message_memory": "message_hours", "gateway_memory": "gateway_hours"}.get(field.name, field.name)
        for field in fields(Settings)
        if field.name not in ("demo", "figures_folder", "ignored")
    }


def test_every_setting_says_what_it_means_in_one_sentence() -> None:
    for setting in SETTINGS:
        assert setting.meaning.endswith("."), setting.name
        assert "\n" not in setting.meaning
