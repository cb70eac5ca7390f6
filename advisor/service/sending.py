"""Hands outgoing messages to the gateway: claim, post, settle. A crash in between repeats the same id."""

from __future__ import annotations

import logging
from collections.abc import Callable
from dataclasses import dataclass, field
from enum import StrEnum
from math import inf

import msgspec

from advisor.service.backoff import ATTEMPTS, wait_s
from advisor.service.clock import Clock, unix_ms
from advisor.service.damage import Damage
from advisor.service.journal import log_event
from advisor.service.meter import Meter, NoMeter
from advisor.service.outgoing import Parcel, delivery_of
from advisor.service.posting import Response
from advisor.service.routing import DemoNumber, check_route
from advisor.store.api import Claimed, Claims, Settlement, Store
from advisor.store.names import bucket_of_out

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


def result_of(status: int) -> Result:
    """What a status means for the message.

    >>> [str(result_of(status)) for status in (200, 204, 400, 404, 429, 500, 0, 302)]
    ['sent', 'sent', 'failed', 'failed', 'later', 'later', 'later', 'later']
    """
    if 200 <= status < 300:
        return Result.SENT
    return Result.FAILED if 400 <= status < 500 and status != 429 else Result.LATER


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
        settled = Settlement(message.oid, message.lane, STATES[result], retry_at_ms)
        # what is damaged its lease holds back for now, and the next message waits for nobody
        self.damage.met(*self.store.settle(bucket_of_out(message.oid), [settled], now_ms))
        self.meter.handed_over(result.value)
        level = logging.INFO if result in (Result.SENT, Result.LATER) else logging.WARNING
        log_event("hand_over", level=level, oid=message.oid, result=result.value, attempts=message.attempts)
