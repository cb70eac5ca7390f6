"""Hands outgoing messages to the gateway: claim, post, settle. A crash in between repeats the same id."""

from __future__ import annotations

import logging
from collections.abc import Callable
from dataclasses import dataclass, field
from enum import StrEnum
from math import inf

import httpx
import msgspec

from advisor.service.backoff import ATTEMPTS, wait_s
from advisor.service.clock import Clock, unix_ms
from advisor.service.damage import Damage
from advisor.service.journal import log_event
from advisor.service.meter import Meter, NoMeter
from advisor.service.outgoing import Parcel, delivery_of
from advisor.service.routing import DemoNumber, check_route
from advisor.service.signing import Keys
from advisor.store.api import Claimed, Claims, Store, StoreDamaged

TIMEOUT_S = 5.0
#: One at a time: the claim is what obeys a stop, so each request begins right after its own claim.
CLAIM_MOST = 1
#: Longer than an attempt can take, so that nobody else claims what is still under way.
LEASE_MS = 30_000


class Result(StrEnum):
    """How an attempt went."""

    SENT = "sent"
    LATER = "later"
    FAILED = "failed"
    GIVEN_UP = "given_up"
    EXPIRED = "expired"
    REFUSED = "refused"


#: State under which the store keeps each result.
STATES = {
    Result.SENT: "sent",
    Result.LATER: "later",
    Result.FAILED: "failed",
    Result.GIVEN_UP: "failed",
    Result.EXPIRED: "expired",
    Result.REFUSED: "failed",
}


@dataclass(frozen=True, slots=True)
class Response:
    """What the gateway said.

    Args:
        status: HTTP status, 0 when it could not be reached or did not answer in time.
        asked_s: seconds from its Retry-After, 0 without one.
    """

    status: int
    asked_s: float = 0.0


def result_of(status: int) -> Result:
    """What a status means for the message.

    >>> [str(result_of(status)) for status in (200, 204, 400, 404, 429, 500, 0, 302)]
    ['sent', 'sent', 'failed', 'failed', 'later', 'later', 'later', 'later']
    """
    if 200 <= status < 300:
        return Result.SENT
    return Result.FAILED if 400 <= status < 500 and status != 429 else Result.LATER


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
                status, asked = answer.status_code, answer.headers.get("retry-after", "")
        except httpx.HTTPError:
            return Response(0)
        return Response(status, float(asked) if asked.isascii() and asked.isdigit() else 0.0)

    return post


@dataclass(frozen=True, slots=True)
class Sender:
    """Hands over what is due.

    Args:
        store: where the outbox is.
        clock: what the time is.
        address: the gateway's address.
        sender: what messages are from.
        post: posts a message to the address, by its outgoing id and its body.
        damage: told of damaged keys.
        meter: counts.
    """

    store: Store
    clock: Clock
    address: str
    sender: str
    post: Callable[[str, bytes], Response]
    damage: Damage
    meter: Meter = field(default_factory=NoMeter)

    def send_due(self, bucket: int, until_s: float = inf) -> int:
        """Hands over what is due in one bucket, up to the first claim that comes back empty.

        Args:
            bucket: the bucket.
            until_s: no attempt begins after this, on the clock that only goes forward.

        Returns:
            How many messages it tried.
        """
        tried = 0
        while self.clock.monotonic_s() < until_s and (claimed := self._claimed(bucket)):
            for message in claimed:
                self._settle(message, *self._attempt(message))
            tried += len(claimed)
        return tried

    def _claimed(self, bucket: int) -> Claims:
        claims = self.store.claim(bucket, unix_ms(self.clock.now()), LEASE_MS, CLAIM_MOST)
        self.damage.met(*claims.damaged)
        return claims

    def _attempt(self, message: Claimed) -> tuple[Result, float]:
        """The result, and the seconds that the gateway asked us to wait."""
        try:
            parcel = msgspec.json.decode(message.body, type=Parcel)
        except msgspec.DecodeError:
            return Result.FAILED, 0.0
        if unix_ms(self.clock.now()) > message.expires_ms:
            return Result.EXPIRED, 0.0
        try:
            check_route(parcel.number, self.address)
        except DemoNumber:
            return Result.REFUSED, 0.0
        response = self.post(message.oid, msgspec.json.encode(delivery_of(message.oid, parcel, self.sender)))
        result = result_of(response.status)
        # While the gateway is not there at all the message's own expiry gives up, not the count of attempts.
        if result is Result.LATER and message.attempts >= ATTEMPTS and response.status != 0:
            result = Result.GIVEN_UP
        return result, response.asked_s

    def _settle(self, message: Claimed, result: Result, asked_s: float) -> None:
        now_ms = unix_ms(self.clock.now())
        retry_at_ms = None
        if result is Result.LATER:
            retry_at_ms = now_ms + round(1000 * wait_s(message.oid, message.attempts, asked_s))
        try:
            self.store.settle(message.oid, message.lane, STATES[result], now_ms, retry_at_ms)
        except StoreDamaged as error:
            # its lease holds it back for now, and the next message waits for nobody
            self.damage.met(error.key)
        self.meter.handed_over(result.value)
        level = logging.INFO if result in (Result.SENT, Result.LATER) else logging.WARNING
        log_event("hand_over", level=level, oid=message.oid, result=result.value, attempts=message.attempts)
