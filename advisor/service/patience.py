"""How long the shell keeps trying while the store does not answer: at most 5 tries, at most a second in all."""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar

from advisor.service.breaker import Breaker
from advisor.service.clock import Clock
from advisor.service.errors import Busy
from advisor.store.api import StoreUnavailable

TRIES = 5
BUDGET_S = 1.0
FIRST_PAUSE_S = 0.02

Result = TypeVar("Result")


def with_patience(action: Callable[[], Result], clock: Clock, breaker: Breaker) -> Result:
    """Does something that is safe to repeat, until it works or patience ends.

    A further try begins only if one as slow as the slowest so far still fits into the budget, so that the
    caller hears of the trouble within about a second. Where others have just given up there is no try at all.

    Args:
        action: what to do; repeating it must change nothing more than doing it once.
        clock: to measure and to pause.
        breaker: what the other threads of this process have met.

    Raises:
        Busy: the store was unavailable on every try.
    """
    begun_s = clock.monotonic_s()
    if not breaker.lets(begun_s):
        raise Busy(1)
    try:
        result = _tried(action, clock, begun_s)
    except StoreUnavailable as error:
        breaker.failed(begun_s, clock.monotonic_s())
        raise Busy(error.retry_after_s) from error
    except BaseException:
        breaker.worked(clock.monotonic_s())
        raise
    breaker.worked(clock.monotonic_s())
    return result


def _tried(action: Callable[[], Result], clock: Clock, begun_s: float) -> Result:
    slowest_s = 0.0
    pause_s = FIRST_PAUSE_S
    for attempt in range(1, TRIES + 1):
        try_begun_s = clock.monotonic_s()
        try:
            return action()
        except StoreUnavailable:
            ended_s = clock.monotonic_s()
            slowest_s = max(slowest_s, ended_s - try_begun_s)
            if attempt == TRIES or ended_s - begun_s + pause_s + slowest_s > BUDGET_S:
                raise
        clock.wait(pause_s)
        pause_s *= 2
    raise AssertionError("the loop above returns or raises")
