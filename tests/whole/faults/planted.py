"""``python -m tests.whole.faults.planted FAULT send …``: the command line with one fault planted in it.

So a judge that finds nothing is known to be one that would have found this.
"""

from __future__ import annotations

import re
import secrets
import sys
from collections.abc import Callable
from dataclasses import replace
from typing import Any

from msgspec import structs


def new_id_on_retry() -> None:
    """Every attempt but the first goes out under an id drawn for it."""
    from advisor.service import sending

    hand_over, delivery = sending.Sender._attempt, sending.delivery_of
    attempts = 0

    def attempt(self: Any, message: Any) -> Any:
        nonlocal attempts
        attempts = message.attempts
        return hand_over(self, message)

    def drawn(oid: str, *others: Any) -> Any:
        return delivery(oid if attempts == 1 else f"{oid[:4]}{secrets.token_hex(8)}", *others)

    sending.Sender._attempt = attempt  # type: ignore[method-assign]
    sending.delivery_of = drawn


def no_look_at_stops() -> None:
    """A stop is noted, and nobody looks at it again.

    Two things hold back what waits when a stop comes: its own commit takes it out of the outbox, and the claim
    looks at stops. Either does so by itself, so both are left out.
    """
    from advisor.store import plans, redis_outbox
    from advisor.store.script import Script

    look = "redis.call('SISMEMBER', STOPS, message.to) == 1"
    text = redis_outbox._CLAIM.text
    if text.count(look) != 1:
        raise SystemExit("the claim looks at stops in another way: plant this fault anew")
    blind = replace(Script.named("claim"), text=text.replace(look, "false"))
    redis_outbox._CLAIM = replace(blind, sha=_sha(blind.text))
    plans._plan_silence = lambda *_: None


def no_quiet_hours() -> None:
    """Any time will do."""
    from advisor.campaign.quiet import Quiet

    Quiet.may_send = lambda self, at: True  # type: ignore[method-assign]


def answer_without_effect() -> None:
    """A first look is answered as if it were kept, and is not."""
    import importlib

    module = importlib.import_module("advisor.dialogue.step")
    step, keep = module.step, importlib.import_module("advisor.dialogue.talk").Keep

    def forgetful(*given: Any) -> Any:
        outcome = step(*given)
        kept = (one for one in outcome.effects if not (isinstance(one, keep) and one.name == "lot.early"))
        return structs.replace(outcome, effects=tuple(kept))

    module.step = forgetful


def verdict_twice() -> None:
    """A verdict leaves twice, each under an id of its own."""
    from advisor.service import changing

    outs = changing._outs

    def twice(*given: Any) -> Any:
        made = outs(*given)
        again = (one for one in made if re.search(rb"[0-9] grew[:.]", one.body))
        return (
            *made,
            *(structs.replace(one, oid=one.oid[:-1] + ("1" if one.oid[-1] == "0" else "0")) for one in again),
        )

    changing._outs = twice


def _sha(text: str) -> str:
    import hashlib

    return hashlib.sha1(text.encode(), usedforsecurity=False).hexdigest()


FAULTS: dict[str, Callable[[], None]] = {
    "new-id-on-retry": new_id_on_retry,
    "no-look-at-stops": no_look_at_stops,
    "no-quiet-hours": no_quiet_hours,
    "answer-without-effect": answer_without_effect,
    "verdict-twice": verdict_twice,
}

if __name__ == "__main__":
    for plant in sys.argv.pop(1).split():
        FAULTS[plant]()
    from advisor.cli import main

    main(sys.argv[1:])
