"""The demonstration inside a phone's own process: there at once, silent, gone with its block."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from datetime import UTC, datetime

import click
import httpx
import pytest

from advisor.commands.exits import WrongUsage
from advisor.commands.inprocess import running_in_process
from tests.gateway.bodies import sms, ussd

NOWHERE = "http://127.0.0.1:9/sms"


def now() -> str:
    return datetime.now(UTC).isoformat()


@pytest.fixture
def address() -> Iterator[str]:
    with running_in_process(NOWHERE) as found:
        yield found


def test_it_answers_a_first_call_with_the_shipped_dialogues(address: str) -> None:
    answer = httpx.post(f"{address}/gateway/ussd", json=ussd(event="begin", input="", at=now())).json()

    assert "1 English" in answer["text"]


def test_it_is_a_demonstration_on_this_machine_only(address: str) -> None:
    assert address.startswith("http://127.0.0.1:")
    assert httpx.get(f"{address}/health").json()["demo"] is True


def test_what_it_sends_by_sms_reaches_the_gateway_it_was_given() -> None:
    from simulator.gateway import Gateway

    with Gateway(0) as gateway, running_in_process(gateway.address) as address:
        body = sms(at=now())
        httpx.post(f"{address}/gateway/sms", json=body)

        assert len(gateway.wait(body["from"], 1, 10)) == 1


def test_it_ends_with_its_block_and_leaves_no_thread_that_works() -> None:
    with running_in_process(NOWHERE) as address:
        pass

    with pytest.raises(httpx.ConnectError):
        httpx.get(f"{address}/health")
    assert "service" not in [thread.name for thread in threading.enumerate()]


def test_two_of_them_share_nothing_and_take_ports_of_their_own(address: str) -> None:
    with running_in_process(NOWHERE) as other:
        httpx.post(f"{other}/gateway/ussd", json=ussd(event="begin", input="", at=now()))
        body = ussd()

        seen = httpx.get(f"{address}/demo/session", params={"from": body["from"]}).json()

    assert other != address
    assert seen["session"] is None


def test_it_writes_nothing_on_the_screen(capfd: pytest.CaptureFixture[str]) -> None:
    with running_in_process(NOWHERE) as address:
        httpx.post(f"{address}/gateway/ussd", json=ussd(event="begin", input="", at=now()))
        httpx.post(f"{address}/gateway/ussd", content=b"{")

    assert capfd.readouterr() == ("", "")


def test_of_the_environment_it_heeds_only_what_an_author_sets(monkeypatch: pytest.MonkeyPatch) -> None:
    for name, value in {
        "SOWING_HOST": "0.0.0.0",
        "SOWING_PORT": "x",
        "SOWING_STORE": "redis://127.0.0.1:1",
    }.items():
        monkeypatch.setenv(name, value)

    with running_in_process(NOWHERE) as address:
        assert httpx.get(f"{address}/health").status_code == 200


def test_a_mistake_is_told_in_one_line_before_anything_runs(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("SOWING_PROGRAMME", "missing.toml")

    with pytest.raises(WrongUsage) as refused, running_in_process(NOWHERE):
        pass
    assert isinstance(refused.value, click.ClickException)
    assert "\n" not in refused.value.message
