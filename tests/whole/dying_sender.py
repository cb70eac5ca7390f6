"""A sender that kills itself at a step: ``python -m tests.whole.dying_sender store gateway step times minutes``.

Steps are ``before`` and ``after`` a claim, a post, a settlement or a grant; ``never`` hands over all that is due,
with a clock that is a minute ahead, so that the leases of the dead are over.
"""

from __future__ import annotations

import os
import signal
import sys
from collections.abc import Callable
from datetime import datetime, timedelta
from typing import Any

from advisor.service.clock import SystemClock
from advisor.service.damage import Damage
from advisor.service.handing_over import HandingOver
from advisor.service.pacing import Pace
from advisor.service.posting import http_post
from advisor.service.sending import Sender
from advisor.service.signing import Keys
from advisor.service.sound import Sound
from advisor.store.redis_store import RedisStore


class Ahead(SystemClock):
    """The machine's clock, so many minutes ahead."""

    def __init__(self, minutes: int) -> None:
        self.minutes = minutes

    def now(self) -> datetime:
        return super().now() + timedelta(minutes=self.minutes)


class Dying:
    """Kills the process at the n-th time of a step."""

    def __init__(self, step: str, times: int) -> None:
        self.step, self.left = step, times

    def at(self, name: str, work: Callable[..., Any]) -> Callable[..., Any]:
        """The work, with its two steps."""

        def done(*arguments: Any) -> Any:
            self._die_at(f"before-{name}")
            result = work(*arguments)
            self._die_at(f"after-{name}")
            return result

        return done

    def _die_at(self, step: str) -> None:
        self.left -= step == self.step
        if step == self.step and not self.left:
            os.kill(os.getpid(), signal.SIGKILL)


def main(address: str, gateway: str, step: str, times: int, ahead: int) -> None:
    clock, dying, store = Ahead(ahead), Dying(step, times), RedisStore(address)
    store.open()
    for name in ("claim", "settle", "grant"):
        setattr(store, name, dying.at(name, getattr(store, name)))
    post = dying.at("post", http_post(gateway, Keys(), clock))
    damage = Damage(clock)
    sender = Sender(store, clock, gateway, "2500", post, damage, per_second=10_000, pace=Pace(turn=times * 40))
    HandingOver(store, clock, sender).go(store.busy(int(clock.now().timestamp() * 1000)), Sound(damage))


if __name__ == "__main__":
    main(sys.argv[1], sys.argv[2], sys.argv[3], int(sys.argv[4]), int(sys.argv[5]))
