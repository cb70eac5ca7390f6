"""How long to wait when somebody else wrote to the same grower first. Pure: the spread comes from the message."""

from __future__ import annotations

import hashlib

FIRST_PAUSE_S = 0.01
LONGEST_PAUSE_S = 0.16
#: In all, from the first try; after that the gateway is asked to repeat the message.
BUDGET_S = 1.0


def pause_s(message: str, tries: int) -> float:
    """Seconds to wait after a try that came second.

    Args:
        message: hash of the inbound message id, from which the spread derives.
        tries: tries so far, from 1.

    Returns:
        Between nothing and a growing limit, so that those who met once do not meet again.

    >>> [round(pause_s("55ff", tries), 3) for tries in (1, 2, 9)]
    [0.007, 0.019, 0.113]
    """
    limit_s = min(FIRST_PAUSE_S * 2.0 ** (min(tries, 16) - 1), LONGEST_PAUSE_S)
    drawn = int.from_bytes(hashlib.sha256(f"{message} {tries}".encode()).digest()[:4], "big") / 2**32
    return limit_s * drawn
