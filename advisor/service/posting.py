"""The one place that speaks HTTP to the gateway: a body out, a status back."""

from __future__ import annotations

import contextlib
import weakref
from collections.abc import Callable, Mapping
from email.utils import parsedate_to_datetime
from typing import Protocol

import httpx
from msgspec import Struct

from advisor.service.clock import Clock
from advisor.service.signing import Keys

TIMEOUT_S = 5.0
#: Where it took longer than this until the first byte could leave, it is asked again whether it may.
AT_ONCE_S = 0.25
#: So much of an answer is read behind its status, and only what comes at once.
REST_BYTES, REST_S = 65_536, 0.25
#: Before any of these a request was on its way, if there was one at all.
_NOT_REACHED = (httpx.ConnectError, httpx.ConnectTimeout, httpx.UnsupportedProtocol, httpx.PoolTimeout)

#: What the client tells of a request once there is a connection for it.
_FIRST_BYTE = "http11.send_request_headers.started"


class Response(Struct, frozen=True):
    """What the gateway said.

    Args:
        status: HTTP status, 0 when it could not be reached or did not answer in time.
        asked_s: seconds from its Retry-After, 0 without one.
        reached: whether it may have the message; not where no connection came about.
    """

    status: int
    asked_s: float = 0.0
    reached: bool = True


#: Nobody was there to take the message.
NOT_REACHED = Response(0, reached=False)


class Withheld(Exception):  # noqa: N818 - named for what happened
    """It took long until a message could leave, and by then it might not any more. Not a byte of it left."""


class Post(Protocol):
    """Posts a message to the gateway."""

    def __call__(self, oid: str, body: bytes, may_begin: Callable[[], bool], /) -> Response:
        """Posts one.

        Args:
            oid: its outgoing id.
            body: what is sent.
            may_begin: whether it still may leave; asked where a connection took long to come about.

        Raises:
            Withheld: it may not.
        """


def http_post(address: str, keys: Keys, clock: Clock) -> Post:
    """Posts to the gateway's address over one kept connection; proxies of the environment are not used.

    Args:
        address: the gateway's address.
        keys: each attempt is signed by all of them; by none where there is none.
        clock: what the time of an attempt is.
    """
    client = httpx.Client(timeout=TIMEOUT_S, trust_env=False, follow_redirects=False)

    def post(oid: str, body: bytes, may_begin: Callable[[], bool], /) -> Response:
        headers = {"content-type": "application/json"} | keys.headers(oid, clock.now(), body)
        asked_at_s = clock.monotonic_s()

        def look(event: str, _told: object) -> None:
            if event != _FIRST_BYTE or clock.monotonic_s() - asked_at_s < AT_ONCE_S:
                return
            if not may_begin():
                raise Withheld

        waits_s = dict.fromkeys(("connect", "read", "write", "pool"), TIMEOUT_S)
        told = {"trace": look, "timeout": waits_s}
        try:
            # the status says it all: a gateway that drips its answer must not hold an attempt past its lease
            with client.stream("POST", address, content=body, headers=headers, extensions=told) as answer:
                waits_s["read"] = REST_S
                _take_rest(answer, clock)
                return Response(answer.status_code, asked_s(answer.headers))
        except _NOT_REACHED:
            return NOT_REACHED
        except httpx.HTTPError:
            return Response(0)

    # nobody else closes the line
    weakref.finalize(post, client.close)
    return post


def _take_rest(answer: httpx.Response, clock: Clock) -> None:
    """Takes a short rest of an answer off the line, which then serves the next message; else it is closed."""
    until_s, left = clock.monotonic_s() + REST_S, REST_BYTES
    with contextlib.suppress(httpx.HTTPError):
        for part in answer.iter_raw():
            left -= len(part)
            if left < 0 or clock.monotonic_s() > until_s:
                return


def asked_s(headers: Mapping[str, str]) -> float:
    """Seconds that a Retry-After asks for, whole seconds or a date (RFC 9110, 10.2.3); 0 for none or nonsense.

    A date is measured by the answer's own date, since the two clocks need not agree.

    >>> asked_s({"retry-after": "120"})
    120.0
    >>> told = "Fri, 31 Dec 1999 23:59:"
    >>> asked_s({"retry-after": told + "59 GMT", "date": told + "49 GMT"})
    10.0
    >>> asked_s({"retry-after": "soon"})
    0.0
    """
    asked = headers.get("retry-after", "")
    if asked.isascii() and asked.isdigit():
        return float(asked[:9])
    try:
        until, since = parsedate_to_datetime(asked), parsedate_to_datetime(headers.get("date", ""))
        return max(0.0, (until - since).total_seconds())
    except (TypeError, ValueError, OverflowError):
        return 0.0
