"""What tests of rounds share: growers who have agreed, a round of three steps, what left."""

from __future__ import annotations

from collections import Counter
from datetime import datetime, time, timedelta
from zoneinfo import ZoneInfo

import msgspec

from advisor.campaign.quiet import Quiet
from advisor.records.grower import Grower
from advisor.service.campaigns import Campaigns
from advisor.service.clock import unix_ms
from advisor.service.damage import Damage
from advisor.service.figures import figure_changes
from advisor.service.outgoing import Parcel
from advisor.service.planning import Planner
from advisor.service.stored import Stored, from_bytes, to_bytes
from advisor.service.ticking import LEASE_MS, Ticker
from advisor.store.api import (
    Change,
    RoundRow,
    RoundState,
    Settlement,
    Store,
    Terms,
)
from tests.service.stage import BANDS, HOUR, IDS, NOW, StandingClock, grower_id

NIGHTS = Quiet(ZoneInfo("Etc/GMT-3"), time(20), time(6, 30))
NUMBERS = tuple(f"+9990088{place:05}" for place in range(40))
ANN = NUMBERS[0]
SOWING = "plot.sowing_day"
MINUTE = timedelta(minutes=1)

THREE = """
key = "demo"
[[steps]]
key = "one"
after_minutes = 0
good_for_hours = 6
text = { en = "One", sw = "Moja" }
[[steps]]
key = "two"
after_minutes = 60
good_for_hours = 6
text = { en = "Two", sw = "Mbili" }
[[steps]]
key = "ask"
from = "plot.sowing_day"
day = -21
at = 08:00:00
good_for_hours = 8
unless = ["lot.test"]
text = { en = "Is it still that day?", sw = "Bado siku hiyo?" }
"""


def settle(store: Store, numbers: tuple[str, ...] = NUMBERS, **facts: str | tuple[int, int]) -> None:
    """Growers who have agreed, each in a village."""
    for place, number in enumerate(numbers):
        record = Grower(number, agreed=NOW - HOUR).knows("grower.village", f"v{place % 3}", NOW)
        for name, value in facts.items():
            record = record.knows(name.replace("_", ".", 1), value, NOW)
        store.commit(
            Change(
                grower_id(number),
                0,
                to_bytes(Stored(record)),
                unix_ms(NOW - HOUR),
                counts=figure_changes(Grower(), record, BANDS),
            )
        )


def start(store: Store, text: str = THREE, at: datetime = NOW, key: str = "demo") -> None:
    assert store.start_round(RoundRow(key, RoundState.RUNNING, unix_ms(at), text.encode())) is None


def campaigns(store: Store, clock: StandingClock, quiet: Quiet = NIGHTS, **parts: object) -> Campaigns:
    damage = Damage(clock)
    return Campaigns(
        store,
        clock,
        Planner(store, clock, damage),
        Ticker(store, clock, IDS, damage, "en"),
        damage,
        quiet,
        ("en", "sw"),
        **parts,
    )


def all_of(round_: Campaigns) -> None:
    """Goes over them until there is nothing to do."""
    while round_.go_over():
        pass


def leave(store: Store, clock: StandingClock) -> Counter[tuple[str, str]]:
    """Hands over what waits, and says what went to whom."""
    gone: Counter[tuple[str, str]] = Counter()
    now_ms = unix_ms(clock.now())
    for bucket in store.busy(now_ms).outbox:
        while claims := store.claim(bucket, now_ms, LEASE_MS, 50, Terms()):
            for claimed in claims:
                parcel = msgspec.json.decode(claimed.body, type=Parcel)
                gone[parcel.number, parcel.text] += 1
            store.settle(bucket, [Settlement(claimed.oid, claimed.lane, "sent") for claimed in claims], now_ms)
    return gone


def record(store: Store, number: str = ANN) -> Grower:
    return from_bytes(store.value(grower_id(number))[1]).record


def texts(gone: Counter[tuple[str, str]], number: str = ANN) -> list[str]:
    return sorted(text for (to, text), times in gone.items() for _ in range(times) if to == number)
