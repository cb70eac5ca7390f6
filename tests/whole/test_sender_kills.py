"""Promise 1 for what goes out: a sender killed at any step loses nothing, and repeats a message by its id only."""

from __future__ import annotations

import json
import signal
import subprocess
import sys
import threading
import time
from collections import defaultdict
from collections.abc import Iterator
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer

import msgspec
import pytest

from advisor.service.outgoing import Parcel
from advisor.store.api import Change, Out
from advisor.store.keys import grower_id, outgoing_id
from advisor.store.names import bucket_of
from advisor.store.redis_store import RedisStore
from tests.servers import redis_server

STEPS = tuple(f"{when}-{what}" for what in ("grant", "claim", "post", "settle") for when in ("before", "after"))
PHONES = tuple(f"+99900{number:07}" for number in range(60))
PAGES = 3


class Counting:
    """A gateway that takes everything and notes all of it, in order."""

    def __init__(self) -> None:
        self.taken: list[dict[str, str]] = []
        counting = self

        class Handler(BaseHTTPRequestHandler):
            protocol_version = "HTTP/1.1"

            def do_POST(self) -> None:
                body = json.loads(self.rfile.read(int(self.headers["content-length"])))
                counting.taken.append(body)
                self.send_response(200)
                self.send_header("content-length", "0")
                self.end_headers()

            def log_message(self, *_: object) -> None:
                pass

        self.server = ThreadingHTTPServer(("127.0.0.1", 0), Handler)
        self.server.daemon_threads = True
        threading.Thread(target=self.server.serve_forever, args=(0.05,), daemon=True).start()

    @property
    def address(self) -> str:
        return f"http://127.0.0.1:{self.server.server_port}/sms"


@pytest.fixture
def gateway() -> Iterator[Counting]:
    counting = Counting()
    yield counting
    counting.server.shutdown()
    counting.server.server_close()


def queue(store: RedisStore) -> dict[str, str]:
    """An answer of three pages and a reminder for each phone; their ids and texts."""
    texts: dict[str, str] = {}
    now_ms = int(time.time() * 1000) - 1000
    for number in PHONES:
        grower = grower_id(b"tests", number)
        oids = [outgoing_id(grower, "answer", str(page)) for page in range(PAGES)]
        told = [(oid, 0, f"{page + 1} of {PAGES}", "") for page, oid in enumerate(oids)]
        told.append((outgoing_id(grower, "weeding", "1"), 2, "Weed now", "weeding"))
        outs = tuple(
            Out(
                oid,
                lane,
                now_ms + place,
                now_ms + 10**8,
                msgspec.json.encode(Parcel(number, text)),
                grower,
                round_,
                after=oids[place - 1] if 0 < place < PAGES else "",
            )
            for place, (oid, lane, text, round_) in enumerate(told)
        )
        store.commit(Change(grower, 0, b"{}", now_ms, outs=outs))
        texts |= {oid: f"{number} {text}" for oid, _, text, _ in told}
    return texts


def run(store: str, gateway: str, step: str, times: int, ahead: int = 0) -> int:
    command = [sys.executable, "-m", "tests.whole.dying_sender", store, gateway, step, str(times), str(ahead)]
    return subprocess.run(command, check=False, timeout=120).returncode


def test_a_sender_killed_at_each_step_loses_nothing_and_repeats_only_the_same_id(gateway: Counting) -> None:
    with redis_server() as redis:
        store = RedisStore(redis.address, timeout_s=9)
        store.open()
        texts = queue(store)
        for times, step in enumerate(STEPS, start=2):
            assert run(redis.address, gateway.address, step, times) == -signal.SIGKILL, step

        # what one of the dead held is free after its lease; then it is held by those who come late, and let go
        for minutes in (1, 2, 3):
            assert run(redis.address, gateway.address, "never", 1, minutes) == 0

        far_ms = int(time.time() * 1000) + 10 * 60_000
        assert store.busy(far_ms).outbox == ()
        assert {store.state(oid) for oid in texts} == {"sent"}
        store.close()
    assert_each_arrived(gateway, texts)
    repeats = len(gateway.taken) - len(texts)
    assert repeats > 0, "no kill ever met a message, so nothing was shown"
    print(f"\n  {len(texts)} messages, {len(STEPS)} kills, {repeats} repeated under their ids")


def test_senders_side_by_side_hand_over_each_message_once(gateway: Counting) -> None:
    with redis_server() as redis:
        store = RedisStore(redis.address, timeout_s=9)
        store.open()
        texts = queue(store)
        command = [sys.executable, "-m", "tests.whole.dying_sender", redis.address, gateway.address, "never"]
        senders = [subprocess.Popen([*command, str(turn), "0"]) for turn in (1, 3)]
        assert [one.wait(120) for one in senders] == [0, 0]

        until = time.monotonic() + 60
        while {store.state(oid) for oid in texts} != {"sent"} and time.monotonic() < until:
            run(redis.address, gateway.address, "never", 1)
        assert {store.state(oid) for oid in texts} == {"sent"}
        store.close()
    assert_each_arrived(gateway, texts)
    assert len(gateway.taken) == len(texts), "nobody else sends what one has claimed"


def assert_each_arrived(gateway: Counting, texts: dict[str, str]) -> None:
    """Each message under its own id, with one text; pages of an answer first come in their order."""
    said: dict[str, set[str]] = defaultdict(set)
    first: dict[str, int] = {}
    for place, body in enumerate(gateway.taken):
        said[body["id"]].add(f"{body['to']} {body['text']}")
        first.setdefault(body["id"], place)
    assert said == {oid: {text} for oid, text in texts.items()}
    for number in PHONES:
        grower = grower_id(b"tests", number)
        pages = [first[outgoing_id(grower, "answer", str(page))] for page in range(PAGES)]
        assert pages == sorted(pages)
        assert bucket_of(grower) == int(outgoing_id(grower, "answer", "0")[1:3], 16)
