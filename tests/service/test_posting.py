"""What the gateway's answer is taken for, however odd its headers are."""

from __future__ import annotations

import socket
import threading
from collections.abc import Callable, Iterator
from datetime import datetime
from functools import partial
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from typing import Any

import msgspec
import pytest

from advisor.dialogue.talk import Stop
from advisor.records.grower import Grower
from advisor.service.clock import SystemClock, unix_ms
from advisor.service.damage import Damage
from advisor.service.outgoing import Parcel
from advisor.service.posting import Response, asked_s, http_post
from advisor.service.sending import Sender
from advisor.service.signing import Keys
from advisor.service.stored import Stored, to_bytes
from advisor.store.api import ROUNDS, Change, Out, StoreUnavailable, Terms
from advisor.store.memory import DictStore
from advisor.store.names import bucket_of
from tests.service.stage import ANN, NOW, StandingClock, grower_id, inbound, says, sms

BUCKET = bucket_of(grower_id())
OID = f"b{BUCKET:02x}-1"

DATE = "Fri, 31 Dec 1999 23:59:49 GMT"


class TestARetryAfter:
    @pytest.mark.parametrize(
        "odd",
        [
            "1 Jan 2020 0:0:0 +9999999999999",
            "31 Feb 2020 0:0:0 GMT",
            "30, 30",
            "-1",
            "1e3",
            "²",
            "",
        ],
    )
    def test_that_is_nonsense_asks_for_nothing(self, odd: str) -> None:
        assert asked_s({"retry-after": odd, "date": DATE}) == 0
        assert asked_s({"retry-after": DATE, "date": odd}) == 0

    def test_in_the_past_asks_for_nothing(self) -> None:
        assert asked_s({"retry-after": "Fri, 31 Dec 1999 23:59:39 GMT", "date": DATE}) == 0


class Listening(BaseHTTPRequestHandler):
    """A gateway that takes everything and counts it."""

    protocol_version = "HTTP/1.1"

    def setup(self) -> None:
        self.server.lines += 1
        super().setup()

    def do_POST(self) -> None:
        self.server.taken.append(self.rfile.read(int(self.headers["Content-Length"])))
        self.send_response(200)
        self.send_header("Content-Length", str(len(self.server.answer)))
        self.end_headers()
        self.wfile.write(self.server.answer)

    def log_message(self, *_: object) -> None: ...


@pytest.fixture
def gateway() -> Iterator[ThreadingHTTPServer]:
    with ThreadingHTTPServer(("127.0.0.1", 0), Listening) as server:
        server.taken, server.lines, server.answer, server.daemon_threads = [], 0, b"", True
        serving = threading.Thread(target=server.serve_forever, args=(0.02,), daemon=True)
        serving.start()
        yield server
        server.shutdown()
        serving.join()


@pytest.mark.parametrize("answer", [b"", b'{"ok":true}', b"x" * 10_000])
def test_one_line_serves_for_many_messages(gateway: ThreadingHTTPServer, answer: bytes) -> None:
    """A new one for each would cost a gateway far away, behind TLS, two to four ways there and back a message."""
    gateway.answer = answer
    post = http_post(f"http://127.0.0.1:{gateway.server_port}/sms", Keys(), SystemClock())

    for _ in range(10):
        assert post(OID, b"{}", lambda: True) == Response(200)

    assert (len(gateway.taken), gateway.lines) == (10, 1)


class TestALineThatTakesLongToComeAbout:
    """A first packet that is lost is sent again after a second (RFC 6298, 2.1); meanwhile somebody says stop."""

    @pytest.fixture
    def store(self) -> DictStore:
        store, now_ms = DictStore(), unix_ms(NOW)
        body = msgspec.json.encode(Parcel(ANN, "Weed now"))
        waits = Out(OID, ROUNDS, now_ms, now_ms + 10**8, body, grower_id(), "weeding")
        store.commit(Change(grower_id(), 0, to_bytes(Stored(Grower(ANN, agreed=NOW))), now_ms, outs=(waits,)))
        return store

    def handed_over(
        self,
        store: DictStore,
        gateway: ThreadingHTTPServer,
        monkeypatch: pytest.MonkeyPatch,
        meanwhile: Callable[[], object],
        terms: Callable[[datetime], Terms] = lambda _now: Terms(),
    ) -> int:
        """How many requests the gateway got, where something happens while the line comes about."""
        clock, connect = StandingClock(), socket.create_connection

        def slowly(*arguments: Any, **options: Any) -> socket.socket:
            clock.wait(1.1)
            meanwhile()
            return connect(*arguments, **options)

        post = http_post(f"http://127.0.0.1:{gateway.server_port}/sms", Keys(), clock)
        monkeypatch.setattr(socket, "create_connection", slowly)
        sender = Sender(store, clock, "http://127.0.0.1:9/", "1212", post, Damage(clock), terms=terms)
        sender.send_due(BUCKET)
        return len(gateway.taken)

    def test_lets_what_may_still_leave_leave(
        self, store: DictStore, gateway: ThreadingHTTPServer, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        assert self.handed_over(store, gateway, monkeypatch, lambda: None) == 1
        assert store.state(OID) == "sent"

    def test_lets_nothing_leave_after_a_stop(
        self, store: DictStore, gateway: ThreadingHTTPServer, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        stop = partial(inbound(store, says("", Stop())).take, sms("stop"))

        assert self.handed_over(store, gateway, monkeypatch, stop) == 0
        assert store.state(OID) == "failed"

    def test_lets_nothing_leave_once_quiet_hours_have_begun(
        self, store: DictStore, gateway: ThreadingHTTPServer, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        evening_ms, morning_ms = unix_ms(NOW) + 1000, unix_ms(NOW) + 10**7
        terms = Terms(until_ms=evening_ms, again_ms=morning_ms)

        assert self.handed_over(store, gateway, monkeypatch, lambda: None, lambda _now: terms) == 0
        assert store.state(OID) == "queued"
        assert store.busy(morning_ms).outbox == (BUCKET,)
        (again,) = store.claim(BUCKET, morning_ms, 1, 1)
        assert (again.attempts, again.begun_ms) == (1, 0), "as if it had not been claimed"

    def test_lets_nothing_leave_where_the_store_cannot_be_asked(
        self, store: DictStore, gateway: ThreadingHTTPServer, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        def away(_oid: str) -> str:
            raise StoreUnavailable("away")

        meanwhile = partial(monkeypatch.setattr, store, "state", away)

        assert self.handed_over(store, gateway, monkeypatch, meanwhile) == 0
