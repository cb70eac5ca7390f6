"""A district's table: what 100,000 growers need, by village and week, on one core."""

from __future__ import annotations

import random
import time
from collections.abc import Iterator
from datetime import date, timedelta

from advisor.agronomy.buylist import Lot, Origin
from advisor.agronomy.germination import SeedTest
from advisor.agronomy.units import ACRE_M2
from advisor.agronomy.village_needs import Plan, growers_needs, needs_table
from advisor.loading import load_book, load_figures

GROWERS = 100_000
_VILLAGES = 500
_DAYS = 70


def plans(growers: int, step_acres: float, seed: int = 1) -> Iterator[Plan]:
    """Growers as a district has them: half buy seed, half have their own, most of those with a test of 100 seeds.

    Args:
        growers: how many.
        step_acres: step in which fields are told; near 0 no two are alike.
        seed: of the draw.
    """
    draw = random.Random(seed)
    first = date(2026, 11, 1)
    for _ in range(growers):
        area_m2 = (0.25 + round(draw.random() * 4.75 / step_acres) * step_acres) * ACRE_M2
        tested = SeedTest(draw.randint(40, 100), 100) if draw.random() < 0.7 else None
        lot = Lot(Origin.BOUGHT) if draw.random() < 0.5 else Lot(Origin.SAVED, tested)
        day = first + timedelta(draw.randrange(_DAYS))
        yield Plan(f"v{draw.randrange(_VILLAGES)}", area_m2, lot, day, day + timedelta(3))


def table_s(growers: int = GROWERS, step_acres: float = 0.05) -> tuple[float, int]:
    """Seconds of processor time for the buy lists of all growers and their table, and the rows that it has."""
    programme = load_book().programme
    crop = next(crop for crop in load_figures()[1] if crop.key == programme.crops[0].crop)
    told = list(plans(growers, step_acres))
    begun = time.process_time()
    rows = needs_table(growers_needs(programme, crop, told))
    return time.process_time() - begun, len(rows)
