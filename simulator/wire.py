"""The service's HTTP contract, as a phone network's gateway speaks it.

Every message carries an id. A message whose fate is unknown (no answer in time, or "unavailable") is sent
again with the same id and the same body, a bounded number of times, as real gateways do.
"""

from __future__ import annotations

import json
import time
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from types import TracebackType
from typing import Any, Literal

import httpx

from simulator.clock import Clock
from simulator.errors import SimulatorError
from simulator.signing import NO_KEYS, Keys

#: Where growers dial and write to, in the demo.
USSD_CODE = "*2500#"
SHORT_CODE = "2500"

Status = Literal["delivered", "failed", "expired"]

#: Too many messages at once, or nobody there just now: to be sent again.
_UNAVAILABLE = frozenset({429, 502, 503, 504})
_LONGEST_PAUSE_S = 2.0


class ServiceUnreachable(SimulatorError):  # noqa: N818
    """The service gave no answer, however often it was asked."""

    def __init__(self, asked: str, attempts: int, last: str) -> None:
        super().__init__(
            f"no answer to {asked} after {attempts} attempts ({last}): see that the service runs at this address"
        )


class ServiceRefused(SimulatorError):  # noqa: N818
    """The service answered with an error.

    Args:
        asked: method and path.
        status: HTTP status.
        said: what its problem document says.
    """

    def __init__(self, asked: str, status: int, said: str) -> None:
        super().__init__(f"the service refused {asked} with {status}: {said}")
        self.status = status


class ContractBroken(SimulatorError):  # noqa: N818
    """The service answered something that the contract does not allow."""

    def __init__(self, asked: str, what: str) -> None:
        super().__init__(f"the answer to {asked} breaks the contract: {what}")


@dataclass(frozen=True, slots=True)
class Shown:
    """A screen as the service answers it.

    Args:
        text: what the phone shows.
        open: whether an answer is awaited.
    """

    text: str
    open: bool


