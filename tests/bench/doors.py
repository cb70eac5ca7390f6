"""What a request is asked at the door, each question alone."""

from __future__ import annotations

import statistics
import time
from datetime import UTC, datetime

from advisor.gateway.addresses import Networks, asking
from advisor.gateway.rates import Limit, Tally
from advisor.service.signing import Given, Keys
from tests.bench.sides import KEY
from tests.bench.sums import times_us
from tests.bench.talks import conversation
from tests.gateway.signed import headers

TURNS = 5000


def at_the_door(turns: int = TURNS) -> list[tuple[str, float]]:
    """Each question, and the median of its microseconds."""
    keys, now = Keys.read(KEY), datetime.now(UTC)
    body = conversation(0, 1)[5]
    given = Given(*headers(body, now.timestamp(), KEY).values())
    tally, limit = Tally(), Limit(1_000_000, 1_000_000)
    proxies = speakers = Networks.read("127.0.0.0/8 2001:db8::/32")

    def listed() -> bool:
        who = asking("127.0.0.1", "192.0.2.9", False, proxies).address
        return who is not None and speakers.holds(who)

    questions = (
        ("a signature of a body of one message holds", lambda: keys.check(given, body, now)),
        (
            "one more of an address or number is counted",
            lambda: tally.wait_s("number +99900112233", limit, time.monotonic()),
        ),
        ("an address behind a proxy is looked up in a list", listed),
    )
    return [(what, statistics.median(times_us(question, turns))) for what, question in questions]
