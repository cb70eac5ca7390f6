"""What the gateway's answer to one message means: for the message, and for all that wait behind it. Pure."""

from __future__ import annotations

from enum import StrEnum

from msgspec import Struct

from advisor.service.backoff import ATTEMPTS
from advisor.service.posting import Response

#: So many different messages in a row that had trouble mean that the trouble is the gateway's.
IN_A_ROW = 3
LONGEST_HOLD_S = 60.0
#: Longest wait that a gateway may ask for.
LONGEST_ASKED_S = 3600.0

_TOO_MANY, _UNAVAILABLE = 429, 503
#: What a gateway answers whose keys or addresses are being changed: not about the message.
_NOT_ABOUT_IT = frozenset({401, 403, 404, 405, 407, 421})
#: Answers of the 400s after which the same request may succeed (RFC 9110, 15.5.9; RFC 8470, 5.2).
_ONCE_MORE = frozenset({408, 425})


class Result(StrEnum):
    """How an attempt went."""

    SENT = "sent"
    LATER = "later"
    FAILED = "failed"
    GIVEN_UP = "given_up"
    UNKNOWN = "unknown"
    EXPIRED = "expired"
    REFUSED = "refused"


#: State under which the store keeps each result.
STATES = {
    Result.SENT: "sent",
    Result.LATER: "later",
    Result.FAILED: "failed",
    Result.GIVEN_UP: "dead",
    Result.UNKNOWN: "unknown",
    Result.EXPIRED: "expired",
    Result.REFUSED: "failed",
}


class Verdict(Struct, frozen=True):
    """What an answer means.

    Args:
        result: for the message.
        counts: whether the attempt counts against the message; not where the trouble is the gateway's own.
        may_have: whether the gateway may have the message though it did not say so.
        hold_s: for so long nobody hands over anything.
    """

    result: Result
    counts: bool = True
    may_have: bool = True
    hold_s: float = 0.0


def verdict_of(response: Response, attempts: int, troubled: int) -> Verdict:
    """The verdict on an answer.

    Trouble with one message is that message's: it is tried `ATTEMPTS` times. Trouble with several in a row is the
    gateway's: it is left alone for a while, longer and longer, and no message pays for it. So a gateway that is
    being set up anew and answers 401, 403 or 404 to all costs nothing, and one message that it does not like,
    which it may also say by 404, holds up nobody for long.

    Args:
        response: what the gateway said.
        attempts: attempts that count, with this one.
        troubled: how many different messages in a row had trouble, with this one if it has.

    >>> [str(verdict_of(Response(status), 1, 1).result) for status in (200, 204, 400, 410, 429, 500, 0, 302)]
    ['sent', 'sent', 'failed', 'failed', 'later', 'later', 'later', 'later']
    >>> [str(verdict_of(Response(404), 8, troubled).result) for troubled in (1, 3)]
    ['given_up', 'later']
    >>> verdict_of(Response(429, asked_s=30), 1, 1).hold_s
    30
    """
    if 200 <= response.status < 300:
        return Verdict(Result.SENT)
    if is_final(response.status):
        return Verdict(Result.FAILED)
    if response.status == _TOO_MANY or (response.status == _UNAVAILABLE and response.asked_s):
        hold_s = min(response.asked_s, LONGEST_ASKED_S) or _hold_s(troubled + IN_A_ROW - 1)
        return Verdict(Result.LATER, counts=False, may_have=False, hold_s=hold_s)
    counts = response.reached and troubled < IN_A_ROW
    result = Result.GIVEN_UP if counts and attempts >= ATTEMPTS else Result.LATER
    may_have = response.reached and response.status not in _NOT_ABOUT_IT
    return Verdict(result, counts, may_have, _hold_s(troubled))


def is_final(status: int) -> bool:
    """Whether the gateway will never take this message.

    >>> [status for status in (200, 400, 401, 404, 408, 409, 413, 422, 425, 429, 500) if is_final(status)]
    [400, 409, 413, 422]
    """
    return 400 <= status < 500 and status != _TOO_MANY and status not in _NOT_ABOUT_IT | _ONCE_MORE


def is_trouble(status: int) -> bool:
    """Whether an answer says that the gateway, or the way to it, is not well.

    >>> [status for status in (0, 200, 302, 400, 404, 422, 429, 503) if is_trouble(status)]
    [0, 302, 404, 429, 503]
    """
    return not 200 <= status < 300 and not is_final(status)


def _hold_s(troubled: int) -> float:
    return min(2.0 ** (troubled - IN_A_ROW), LONGEST_HOLD_S) if troubled >= IN_A_ROW else 0.0
