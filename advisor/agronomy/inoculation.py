"""The inoculation of a plot, from settled seed to what is bought, mixed and lost.

Comes after the seed mass is settled, never before: the dose follows the seed. The packs follow the days of
sowing, the days follow the people, and so the number of packs depends on how many sow. Whether the seed may be
treated at all is decided first, by ``inoculation_rules``.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from advisor.agronomy.batches import BatchPlan, Session, batch_plan
from advisor.agronomy.errors import MissingFigure
from advisor.agronomy.inoculant import inoculant_g, water_ml
from advisor.agronomy.inoculation_figures import Handling, Inoculation
from advisor.agronomy.opened_packs import CheapestOpening, OpenedPack, cheapest_opening
from advisor.agronomy.powder_measures import Dose, Measure, measured_dose
from advisor.agronomy.programme import Inoculant


@dataclass(frozen=True, slots=True)
class InoculationPlan:
    """How a plot's seed is inoculated.

    Args:
        product: key of the inoculant.
        inoculant_g: inoculant for all seed.
        water_ml: water for all seed.
        batches: batches, windows and days.
        doses: how the inoculant of each session's batch is measured out, in the order of the sessions; one for
            each size of pack that is open on its days, the largest first.
        opening: what to buy, when each pack is opened, what they cost and what is lost.
        cautions: keys of what must be said with it.
    """

    product: str
    inoculant_g: float
    water_ml: float
    batches: BatchPlan
    doses: tuple[tuple[Dose, ...], ...]
    opening: CheapestOpening
    cautions: tuple[str, ...]


def inoculation_plan(
    product: Inoculant,
    inoculation: Inoculation | None,
    measures: Sequence[Measure],
    area_m2: float,
    seed_kg: float,
    people: int,
) -> InoculationPlan:
    """The whole plan for a product.

    Args:
        product: the inoculant, of the strain of the crop that is sown.
        inoculation: windows and work rate of the programme.
        measures: measures at hand, may be none.
        area_m2: the plot [m²], above 0.
        seed_kg: sorted seed for it, settled [kg], above 0.
        people: people who sow, 1 or more.

    Returns:
        The plan.

    Raises:
        MissingFigure: the programme says nothing about inoculating, or the product nothing about its handling.
        OutOfRange: a value that cannot be.
        CannotBe: treated seed is dead when it is dry.

    Source:
        The formulas of ``batches``, ``opened_packs`` and ``powder_measures``.

    >>> from decimal import Decimal
    >>> from advisor.agronomy.inoculation_figures import LifeStarts, SowingWindow
    >>> from advisor.agronomy.labels import Label
    >>> from advisor.agronomy.packs import Pack
    >>> hours = SowingWindow(6.5 * 3600, 10 * 3600), SowingWindow(16 * 3600, 18.5 * 3600)
    >>> handling = Handling(3600, 7200, LifeStarts.MIXED, 0.5, 30, 0.25)
    >>> product = Inoculant("i1", "x", Label("x"), 5, 2, 2, (Pack(250, Decimal(350)),), handling)
    >>> plan = inoculation_plan(product, Inoculation(*hours, 75 / 3600), (), 4046.8564224, 20, people=5)
    >>> plan.batches.days, len(plan.opening.packs), plan.opening.lost_g
    (2, 1, 150.0)
    """
    if inoculation is None:
        raise MissingFigure("inoculation", "add the table [inoculation] to the programme file")
    handling = _handling(product)
    batches = batch_plan(
        area_m2, seed_kg, people, inoculation, handling, product.dose_g_per_kg, product.water_ml_per_kg
    )
    opening = cheapest_opening(product.packs, batches.uses_g, product.opened_life_days)
    doses = tuple(
        tuple(
            measured_dose(session.batch.inoculant_g, size_g, measures, handling.bulk_g_per_ml, handling.over_dose)
            for size_g in _sizes_open(opening.packs, session)
        )
        for session in batches.sessions
    )
    said = (batches.cautions, opening.cautions, *(dose.cautions for each in doses for dose in each))
    return InoculationPlan(
        product.key,
        inoculant_g(seed_kg, product.dose_g_per_kg),
        water_ml(seed_kg, product.water_ml_per_kg),
        batches,
        doses,
        opening,
        tuple(dict.fromkeys(key for keys in said for key in keys)),
    )


def _sizes_open(packs: Sequence[OpenedPack], session: Session) -> list[int]:
    """Sizes of the packs that are used on any day of a session, the largest first."""
    used = {pack.size_g for pack in packs if pack.day <= session.last_day and session.first_day <= pack.last_day}
    return sorted(used, reverse=True)


def _handling(product: Inoculant) -> Handling:
    if product.handling is None:
        raise MissingFigure(f"handling of {product.key}", f"add the table handling to the inoculant {product.key}")
    return product.handling
