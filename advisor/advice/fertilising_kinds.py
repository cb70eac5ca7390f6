"""How large the numbers of fertiliser can get in a programme, so that every text can be proven to fit."""

from __future__ import annotations

from contextlib import suppress
from dataclasses import dataclass
from decimal import Decimal
from math import ceil

from advisor.agronomy.crop import Crop
from advisor.agronomy.errors import CannotBe
from advisor.agronomy.fertiliser_figures import FertiliserProduct, Fertilising
from advisor.agronomy.fertiliser_need import Need
from advisor.agronomy.fertiliser_purse import choose_few
from advisor.agronomy.labels import Label
from advisor.agronomy.limits import whole_up
from advisor.agronomy.offers import bought, levels_up_to, offers_of
from advisor.agronomy.programme import Programme
from advisor.agronomy.units import HECTARE_M2
from advisor.wording.kinds import Area, Kind, Length, Mass, Money, Number, OneOf, Packs

#: What results are called for the first, second and third kind that is bought.
PLACES = ("first", "second", "third")
_G_PER_KG = 1000
_NOBODY = OneOf((("", Label("")),))


@dataclass(frozen=True, slots=True)
class _Most:
    """The most of one product that anybody buys: what is enough by itself, and the next larger amount."""

    product: FertiliserProduct
    enough_kg: float
    bought_kg: float
    packs: tuple[tuple[int, int], ...]


def list_kinds(programme: Programme, crop: Crop) -> dict[str, Kind]:
    """Kinds of what is bought; a programme without figures gives nothing, and nothing is wide.

    Args:
        programme: needs, the dealer's list and the largest plot.
        crop: the crop.
    """
    high, figures = programme.plot_high_m2, programme.fertilising
    most = () if figures is None else _most(figures, crop, high, programme.currency.decimals)
    sizes: dict[int, int] = {}
    for each in most:
        for size, count in each.packs:
            sizes[size] = max(count, sizes.get(size, 0))
    named = OneOf(tuple((each.product.key, each.product.label) for each in most)) if most else _NOBODY
    packs = tuple((size / _G_PER_KG, count) for size, count in sorted(sizes.items(), reverse=True))
    lines = max((len({size for size, _ in each.packs}) for each in most), default=0)
    cost = Decimal(0) if figures is None else _most_cost(figures, crop, high, programme.currency.decimals)
    kg = max((each.bought_kg for each in most), default=0.0)
    found: dict[str, Kind] = {
        "area": Area(0, high),
        "total": Money(Decimal(0), cost),
        "full": Money(Decimal(0), cost),
        "purse": Money(Decimal(0), programme.purse_max),
        "part": Area(0, high),
    }
    for place in PLACES:
        found |= {
            place: named,
            f"{place}_bags": Packs("kg", packs, lines),
            f"{place}_kg": Mass(0, kg, "kg", 1),
            f"{place}_lay": Mass(0, kg, "kg", 1),
        }
    return found


def laying_kinds(programme: Programme, crop: Crop) -> dict[str, Kind]:
    """Kinds of how it is laid.

    Args:
        programme: as ``list_kinds``, with its measures, spacings and rope.
        crop: the crop.
    """
    figures, rope_m, plan = programme.fertilising, programme.rope_m, programme.plan(crop.key)
    measures, sowing = programme.measures, crop.land.sowing
    rows = [spacing.row_m for spacing in plan.spacings]
    holes = [spacing.hole_m for spacing in plan.spacings]
    most = () if figures is None else _most(figures, crop, HECTARE_M2, 0)
    g_per_m = sum(each.enough_kg for each in most) * max(rows) / HECTARE_M2 * _G_PER_KG
    cap_g = min((each.volume_ml for each in measures), default=1.0) * min(
        (each.product.bulk_g_per_ml for each in most), default=1.0
    )
    furrow_cm = [] if figures is None else [figures.furrow.to_m * 100, figures.furrow.beside_m * 100]
    depth = Number(0, round(max((*furrow_cm, sowing.depth_high_m * 100 if sowing else 0)), 1), 1)
    return {
        "row": Length(min(rows), max(rows), "cm"),
        "rope": Length(rope_m, rope_m, "m"),
        "rope_g": Mass(0, g_per_m * rope_m / _G_PER_KG, "g", 0),
        "caps": Number(0, ceil(g_per_m * rope_m / cap_g) + 1, 1),
        "cap": OneOf(tuple((each.key, each.label) for each in measures)) if measures else _NOBODY,
        "every": Length(0, rope_m, "cm"),
        "holes": Number(0, rope_m / min(holes), 1),
        **dict.fromkeys(("from", "to", "cover", "beside", "seed_depth"), depth),
    }


def _most(figures: Fertilising, crop: Crop, area_m2: float, decimals: int) -> tuple[_Most, ...]:
    """Of every product, the most that the largest need of any zone or soil takes."""
    needs = [each for each in figures.needs if each.crop == crop.key]
    of_soil = [each.p2o5.kg_per_ha for each in figures.soil_classes if each.crop == crop.key]
    hectares = area_m2 / HECTARE_M2
    p = max((*of_soil, *(each.p2o5.kg_per_ha for each in needs)), default=0.0) * hectares
    k = max((each.k2o.kg_per_ha for each in needs), default=0.0) * hectares
    return tuple(_most_of(product, p, k, decimals) for product in figures.products)


def _most_of(product: FertiliserProduct, p_kg: float, k_kg: float, decimals: int) -> _Most:
    grade = product.grade
    enough = max(
        kg / part * 100 if part else 0.0 for kg, part in ((p_kg, grade.p2o5_percent), (k_kg, grade.k2o_percent))
    )
    offers = offers_of(product, 1, decimals)
    levels = levels_up_to(offers, whole_up(enough * _G_PER_KG), decimals)
    last = next(at for at, grams in enumerate(levels.grams) if grams >= enough * _G_PER_KG * (1 - 1e-9))
    counts: dict[int, int] = {}
    for grams in levels.grams[: last + 1]:
        for offer, count in bought(offers, levels, grams):
            counts[offer.pack.size] = max(count, counts.get(offer.pack.size, 0))
    return _Most(product, enough, levels.grams[last] / _G_PER_KG, tuple(counts.items()))


def _most_cost(figures: Fertilising, crop: Crop, area_m2: float, decimals: int) -> Decimal:
    """What the largest field costs, where it needs the most; a smaller need is never dearer."""
    of_soil = [each.p2o5 for each in figures.soil_classes if each.crop == crop.key]
    costs = [Decimal(0)]
    for zone in (each for each in figures.needs if each.crop == crop.key):
        need = Need(max([zone.p2o5, *of_soil]), zone.k2o, zone.n_limit)
        # A zone that the dealer's list cannot serve is told to whoever asks from there.
        with suppress(CannotBe):
            costs.append(choose_few(figures.products, need, area_m2, decimals).cost)
    return max(costs)
