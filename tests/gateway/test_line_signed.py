"""A signed service as it runs, over real lines: what the server makes of a bad head is a problem document too."""

from __future__ import annotations

import json
import socket
import time
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import httpx
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from standardwebhooks import Webhook

from simulator.gateway import Gateway
from simulator.handset import Handset
from simulator.player import play
from simulator.reading import read
from simulator.signing import keys_in
from simulator.wire import ServiceRefused, Wire
from tests.gateway.bodies import ussd
from tests.gateway.signed import KEY, OTHER_KEY, headers
from tests.gateway.test_line import answer_on, call
from tests.servers import RedisServer, redis_server
from tests.whole.services import Service, service

OFTEN = {"SOWING_ADDRESS_RATE": "1000000", "SOWING_GROWER_RATE": "1000000"}
KEYS = {"SOWING_INBOUND_KEYS": KEY, "SOWING_OUTBOUND_KEYS": OTHER_KEY}
SCRIPTS = Path(__file__).parent.parent.parent / "simulator" / "conversations"
SLOWLY = settings(max_examples=40, deadline=None, suppress_health_check=list(HealthCheck))


@pytest.fixture(scope="module")
def network() -> Iterator[Gateway]:
    """The stand-in gateway with its half of the keys."""
    with Gateway(keys=keys_in(KEYS)) as running:
        yield running


@pytest.fixture(scope="module")
def serving(shared_redis: RedisServer, network: Gateway) -> Iterator[Service]:
    with shared_redis.client() as client:
        client.flushall()
    with service(shared_redis.address, workers=2, gateway=network.address, speaking=KEYS | OFTEN) as running:
        yield running


def on_a_line(serving: Service, request: bytes) -> tuple[int, dict[str, str], dict[str, Any]]:
    """Status, headers and problem document, empty for none, of what is answered to these bytes."""
    with socket.create_connection(("127.0.0.1", serving.port), timeout=30) as line:
        line.sendall(request)
        status, said, body = answer_on(line)
    return status, said, json.loads(body) if said.get("content-type") == "application/problem+json" else {}


def request(body: bytes, said: list[tuple[str, str]]) -> bytes:
    usual = [("Host", "test"), ("Content-Type", "application/json"), ("Content-Length", str(len(body)))]
    head = "".join(f"{name}: {value}\r\n" for name, value in (*usual, *said))
    return f"POST /gateway/ussd HTTP/1.1\r\n{head}\r\n".encode("latin-1") + body


def signed_call() -> tuple[bytes, list[tuple[str, str]]]:
    body = json.dumps(call()).encode()
    return body, list(headers(body, time.time()).items())


