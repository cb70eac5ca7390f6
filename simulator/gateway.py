"""The stand-in for the phone network's gateway: takes the service's messages and puts them into inboxes.

It listens on the loopback address only, takes simulated numbers only, and is stricter than networks are: a
message whose alphabet or segment count is wrong is refused, so that a wrong count is seen at once. By a seed it is
as bad as networks can be (`simulator.mishaps`), and writes down what it was handed (`simulator.ledger`).
"""

from __future__ import annotations

import json
import sys
import threading
import time
from collections import Counter
from collections.abc import Callable, Mapping
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from types import TracebackType
from typing import Any

from simulator.counting import alphabet_of, size
from simulator.errors import SimulatorError
from simulator.ledger import Ledger
from simulator.mishaps import NONE, Fate, Mishaps
from simulator.phone import Sms
from simulator.receipts import Receipts
from simulator.signing import NO_KEYS, Keys, NotSigned

_FIELDS: dict[str, type] = {"id": str, "from": str, "to": str, "text": str, "alphabet": str, "segments": int}
_LARGEST_BODY = 65_536
#: How requests of these fates are answered.
_REFUSALS = {Fate.UNSAID: 500, Fate.TOO_MANY: 429, Fate.FAULT: 500, Fate.AWAY: 503}
_RETRY_AFTER_S = 1


class GatewayRefusal(SimulatorError):  # noqa: N818
    """A message that the gateway does not take.

    Args:
        status: HTTP status of the answer.
        what: one line that says what is wrong.
    """

    def __init__(self, status: int, what: str) -> None:
        super().__init__(what)
        self.status = status


class PortTaken(SimulatorError):  # noqa: N818
    """Something listens on the wanted port already."""

    def __init__(self, port: int) -> None:
        super().__init__(f"port {port} is taken: leave it out to get a free one, or end what listens there")


class Gateway:
    """A gateway that runs while its ``with`` block does.

    Args:
        port: port to listen on; 0 takes a free one.
        keys: what it signs with, and what the service must have signed its messages with.
        mishaps: what goes wrong.
        ledger: where each request is written down.
    """

    def __init__(
        self, port: int = 0, keys: Keys = NO_KEYS, mishaps: Mishaps = NONE, ledger: Ledger | None = None
    ) -> None:
        self.keys = keys
        self.mishaps = mishaps
        self._ledger = ledger
        try:
            self._server = _Server(("127.0.0.1", port), _Handler)
        except OSError:
            raise PortTaken(port) from None
        self._server.gateway = self
        self._thread = threading.Thread(target=self._server.serve_forever, args=(0.05,), daemon=True)
        self._changed = threading.Condition()
        self._taken: dict[str, Sms] = {}
        self._troubles: list[str] = []
        self._attempts: Counter[str] = Counter()
        self._receipts = Receipts(mishaps, self.note)
        self._send_receipt: Callable[[str], None] | None = None
        self._listener: Callable[[], None] | None = None

    def __enter__(self) -> Gateway:
        self._thread.start()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, fault: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._receipts.close()
        self._server.shutdown()
        self._server.server_close()
        self._thread.join()

    @property
    def address(self) -> str:
        """Where the service is to post its messages."""
        return f"http://127.0.0.1:{self._server.server_port}"

    @property
    def troubles(self) -> tuple[str, ...]:
        """What the gateway refused and what receipts the service refused, one line each, oldest first."""
        with self._changed:
            return tuple(self._troubles)

    def send_receipts(self, send: Callable[[str], None] | None) -> None:
        """From now on tells the service of each message that it was delivered; None tells it nothing.

        Args:
            send: sends the receipt of the message with that id.
        """
        self._send_receipt = send

    def listen(self, listener: Callable[[], None] | None) -> None:
        """Has somebody called after each arrival, from another thread; None calls nobody."""
        self._listener = listener

    def inbox(self, number: str) -> tuple[Sms, ...]:
        """All messages that arrived for a number, oldest first."""
        with self._changed:
            return self._inbox(number)

    def wait(self, number: str, count: int, patience_s: float) -> tuple[Sms, ...]:
        """Waits until that many messages arrived for a number.

        Returns:
            all messages of the number, fewer than ``count`` when patience ran out.
        """
        with self._changed:
            self._changed.wait_for(lambda: len(self._inbox(number)) >= count, patience_s)
            return self._inbox(number)

    def take(self, said: object, arrived_s: float | None = None) -> tuple[Sms, int]:
        """Takes a message into the inbox of its phone, unless a mishap is in the way.

        A resend with the same id is the same message.

        Args:
            said: the JSON document.
            arrived_s: when it came, in Unix seconds, None for now.

        Returns:
            The message, and which attempt at it this is, from 1.

        Raises:
            GatewayRefusal: for a message that breaks the contract.
        """
        try:
            message = read(said)
            with self._changed:
                self._attempts[message.message_id] += 1
                attempt = self._attempts[message.message_id]
            fate = self.mishaps.fate(message.message_id, attempt)
            if self._ledger is not None:
                self._ledger.note(time.time() if arrived_s is None else arrived_s, message, fate)
            if not fate.is_taken:
                return message, attempt
            with self._changed:
                first = self._taken.setdefault(message.message_id, message)
                is_new = first is message
                self._changed.notify_all()
            if first != message:
                raise GatewayRefusal(409, f"id {message.message_id} was used for another message")
        except GatewayRefusal as refusal:
            self.note(f"the gateway refused a message with {refusal.status}: {refusal}")
            raise
        if is_new:
            self._announce(message)
        return message, attempt

    def note(self, trouble: str) -> None:
        """Adds to what went wrong."""
        with self._changed:
            self._troubles.append(trouble)

    def _inbox(self, number: str) -> tuple[Sms, ...]:
        return tuple(message for message in self._taken.values() if message.number == number)

    def _announce(self, message: Sms) -> None:
        if self._listener is not None:
            self._listener()
        if self._send_receipt is not None:
            self._receipts.submit(self._send_receipt, message.message_id)


