"""How fast one sender goes: what it was granted, how long the gateway takes, whether it is in trouble."""

from __future__ import annotations

from dataclasses import dataclass, field

from advisor.store.api import Settlement

#: One claim takes so many messages at most, and no more than can be handed over in `SPAN_S`.
CLAIM_MOST = 100
SPAN_S = 0.4
#: No request begins later than this after its claim began, so none begins a second after a stop.
BEGIN_BY_S = 0.7
#: What was granted and not used is good for so long.
GRANT_S = 1.0
#: Nobody waits longer than this without asking whether he may go on.
LONGEST_PAUSE_S = 1.0
_WEIGHT = 0.2


@dataclass(slots=True)
class Pace:
    """What one sender has learnt; it is lost with the process, and nothing with it.

    Args:
        spare: messages that were granted and are not used.
        owed: settlements that the store did not take, by bucket.
        troubled: messages in a row that had trouble, different ones.
        turn: the bucket that comes first.
    """

    spare: int = 0
    owed: list[tuple[int, Settlement]] = field(default_factory=list)
    troubled: set[str] = field(default_factory=set)
    turn: int = 0
    _granted_s: float = 0.0
    _paused_until_s: float = float("-inf")
    _each_s: float = 0.0

    def batch(self) -> int:
        """How many messages to claim at once: one while there is trouble, to see whether it is over.

        >>> pace = Pace()
        >>> pace.took(0.05)
        >>> pace.batch()
        8
        >>> pace.troubled.add("b07-3a9c")
        >>> pace.batch()
        1
        """
        if self.troubled:
            return 1
        return max(1, min(CLAIM_MOST, int(SPAN_S / self._each_s))) if self._each_s else CLAIM_MOST

    def took(self, seconds: float) -> None:
        """Notes how long one hand-over took; one that takes longer counts at once, quicker ones by and by."""
        slower = seconds > self._each_s
        self._each_s = seconds if slower else self._each_s + _WEIGHT * (seconds - self._each_s)

    def grant(self, many: int, now_s: float) -> None:
        """Notes what was granted."""
        self.spare, self._granted_s = many, now_s

    def has(self, now_s: float) -> bool:
        """Whether something that was granted is left and still good."""
        return self.spare > 0 and now_s - self._granted_s < GRANT_S

    def pause(self, seconds: float, now_s: float) -> None:
        """Nothing is asked for, for a while."""
        self._paused_until_s = max(self._paused_until_s, now_s + min(seconds, LONGEST_PAUSE_S))

    def paused_s(self, now_s: float) -> float:
        """How many seconds of a pause are left."""
        return max(0.0, self._paused_until_s - now_s)