class TestASignedService:
    def test_takes_what_is_signed(self, serving: Service) -> None:
        body, said = signed_call()

        assert on_a_line(serving, request(body, said))[0] == 200

    @pytest.mark.parametrize(
        ("status", "change"),
        [
            (401, lambda body, said: (body, [])),
            (401, lambda body, said: (body + b" ", said)),
            (401, lambda body, said: (body, said[:2])),
            (401, lambda body, said: (body, [*said, said[0]])),
            (401, lambda body, said: (body, [*said, said[1]])),
            (401, lambda body, said: (body, [*said, said[2]])),
            (401, lambda body, said: (body, list(headers(body, time.time() - 310).items()))),
            (401, lambda body, said: (body, list(headers(body, time.time() + 310).items()))),
            (401, lambda body, said: (body, list(headers(body, time.time(), OTHER_KEY).items()))),
            (401, lambda body, said: (body, [(name.replace("-", "_"), value) for name, value in said])),
            (413, lambda body, said: (b" " * 300_000, said)),
            (415, lambda body, said: (body, [*said, ("Content-Encoding", "gzip")])),
            (400, lambda body, said: (b"\xff", list(headers(b"\xff", time.time()).items()))),
            (400, lambda body, said: (body, [*said, ("Content-Type", "text/plain")])),
            (400, lambda body, said: (body, [*said, ("Content-Length", "1")])),
            (400, lambda body, said: (body, [*said, ("bad name", "x")])),
            (400, lambda body, said: (body, [*said, ("nul", "a\0b")])),
            (400, lambda body, said: (body, [*said, ("Transfer-Encoding", "chunked")])),
            (417, lambda body, said: (body, [*said, ("Expect", "a miracle")])),
            (431, lambda body, said: (body, [*said, ("long", "x" * 9000)])),
            (431, lambda body, said: (body, [*said, *[("many", "x")] * 200])),
        ],
        ids=range(21),
    )
    def test_tells_why_it_does_not_take_the_rest(self, serving: Service, status: int, change: Any) -> None:
        body, said = signed_call()

        found, _, document = on_a_line(serving, request(*change(body, said)))

        assert (found, document["status"]) == (status, status)
        assert {"title", "detail", "reason", "field"} <= document.keys()

    @pytest.mark.parametrize(
        ("status", "head"),
        [
            (400, b"POST /gateway/ussd HTTP/9.9\r\n\r\n"),
            (400, b"NONSENSE\r\n\r\n"),
            (400, b"p /gateway/ussd HTTP/1.1\r\n\r\n"),
            (400, b"GET /health HTTP/1.1\r\nHost: a\r\nHost: b\r\n\r\n"),
            (400, b"GET /health HTTP/1.1\r\nHost: a\r\n folded\r\n\r\n"),
            (400, b"GET /health HTTP/1.1\r\nno colon\r\n\r\n"),
            (400, b"GET /\xff HTTP/1.1\r\n\r\n"),
            (400, b"POST /gateway/ussd HTTP/1.1\r\nContent-Length: +5\r\n\r\n"),
            (400, b"POST /gateway/ussd HTTP/1.1\r\nContent-Length: \xb2\r\n\r\n"),
            (400, b"POST /gateway/ussd HTTP/1.1\r\nTransfer-Encoding: gzip\r\n\r\n"),
            (501, b"POST /gateway/ussd HTTP/1.1\r\nTransfer-Encoding: magic\r\n\r\n"),
            (414, b"GET /" + b"x" * 9000 + b" HTTP/1.1\r\n\r\n"),
        ],
        ids=range(12),
    )
    def test_tells_what_of_a_head_it_cannot_read(self, serving: Service, status: int, head: bytes) -> None:
        """RFC 9112 wants 501 for a transfer coding that nobody knows; all else is the client's fault."""
        found, said, document = on_a_line(serving, head)

        assert (found, document["status"], said["connection"]) == (status, status, "close")

    @pytest.mark.parametrize(
        "said",
        [
            ("SCRIPT_NAME", "/gateway"),
            ("SCRIPT_NAME", "/elsewhere"),
            ("PATH_INFO", "/metrics"),
            ("X-Forwarded-Proto", "https"),
            ("X-Forwarded-Ssl", "off"),
            ("REMOTE_ADDR", "192.0.2.1"),
        ],
    )
    def test_lets_no_header_change_what_it_takes_a_request_for(
        self, serving: Service, said: tuple[str, str]
    ) -> None:
        body, signs = signed_call()

        assert on_a_line(serving, request(body, [*signs, said, ("X-Forwarded-Proto", "http")]))[0] == 200

    @SLOWLY
    @given(
        lines=st.lists(
            st.tuples(
                st.sampled_from(
                    ["webhook-id", "webhook-timestamp", "webhook-signature", "content-type", "expect", "x"]
                )
                | st.text(st.characters(codec="latin-1"), max_size=12),
                st.text(st.characters(codec="latin-1"), max_size=40),
            ),
            max_size=5,
        )
    )
    def test_answers_whatever_lines_come_and_never_with_500(
        self, serving: Service, lines: list[tuple[str, str]]
    ) -> None:
        body, said = signed_call()

        status, _, document = on_a_line(serving, request(body, [*said, *lines]))

        assert status == 200 or (400 <= status <= 499 and document["status"] == status)

    @SLOWLY
    @given(head=st.binary(max_size=200))
    def test_answers_or_lets_go_of_whatever_bytes_come(self, serving: Service, head: bytes) -> None:
        with socket.create_connection(("127.0.0.1", serving.port), timeout=30) as line:
            line.sendall(head + b"\r\n\r\n")
            line.shutdown(socket.SHUT_WR)
            heard = b"".join(iter(lambda: line.recv(65536), b""))

        assert heard == b"" or int(heard.split(b" ", 2)[1]) != 500

    def test_gives_a_repeat_its_first_answer_whichever_worker_takes_it(self, serving: Service) -> None:
        body, said = signed_call()

        answers = [
            httpx.post(
                f"{serving.address}/gateway/ussd",
                content=body,
                headers=dict(said) | {"content-type": "application/json"},
                trust_env=False,
            )
            for _ in range(12)
        ]

        assert {(answer.status_code, answer.content) for answer in answers} == {(200, answers[0].content)}

    def test_writes_no_key_and_no_number_into_its_log(self, serving: Service) -> None:
        body, said = signed_call()
        on_a_line(serving, request(body, said))
        on_a_line(serving, request(body, [*said, ("bad +99900112233", "x")]))
        log = serving.log.read_text()

        assert "event=line" in log
        for hidden in (KEY[6:], OTHER_KEY[6:], said[2][1], "+99900"):
            assert hidden not in log


