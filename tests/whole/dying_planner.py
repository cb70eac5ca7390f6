"""A process that makes a round and kills itself: ``python -m tests.whole.dying_planner store step times minutes``.

Steps are ``before`` and ``after`` a plan, a claim of who is due, or a commit; ``never`` makes all that is due. Its
clock is so many minutes ahead.
"""

from __future__ import annotations

import sys
from datetime import time
from zoneinfo import ZoneInfo

from advisor.campaign.quiet import Quiet
from advisor.service.campaigns import Campaigns
from advisor.service.damage import Damage
from advisor.service.identity import Ids
from advisor.service.planning import Planner
from advisor.service.ticking import Ticker
from advisor.store.redis_store import RedisStore
from tests.whole.dying_sender import Ahead, Dying
from tests.whole.services import SECRET


def main(address: str, step: str, times: int, ahead: int) -> None:
    """Goes over the rounds until nothing is due, or the step is reached."""
    store, clock, dying = RedisStore(address, timeout_s=9), Ahead(ahead), Dying(step, times)
    store.plan = dying.at("plan", store.plan)  # type: ignore[method-assign]
    store.claim_due = dying.at("due", store.claim_due)  # type: ignore[method-assign]
    store.commit_all = dying.at("commit", store.commit_all)  # type: ignore[method-assign]
    store.open()
    damage = Damage(clock)
    planner = Planner(store, clock, damage)
    ticker = Ticker(store, clock, Ids(SECRET.encode()), damage, "en")
    always = Quiet(ZoneInfo("UTC"), time(0), time(0))
    campaigns = Campaigns(store, clock, planner, ticker, damage, always, ("en",))
    while campaigns.go_over():
        pass
    if damage.keys():
        raise SystemExit(f"damaged: {damage.keys()}")


if __name__ == "__main__":
    main(sys.argv[1], sys.argv[2], int(sys.argv[3]), int(sys.argv[4]))
