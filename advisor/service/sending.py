"""Hands outgoing messages to the gateway: claim, post, settle. A crash in between repeats the same id.

Rounds are claimed many at a time, since each claim takes trips of its own. The claim is what obeys a stop, so
each request begins within `BEGIN_BY_S` of its claim; what does not is given back. Where a connection takes long to
come about it is asked once more whether the message may leave. Answers and alerts are claimed
one at a time: there are few, and a stop then holds back the very next page.
"""

from __future__ import annotations

import logging
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from math import inf

import msgspec

from advisor.service.backoff import wait_s
from advisor.service.clock import Clock, unix_ms
from advisor.service.damage import Damage
from advisor.service.journal import log_event
from advisor.service.meter import Meter, NoMeter
from advisor.service.outgoing import Parcel, delivery_of
from advisor.service.pacing import BEGIN_BY_S, Pace
from advisor.service.posting import Post, Withheld
from advisor.service.routing import DemoNumber, check_route
from advisor.service.verdicts import STATES, Result, Verdict, is_trouble, verdict_of
from advisor.store.api import LANES, ROUNDS, Claimed, Settlement, Store, StoreDamaged, StoreUnavailable, Terms

#: Longer than an attempt can take, so that nobody else claims what is still under way.
LEASE_MS = 30_000
#: Acknowledgements are written down at least so often.
SETTLE_EVERY_S = 0.1
#: So that not every answer takes a trip of its own to be granted.
GRANTED_TOGETHER = 10
_PARCELS = msgspec.json.Decoder(Parcel)
#: Answers and alerts leave on no terms.
_NO_TERMS = Terms()
#: Answers and alerts.
URGENT = tuple(lane for lane in LANES if lane != ROUNDS)


