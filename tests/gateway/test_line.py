"""What comes over real lines: requests in halves, bodies without an end, more of them than there are threads."""

from __future__ import annotations

import contextlib
import itertools
import json
import socket
import time
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, datetime
from typing import Any

import httpx
import pytest

from advisor.commands.serving import THREADS
from advisor.gateway.arriving import BODY_LIMIT_BYTES
from advisor.gateway.worker import ARRIVAL_S
from tests.gateway.bodies import ussd
from tests.servers import RedisServer, redis_server
from tests.whole.services import Service, service

HEAD = b"POST /gateway/ussd HTTP/1.1\r\nHost: test\r\nContent-Type: application/json\r\n"
HEALTH = b"GET /health HTTP/1.1\r\nHost: test\r\n\r\n"
NUMBERS = itertools.count(1)


@pytest.fixture(scope="module")
def redis() -> Iterator[RedisServer]:
    """A server that tests may let stand still for a while."""
    with redis_server("--appendfsync", "everysec") as server:
        yield server


@pytest.fixture(scope="module")
def serving(redis: RedisServer) -> Iterator[Service]:
    with service(redis.address) as running:
        yield running


@contextlib.contextmanager
def lines(serving: Service, count: int = 1) -> Iterator[list[socket.socket]]:
    """Connections to the service."""
    with contextlib.ExitStack() as stack:
        yield [
            stack.enter_context(socket.create_connection(("127.0.0.1", serving.port), timeout=4 * ARRIVAL_S))
            for _ in range(count)
        ]


def answer_on(line: socket.socket) -> tuple[int, dict[str, str], bytes]:
    """Status, headers and body of the next answer."""
    came = b""
    while b"\r\n\r\n" not in came:
        more = line.recv(65536)
        assert more, f"the line ended after {came!r}"
        came += more
    head, _, body = came.partition(b"\r\n\r\n")
    first, *rest = head.decode().split("\r\n")
    headers = {name.lower(): value.strip() for name, _, value in (row.partition(":") for row in rest)}
    while len(body) < int(headers["content-length"]):
        body += line.recv(65536)
    return int(first.split()[1]), headers, body


def call(**fields: Any) -> dict[str, Any]:
    """A call under an id and from a number of its own."""
    number = next(NUMBERS)
    now = datetime.now(UTC).isoformat()
    usual = {"id": f"l{number}", "from_": f"+99900500{number:04}", "event": "begin", "input": "", "at": now}
    return ussd(**usual | fields)


def at_once(serving: Service, bodies: list[dict[str, Any]]) -> list[tuple[int, float]]:
    """Posts all bodies at the same time; status and seconds of each answer."""
    limits = httpx.Limits(max_connections=len(bodies))
    with (
        httpx.Client(base_url=serving.address, trust_env=False, timeout=30, limits=limits) as client,
        ThreadPoolExecutor(len(bodies)) as pool,
    ):

        def posted(body: dict[str, Any]) -> tuple[int, float]:
            begun_s = time.monotonic()
            status = client.post("/gateway/ussd", json=body).status_code
            return status, time.monotonic() - begun_s

        return list(pool.map(posted, bodies))