class Wire:
    """A client of the service's HTTP contract; to be closed, or used in a ``with``.

    Args:
        service: address of the service, for example ``http://127.0.0.1:8000``.
        clock: what time it is for the phones; every message says so.
        timeout_s: how long to wait for an answer before asking again.
        attempts: how often a message is sent in all, at least 1.
        pause_s: pause before the second attempt; it doubles, unless the service asks for a longer one.
        pause: waits for a number of seconds.
        keys: every message is signed with these.
    """

    def __init__(
        self,
        service: str,
        *,
        clock: Clock | None = None,
        timeout_s: float = 10.0,
        attempts: int = 4,
        pause_s: float = 0.2,
        pause: Callable[[float], None] = time.sleep,
        keys: Keys = NO_KEYS,
    ) -> None:
        self.clock = clock or Clock()
        self._attempts = attempts
        self._pause_s = pause_s
        self._pause = pause
        self._keys = keys
        # A proxy of the surroundings has no business between a phone and a service on the loopback address.
        self._client = httpx.Client(base_url=service, timeout=timeout_s, trust_env=False)

    def __enter__(self) -> Wire:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, fault: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def patient(self, timeout_s: float, attempts: int) -> Wire:
        """Another wire to the same service with the same clock, of another patience."""
        address = str(self._client.base_url)
        return Wire(address, clock=self.clock, timeout_s=timeout_s, attempts=attempts, keys=self._keys)

    def close(self) -> None:
        """Gives the connections back."""
        self._client.close()

    def begin(self, message_id: str, session: str, number: str, digits: str = "", language: str = "") -> Shown:
        """Opens a session.

        Args:
            message_id: id of this message.
            session: the network's id of the session.
            number: the phone's number.
            digits: what was dialled behind the service's code.
            language: the language the phone is set to, which networks may pass on; empty for none.
        """
        return self._ussd(message_id, session, number, "begin", digits, language)

    def answer(self, message_id: str, session: str, number: str, text: str, language: str = "") -> Shown:
        """Sends what was typed on the screen of an open session."""
        return self._ussd(message_id, session, number, "answer", text, language)

    def cancel(self, message_id: str, session: str, number: str) -> None:
        """Says that the phone hung up. Raises ContractBroken when a screen comes back."""
        shown = self._ussd(message_id, session, number, "cancel", "", "")
        if shown != Shown("", False):
            raise ContractBroken("POST /gateway/ussd", f"a cancel gets no screen, but got {shown}")

    def sms(self, message_id: str, number: str, text: str, language: str = "") -> None:
        """Sends a text message; what the service replies arrives through the gateway."""
        body = {"id": message_id, "from": number, "to": SHORT_CODE, "text": text, "at": self._at()}
        got = self._document("POST", "/gateway/sms", body, language)
        if got.get("id") != message_id:
            raise ContractBroken("POST /gateway/sms", f"id is {got.get('id')!r}, must be {message_id!r}")

    def receipt(self, message_id: str, status: Status) -> None:
        """Says how a message of the service fared."""
        self._exchange("POST", "/gateway/receipts", {"id": message_id, "status": status, "at": self._at()})

    def set_clock(self, at: datetime, *, passing: bool = False) -> None:
        """Sets the clock of a demo service, and the phones' clock with it.

        Args:
            at: the moment.
            passing: whether the round on trial says on the way what it has in between.
        """
        self._exchange("POST", "/demo/clock", {"at": at.isoformat()} | ({"passing": True} if passing else {}))
        self.clock.set_to(at)

    def try_round(self, name: str, numbers: Sequence[str]) -> None:
        """Has a demo service start a round for some phones, in the place of the one before."""
        self._exchange("POST", "/demo/round", {"round": name, "numbers": list(numbers)})

    def demo_session(self, number: str) -> Mapping[str, object]:
        """What a demo service shows to authors of one phone's conversation."""
        return self._read(self._exchange("GET", "/demo/session", params={"from": number}), "GET /demo/session")

    def demo_book(self) -> Mapping[str, object]:
        """What a demo service shows to authors of its book: how old it is, and what is wrong in changed files."""
        return self._read(self._exchange("GET", "/demo/book"), "GET /demo/book")

    def is_ready(self) -> bool:
        """Whether the service says, when asked once, that it takes messages."""
        try:
            answer = self._client.get("/health")
            return answer.status_code == 200 and self._read(answer, "GET /health").get("ready") is True
        except (httpx.TransportError, ContractBroken):
            return False

    def _at(self) -> str:
        return self.clock.now().isoformat(timespec="seconds")

    def _ussd(self, message_id: str, session: str, number: str, event: str, typed: str, language: str) -> Shown:
        body = {"id": message_id, "session": session, "from": number, "to": USSD_CODE}
        body |= {"event": event, "input": typed, "at": self._at()}
        got = self._document("POST", "/gateway/ussd", body, language)
        text, is_open = got.get("text"), got.get("open")
        if not isinstance(text, str) or not isinstance(is_open, bool):
            raise ContractBroken("POST /gateway/ussd", f"text and open are {text!r} and {is_open!r}")
        return Shown(text, is_open)

    def _document(self, method: str, path: str, body: Mapping[str, str], language: str) -> dict[str, Any]:
        headers = {"Accept-Language": language} if language else {}
        return self._read(self._exchange(method, path, body, headers=headers), f"{method} {path}")

    def _read(self, answer: httpx.Response, asked: str) -> dict[str, Any]:
        try:
            found = answer.json()
        except ValueError:
            found = None
        if not isinstance(found, dict):
            raise ContractBroken(asked, f"it is no JSON object: {answer.text[:60]!r}")
        return found

    def _exchange(
        self,
        method: str,
        path: str,
        body: Mapping[str, object] | None = None,
        headers: Mapping[str, str] | None = None,
        params: Mapping[str, str] | None = None,
    ) -> httpx.Response:
        content = None if body is None else json.dumps(body, ensure_ascii=False, separators=(",", ":")).encode()
        pause_s, last = self._pause_s, ""
        for attempt in range(self._attempts):
            if attempt:
                self._pause(pause_s)
                pause_s = min(2 * pause_s, _LONGEST_PAUSE_S)
            try:
                sent = self._headers(method, path, content) | dict(headers or {})
                answer = self._client.request(method, path, content=content, headers=sent, params=params)
            except httpx.TransportError as fault:
                last = str(fault) or type(fault).__name__
                continue
            if answer.status_code not in _UNAVAILABLE:
                return _accepted(answer, f"{method} {path}")
            pause_s = max(pause_s, _asked_pause_s(answer))
            last = f"{answer.status_code}: {problem(answer)}"
        raise ServiceUnreachable(f"{method} {path}", self._attempts, last)

    def _headers(self, method: str, path: str, content: bytes | None) -> dict[str, str]:
        """Of one attempt: each is signed with its own time."""
        if content is None:
            return {}
        return {"Content-Type": "application/json"} | self._keys.headers(method, path, content)


def problem(answer: httpx.Response) -> str:
    """What an error answer says, as one line.

    Source:
        RFC 9457, Problem Details for HTTP APIs, 2023: title and detail.

    >>> problem(httpx.Response(409, json={"title": "id used", "detail": "send another id"}))
    'id used: send another id'
    >>> problem(httpx.Response(500, text="Oh\\nno"))
    'Oh'
    """
    try:
        found = answer.json()
    except ValueError:
        found = None
    if not isinstance(found, dict):
        return next(iter(answer.text.splitlines()), "") or answer.reason_phrase
    said = [str(found[name]) for name in ("title", "detail") if found.get(name)]
    return ": ".join(said) or answer.reason_phrase


def _accepted(answer: httpx.Response, asked: str) -> httpx.Response:
    if not answer.is_success:
        raise ServiceRefused(asked, answer.status_code, problem(answer))
    return answer


def _asked_pause_s(answer: httpx.Response) -> float:
    asked = answer.headers.get("Retry-After", "")
    return min(float(asked), _LONGEST_PAUSE_S) if asked.isdecimal() else 0.0