@dataclass(frozen=True, slots=True)
class Sender:
    """Hands over what is due.

    Args:
        store: where the outbox is.
        clock: what the time is.
        address: the gateway's address.
        sender: what messages are from.
        post: posts a message to the address.
        damage: told of damaged keys.
        meter: counts.
        terms: on what terms rounds leave at a moment.
        per_second: messages a second, of all senders together.
        memory: for how long the gateway knows an id again; after that a message that it may have is not repeated.
        pace: what this sender has learnt.
    """

    store: Store
    clock: Clock
    address: str
    sender: str
    post: Post
    damage: Damage
    meter: Meter = field(default_factory=NoMeter)
    terms: Callable[[datetime], Terms] = lambda _now: Terms()
    per_second: int = 50
    memory: timedelta = timedelta(hours=24)
    pace: Pace = field(default_factory=Pace)

    def send_due(self, bucket: int, until_s: float = inf, lanes: tuple[int, ...] = LANES) -> int:
        """Hands over what is due in one bucket, up to the first claim that brings less than was asked for, or all.

        Args:
            bucket: the bucket.
            until_s: no attempt begins after this, on the clock that only goes forward.
            lanes: only these.

        Returns:
            How many messages it tried; fewer than are due where more may not leave now.
        """
        self._settle_owed()
        tried = 0
        while self.clock.monotonic_s() < until_s and (many := self._granted(lanes)):
            begun_s = self.clock.monotonic_s()
            # after each SMS answers and alerts are all that is looked for
            terms = self.terms(self.clock.now()) if ROUNDS in lanes else _NO_TERMS
            claims = self.store.claim(bucket, self._now_ms(), LEASE_MS, many, terms, lanes)
            self.damage.met(*claims.damaged)
            if not claims:
                break
            went = self._hand_over(bucket, claims, begun_s, terms)
            self.pace.spare -= went
            tried += went
            if not went or len(claims) < many or not claims.more:
                break
        return tried

    def pause_s(self) -> float:
        """Seconds until this sender may go on, 0 where nothing but the outbox tells it to wait."""
        return self.pace.paused_s(self.clock.monotonic_s())

    def _granted(self, lanes: tuple[int, ...]) -> int:
        """How many messages may be claimed now; rounds leave a tenth of what may leave to answers and alerts."""
        pace, now_s = self.pace, self.clock.monotonic_s()
        if pace.paused_s(now_s):
            return 0
        wanted = 1 if ROUNDS not in lanes else pace.batch()
        if not pace.has(now_s):
            reserve = self.per_second // 10 if ROUNDS in lanes else 0
            grant = self.store.grant(self._now_ms(), self.per_second, max(wanted, GRANTED_TOGETHER), reserve)
            pace.grant(grant.many, now_s)
            if not grant.many:
                pace.pause(grant.wait_ms / 1000, now_s)
        return min(wanted, pace.spare)

    def _hand_over(self, bucket: int, claims: Iterable[Claimed], begun_s: float, terms: Terms) -> int:
        """Tries what was claimed, in order, and settles it. What cannot begin in time is given back."""
        settled: list[Settlement] = []
        waiting: dict[str, int] = {}
        went, settled_s = 0, begun_s
        for message in claims:
            begin_s = self.clock.monotonic_s()
            if message.after in waiting:
                one = self._given_back(message, waiting[message.after] + 1)
            elif (
                begin_s - begun_s > BEGIN_BY_S
                or self.pace.paused_s(begin_s)
                or not self._may_begin(message, terms)
            ):
                one = self._given_back(message, self._now_ms())
            else:
                one = self._tried(message)
                went += 1
                self.pace.took(self.clock.monotonic_s() - begin_s)
            if one.again_ms is not None:
                waiting[one.oid] = one.again_ms
            settled.append(one)
            if self.clock.monotonic_s() - settled_s > SETTLE_EVERY_S:
                self._settle(bucket, settled)
                settled, settled_s = [], self.clock.monotonic_s()
        self._settle(bucket, settled)
        return went

    def _may_begin(self, message: Claimed, terms: Terms) -> bool:
        return message.lane != ROUNDS or self._now_ms() < terms.until_ms

    def _given_back(self, message: Claimed, again_ms: int) -> Settlement:
        """As if it had not been claimed."""
        attempts, begun_ms = message.attempts - 1, message.begun_ms
        claim = message.attempts
        return Settlement(message.oid, message.lane, "later", again_ms, attempts, begun_ms, claim=claim)

    def _still_may(self, message: Claimed) -> bool:
        """Whether a message that was claimed may leave now, some time after; a stop has taken it away."""
        try:
            is_queued = self.store.state(message.oid) == "queued"
        except (StoreUnavailable, StoreDamaged):
            return False
        terms = self.terms(self.clock.now()) if message.lane == ROUNDS else _NO_TERMS
        return is_queued and self._may_begin(message, terms)

    def _tried(self, message: Claimed) -> Settlement:
        try:
            verdict, asked_s = self._attempt(message)
        except Withheld:
            return self._given_back(message, self._now_ms())
        self._note(message, verdict.result)
        attempts, again_ms = None, None
        begun_ms = None if verdict.may_have else message.begun_ms
        if verdict.result is Result.LATER:
            attempts = None if verdict.counts else message.attempts - 1
            again_ms = self._now_ms() + round(1000 * wait_s(message.oid, message.attempts, asked_s))
            # once its time is over it must be looked at again, while its number and text are still there
            again_ms = min(again_ms, message.expires_ms + 1)
        if verdict.hold_s:
            self.store.hold(self._now_ms(), round(1000 * verdict.hold_s))
            self.pace.spare = 0
            self.pace.pause(verdict.hold_s, self.clock.monotonic_s())
        state = STATES[verdict.result]
        return Settlement(
            message.oid,
            message.lane,
            state,
            again_ms,
            attempts,
            begun_ms,
            message.grower,
            message.round,
            claim=message.attempts,
        )

    def _attempt(self, message: Claimed) -> tuple[Verdict, float]:
        """The verdict, and the seconds that the gateway asked us to wait."""
        now_ms = self._now_ms()
        if message.begun_ms and (
            now_ms > message.expires_ms or now_ms + LEASE_MS >= message.begun_ms + self._memory_ms
        ):
            return Verdict(Result.UNKNOWN), 0.0
        if now_ms > message.expires_ms:
            return Verdict(Result.EXPIRED), 0.0
        try:
            parcel = _PARCELS.decode(message.body)
            check_route(parcel.number, self.address)
        except msgspec.DecodeError:
            return Verdict(Result.FAILED), 0.0
        except DemoNumber:
            return Verdict(Result.REFUSED), 0.0
        body = msgspec.json.encode(delivery_of(message.oid, parcel, self.sender))
        response = self.post(message.oid, body, lambda: self._still_may(message))
        if is_trouble(response.status):
            self.pace.troubled.add(message.oid)
        else:
            self.pace.troubled.clear()
        return verdict_of(response, message.attempts, len(self.pace.troubled)), response.asked_s

    def _settle(self, bucket: int, settled: list[Settlement]) -> None:
        """Writes down what became of messages; what the store does not take it is told before the next claim."""
        try:
            # what is damaged its lease holds back for now, and the next message waits for nobody
            self.damage.met(*self.store.settle(bucket, settled, self._now_ms()))
        except StoreUnavailable:
            self.pace.owed += [(bucket, one) for one in settled if one.state != "later"]
            raise

    def _settle_owed(self) -> None:
        while self.pace.owed:
            bucket = self.pace.owed[0][0]
            owed = [one for of, one in self.pace.owed if of == bucket]
            self.pace.owed = [(of, one) for of, one in self.pace.owed if of != bucket]
            self._settle(bucket, owed)

    def _note(self, message: Claimed, result: Result) -> None:
        self.meter.handed_over(result.value)
        level = logging.INFO if result in (Result.SENT, Result.LATER) else logging.WARNING
        log_event("hand_over", level=level, oid=message.oid, result=result.value, attempts=message.attempts)

    @property
    def _memory_ms(self) -> int:
        return self.memory // timedelta(milliseconds=1)

    def _now_ms(self) -> int:
        return unix_ms(self.clock.now())