class TestHalfARequest:
    @pytest.mark.parametrize(
        "half",
        [b"", b"POST /gateway/ussd HT", HEAD + b"Content-Length: 200\r\n\r\n{"],
        ids=["none", "head", "body"],
    )
    def test_from_everybody_keeps_nobody_else_from_an_answer(self, serving: Service, half: bytes) -> None:
        with lines(serving, 2 * THREADS) as stalled:
            for line in stalled:
                line.sendall(half)
            begun_s = time.monotonic()

            answer = httpx.get(f"{serving.address}/health", trust_env=False, timeout=60)

            print(f"/health beside {len(stalled)} stalled lines: {time.monotonic() - begun_s:.2f} s")
            assert answer.status_code == 200

    def test_by_fewer_than_there_are_threads_holds_nobody_up(self, serving: Service) -> None:
        with lines(serving, THREADS // 2) as stalled:
            for line in stalled:
                line.sendall(HEAD + b"Content-Length: 200\r\n\r\n{")

            health = httpx.get(f"{serving.address}/health", trust_env=False, timeout=60)

            # they are all still waited for, so the answer came before any of them was given up
            for line in stalled:
                line.setblocking(False)
                with pytest.raises(BlockingIOError):
                    line.recv(1)
            assert health.status_code == 200

    def test_without_the_rest_of_its_body_is_told_so(self, serving: Service) -> None:
        with lines(serving) as (line,):
            line.sendall(HEAD + b"Content-Length: 200\r\n\r\n{")

            status, _, body = answer_on(line)

        assert (status, json.loads(body)["field"]) == (408, "body")

    def test_that_keeps_dripping_is_told_so_too(self, serving: Service) -> None:
        with lines(serving) as (line,):
            line.sendall(HEAD + b"Content-Length: 200000\r\n\r\n")
            line.settimeout(0.2)
            status = 0
            until_s = time.monotonic() + 4 * ARRIVAL_S
            while not status and time.monotonic() < until_s:
                line.sendall(b" ")
                with contextlib.suppress(TimeoutError):
                    status, _, _ = answer_on(line)

        assert status == 408


class TestABodyThatIsTooLong:
    def test_is_answered_and_the_line_is_said_to_close(self, serving: Service) -> None:
        with lines(serving) as (line,):
            line.sendall(HEAD + b"Content-Length: 1000000\r\n\r\n" + b" " * 1_000_000)

            status, headers, body = answer_on(line)

            assert (status, headers["connection"], json.loads(body)["field"]) == (413, "close", "body")
            assert line.recv(1) == b""

    def test_does_not_fail_the_next_request_of_its_client(self, serving: Service) -> None:
        with httpx.Client(base_url=serving.address, trust_env=False, timeout=30) as client:
            statuses = [
                client.post(
                    "/gateway/ussd", content=content, headers={"content-type": "application/json"}
                ).status_code
                for content in (b" " * (BODY_LIMIT_BYTES + 1), json.dumps(call()).encode()) * 5
            ]

        assert statuses == [413, 200] * 5

    def test_in_chunks_is_answered_and_never_taken_in_part(self, serving: Service) -> None:
        def chunks() -> Iterator[bytes]:
            yield json.dumps(call()).encode()
            for _ in range(9):
                yield b" " * (BODY_LIMIT_BYTES // 8)

        answer = httpx.post(
            f"{serving.address}/gateway/ussd",
            content=chunks(),
            headers={"content-type": "application/json"},
            trust_env=False,
            timeout=30,
        )

        assert (answer.status_code, answer.headers["connection"]) == (413, "close")


class TestABodyInChunks:
    def test_is_taken(self, serving: Service) -> None:
        answer = httpx.post(
            f"{serving.address}/gateway/ussd",
            content=iter([json.dumps(call()).encode()]),
            headers={"content-type": "application/json"},
            trust_env=False,
            timeout=30,
        )

        assert answer.status_code == 200

    @pytest.mark.parametrize("chunk", [b"zz\r\n{}\r\n", b"2\r\n{}x\r\n0\r\n\r\n"])
    def test_with_a_bad_chunk_is_told_so(self, serving: Service, chunk: bytes) -> None:
        with lines(serving) as (line,):
            line.sendall(HEAD + b"Transfer-Encoding: chunked\r\n\r\n" + chunk)

            status, headers, body = answer_on(line)

        assert (status, headers["connection"], json.loads(body)["reason"]) == (400, "close", "bad_chunks")


def test_two_requests_on_one_line_are_both_answered(serving: Service) -> None:
    with lines(serving) as (line,):
        statuses = []
        for _ in range(2):
            line.sendall(HEALTH)
            statuses.append(answer_on(line)[0])

    assert statuses == [200, 200]


def timed(serving: Service, count: int) -> tuple[float, set[int]]:
    """Seconds until so many calls at the same time are all answered, and the statuses of the answers."""
    bodies = [call() for _ in range(count)]
    begun_s = time.monotonic()
    answers = at_once(serving, bodies)
    return time.monotonic() - begun_s, {status for status, _ in answers}


@contextlib.contextmanager
def standing_still(redis: RedisServer) -> Iterator[None]:
    redis.freeze()
    try:
        yield
    finally:
        redis.thaw()


def wait_for_an_answer(serving: Service) -> None:
    """Until a call is taken again, which after a store that stood still needs a moment."""
    until_s = time.monotonic() + 20
    while timed(serving, 1)[1] != {200}:
        assert time.monotonic() < until_s, "no call was taken within 20 s after the store went on"


class TestManyAtOnce:
    def test_on_one_grower_are_all_taken(self, serving: Service) -> None:
        number = "+999006000001"

        answers = at_once(serving, [call(from_=number) for _ in range(50)])

        slowest_s = max(seconds for _, seconds in answers)
        taken = sum(status == 200 for status, _ in answers)
        print(f"50 messages at once on one grower: {taken} taken, slowest {slowest_s:.2f} s")
        # each one is asked to be repeated after a second at the worst, so a few on a busy machine are no loss
        assert taken >= 45
        assert {status for status, _ in answers} <= {200, 503}

    def test_while_the_store_stands_still_are_all_turned_away_as_fast_as_one_is(
        self, serving: Service, redis: RedisServer
    ) -> None:
        # the best of a few goes, since other work on the machine only ever adds to the times
        shares = []
        while len(shares) < 4 and not any(share < 1 for share in shares):
            live_s, _ = timed(serving, 50)
            wait_for_an_answer(serving)
            with standing_still(redis):
                one_s, one = timed(serving, 1)
            wait_for_an_answer(serving)
            with standing_still(redis):
                all_s, each = timed(serving, 50)
            assert one == each == {503}
            print(f"50 at once on a standing store: {all_s:.2f} s; one {one_s:.2f} s; live {live_s:.2f} s")
            # without what threads tell each other the second half would begin only after the first: twice one
            shares.append(all_s / (1.7 * one_s + live_s))

        assert min(shares) < 1

    def test_after_it_stood_still_are_taken_again(self, serving: Service) -> None:
        until_s = time.monotonic() + 20
        body = call()
        status = 0
        while status != 200 and time.monotonic() < until_s:
            ((status, _),) = at_once(serving, [body])

        assert status == 200
