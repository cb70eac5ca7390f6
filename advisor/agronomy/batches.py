"""Batches: no more seed is treated than the people present can sow while the bacteria live.

A recipe for 15 kg takes some twenty to forty people to sow in time, so the recipe is scaled to the people and
not the people to the recipe. A batch lasts for the life that is left after drying, or for the sowing window if
that is shorter: treated seed never waits over noon or over night. Each window is cut into equal batches, the
fewest that live long enough; the next batch dries while the one before is sown.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from math import floor

from advisor.agronomy.cautions import (
    FOLLOW_THE_PACK,
    INOCULANT_APART_FROM_FERTILISER,
    INOCULANT_IN_SHADE,
    KEEP_FROM_CHILDREN_AND_FOOD,
    TREAT_ONLY_THE_BATCH,
    WASH,
)
from advisor.agronomy.errors import CannotBe
from advisor.agronomy.inoculation_figures import Handling, Inoculation, LifeStarts, SowingWindow
from advisor.agronomy.limits import above_zero, whole_up, within

#: A day, window or batch that is over by less than so many parts of it is not begun: binary noise must not decide.
_NOISE = 1e-9

#: Whoever needs more days has mistyped the area or the people.
_MOST_DAYS = 10_000

_CAUTIONS = (
    TREAT_ONLY_THE_BATCH,
    INOCULANT_IN_SHADE,
    INOCULANT_APART_FROM_FERTILISER,
    WASH,
    KEEP_FROM_CHILDREN_AND_FOOD,
    FOLLOW_THE_PACK,
)


class PartOfDay(StrEnum):
    """The two windows of a day."""

    MORNING = "morning"
    EVENING = "evening"


@dataclass(frozen=True, slots=True)
class Batch:
    """What is treated at once.

    Args:
        area_m2: area that it sows.
        seed_kg: sorted seed.
        inoculant_g: inoculant for it.
        water_ml: water for it.
        lasts_s: time from dry seed to the last of it sown.
    """

    area_m2: float
    seed_kg: float
    inoculant_g: float
    water_ml: float
    lasts_s: float


@dataclass(frozen=True, slots=True)
class Session:
    """The same window on one day or on several days in a row, cut into equal batches.

    Args:
        first_day: first day of it, the first of sowing is 1.
        last_day: last day of it.
        part_of_day: morning or evening.
        batches: batches on each of the days, 1 or more.
        batch: each of them.
        mixed_s: when the first is mixed, in seconds after midnight; below 0 on the evening before.
        sown_s: when sowing starts.
    """

    first_day: int
    last_day: int
    part_of_day: PartOfDay
    batches: int
    batch: Batch
    mixed_s: float
    sown_s: float

    def times_s(self) -> tuple[tuple[float, float, float], ...]:
        """For each batch of a day when it is mixed, when its sowing starts, and when it must be sown up."""
        drying_s, lasts_s = self.sown_s - self.mixed_s, self.batch.lasts_s
        starts = [self.sown_s + at * lasts_s for at in range(self.batches)]
        return tuple((start - drying_s, start, start + lasts_s) for start in starts)


@dataclass(frozen=True, slots=True)
class BatchPlan:
    """How a plot is sown with treated seed.

    Args:
        sessions: windows in the order of sowing, at most four lines however large the plot.
        batches: batches in all.
        days: days in all; a day that is begun counts.
        uses_g: inoculant for each day [g].
        cautions: keys of what must be said with it.
    """

    sessions: tuple[Session, ...]
    batches: int
    days: int
    uses_g: tuple[float, ...]
    cautions: tuple[str, ...] = _CAUTIONS


def time_to_sow_s(handling: Handling) -> float:
    """Life that is left to treated seed once it is dry.

    Args:
        handling: the clocks of the product.

    Returns:
        Time within which a batch is sown up [s], above 0.

    Raises:
        CannotBe: the seed outlives its drying by nothing.

    Source:
        Common practice, no source: an hour of drying in shade, sown within one to two hours.

    >>> time_to_sow_s(Handling(3600, 7200, LifeStarts.MIXED, 0.5, 30, 0.25))
    3600
    >>> time_to_sow_s(Handling(3600, 7200, LifeStarts.DRY, 0.5, 30, 0.25))
    7200
    """
    left_s = handling.life_s - (handling.drying_s if handling.life_starts is LifeStarts.MIXED else 0)
    if left_s <= 0:
        raise CannotBe(
            "dead_when_dry",
            f"seed that dries for {handling.drying_s:g} s and lives for {handling.life_s:g} s is dead when dry",
            "use the times on the pack, or sow it moist",
        )
    return left_s


def people_for_batch(seed_kg: float, seed_kg_per_m2: float, person_m2_per_s: float, time_s: float) -> int:
    """People that it takes to sow a mass of treated seed in time.

    Args:
        seed_kg: treated seed [kg], above 0.
        seed_kg_per_m2: seed for a square metre [kg], above 0.
        person_m2_per_s: area that one person sows in a second [m²], above 0.
        time_s: time there is [s], above 0.

    Returns:
        People, 1 or more.

    Raises:
        OutOfRange: a value that is not above 0.

    Source:
        Arithmetic.

    >>> rate = 75 / 3600
    >>> [people_for_batch(15, 20 / 4046.8564224, rate, hours * 3600) for hours in (2, 1)]
    [21, 41]
    """
    area_m2 = above_zero("seed", seed_kg, "kg") / above_zero("seed for an area", seed_kg_per_m2, "kg/m2")
    sown_by_one_m2 = above_zero("area a second", person_m2_per_s, "m2/s") * above_zero("time", time_s, "s")
    return max(1, whole_up(area_m2 / sown_by_one_m2))


def uses_a_day_g(
    area_m2: float, seed_kg: float, people: int, inoculation: Inoculation, dose_g_per_kg: float
) -> tuple[float, ...]:
    """Inoculant that each day of sowing takes.

    Args:
        area_m2: the plot [m²], above 0.
        seed_kg: sorted seed for it [kg], above 0.
        people: people who sow, 1 or more.
        inoculation: windows and work rate of the programme.
        dose_g_per_kg: dose on the pack [g per kg of seed], above 0.

    Returns:
        Inoculant for each day in a row [g]; the first day that is not full is the last.

    Raises:
        OutOfRange: a value that cannot be.

    Source:
        As ``batch_plan``.

    >>> hours = SowingWindow(6.5 * 3600, 10 * 3600), SowingWindow(16 * 3600, 18.5 * 3600)
    >>> [round(grams) for grams in uses_a_day_g(4046.8564224, 20, 5, Inoculation(*hours, 75 / 3600), 5)]
    [56, 44]
    """
    above_zero("seed", seed_kg, "kg")
    above_zero("dose", dose_g_per_kg, "g/kg")
    m2_per_s, day_s, full_days, rest_s = _pace(area_m2, people, inoculation)
    full_day_g = m2_per_s * day_s * (seed_kg / area_m2) * dose_g_per_kg
    last_day_g = seed_kg * dose_g_per_kg - full_days * full_day_g
    return (full_day_g,) * full_days + ((last_day_g,) if rest_s else ())


def _pace(area_m2: float, people: int, inoculation: Inoculation) -> tuple[float, float, int, float]:
    """Area a second, seconds of sowing in a day, full days, and what the last day takes, 0 where it is full."""
    above_zero("area", area_m2, "m2")
    within("people", people, 1, 1000, "people")
    m2_per_s = people * above_zero("area a second", inoculation.person_m2_per_s, "m2/s")
    day_s = above_zero("hours of sowing", inoculation.morning.length_s + inoculation.evening.length_s, "s")
    time_s = area_m2 / m2_per_s
    full_days = floor(within("days of sowing", time_s / day_s, 0, _MOST_DAYS, "day") + _NOISE)
    rest_s = time_s - full_days * day_s
    return m2_per_s, day_s, full_days, rest_s if rest_s > _NOISE * time_s else 0.0


def batch_plan(
    area_m2: float,
    seed_kg: float,
    people: int,
    inoculation: Inoculation,
    handling: Handling,
    dose_g_per_kg: float,
    water_ml_per_kg: float,
) -> BatchPlan:
    """How the people present sow a plot with treated seed: batches, windows and days.

    Args:
        area_m2: the plot [m²], above 0.
        seed_kg: sorted seed for it [kg], above 0.
        people: people who sow, 1 or more.
        inoculation: windows and work rate of the programme.
        handling: clocks of the product.
        dose_g_per_kg: dose on the pack [g per kg of seed], above 0.
        water_ml_per_kg: water on the pack [mL per kg of seed], above 0.

    Returns:
        The plan; its batches hold the seed of the plot, no more.

    Raises:
        OutOfRange: a value that cannot be.
        CannotBe: treated seed is dead when it is dry.

    Source:
        Own choice: equal batches, the fewest for each window; the first day that is not full is the last.

    >>> hours = SowingWindow(6.5 * 3600, 10 * 3600), SowingWindow(16 * 3600, 18.5 * 3600)
    >>> handling = Handling(3600, 7200, LifeStarts.MIXED, 0.5, 30, 0.25)
    >>> plan = batch_plan(4046.8564224, 20, 5, Inoculation(*hours, 75 / 3600), handling, 5, 2)
    >>> plan.days, plan.batches, round(plan.sessions[0].batch.seed_kg, 2)
    (2, 13, 1.62)
    """
    above_zero("water", water_ml_per_kg, "ml/kg")
    uses_g = uses_a_day_g(area_m2, seed_kg, people, inoculation, dose_g_per_kg)
    left_s = time_to_sow_s(handling)
    m2_per_s, _, full_days, rest_s = _pace(area_m2, people, inoculation)
    time_s = area_m2 / m2_per_s
    windows = (
        (PartOfDay.MORNING, inoculation.morning, inoculation.morning.length_s),
        (PartOfDay.EVENING, inoculation.evening, inoculation.evening.length_s),
    )
    seed_kg_per_m2 = seed_kg / area_m2

    def session(first: int, last: int, part: PartOfDay, window: SowingWindow, sown_s: float) -> Session:
        count = max(1, whole_up(sown_s / left_s))
        batch_m2 = m2_per_s * sown_s / count
        batch_kg = batch_m2 * seed_kg_per_m2
        batch = Batch(batch_m2, batch_kg, batch_kg * dose_g_per_kg, batch_kg * water_ml_per_kg, sown_s / count)
        return Session(first, last, part, count, batch, window.from_s - handling.drying_s, window.from_s)

    sessions = [
        session(1, full_days, part, window, length_s)
        for part, window, length_s in windows
        if full_days and length_s > 0
    ]
    for part, window, length_s in windows:
        sown_s = min(rest_s, length_s)
        if sown_s > _NOISE * time_s:
            sessions.append(session(full_days + 1, full_days + 1, part, window, sown_s))
        rest_s -= sown_s
    batches = sum(each.batches * (each.last_day - each.first_day + 1) for each in sessions)
    return BatchPlan(tuple(sessions), batches, len(uses_g), uses_g)
