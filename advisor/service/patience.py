"""How long the shell keeps trying while the store does not answer: at most 5 tries, at most a second in all."""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar

from advisor.service.clock import Clock
from advisor.service.errors import Busy
from advisor.store.api import StoreUnavailable

TRIES = 5
BUDGET_S = 1.0
FIRST_PAUSE_S = 0.02

Result = TypeVar("Result")


def with_patience(action: Callable[[], Result], clock: Clock) -> Result:
    """Does something that is safe to repeat, until it works or patience ends.

    A further try begins only if one as slow as the slowest so far still fits into the budget, so that the
    caller hears of the trouble within about a second.

    Args:
        action: what to do; repeating it must change nothing more than doing it once.
        clock: to measure and to pause.

    Raises:
        Busy: the store was unavailable on every try.
    """
    started_s = clock.monotonic_s()
    slowest_s = 0.0
    pause_s = FIRST_PAUSE_S
    for attempt in range(1, TRIES + 1):
        begun_s = clock.monotonic_s()
        try:
            return action()
        except StoreUnavailable as error:
            ended_s = clock.monotonic_s()
            slowest_s = max(slowest_s, ended_s - begun_s)
            if attempt == TRIES or ended_s - started_s + pause_s + slowest_s > BUDGET_S:
                raise Busy(error.retry_after_s) from error
        clock.wait(pause_s)
        pause_s *= 2
    raise AssertionError("the loop above returns or raises")
