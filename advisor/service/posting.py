"""The one place that speaks HTTP to the gateway: a body out, a status back."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from email.utils import parsedate_to_datetime

import httpx

from advisor.service.clock import Clock
from advisor.service.signing import Keys

TIMEOUT_S = 5.0
#: Before any of these a request was on its way, if there was one at all.
_NOT_REACHED = (httpx.ConnectError, httpx.ConnectTimeout, httpx.UnsupportedProtocol, httpx.PoolTimeout)


@dataclass(frozen=True, slots=True)
class Response:
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


def http_post(address: str, keys: Keys, clock: Clock) -> Callable[[str, bytes], Response]:
    """Posts to the gateway's address over one kept connection; proxies of the environment are not used.

    Args:
        address: the gateway's address.
        keys: each attempt is signed by all of them; by none where there is none.
        clock: what the time of an attempt is.

    Returns:
        What posts a message, by its outgoing id and its body.
    """
    client = httpx.Client(timeout=TIMEOUT_S, trust_env=False, follow_redirects=False)

    def post(oid: str, body: bytes) -> Response:
        headers = {"content-type": "application/json"} | keys.headers(oid, clock.now(), body)
        try:
            # the status says it all: a gateway that drips its answer must not hold an attempt past its lease
            with client.stream("POST", address, content=body, headers=headers) as answer:
                return Response(answer.status_code, asked_s(answer.headers))
        except _NOT_REACHED:
            return NOT_REACHED
        except httpx.HTTPError:
            return Response(0)

    return post


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