class TestThePhone:
    def test_talks_to_a_signed_service_and_gets_its_messages_and_receipts_through(
        self, serving: Service, network: Gateway
    ) -> None:
        with Wire(serving.address, keys=network.keys) as wire:
            network.send_receipts(lambda message_id: wire.receipt(message_id, "delivered"))
            phone = Handset("+99900500071", wire, network, "signed")
            phone.dial()
            shown = phone.phone.screen
            phone.send_sms("SOYA 2 ACRES")
            got = phone.receive(1, patience_s=20)
            network.send_receipts(None)

        assert shown
        assert len(got) == 1
        assert network.troubles == ()

    def test_without_the_key_is_refused(self, serving: Service, network: Gateway) -> None:
        with Wire(serving.address) as wire, pytest.raises(ServiceRefused, match="401"):
            Handset("+99900500072", wire, network, "unsigned").dial()

    def test_plays_a_script_by_the_clock_of_the_service(self, serving: Service, network: Gateway) -> None:
        file = SCRIPTS / "first-buy-list.en.txt"
        with Wire(serving.address, keys=network.keys) as wire:
            played = play(read(file.read_text(encoding="utf-8"), file.name), wire, network)

        assert played.differences == ()


class TestWhatGoesOut:
    def test_is_refused_by_a_gateway_with_another_key(self) -> None:
        with (
            redis_server("--appendfsync", "everysec") as redis,
            Gateway(keys=keys_in({"SOWING_INBOUND_KEYS": KEY, "SOWING_OUTBOUND_KEYS": KEY})) as network,
            service(redis.address, gateway=network.address, speaking=KEYS | OFTEN) as serving,
            Wire(serving.address, keys=network.keys) as wire,
        ):
            Handset("+99900500073", wire, network, "other").send_sms("SOYA 2 ACRES")
            until_s = time.monotonic() + 20
            while not network.troubles and time.monotonic() < until_s:
                time.sleep(0.05)

        assert "refused a message with 401" in network.troubles[0]


class TestAnAddressThatIsNotOnTheList:
    def test_is_told_so_on_a_line_that_stays_in_order(self, shared_redis: RedisServer) -> None:
        """Nobody reads its bodies, and they must not be taken for its next requests."""
        speaking = KEYS | {"SOWING_SPEAKERS": "192.0.2.0/24"}
        body, said = signed_call()
        with service(shared_redis.address, speaking=speaking) as serving:
            with socket.create_connection(("127.0.0.1", serving.port), timeout=30) as line:
                found = []
                for _ in range(3):
                    line.sendall(request(body, said))
                    found.append(answer_on(line)[0])
                line.sendall(b"GET /openapi.json HTTP/1.1\r\nHost: test\r\n\r\n")
                found.append(answer_on(line)[0])
            long = on_a_line(serving, request(b" " * 1_000_000, said))

        assert found == [403, 403, 403, 200]
        assert (long[0], long[1]["connection"]) == (403, "close")


class TestLimits:
    """Two workers, each connection taken by either; the memory in which they count is one."""

    def test_hold_for_all_workers_together(self, shared_redis: RedisServer) -> None:
        with service(shared_redis.address, workers=2, speaking=KEYS | {"SOWING_GROWER_RATE": "20"}) as serving:
            statuses = []
            begun_s = time.monotonic()
            for number in range(60):
                # a new connection each time, so that both workers get some
                now = datetime.now(UTC)
                body = json.dumps(ussd(id=f"r{number}", from_="+99900500074", at=now.isoformat()))
                said = {"webhook-id": "m", "webhook-timestamp": str(int(now.timestamp()))}
                said["webhook-signature"] = Webhook(KEY).sign("m", now, body)
                answer = httpx.post(
                    f"{serving.address}/gateway/ussd",
                    content=body.encode(),
                    headers=said | {"content-type": "application/json"},
                    trust_env=False,
                )
                statuses.append(answer.status_code)

            took_s = time.monotonic() - begun_s
        print(f"60 messages at once of one number, 20 a minute: {statuses.count(200)} taken in {took_s:.1f} s")
        assert set(statuses) == {200, 429}
        # one more comes in every three seconds
        assert 20 <= statuses.count(200) <= 21 + took_s / 3
