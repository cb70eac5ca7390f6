"""``letters`` on the command line: what somebody must look at, with numbers and texts only when asked for."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import msgspec
import pytest
from msgspec.structs import replace

from advisor.commands.exits import Exit
from advisor.service.clock import SystemClock, unix_ms
from advisor.service.outgoing import Parcel
from advisor.store import keys
from advisor.store.api import Claimed, Out, RoundRow, RoundState, Settlement, Terms
from advisor.store.encoding import OutRecord
from advisor.store.keys import secret_mark
from advisor.store.names import bucket_of
from advisor.store.redis_store import RedisStore
from tests.servers import redis_server
from tests.store.samples import ANN, BEN, HOUR_MS, NOON_MS, change, forgetting, message, out
from tests.test_cli import SECRET, run

NUMBER = "+99900100001"
BUCKET = bucket_of(BEN)


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


class TestAgain:
    """Those that were given up leave once more, under their own ids."""

    def given_up(self, store: RedisStore, **more: Any) -> Out:
        """A message of a round that was tried eight times just now."""
        now_ms = unix_ms(SystemClock().now())
        told = {"lane": 2, "round": "weeding", "expires_ms": now_ms + HOUR_MS, "not_before_ms": now_ms, "to": BEN}
        one = out(BEN, "again", body=msgspec.json.encode(Parcel(NUMBER, "Weed now")), **told | more)
        store.commit(change(BEN, store.value(BEN)[0], at_ms=now_ms, outs=(one,)))
        store.claim(BUCKET, now_ms, 1, 1)
        dead = Settlement(one.oid, one.lane, "dead", attempts=8, grower=BEN, round=one.round)
        store.settle(BUCKET, [dead], now_ms)
        return one

    def change(self, store: RedisStore, one: Out, **more: int) -> None:
        """As it would be after a while."""
        record = OutRecord.read(store.link.one("GET", keys.of_out(one.oid)))
        store.link.one("SET", keys.of_out(one.oid), replace(record, **more).text, "KEEPTTL")

    def claimed(self, store: RedisStore, terms: Terms = Terms()) -> list[Claimed]:  # noqa: B008 - a frozen value
        return list(store.claim(BUCKET, unix_ms(SystemClock().now()) + 1, 1, 9, terms))

    def test_it_waits_under_its_id_with_all_its_tries(
        self, store: RedisStore, capsys: pytest.CaptureFixture[str]
    ) -> None:
        one = self.given_up(store)

        assert run("letters", "again", one.oid) == Exit.DONE

        assert capsys.readouterr().out == f"{one.oid}: leaves again\n"
        assert [aside.oid for aside in store.aside(BUCKET) if aside.state == "dead"] == []
        (again,) = self.claimed(store)
        assert (again.oid, again.attempts, again.body, again.round) == (one.oid, 1, one.body, "weeding")

    def test_twice_is_once(self, store: RedisStore, capsys: pytest.CaptureFixture[str]) -> None:
        one = self.given_up(store)

        assert run("letters", "again", one.oid, one.oid) == Exit.PROBLEMS

        assert "was not given up" in capsys.readouterr().out
        assert len(self.claimed(store)) == 1

    @pytest.mark.parametrize("lane", [0, 2])
    def test_it_waits_for_the_morning_whatever_it_was(self, store: RedisStore, lane: int) -> None:
        one = self.given_up(store, lane=lane, round="")
        assert run("letters", "again", one.oid) == Exit.DONE

        night = Terms(until_ms=1, again_ms=unix_ms(SystemClock().now()) + HOUR_MS)

        assert self.claimed(store, night) == []
        assert store.state(one.oid) == "queued"

    @pytest.mark.parametrize("is_before", [True, False])
    def test_nothing_is_sent_after_a_stop(
        self, store: RedisStore, capsys: pytest.CaptureFixture[str], is_before: bool
    ) -> None:
        one = self.given_up(store)
        stop = change(BEN, store.value(BEN)[0], stop=(BEN, True))
        if is_before:
            store.commit(stop)
            assert run("letters", "again", one.oid) == Exit.PROBLEMS
            assert "wants no messages" in capsys.readouterr().out
        else:
            assert run("letters", "again", one.oid) == Exit.DONE
            store.commit(stop)

        assert self.claimed(store) == []

    def test_nothing_is_sent_of_a_stopped_round(self, store: RedisStore) -> None:
        one = self.given_up(store)
        store.start_round(RoundRow("weeding", RoundState.RUNNING, NOON_MS, b""))
        store.set_round("weeding", RoundState.STOPPED)

        assert run("letters", "again", one.oid) == Exit.PROBLEMS
        assert self.claimed(store) == []

    def test_an_erase_takes_it_along(self, store: RedisStore) -> None:
        one = self.given_up(store)
        assert run("letters", "again", one.oid) == Exit.DONE

        store.commit(forgetting(BEN, store.value(BEN)[0]))

        assert (store.state(one.oid), self.claimed(store)) == (None, [])
        assert run("letters", "again", one.oid) == Exit.PROBLEMS

    def test_nothing_is_sent_whose_time_is_over(
        self, store: RedisStore, capsys: pytest.CaptureFixture[str]
    ) -> None:
        one = self.given_up(store)
        self.change(store, one, expires_ms=unix_ms(SystemClock().now()) - 1)

        assert run("letters", "again", one.oid) == Exit.PROBLEMS

        assert "its time is over" in capsys.readouterr().out

    @pytest.mark.parametrize(("hours", "leaves"), [(0, True), (23, True), (24, False), (90, False)])
    def test_nothing_is_sent_that_the_gateway_may_have_and_not_know(
        self, store: RedisStore, capsys: pytest.CaptureFixture[str], hours: int, leaves: bool
    ) -> None:
        """It keeps ids for 24 h unless told otherwise; what it cannot have had may leave at any time."""
        one = self.given_up(store)
        self.change(store, one, begun_ms=unix_ms(SystemClock().now()) - hours * HOUR_MS)

        assert run("letters", "again", one.oid) == (Exit.DONE if leaves else Exit.PROBLEMS)

        assert ("may have arrived" in capsys.readouterr().out) is not leaves

    @pytest.mark.parametrize("wrong", ["b07", "x", "b07-nobody", "b07-../..", "+99900100001"])
    def test_what_is_no_id_is_told(self, store: RedisStore, wrong: str) -> None:
        assert run("letters", "again", wrong) == Exit.PROBLEMS
