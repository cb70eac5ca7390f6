"""A round that is tried at a demonstration: for some phones, on a clock that is moved through its days."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from advisor.campaign.deciding import Running
from advisor.campaign.reading import read_round
from advisor.service.campaigns import Campaigns
from advisor.service.clock import ShiftedClock, unix_ms
from advisor.service.identity import Ids
from advisor.service.rounds import Rounds
from advisor.store.api import RoundRow, RoundState
from advisor.store.names import bucket_of

#: Where nobody is due soon the planner looks again after so long; it puts growers into its list two days ahead.
LOOK_AGAIN = timedelta(days=1)
#: So much time passes at once, so that a slip of the year does not keep everybody waiting.
MOST = timedelta(days=400)
#: Nobody is looked at twice within so long, whatever a list says.
LEAST = timedelta(minutes=1)


@dataclass(slots=True)
class RoundTrial:
    """The round on trial; one at a time, another takes its place.

    The same planner, ticker and sender work as in a service, but in the buckets of these phones alone, and in turn
    with the clock: it stops wherever one of them is due, and goes on once all that is due has left.

    Args:
        campaigns: plans and makes messages.
        rounds: hands them over.
        clock: is moved.
        ids: derives ids of growers.
    """

    campaigns: Campaigns
    rounds: Rounds
    clock: ShiftedClock
    ids: Ids
    _running: Running | None = None
    _growers: tuple[str, ...] = ()
    _tried: int = 0

    def start(self, text: str, numbers: Sequence[str]) -> str:
        """Starts a round now, and lets leave what is due at once.

        Args:
            text: its definition.
            numbers: the phones that it is for.

        Returns:
            The name of the round.

        Raises:
            DataFault: the definition cannot be read.
        """
        found = read_round(text, self.campaigns.languages)
        with self.rounds.turn:
            if self._running is not None:
                self.campaigns.store.set_round(self._running.round.key, RoundState.STOPPED)
            self._tried += 1
            row = RoundRow(
                f"{found.key}-{self._tried}", RoundState.RUNNING, unix_ms(self.clock.now()), text.encode()
            )
            self.campaigns.store.start_round(row)
            self._running = self.campaigns.running(row)
            self._growers = tuple(self.ids.number(number) for number in numbers)
            self._go_over()
        return row.key

    def pass_to(self, moment: datetime) -> None:
        """Lets time pass to a moment, with all that the round has to say on the way; back it goes at once.

        Raises:
            ValueError: the clock cannot go there, or it is too far.
        """
        with self.rounds.turn:
            if self._running is not None and moment - self.clock.now() > MOST:
                raise ValueError(f"more than {MOST.days} days at once cannot pass: let them pass in parts")
            while self._running is not None and (then := self._next_stop(self._running)) < moment:
                self.clock.move_to(then)
                self._go_over()
            self.clock.move_to(moment)
            self._go_over()

    def _go_over(self) -> None:
        if self._running is None:
            return
        until_s = self.clock.monotonic_s() + 1.0
        self._running = self.campaigns.with_rains(self._running)
        for bucket in sorted({bucket_of(grower) for grower in self._growers}):
            self.campaigns.planner.plan(self._running, bucket, until_s)
            while self.campaigns.ticker.tick(self._running, bucket):
                pass
        while self.rounds.go_over():
            pass

    def _next_stop(self, running: Running) -> datetime:
        now = self.clock.now()
        looks = [now + LOOK_AGAIN]
        for grower in self._growers:
            looks += self.campaigns.planner.looks(running, (grower,))
        return max(min(looks), now + LEAST)
