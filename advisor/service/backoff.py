"""When to try an outgoing message again. Pure: the spread comes from the message's id, not from chance."""

from __future__ import annotations

import hashlib

FIRST_WAIT_S = 2.0
FACTOR = 4.0
LONGEST_WAIT_S = 3600.0
#: The eighth failure is the last; with these waits that is after one to two hours.
ATTEMPTS = 8


def wait_s(oid: str, attempts: int, asked_s: float = 0.0) -> float:
    """Seconds to wait after a failed attempt.

    Args:
        oid: id of the outgoing message, from which the spread derives.
        attempts: attempts so far, from 1.
        asked_s: what the gateway asked for, 0 when it asked for nothing.

    Returns:
        Half to whole of an exponentially growing wait, but no less than was asked for, at most an hour.

    >>> [round(wait_s("b07-aa", attempts)) for attempts in (1, 2, 3, 7)]
    [2, 5, 26, 3474]
    >>> wait_s("b07-aa", 1, asked_s=30)
    30
    """
    full_s = min(FIRST_WAIT_S * FACTOR ** (min(attempts, ATTEMPTS) - 1), LONGEST_WAIT_S)
    spread = int.from_bytes(hashlib.sha256(f"{oid} {attempts}".encode()).digest()[:4], "big") / 2**32
    return max(full_s * (0.5 + spread / 2), min(asked_s, LONGEST_WAIT_S))
