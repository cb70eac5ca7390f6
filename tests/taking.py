"""A gateway that takes everything, for tests of what a service of its own hands over."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from http.server import BaseHTTPRequestHandler, HTTPServer
from typing import Any

import msgspec
import pytest


class Gateway(HTTPServer):
    """A gateway that takes everything."""

    def __init__(self) -> None:
        super().__init__(("127.0.0.1", 0), Taking)
        self.taken: list[dict[str, Any]] = []

    @property
    def address(self) -> str:
        return f"http://127.0.0.1:{self.server_port}/sms"


class Taking(BaseHTTPRequestHandler):
    server: Gateway

    def do_POST(self) -> None:
        body = self.rfile.read(int(self.headers["Content-Length"]))
        self.server.taken.append(msgspec.json.decode(body))
        self.send_response(204)
        self.end_headers()

    def log_message(self, *_: object) -> None: ...


@pytest.fixture(name="gateway")
def taking_gateway() -> Iterator[Gateway]:
    with Gateway() as running:
        thread = threading.Thread(target=running.serve_forever, args=(0.02,))
        thread.start()
        yield running
        running.shutdown()
        thread.join()
