"""The HTTP server's worker, with a deadline: who sends half a request keeps no thread of the service."""

from __future__ import annotations

import contextlib
import logging
import socket
import time
from http import HTTPStatus
from typing import Any

from gunicorn import util
from gunicorn.http import errors
from gunicorn.workers import gthread

from advisor.gateway.problems import FAULT, MEDIA_TYPE, document
from advisor.service.journal import log_event, place_of

#: By then a request must have come in, head and body.
ARRIVAL_S = 5.0
#: By then it must be answered, and the answer taken off our hands.
WHOLE_S = 2 * ARRIVAL_S
#: For so long a thread waits for the first byte; after that the connection waits without a thread.
FIRST_BYTE_S = 0.05
#: For so long the other side may take to end a connection that is over.
GOODBYE_S = 1.0
#: The server throws away so much of a body that nobody read, and closes without a word on more.
LONG_BYTES = 64 * 1024


class Worker(gthread.ThreadWorker):  # type: ignore[misc]
    """A threaded worker that ends the reading side, and then both sides, of a connection past its deadline.

    The server itself reads without a time-out. Reading then meets the end of the line: a request without its
    head is let go, a body that is not whole is answered 408. What came in time can still be read, so a whole
    request that waited for a thread is answered late rather than never.
    """

    def __init__(self, *arguments: Any, **options: Any) -> None:
        super().__init__(*arguments, **options)
        self._begun_s: dict[Any, float] = {}

    def enqueue_req(self, conn: Any) -> None:
        """A connection has something to say; time runs from here, so that halves in a queue fall due together."""
        self._begun_s[conn] = time.monotonic()
        super().enqueue_req(conn)

    def handle(self, conn: Any) -> Any:
        """One request, in a thread of its own."""
        try:
            if not conn.initialized and not conn.wait_for_data(FIRST_BYTE_S):
                return gthread._DEFER
            is_kept = super().handle(conn)
            if not is_kept:
                _say_goodbye(conn.sock)
            return is_kept
        finally:
            self._begun_s.pop(conn, None)

    def handle_error(self, _request: Any, client: Any, _address: Any, error: Exception) -> None:
        """What the server cannot read is answered as the application answers, and told without its words."""
        status, detail = answer_to(error)
        if status < HTTPStatus.INTERNAL_SERVER_ERROR:
            log_event("line", level=logging.WARNING, fault=type(error).__name__, status=status)
            body = document(status, "bad_head", detail, "request")
        else:
            log_event("line", level=logging.ERROR, fault=type(error).__name__, place=place_of(error))
            body = document(status, "fault", detail)
        head = (
            f"HTTP/1.1 {status} {HTTPStatus(status).phrase}\r\nConnection: close\r\n"
            f"Content-Type: {MEDIA_TYPE}\r\nContent-Length: {len(body)}\r\n\r\n"
        )
        with contextlib.suppress(OSError):
            util.write_nonblock(client, head.encode("ascii") + body)

    def notify(self) -> None:
        """Once a second or more often, in the thread that only watches."""
        super().notify()
        now_s = time.monotonic()
        for conn, begun_s in tuple(self._begun_s.items()):
            if now_s - begun_s > ARRIVAL_S:
                side = socket.SHUT_RD if now_s - begun_s < WHOLE_S else socket.SHUT_RDWR
                with contextlib.suppress(OSError):
                    conn.sock.shutdown(side)


def answer_to(error: Exception) -> tuple[int, str]:
    """Status and advice for what the server says of a request that it cannot read.

    >>> answer_to(errors.InvalidHeaderName("web hook"))
    (400, 'the head of the request cannot be read: send it as RFC 9112 has it')
    """
    for kinds, status, detail in _ANSWERS:
        if isinstance(error, kinds):
            return status, detail
    return HTTPStatus.INTERNAL_SERVER_ERROR.value, FAULT


_ANSWERS: tuple[tuple[type[Exception] | tuple[type[Exception], ...], int, str], ...] = (
    ((errors.InvalidResponseHeader, errors.InvalidResponseHeaderName, errors.ConfigurationProblem), 500, FAULT),
    (errors.LimitRequestLine, 414, "the address is too long: send what it holds in the body"),
    (errors.LimitRequestHeaders, 431, "there are too many headers, or one is too long: send fewer"),
    (errors.ExpectationFailed, 417, "nothing but 100-continue can be expected: leave the header out"),
    (errors.UnsupportedTransferCoding, 501, "a transfer coding that nobody knows here: send chunked, or a length"),
    (errors.ParseException, 400, "the head of the request cannot be read: send it as RFC 9112 has it"),
)


def close_where_the_end_is_far(_worker: Any, request: Any) -> None:
    """Says ``Connection: close`` where the next request may not be found: after a long body, or one in chunks.

    Args:
        request: the server's, with its head read.
    """
    said = dict(request.headers)
    if "TRANSFER-ENCODING" in said or int(said.get("CONTENT-LENGTH", 0)) > LONG_BYTES:
        request.force_close()


def _say_goodbye(line: socket.socket) -> None:
    """Waits a little for the other side to end too: closed on unread bytes, a line loses the answer.

    The server does so itself, but in the one thread that takes new connections; after this it need not wait.
    """
    until_s = time.monotonic() + GOODBYE_S
    with contextlib.suppress(OSError):
        line.shutdown(socket.SHUT_WR)
        while (left_s := until_s - time.monotonic()) > 0:
            line.settimeout(left_s)
            if not line.recv(65536):
                break
    with contextlib.suppress(OSError):
        line.shutdown(socket.SHUT_RD)
