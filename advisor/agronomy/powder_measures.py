"""Powder without a scale: a part of a pack, or level spoons and caps.

A part of a pack is the safest measure, since the pack says what it weighs. A spoon measures a volume, and
powders differ: a peat is far lighter than a powder of 1 g/mL, so the same spoon holds less than half of it, and
a dose counted in spoons of the wrong powder is wrong by as much. A spoon, a crown cap and a screw cap are
different measures, each with the volume that the programme measured. Both ways round up, for too little
inoculant is a field without nodules.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil, floor

from advisor.agronomy.cautions import FOLLOW_THE_PACK, PART_OF_PACK_IS_SAFEST, WEIGH_ONE_CAP
from advisor.agronomy.labels import Label
from advisor.agronomy.limits import above_zero, within
from advisor.agronomy.tables import Table

#: Parts that a pack is divided into by eye: halves of halves, thirds, and thirds halved. (parts, of)
_PARTS = ((1, 8), (1, 6), (1, 4), (1, 3), (3, 8), (1, 2), (5, 8), (2, 3), (3, 4), (5, 6), (7, 8), (1, 1))
#: A need that is over a part by so little is that part: binary noise must not decide.
_NOISE = 1e-9


@dataclass(frozen=True, slots=True)
class Measure:
    """A measure that people have at hand, filled level.

    Args:
        key: short key, never changed.
        label: its name, at most 16 characters in every language.
        volume_ml: what it holds.
    """

    key: str
    label: Label
    volume_ml: float


@dataclass(frozen=True, slots=True)
class PackPart:
    """A mass as packs and a part of one more.

    Args:
        whole: whole packs.
        parts: parts of one more, 0 when whole packs are enough.
        of: parts that the pack is divided into, 1 when whole packs are enough.
        grams: what they hold.
        over: part by which that is more than the need, 0 or more.
    """

    whole: int
    parts: int
    of: int
    grams: float
    over: float


@dataclass(frozen=True, slots=True)
class LevelMeasures:
    """A mass in level measures.

    Args:
        measure: the measure.
        halves: halves of it, so 7 are three and a half.
        grams: what they hold of this powder.
    """

    measure: Measure
    halves: int
    grams: float

    @property
    def count(self) -> float:
        """Measures, in halves."""
        return self.halves / 2


@dataclass(frozen=True, slots=True)
class Dose:
    """How a mass of powder is measured out.

    Args:
        grams: the mass.
        part: as a part of a pack, None where no part of one comes near enough.
        level: in each measure at hand, those that hold the most first.
        cautions: keys of what must be said with it.
    """

    grams: float
    part: PackPart | None
    level: tuple[LevelMeasures, ...]
    cautions: tuple[str, ...]


def read_measures(rows: Sequence[Table], languages: Sequence[str]) -> tuple[Measure, ...]:
    """Measures of a programme, from its tables.

    Args:
        rows: tables ``measures``, none where they are left out.
        languages: languages of the programme.

    Returns:
        The measures.

    Raises:
        Nothing; faults are noted on the page of the tables.

    Source:
        The project's own file format.

    >>> read_measures((), ("en",))
    ()
    """
    return tuple(
        Measure(
            row.text("key", longest=16), row.label("label", languages), row.quantity("volume", "ml", 0.1, 1000)
        )
        for row in rows
    )


def part_of_pack(grams: float, pack_g: int) -> PackPart:
    """The smallest part of a pack that holds a mass: halves, thirds, quarters, sixths or eighths.

    Args:
        grams: the mass [g], above 0.
        pack_g: content of a pack [g], above 0.

    Returns:
        Packs and part; never less than the mass.

    Raises:
        OutOfRange: a mass that is not above 0.

    Source:
        Own choice of parts that can be made by eye.

    >>> part_of_pack(75, 250)
    PackPart(whole=0, parts=1, of=3, grams=83.33333333333333, over=0.11111111111111094)
    """
    packs = above_zero("powder", grams, "g") / above_zero("pack", pack_g, "g")
    whole = floor(packs + _NOISE)
    rest = packs - whole
    parts, of = (0, 1)
    if rest > _NOISE or not whole:
        parts, of = next(part for part in _PARTS if part[0] / part[1] >= rest - _NOISE)
    if parts == of:
        whole, parts = whole + 1, 0
    held_g = (whole + parts / of) * pack_g
    return PackPart(whole, parts, of, held_g, max(0.0, held_g / grams - 1))


def level_measures(grams: float, measure: Measure, bulk_g_per_ml: float) -> LevelMeasures:
    """Level measures, to the next half, that hold a mass of a powder.

    Args:
        grams: the mass [g], above 0.
        measure: the measure.
        bulk_g_per_ml: mass of a millilitre of the powder, loosely filled [g/mL], above 0.

    Returns:
        Halves of the measure, 1 or more; never less than the mass.

    Raises:
        OutOfRange: a value that is not above 0.

    Source:
        Arithmetic; a level measure holds its volume.

    >>> spoon = Measure("teaspoon", Label("teaspoon"), 5)
    >>> level_measures(75, spoon, 1.0).count, level_measures(75, spoon, 0.4).count
    (15.0, 37.5)
    """
    half_g = measure_g(measure.volume_ml, bulk_g_per_ml) / 2
    halves = max(1, ceil(above_zero("powder", grams, "g") / half_g - _NOISE))
    return LevelMeasures(measure, halves, halves * half_g)


def measure_g(volume_ml: float, bulk_g_per_ml: float) -> float:
    """What a level measure holds of a powder or of granules.

    Args:
        volume_ml: volume of the measure [mL], above 0.
        bulk_g_per_ml: mass of a millilitre, loosely filled [g/mL], above 0.

    Returns:
        The mass [g].

    Raises:
        OutOfRange: a value that is not above 0.

    Source:
        ECHO (2004): 5 g of a fertiliser to a teaspoon of 5 mL, that is 1 g/mL.

    >>> measure_g(5, 1.0)
    5.0
    """
    return above_zero("volume", volume_ml, "ml") * above_zero("bulk density", bulk_g_per_ml, "g/ml")


def measured_dose(
    grams: float, pack_g: int, measures: Sequence[Measure], bulk_g_per_ml: float, over_dose: float
) -> Dose:
    """How a mass of powder is measured out without a scale.

    Args:
        grams: the mass [g], above 0.
        pack_g: content of a pack [g], above 0.
        measures: measures at hand, may be none.
        bulk_g_per_ml: mass of a millilitre of the powder, loosely filled [g/mL], above 0.
        over_dose: part by which a part of a pack may be over before it is too coarse, 0 or more.

    Returns:
        The ways; the part of a pack is the safest where there is one.

    Raises:
        OutOfRange: a value that cannot be.

    Source:
        Own choice.

    >>> spoons = [Measure("teaspoon", Label("teaspoon"), 5)]
    >>> dose = measured_dose(8, 250, spoons, 0.4, over_dose=0.25)
    >>> dose.part, dose.level[0].count, dose.cautions[0]
    (None, 4.0, 'part_of_pack_is_safest')
    """
    within("over-dose", over_dose, 0, 100, "1")
    part = part_of_pack(grams, pack_g)
    ordered = sorted(measures, key=lambda measure: (-measure.volume_ml, measure.key))
    level = tuple(level_measures(grams, measure, bulk_g_per_ml) for measure in ordered)
    near = part if part.over <= over_dose + _NOISE else None
    spooned = (PART_OF_PACK_IS_SAFEST, WEIGH_ONE_CAP) if level else ()
    return Dose(grams, near, level, (*spooned, FOLLOW_THE_PACK))
