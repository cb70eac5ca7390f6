"""Nodules: whether the bacteria on the roots work, from a few plants dug up at flowering.

Nodules that work are pink to red inside. Dug up with a spade, counted and a few cut open, they tell in time
whether the crop feeds itself with nitrogen. White ones are too young to judge, green ones are spent, brown and
soft ones drowned. Only working nodules count, each plant's share of those cut open standing for all of them.
Guides differ in how many are enough, so the scheme is data.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from advisor.agronomy.cautions import ASK_DEALER_OR_EXTENSION, FOLLOW_THE_PACK, NO_BARE_HANDS_WITH_FERTILISER
from advisor.agronomy.errors import CannotBe
from advisor.agronomy.harvest_figures import NoduleScheme
from advisor.agronomy.limits import not_below, within
from advisor.agronomy.nutrients import N


class Nodulation(StrEnum):
    """What the nodules of a field do."""

    WORKING = "working"
    POOR = "poor"
    NONE = "none"


class NoduleNext(StrEnum):
    """What comes next.

    Leave: nothing to do, and no nitrogen fertiliser. Look again: most are too young, or few plants were dug up.
    Drain: they drowned; let water off and look again. Call: the agent sees the field before nitrogen is bought,
    and the next seed is inoculated with a fresh pack of the crop's strain.
    """

    LEAVE = "leave"
    LOOK_AGAIN = "look_again"
    DRAIN = "drain"
    CALL_AND_INOCULATE_NEXT = "call_and_inoculate_next"


@dataclass(frozen=True, slots=True)
class NoduleCount:
    """What was counted on all plants together.

    Args:
        plants: plants dug up with their roots, 1 or more.
        nodules: nodules on all of them.
        red: nodules cut open that are pink to red inside.
        white: nodules cut open that are white inside.
        green: nodules cut open that are green inside.
        brown: nodules cut open that are brown or soft.

    Raises:
        OutOfRange: a count below 0, or no plant.
        CannotBe: more nodules cut open than there are, or none cut open though there are some.

    >>> NoduleCount(plants=6, nodules=72, red=8, white=2).cut
    10
    """

    plants: int
    nodules: int
    red: int = 0
    white: int = 0
    green: int = 0
    brown: int = 0

    def __post_init__(self) -> None:
        within("plants", self.plants, 1, 1000, "plants")
        for name in ("nodules", "red", "white", "green", "brown"):
            count = getattr(self, name)
            not_below(name, count, 0, "nodules")
        if self.cut > self.nodules:
            raise CannotBe(
                "more_cut_than_found",
                f"{self.cut} nodules were cut open and only {self.nodules} found",
                "count the nodules of all plants again, then those cut open by colour",
            )
        if self.nodules and not self.cut:
            raise CannotBe(
                "none_cut_open",
                f"{self.nodules} nodules were found and none was cut open",
                "cut some open and count them by the colour inside",
            )

    @property
    def cut(self) -> int:
        """Nodules cut open."""
        return self.red + self.white + self.green + self.brown


@dataclass(frozen=True, slots=True)
class NoduleScore:
    """What the nodules say.

    Args:
        verdict: whether they work.
        next: what comes next.
        nodules_per_plant: all nodules, the mean of the plants.
        working_per_plant: nodules that are red inside, the mean of the plants.
        rough: whether fewer plants were dug up than the scheme asks for.
        rescue_low: nitrogen that the guide would give where nodules fail, the least; None where they do not.
        rescue_high: the same, the most.
        cautions: keys of what must be said with it.
    """

    verdict: Nodulation
    next: NoduleNext
    nodules_per_plant: float
    working_per_plant: float
    rough: bool
    rescue_low: N | None
    rescue_high: N | None
    cautions: tuple[str, ...]


def nodule_score(count: NoduleCount, scheme: NoduleScheme) -> NoduleScore:
    """Whether the nodules of a field work, and what comes next.

    Args:
        count: what was counted.
        scheme: how a guide scores it.

    Returns:
        The score; both edges of the middle band count as the better side.

    Raises:
        OutOfRange: more nodules on a plant than the scheme believes.

    Source:
        Manitoba Pulse and Soybean Growers, Assessing soybean nodulation, 2019: ten or more on a plant, pink to red
        inside, are enough; Michigan State University, 2023: fewer than seven are not, white ones are immature,
        green ones spent, brown ones waterlogged. Looking again a week later: Pennsylvania State University, 2020.

    >>> scheme = NoduleScheme("x", 10, 1, 5, 500, N(56), N(56))
    >>> str(nodule_score(NoduleCount(6, 72, red=10), scheme).verdict)
    'working'
    """
    within("nodules on a plant", count.nodules / count.plants, 0, scheme.most_nodules, "nodules/plant")
    verdict = _verdict(count, scheme)
    rough = count.plants < scheme.least_plants
    what_next = _next(count, verdict)
    failing = what_next is NoduleNext.CALL_AND_INOCULATE_NEXT
    told = (ASK_DEALER_OR_EXTENSION, FOLLOW_THE_PACK, NO_BARE_HANDS_WITH_FERTILISER)
    return NoduleScore(
        verdict=verdict,
        next=NoduleNext.LOOK_AGAIN if failing and rough else what_next,
        nodules_per_plant=count.nodules / count.plants,
        working_per_plant=count.nodules * count.red / (count.plants * max(1, count.cut)),
        rough=rough,
        rescue_low=scheme.rescue_low if failing and not rough else None,
        rescue_high=scheme.rescue_high if failing and not rough else None,
        cautions=told if failing else told[:1],
    )


def _verdict(count: NoduleCount, scheme: NoduleScheme) -> Nodulation:
    # Whole counts are compared, so that a mean exactly at an edge is never a hair below it.
    working, spread = count.nodules * count.red, count.plants * max(1, count.cut)
    if working >= scheme.enough * spread:
        return Nodulation.WORKING
    return Nodulation.NONE if working < scheme.none_under * spread else Nodulation.POOR


def _next(count: NoduleCount, verdict: Nodulation) -> NoduleNext:
    if verdict is Nodulation.WORKING:
        return NoduleNext.LEAVE
    if 2 * count.white > count.cut:
        return NoduleNext.LOOK_AGAIN
    if 2 * count.brown > count.cut:
        return NoduleNext.DRAIN
    return NoduleNext.CALL_AND_INOCULATE_NEXT
