"""A whole season's plan: varied fields, lots, people, soil tests and purses, each asked for once."""

from __future__ import annotations

import random
import statistics
import subprocess
import sys
import time
from collections.abc import Iterator
from datetime import date, timedelta
from decimal import Decimal

from advisor.agronomy.buylist import Lot, Origin
from advisor.agronomy.germination import SeedTest
from advisor.agronomy.programme import Programme, Zone
from advisor.agronomy.season_plan import season_plan
from advisor.agronomy.season_request import SeasonRequest
from advisor.agronomy.units import ACRE_M2
from advisor.loading import load_calculator

PLANS = 2000
_FIRST = date(2026, 11, 10)


def requests(programme: Programme, count: int, seed: int, *, purse: bool) -> Iterator[tuple[Zone, SeasonRequest]]:
    """Requests as growers have them, no two fields alike: half buy seed, half have a test of their own.

    Args:
        programme: its zones, plots and purses.
        count: how many.
        seed: of the draw.
        purse: whether each says how much money there is: from too little to more than enough.
    """
    draw = random.Random(seed)
    low, high = programme.plot_low_m2 / ACRE_M2, programme.plot_high_m2 / ACRE_M2
    for _ in range(count):
        acres = draw.uniform(low, high)
        tested = SeedTest(draw.randint(40, 100), 100)
        money = min(Decimal(int(acres * draw.uniform(1000, 9000))), programme.purse_max)
        yield (
            draw.choice(programme.zones),
            SeasonRequest(
                Lot(Origin.BOUGHT) if draw.random() < 0.5 else Lot(Origin.SAVED, tested),
                acres * ACRE_M2,
                people=draw.randint(1, 9),
                sowing=_FIRST + timedelta(draw.randrange(60)),
                soil_mg_per_kg=draw.choice((None, draw.uniform(0, 40))),
                purse=money if purse else None,
            ),
        )


def plan_us(*, purse: bool, plans: int = PLANS) -> float:
    """Microseconds of processor time for a plan, the median; the dealer's list is known, the field is not."""
    loaded = load_calculator(None)
    programme = loaded.programme
    crop = next(crop for crop in loaded.crops if crop.key == programme.crops[0].crop)
    for zone, request in requests(programme, plans // 2, 1, purse=purse):
        season_plan(programme, crop, zone, request)
    taken = []
    for zone, request in requests(programme, plans, 2, purse=purse):
        begun = time.process_time_ns()
        season_plan(programme, crop, zone, request)
        taken.append((time.process_time_ns() - begun) / 1000)
    return statistics.median(taken)


_ALONE = """
import time
from tests.bench.seasons import requests
from advisor.agronomy.season_plan import season_plan
from advisor.loading import load_calculator
loaded = load_calculator(None)
programme = loaded.programme
crop = next(crop for crop in loaded.crops if crop.key == programme.crops[0].crop)
(zone, request), = requests(programme, 1, {seed}, purse=True)
begun = time.process_time()
season_plan(programme, crop, zone, request)
print(time.process_time() - begun)
"""


def first_plan_s(processes: int = 5) -> float:
    """Seconds of processor time for the first plan of a process, the median: the list is worked through."""
    return statistics.median(
        float(
            subprocess.run(
                [sys.executable, "-c", _ALONE.format(seed=seed)], check=True, capture_output=True, text=True
            ).stdout
        )
        for seed in range(processes)
    )
