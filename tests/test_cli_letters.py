"""``letters`` on the command line: what somebody must look at, with numbers and texts only when asked for."""

from __future__ import annotations

from collections.abc import Iterator

import msgspec
import pytest

from advisor.commands.exits import Exit
from advisor.service.outgoing import Parcel
from advisor.store.api import Settlement
from advisor.store.keys import secret_mark
from advisor.store.names import bucket_of
from advisor.store.redis_store import RedisStore
from tests.servers import redis_server
from tests.store.samples import ANN, BEN, NOON_MS, change, message, out
from tests.test_cli import SECRET, run

NUMBER = "+99900100001"


@pytest.fixture
def store(monkeypatch: pytest.MonkeyPatch) -> Iterator[RedisStore]:
    """A store that the command finds, with one message given up and one that may have arrived."""
    with redis_server() as server:
        for name, value in (SECRET | {"SOWING_STORE": server.address}).items():
            monkeypatch.setenv(name, value)
        mark = secret_mark(SECRET["SOWING_ID_SECRET"].encode())
        store = RedisStore(server.address, secret_mark=mark)
        store.open()
        for grower, state, round_ in ((ANN, "dead", "weeding"), (BEN, "unknown", "")):
            body = msgspec.json.encode(Parcel(NUMBER, f"{state}:\n2 bags"))
            one = out(grower, lane=2, round=round_, body=body)
            store.commit(change(grower, outs=(one,)))
            store.claim(bucket_of(grower), NOON_MS, 1, 1)
            store.settle(bucket_of(grower), [Settlement(one.oid, 2, state, grower=grower)], NOON_MS)
        store.park(ANN, message("m1"), NOON_MS)
        yield store
        store.close()


@pytest.mark.parametrize(
    ("state", "grower", "told"), [("dead", ANN, "round weeding"), ("unknown", BEN, "no round")]
)
def test_lists_outgoing_messages_without_number_and_text(
    store: RedisStore, capsys: pytest.CaptureFixture[str], state: str, grower: str, told: str
) -> None:
    assert run("letters", state) == Exit.DONE

    shown = capsys.readouterr()
    assert shown.out == f"2027-01-15T08:00:00Z  {out(grower).oid}  1 tries  {told}\n"
    assert "1 outgoing messages" in shown.err


def test_shows_number_and_text_when_asked_and_says_what_they_are(
    store: RedisStore, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run("letters", "dead", "--texts") == Exit.DONE

    shown = capsys.readouterr()
    assert shown.out.endswith(f"  {NUMBER}  dead: 2 bags\n")
    assert "personal" in shown.err


def test_lists_incoming_messages_and_clears_the_list(
    store: RedisStore, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run("letters", "parked") == Exit.DONE
    assert capsys.readouterr().out == f"2027-01-15T08:00:00Z  grower {ANN}  message {message('m1')}\n"
    assert run("letters", "parked", "--clear") == Exit.DONE
    assert store.parked(bucket_of(ANN)) == ()
    capsys.readouterr()

    assert run("letters", "parked") == Exit.DONE
    assert capsys.readouterr() == ("", "0 incoming messages\n")