def read(said: object) -> Sms:
    """The message that a JSON document holds.

    Raises:
        GatewayRefusal: 400 for a wrong shape, 403 for a number that is not simulated, 422 for a wrong
            alphabet or segment count.
    """
    if not isinstance(said, Mapping):
        raise GatewayRefusal(400, "the body is no JSON object")
    for name, kind in _FIELDS.items():
        # bool is an int in Python, but true is no segment count.
        if not isinstance(said.get(name), kind) or isinstance(said.get(name), bool):
            raise GatewayRefusal(400, f"field {name} is {said.get(name)!r}, must be a {kind.__name__}")
    if unknown := sorted(set(said) - set(_FIELDS)):
        raise GatewayRefusal(400, f"field {unknown[0]} is not in the contract")
    if not said["to"].startswith("+999"):
        raise GatewayRefusal(403, "only numbers beginning with +999 are taken, which no network can reach")
    message = Sms(said["id"], said["from"], said["to"], said["text"], said["alphabet"], said["segments"])
    _check_count(message)
    return message


def _check_count(message: Sms) -> None:
    if message.alphabet == "gsm7" and alphabet_of(message.text) != "gsm7":
        raise GatewayRefusal(422, "alphabet is gsm7, but the text holds characters outside it")
    if message.alphabet not in ("gsm7", "ucs2"):
        raise GatewayRefusal(422, f"alphabet is {message.alphabet!r}, must be gsm7 or ucs2")
    counted = size(message.text, "gsm7" if message.alphabet == "gsm7" else "ucs2")
    if counted.segments != message.segments:
        raise GatewayRefusal(
            422, f"segments is {message.segments}, but {counted.units} units take {counted.segments}"
        )


def _document(body: bytes) -> object:
    """What a body holds, None where it is no JSON."""
    try:
        return json.loads(body)
    except ValueError:
        return None


class _Server(ThreadingHTTPServer):
    daemon_threads = True
    #: Several senders may come at once, and a connection that is turned away would be no request at all.
    request_queue_size = 128
    gateway: Gateway

    def handle_error(self, request: object, client_address: object) -> None:
        # The base class prints a trace, which would land in the middle of the phone's screen.
        self.gateway.note(f"a delivery broke off: {sys.exc_info()[1]!r}")


class _Handler(BaseHTTPRequestHandler):
    server: _Server
    timeout = 10

    def setup(self) -> None:
        self._arrived_s = time.time()
        super().setup()

    def do_POST(self) -> None:
        try:
            body = self._body()
            self._check_signature(body)
            message, attempt = self.server.gateway.take(_document(body), self._arrived_s)
        except GatewayRefusal as refusal:
            self._refuse(refusal.status, str(refusal))
        else:
            self._meet(message, attempt)

    def _meet(self, message: Sms, attempt: int) -> None:
        """Answers as the mishap has it, if there is one."""
        mishaps = self.server.gateway.mishaps
        fate = mishaps.fate(message.message_id, attempt)
        if fate is Fate.DROPPED:
            return  # nothing was written, and the connection is closed behind this
        if fate in _REFUSALS:
            asked = {"Retry-After": str(_RETRY_AFTER_S)} if fate is Fate.TOO_MANY else {}
            self._refuse(_REFUSALS[fate], f"a mishap: {fate}", asked)
            return
        if fate is Fate.LATE:
            time.sleep(mishaps.delay_s(message.message_id, attempt))
        self._answer(202, "application/json", {"id": message.message_id})

    def _check_signature(self, body: bytes) -> None:
        given = {name.lower(): self.headers.get_all(name, ()) for name in self.headers}
        try:
            self.server.gateway.keys.check(given, body)
        except NotSigned as fault:
            self.server.gateway.note(f"the gateway refused a message with 401: {fault}")
            raise GatewayRefusal(401, str(fault)) from None

    def _body(self) -> bytes:
        length = self.headers.get("Content-Length", "")
        if not length.isdecimal():
            raise GatewayRefusal(411, "the request says no Content-Length")
        if int(length) > _LARGEST_BODY:
            raise GatewayRefusal(413, f"the body is larger than {_LARGEST_BODY} bytes")
        return self.rfile.read(int(length))

    def _refuse(self, status: int, what: str, headers: Mapping[str, str] | None = None) -> None:
        self._answer(status, "application/problem+json", {"title": what}, headers)

    def _answer(
        self, status: int, kind: str, document: dict[str, str], headers: Mapping[str, str] | None = None
    ) -> None:
        body = json.dumps(document).encode()
        self.send_response(status)
        for name, value in (headers or {}).items():
            self.send_header(name, value)
        self.send_header("Content-Type", kind)
        self.send_header("Content-Length", str(len(body)))
        self.end_headers()
        self.wfile.write(body)

    def log_message(self, format: str, *args: Any) -> None:  # noqa: A002 - named by the base class
        pass  # a request line would land in the middle of the phone's screen
