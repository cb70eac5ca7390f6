"""Who may speak: asked of every request before anybody looks at what it says, and before the store is asked.

In this order: how often the address asks, whether it is on the list, whether the body is signed, how often the
number writes. Who is turned away learns nothing of growers: what is known of a number changes no such answer.
"""

from __future__ import annotations

from dataclasses import dataclass
from http import HTTPStatus
from typing import NoReturn, cast

from flask import Flask, Request, g, request

from advisor.gateway.addresses import NO_NETWORK, Asking, BadForwarding, Networks, asking
from advisor.gateway.metrics import Metrics
from advisor.gateway.problems import Refused
from advisor.gateway.rates import Limit, Tally
from advisor.service.clock import Clock
from advisor.service.signing import Given, Keys, Unsigned

#: Headers by which a proxy may tell that it stands between, beside the one that is read.
_TRACES = ("HTTP_FORWARDED", "HTTP_VIA", "HTTP_X_REAL_IP")


@dataclass(frozen=True, slots=True)
class Rules:
    """Who may speak, and how often.

    Args:
        keys: one of them must have signed a message; empty for nobody, None for whoever comes.
        speakers: networks that messages come from, empty for any.
        watchers: networks that health and figures are shown to, None for any.
        proxies: networks of proxies whose word on addresses is believed.
        address: how often an address may ask, None for any number of times.
        number: how often a number may write, None for any number of times.
    """

    keys: Keys | None = None
    speakers: Networks = NO_NETWORK
    watchers: Networks | None = None
    proxies: Networks = NO_NETWORK
    address: Limit | None = None
    number: Limit | None = None


class Door:
    """Turns away who may not speak, by raising `Refused`.

    Args:
        rules: who may.
        clock: what the time is.
        metrics: counts who was turned away, by reason.
        tally: how often somebody asked; shared by the workers of a service.
    """

    def __init__(self, rules: Rules, clock: Clock, metrics: Metrics, tally: Tally) -> None:
        self._rules = rules
        self._clock = clock
        self._metrics = metrics
        self._tally = tally

    @property
    def signed(self) -> bool:
        """Whether messages must be signed."""
        return self._rules.keys is not None

    def stand_before(self, app: Flask) -> None:
        """Counts every request of an application, whatever it asks for."""
        app.before_request(self._count_address)

    def admit_speaker(self) -> None:
        """Turns away a message from an address that is not on the list."""
        rules = self._rules
        if rules.speakers and not _is_in(rules.speakers, self._asking()):
            self._refuse(HTTPStatus.FORBIDDEN, "address", "no messages are taken from this address", "address")

    def admit_watcher(self) -> None:
        """Turns away who may not see health and figures."""
        rules = self._rules
        if rules.watchers is None:
            return
        who = self._asking()
        # behind a proxy that we do not know of everybody has its address, most likely that of this machine
        if who.by_unknown_proxy or not _is_in(rules.watchers, who):
            self._refuse(HTTPStatus.FORBIDDEN, "address", "this is not shown to this address", "address")

    def check_signature(self, asked: Request, body: bytes) -> None:
        """Turns away a message that is not signed, before anything in it is read.

        Args:
            asked: the request.
            body: as it came.
        """
        keys = self._rules.keys
        if keys is None:
            return
        said = asked.environ
        given = Given(
            said.get("HTTP_WEBHOOK_ID"), said.get("HTTP_WEBHOOK_TIMESTAMP"), said.get("HTTP_WEBHOOK_SIGNATURE")
        )
        try:
            keys.check(given, body, self._clock.now())
        except Unsigned as error:
            self._refuse(HTTPStatus.UNAUTHORIZED, error.reason, error.detail, error.header)

    def count_number(self, number: str) -> None:
        """Counts a message of a number; turns it away where there were too many. A signature stands behind it."""
        self._count("number", number, self._rules.number, "from")

    def _count_address(self) -> None:
        # all workers of a machine count together, and a request that goes on costs no trip to the store
        if self._rules.address is not None:
            self._count("address", self._asking().holder, self._rules.address, "address")

    def _count(self, what: str, who: str, limit: Limit | None, field: str) -> None:
        if limit is None:
            return
        wait_s = self._tally.wait_s(who, limit, self._clock.monotonic_s())
        if wait_s:
            detail = f"too much from this {what}: repeat the request after {wait_s} s"
            self._refuse(HTTPStatus.TOO_MANY_REQUESTS, f"{what}_rate", detail, field, wait_s)

    def _asking(self) -> Asking:
        found = cast("Asking | None", g.get("asking"))
        if found is None:
            said = request.environ
            traces = any(name in said for name in _TRACES)
            try:
                found = asking(
                    said.get("REMOTE_ADDR", ""), said.get("HTTP_X_FORWARDED_FOR", ""), traces, self._rules.proxies
                )
            except BadForwarding as error:
                self._refuse(HTTPStatus.BAD_REQUEST, "forwarding", str(error), "x-forwarded-for")
            g.asking = found
        return found

    def _refuse(
        self, status: HTTPStatus, reason: str, detail: str, field: str, retry_after_s: int | None = None
    ) -> NoReturn:
        self._metrics.refused(reason)
        raise Refused(status, reason, detail, field, retry_after_s)


def _is_in(networks: Networks, who: Asking) -> bool:
    return who.address is not None and networks.holds(who.address)
