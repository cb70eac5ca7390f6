"""``advisor questions``: what waits, an answer, and each mistake in one line."""

from __future__ import annotations

import json
import os
from datetime import UTC, datetime

import pytest

from advisor.cli import main
from advisor.commands.exits import Exit
from advisor.records.grower import Grower
from advisor.service.changing import asked_since_ms
from advisor.service.clock import unix_ms
from advisor.service.identity import Ids
from advisor.service.stored import Stored, to_bytes
from advisor.store.api import Change
from advisor.store.keys import secret_mark
from advisor.store.names import bucket_of
from advisor.store.plans import Keeps
from advisor.store.redis_store import RedisStore
from tests.servers import RedisServer

SECRET = "drawn for the tests, thirty-two and more"
NUMBER = "+999001000001"
ASKED = datetime(2027, 3, 1, 7, 30, tzinfo=UTC)
PALE = "Why are my leaves pale?"


@pytest.fixture
def store(monkeypatch: pytest.MonkeyPatch, shared_redis: RedisServer) -> RedisStore:
    for name in [name for name in os.environ if name.startswith("SOWING_")]:
        monkeypatch.delenv(name)
    with shared_redis.client() as client:
        client.flushall()
    monkeypatch.setenv("SOWING_STORE", shared_redis.address)
    monkeypatch.setenv("SOWING_ID_SECRET", SECRET)
    store = RedisStore(shared_redis.address, Keeps(), secret_mark(SECRET.encode()))
    store.open()
    return store


@pytest.fixture
def question(store: RedisStore) -> str:
    grower = Ids(SECRET.encode()).number(NUMBER)
    record = Grower(NUMBER, ASKED).knows("grower.village", "v1", ASKED).asks(PALE, ASKED)
    asked_ms = asked_since_ms(Grower(), record)
    store.commit(Change(grower, 0, to_bytes(Stored(record)), unix_ms(ASKED), asked_ms=asked_ms))
    return f"{grower}-{int(ASKED.timestamp())}"


def run(*arguments: str) -> int:
    with pytest.raises(SystemExit) as ended:
        main(("questions", *arguments))
    assert isinstance(ended.value.code, int)
    return ended.value.code


def test_what_waits_is_listed_by_village(question: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert run() == Exit.DONE

    told = capsys.readouterr()
    assert told.out.splitlines() == ["Dovi", f"  {question}  2027-03-01 10:30  {NUMBER}", f"    {PALE}"]
    assert "warning: " in told.err


def test_nothing_that_waits_is_said(store: RedisStore, capsys: pytest.CaptureFixture[str]) -> None:
    assert run() == Exit.DONE
    assert capsys.readouterr().out == "no question waits\n"


def test_of_another_village_none_is_shown(question: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert run("--village", "kesu", "--json") == Exit.DONE
    assert json.loads(capsys.readouterr().out) == []
    assert run("--village", "DOVI", "--json") == Exit.DONE
    (one,) = json.loads(capsys.readouterr().out)
    assert (one["id"], one["text"], one["village"]) == (question, PALE, "Dovi")


def test_a_village_that_is_none_is_told_the_names(question: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert run("--village", "Dove") == Exit.WRONG_USAGE
    assert "use one of Dovi, Kesu" in capsys.readouterr().err


def test_an_answer_waits_to_be_handed_over(question: str, store: RedisStore) -> None:
    assert run("answer", question, "Pull  them\tup.") == Exit.DONE

    (claimed,) = store.claim(bucket_of(question[:16]), unix_ms(datetime.now(UTC)), 30_000, 9)
    assert json.loads(claimed.body) == {"to": NUMBER, "text": "From your agent:\nPull them up."}
    assert store.asked() == ()


@pytest.mark.parametrize("text", ["", "   ", "long " * 100])
def test_an_answer_that_is_empty_or_too_long_is_refused(
    question: str, store: RedisStore, text: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run("answer", question, text) == Exit.WRONG_USAGE
    assert "give a text of 1 to 3" in capsys.readouterr().err
    assert len(store.asked()) == 1


def test_an_id_that_waits_no_more_is_told(question: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert run("close", question) == Exit.DONE
    assert run("close", question) == Exit.WRONG_USAGE
    assert "no question waits under this id" in capsys.readouterr().err
