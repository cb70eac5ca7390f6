"""``advisor agents``: who works by phone, a PIN set and unlocked, each mistake in one line; on a real Redis."""

from __future__ import annotations

import io
from datetime import UTC, datetime, timedelta
from functools import partial

import pytest
from msgspec.structs import replace

from advisor.commands.exits import Exit
from advisor.records.grower import PIN_TRIES, Grower, Pin
from advisor.service.caring import is_pin
from advisor.service.clock import unix_ms
from advisor.service.identity import Ids
from advisor.service.stored import Stored, from_bytes, to_bytes
from advisor.store.api import Change
from advisor.store.redis_store import RedisStore
from tests.service.importing import BOOK
from tests.test_cli import run as run_any
from tests.test_cli_questions import SECRET, store  # noqa: F401 - a fixture

IDS = Ids(SECRET.encode())
run = partial(run_any, "agents")
AGENT, NUMBER, PIN = "a1", "+99900700001", "507182"


@pytest.fixture(autouse=True)
def book(monkeypatch: pytest.MonkeyPatch) -> None:
    """The shipped dialogues, built once for all tests and not with each command."""
    monkeypatch.setattr("advisor.commands.agents.book_of", lambda settings: BOOK)


@pytest.fixture
def agreed(store: RedisStore) -> RedisStore:  # noqa: F811
    """The valley's agent has called once and agreed."""
    now = datetime.now(UTC)
    value = to_bytes(Stored(Grower(NUMBER, agreed=now)))
    store.commit(Change(IDS.number(NUMBER), 0, value, unix_ms(now)))
    return store


def types(monkeypatch: pytest.MonkeyPatch, text: str) -> None:
    monkeypatch.setattr("sys.stdin", io.StringIO(text))


def kept(store: RedisStore) -> Pin | None:  # noqa: F811
    return from_bytes(store.value(IDS.number(NUMBER))[1]).record.pin


def locked(store: RedisStore) -> None:  # noqa: F811
    """Five wrong tries, as a phone would make them."""
    version, value = store.value(IDS.number(NUMBER))
    stored, now = from_bytes(value), datetime.now(UTC)
    pin = stored.record.pin
    assert pin is not None
    for _ in range(PIN_TRIES):
        pin = pin.tried(right=False, now=now)
    after = to_bytes(replace(stored, record=replace(stored.record, pin=pin)))
    store.commit(Change(IDS.number(NUMBER), version, after, unix_ms(now), heard=False))


class TestTheList:
    def test_names_each_agent_with_villages_and_the_state_of_the_pin(
        self, agreed: RedisStore, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
    ) -> None:
        assert run() == Exit.DONE
        first, *others = capsys.readouterr().out.splitlines()
        assert first == f"a1  Valley agent  {NUMBER}  no PIN  Dovi, Kesu, Lawi"
        assert [line.split()[0] for line in others] == ["a2", "a3", "a4"]

        types(monkeypatch, PIN)
        run("pin", AGENT)
        capsys.readouterr()
        run()
        assert "  PIN set  " in capsys.readouterr().out.splitlines()[0]

        locked(agreed)
        run()
        assert "  locked  " in capsys.readouterr().out.splitlines()[0]


class TestAPin:
    def test_is_read_from_standard_input_and_kept_as_a_mark_alone(
        self, agreed: RedisStore, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
    ) -> None:
        types(monkeypatch, f"{PIN}\n")

        assert run("pin", AGENT) == Exit.DONE

        told = capsys.readouterr()
        assert told.out == "the PIN of a1 is set\n"
        assert PIN not in told.out + told.err
        pin = kept(agreed)
        assert pin is not None
        assert is_pin(PIN, pin.mark, AGENT, SECRET.encode())
        assert PIN.encode() not in (agreed.value(IDS.number(NUMBER))[1] or b"")

    def test_that_is_new_takes_the_place_of_the_old_one_and_unlocks(
        self, agreed: RedisStore, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        types(monkeypatch, PIN)
        run("pin", AGENT)
        locked(agreed)

        types(monkeypatch, "60718293")
        assert run("pin", AGENT) == Exit.DONE

        pin = kept(agreed)
        assert pin is not None
        assert (pin.tries, pin.locked) == (0, None)
        assert not is_pin(PIN, pin.mark, AGENT, SECRET.encode())

    @pytest.mark.parametrize(
        ("typed", "why"),
        [
            *((typed, "give 6 to 8 digits") for typed in ("12345", "", "123456789", "५०७१८२")),
            *((typed, "too easy") for typed in ("123456", "777777")),
        ],
    )
    def test_that_is_none_or_easy_is_refused_in_one_line(
        self,
        agreed: RedisStore,
        typed: str,
        why: str,
        monkeypatch: pytest.MonkeyPatch,
        capsys: pytest.CaptureFixture[str],
    ) -> None:
        types(monkeypatch, typed)

        assert run("pin", AGENT) == Exit.WRONG_USAGE

        told = capsys.readouterr().err
        assert why in told
        assert told.count("\n") == 1
        assert kept(agreed) is None

    def test_has_no_place_before_the_agent_has_agreed(
        self,
        store: RedisStore,  # noqa: F811
        monkeypatch: pytest.MonkeyPatch,
        capsys: pytest.CaptureFixture[str],
    ) -> None:
        types(monkeypatch, PIN)

        assert run("pin", AGENT) == Exit.WRONG_USAGE

        assert "let the agent call once and agree" in capsys.readouterr().err
        assert list(store.growers()) == []

    @pytest.mark.parametrize("command", ["pin", "unlock"])
    def test_of_nobody_names_the_agents_there_are(
        self, agreed: RedisStore, command: str, capsys: pytest.CaptureFixture[str]
    ) -> None:
        assert run(command, "a9") == Exit.WRONG_USAGE
        assert "KEY is 'a9': use one of a1, a2, a3, a4" in capsys.readouterr().err


class TestUnlocking:
    def test_gives_five_new_tries_with_the_same_pin(
        self, agreed: RedisStore, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
    ) -> None:
        types(monkeypatch, PIN)
        run("pin", AGENT)
        locked(agreed)
        before = kept(agreed)
        assert before is not None
        assert before.is_locked(datetime.now(UTC) + timedelta(hours=23))
        capsys.readouterr()

        assert run("unlock", AGENT) == Exit.DONE

        assert capsys.readouterr().out == "a1 can try again\n"
        assert kept(agreed) == Pin(before.mark)

    def test_of_an_agent_without_a_pin_says_what_to_do(
        self, agreed: RedisStore, capsys: pytest.CaptureFixture[str]
    ) -> None:
        assert run("unlock", AGENT) == Exit.WRONG_USAGE
        assert "set one with `advisor agents pin`" in capsys.readouterr().err


@pytest.mark.parametrize("arguments", [(), ("pin", AGENT), ("unlock", AGENT)])
def test_a_store_that_is_away_is_one_line(
    arguments: tuple[str, ...],
    store: RedisStore,  # noqa: F811
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    types(monkeypatch, PIN)
    monkeypatch.setenv("SOWING_STORE", "redis://127.0.0.1:1/0")

    assert run(*arguments) == Exit.WRONG_USAGE

    told = capsys.readouterr().err
    assert told.count("\n") == 1
    assert "Traceback" not in told
