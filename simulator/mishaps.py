"""What a bad gateway does to messages and receipts.

Drawn from a seed, the message's id and the attempt, so that a message meets the same fate again however requests
fall between each other.
"""

from __future__ import annotations

import hashlib
from dataclasses import dataclass, field, fields
from enum import StrEnum

from simulator.errors import SimulatorError


class Fate(StrEnum):
    """What becomes of one request."""

    TAKEN = "taken"
    #: Taken, and the answer keeps the sender waiting.
    LATE = "late"
    #: Taken, and the sender is told that something went wrong.
    UNSAID = "unsaid"
    #: Closed without an answer, and forgotten.
    DROPPED = "dropped"
    TOO_MANY = "too_many"
    FAULT = "fault"
    AWAY = "away"

    @property
    def is_taken(self) -> bool:
        """Whether the phone gets the message."""
        return self in (Fate.TAKEN, Fate.LATE, Fate.UNSAID)


class RatesTooHigh(SimulatorError):  # noqa: N818
    """Rates that are no parts of all requests."""

    def __init__(self, what: str) -> None:
        super().__init__(f"{what}: give each from 0 to 1, and those of requests no more than 1 together")


def _rate(meaning: str) -> float:
    return field(default=0.0, metadata={"meaning": meaning})


@dataclass(frozen=True, slots=True)
class Rates:
    """How often each thing goes wrong, each a part of all requests or of all receipts, from 0 to 1.

    Raises:
        RatesTooHigh: a rate outside its range, or those of requests above 1 together.
    """

    dropped: float = _rate("Requests that are closed without an answer and forgotten.")
    late: float = _rate("Requests that are answered late.")
    unsaid: float = _rate("Requests that are taken and answered 500.")
    too_many: float = _rate("Requests that are refused with 429 and a Retry-After.")
    fault: float = _rate("Requests that are refused with 500.")
    away: float = _rate("Requests that are refused with 503.")
    receipts_doubled: float = _rate("Receipts that are sent twice.")
    receipts_shuffled: float = _rate("Receipts that let later ones pass.")

    def __post_init__(self) -> None:
        of_each = {each.name: getattr(self, each.name) for each in fields(self)}
        if wrong := sorted(name for name, rate in of_each.items() if not 0 <= rate <= 1):
            raise RatesTooHigh(f"{wrong[0]} is {of_each[wrong[0]]:g}")
        if (total := sum(rate for _, rate in self.of_requests)) > 1 + 1e-9:
            raise RatesTooHigh(f"those of requests are {total:g} together")

    @property
    def of_requests(self) -> tuple[tuple[Fate, float], ...]:
        """The rate of each fate but the good one."""
        return (
            (Fate.DROPPED, self.dropped),
            (Fate.LATE, self.late),
            (Fate.UNSAID, self.unsaid),
            (Fate.TOO_MANY, self.too_many),
            (Fate.FAULT, self.fault),
            (Fate.AWAY, self.away),
        )


@dataclass(frozen=True, slots=True)
class Mishaps:
    """A gateway's bad luck.

    Args:
        seed: another seed, other luck.
        rates: how often.
        longest_s: how long the latest answer takes.

    >>> Mishaps(7, Rates(dropped=1)).fate("b07-aa", 1)
    <Fate.DROPPED: 'dropped'>
    >>> Mishaps(7).fate("b07-aa", 1), Mishaps(7).copies("b07-aa"), Mishaps(7).lets_pass("b07-aa")
    (<Fate.TAKEN: 'taken'>, 1, 0)
    """

    seed: int = 0
    rates: Rates = Rates()
    longest_s: float = 2.0

    def fate(self, message_id: str, attempt: int) -> Fate:
        """What becomes of an attempt to hand over a message, counted from 1."""
        drawn = self._drawn("fate", message_id, attempt)
        for fate, rate in self.rates.of_requests:
            if drawn < rate:
                return fate
            drawn -= rate
        return Fate.TAKEN

    def delay_s(self, message_id: str, attempt: int) -> float:
        """How long a late answer takes, in seconds."""
        return self.longest_s * self._drawn("delay", message_id, attempt)

    def copies(self, message_id: str) -> int:
        """How often the receipt of a message is sent."""
        return 2 if self._drawn("copies", message_id) < self.rates.receipts_doubled else 1

    def lets_pass(self, message_id: str) -> int:
        """How many later receipts overtake that of a message, 0 to 5."""
        if self._drawn("shuffled", message_id) >= self.rates.receipts_shuffled:
            return 0
        return 1 + int(5 * self._drawn("passing", message_id))

    def _drawn(self, *of: object) -> float:
        """From 0 to just under 1."""
        text = " ".join(map(str, (self.seed, *of)))
        return int.from_bytes(hashlib.sha256(text.encode()).digest()[:6], "big") / 2**48


NONE = Mishaps()
