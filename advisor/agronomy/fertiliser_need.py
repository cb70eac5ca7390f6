"""What a plot needs of P₂O₅ and K₂O this season, and how much nitrogen it bears at sowing.

A soil test comes first where there is one, since it sees what is left in the soil. Otherwise the need of the
zone holds, less a part of what last season left over. That credit is nothing unless a full dressing was given,
and nothing when nobody remembers: a credit by guess starves the crop, while a dressing too much only waits in
the soil.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from itertools import pairwise

from advisor.agronomy.errors import CannotBe
from advisor.agronomy.fertiliser_figures import SoilClass, ZoneNeed
from advisor.agronomy.limits import within
from advisor.agronomy.nutrients import K2O, P2O5, N

_NONE = P2O5(0)


class Basis(StrEnum):
    """What a need rests on."""

    ZONE = "zone"
    SOIL_TEST = "soil_test"
    LAST_SEASON = "last_season"


@dataclass(frozen=True, slots=True)
class LastSeason:
    """What is remembered of the season before.

    Args:
        applied: P₂O₅ that was applied, None when nobody remembers.
        harvest_kg_per_ha: grain that was taken off, None when nobody remembers.
        p2o5_g_per_kg: P₂O₅ in a kilogram of that grain, 0 or more.
        full_dressing: P₂O₅ of a full dressing for that crop.
    """

    applied: P2O5 | None
    harvest_kg_per_ha: float | None
    p2o5_g_per_kg: float
    full_dressing: P2O5


@dataclass(frozen=True, slots=True)
class Need:
    """What a hectare of the plot needs.

    Args:
        p2o5: P₂O₅ to apply.
        k2o: K₂O to apply.
        n_limit: most nitrogen to apply at sowing.
        basis: what it rests on.
        credit: P₂O₅ that last season left, which is taken off already.
    """

    p2o5: P2O5
    k2o: K2O
    n_limit: N
    basis: Basis = Basis.ZONE
    credit: P2O5 = _NONE


def removed_p2o5(harvest_kg_per_ha: float, p2o5_g_per_kg: float) -> P2O5:
    """P₂O₅ that a harvest takes off the field.

    Args:
        harvest_kg_per_ha: grain taken off [kg/ha], 0 or more.
        p2o5_g_per_kg: P₂O₅ in a kilogram of grain [g/kg], 0 or more.

    Returns:
        P₂O₅ for a hectare.

    Raises:
        OutOfRange: a value that cannot be.

    Source:
        Iowa State University, nutrient removal rates (2018): 0.72 lb P₂O₅ in a bushel of 60 lb.

    >>> removed_p2o5(1500, 12)
    P2O5(kg_per_ha=18.0)
    """
    grain = within("harvest", harvest_kg_per_ha, 0, 20_000, "kg/ha")
    return P2O5(grain * within("P2O5 in grain", p2o5_g_per_kg, 0, 100, "g/kg") / 1000)


def last_season_credit(last: LastSeason, credit_part: float) -> P2O5:
    """P₂O₅ that last season's dressing left for this season.

    Args:
        last: what is remembered.
        credit_part: part of the surplus that counts, 0 to 1.

    Returns:
        P₂O₅ for a hectare; nothing unless a full dressing was given and both it and the harvest are remembered.

    Raises:
        OutOfRange: a value that cannot be.

    Source:
        Own choice; the part is a figure of the programme.

    >>> last_season_credit(LastSeason(P2O5(60), 1500, 12, P2O5(46)), 0.5)
    P2O5(kg_per_ha=21.0)
    >>> last_season_credit(LastSeason(P2O5(45), 1500, 12, P2O5(46)), 0.5)
    P2O5(kg_per_ha=0)
    """
    within("part of the surplus", credit_part, 0, 1, "1")
    if last.harvest_kg_per_ha is None:
        return P2O5(0)
    removed = removed_p2o5(last.harvest_kg_per_ha, last.p2o5_g_per_kg)
    if last.applied is None or last.applied < last.full_dressing:
        return P2O5(0)
    return P2O5(last.applied.less(removed).kg_per_ha * credit_part)


def soil_class_of(classes: Sequence[SoilClass], mg_per_kg: float) -> SoilClass:
    """The class that a soil test falls into; the lower edge belongs to a class.

    Args:
        classes: classes of a crop, the first from 0, rising.
        mg_per_kg: phosphorus of the test [mg P/kg of soil], 0 or more.

    Returns:
        The class.

    Raises:
        CannotBe: no classes, or classes that do not rise from 0.
        OutOfRange: a test below 0 or beyond any soil.

    Source:
        Own choice of edges; the classes are figures of the programme.

    >>> low, high = SoilClass("x", "low", 0, P2O5(60)), SoilClass("x", "high", 15, P2O5(0))
    >>> [soil_class_of([low, high], test).key for test in (14.9, 15)]
    ['low', 'high']
    """
    edges = [each.from_mg_per_kg for each in classes]
    if not edges or edges[0] != 0 or any(one >= other for one, other in pairwise(edges)):
        raise CannotBe("soil_classes", f"classes from {edges} leave a gap", "start at 0 and let each start higher")
    within("phosphorus in the soil", mg_per_kg, 0, 1000, "mg P/kg")
    return [each for each in classes if each.from_mg_per_kg <= mg_per_kg][-1]


def fertiliser_need(
    zone: ZoneNeed,
    soil: SoilClass | None = None,
    last: LastSeason | None = None,
    credit_part: float = 0.0,
) -> Need:
    """What a hectare needs this season.

    Args:
        zone: need of the crop in the zone.
        soil: class of a soil test for the crop, None where there is none.
        last: what is remembered of last season, None where there was none or nobody remembers anything.
        credit_part: part of last season's surplus that counts, 0 to 1.

    Returns:
        The need; a soil test sees what last season left, so no credit is taken off it as well.

    Raises:
        OutOfRange: a value that cannot be.
        CannotBe: a soil class of another crop.

    Source:
        Own choice of order: soil test, then zone less credit.

    >>> zone = ZoneNeed("x", "hills", P2O5(46), K2O(0), N(20))
    >>> fertiliser_need(zone, last=LastSeason(P2O5(60), 1500, 12, P2O5(46)), credit_part=0.5).p2o5
    P2O5(kg_per_ha=25.0)
    """
    if soil is not None:
        if soil.crop != zone.crop:
            raise CannotBe(
                "soil_class",
                f"a soil class for {soil.crop} says nothing of {zone.crop}",
                "take the class of the crop",
            )
        return Need(soil.p2o5, zone.k2o, zone.n_limit, Basis.SOIL_TEST)
    credit = P2O5(0) if last is None else last_season_credit(last, credit_part)
    basis = Basis.LAST_SEASON if credit.kg_per_ha else Basis.ZONE
    return Need(zone.p2o5.less(credit), zone.k2o, zone.n_limit, basis, credit)
