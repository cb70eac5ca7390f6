"""The buy list: from a field, a lot of seed and a purse to the seed and inoculant to buy, and what they cost."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum
from math import floor
from typing import Self

from advisor.agronomy.cautions import (
    ASK_DEALER_OR_EXTENSION,
    DRESSED_SEED_IS_POISON,
    FOLLOW_THE_PACK,
    INOCULANT_APART_FROM_FERTILISER,
    INOCULANT_IN_SHADE,
    KEEP_FROM_CHILDREN_AND_FOOD,
    NO_BARE_HANDS_ON_DRESSED_SEED,
    WASH,
)
from advisor.agronomy.crop import Crop
from advisor.agronomy.errors import OutOfRange
from advisor.agronomy.germination import Band, Firmness, Method, SeedTest, band, firmness
from advisor.agronomy.holes import HolePlan
from advisor.agronomy.inoculant import inoculant_g, inoculant_purchase, sowing_days, water_ml
from advisor.agronomy.limits import whole_up, within
from advisor.agronomy.masses import SeedQuality, SeedWays
from advisor.agronomy.packs import Purchase, cheapest_purchase
from advisor.agronomy.poor_seed import Poor, without_other_seed
from advisor.agronomy.programme import CropPlan, Inoculant, Programme, SeedProduct
from advisor.agronomy.seed import grain_for_seed_kg

#: What must be said with every list: seed at home or from a dealer may be dressed.
_OF_SEED = (
    DRESSED_SEED_IS_POISON,
    NO_BARE_HANDS_ON_DRESSED_SEED,
    KEEP_FROM_CHILDREN_AND_FOOD,
    WASH,
    ASK_DEALER_OR_EXTENSION,
)
#: What must be said where anything is bought.
_OF_PACKS = (FOLLOW_THE_PACK, INOCULANT_IN_SHADE, INOCULANT_APART_FROM_FERTILISER)


_G_PER_KG = 1000


class Origin(StrEnum):
    """Where a lot of seed comes from."""

    BOUGHT = "bought"
    SAVED = "saved"


class Advice(StrEnum):
    """What the list tells the grower to do about seed."""

    BUY_SEED = "buy_seed"
    USE_OWN = "use_own"
    SOW_MORE = "sow_more"
    FIND_OTHER = "find_other"
    TEST_FIRST = "test_first"


#: Advice under which the grower sows seed that is at hand and buys none.
_OWN_SEED = frozenset({Advice.USE_OWN, Advice.SOW_MORE, Advice.TEST_FIRST})


@dataclass(frozen=True, slots=True)
class Lot:
    """A lot of seed; two lots are never pooled.

    Args:
        origin: bought from a dealer or saved from the last harvest.
        test: its germination test, None while there is none.
    """

    origin: Origin
    test: SeedTest | None = None


@dataclass(frozen=True, slots=True)
class Choices:
    """What the grower chooses.

    Args:
        spacing: index of a spacing on offer, 0 is the usual one.
        purse: money there is, None where it does not limit.
    """

    spacing: int = 0
    purse: Decimal | None = None


_AS_USUAL = Choices()


@dataclass(frozen=True, slots=True)
class BuyList:
    """Everything the grower is told.

    Args:
        area_m2: the field.
        advice: what to do about seed.
        poor: what to do about the poor lot that was tested, None unless the advice is to find other seed.
        germination: germination that the masses rest on, as tested, labelled or assumed, 0 to 1; a test in
            soil is given on the footing of one on paper.
        germination_tested: whether it was tested (else it is the label's or an assumption).
        rough: whether a test of too few seeds stands behind the advice.
        seed_kg: sorted seed to sow.
        grain_kg: raw grain to keep back for it, None for bought seed.
        seed_product: key of the seed to buy, None when nothing is bought.
        seed_purchase: bags to buy, None when nothing is bought.
        inoculant_product: key of the inoculant.
        inoculant_g: inoculant for the seed; 0 while the seed mass is not settled.
        water_ml: water for the inoculant; 0 while the seed mass is not settled.
        inoculant_purchase: packs to buy, None while the seed mass is not settled.
        sowing_days: whole days that sowing takes.
        total: what all purchases cost.
        stand_per_m2: stand that ``seed_kg`` implies.
        seed_kg_by_rate: mass by the handbook rate.
        stand_by_rate_per_m2: stand that it implies.
        seed_kg_by_population: mass by the target stand.
        stand_by_population_per_m2: stand that it implies.
        holes: seeds for each hole.
        affordable_area_m2: largest field whose full package the purse buys, 0 when it buys none; None when
            no purse was given or it buys everything.
        cautions: keys of what must be said with it.
    """

    area_m2: float
    advice: Advice
    poor: Poor | None
    germination: float
    germination_tested: bool
    rough: bool
    seed_kg: float
    grain_kg: float | None
    seed_product: str | None
    seed_purchase: Purchase | None
    inoculant_product: str
    inoculant_g: float
    water_ml: float
    inoculant_purchase: Purchase | None
    sowing_days: int
    total: Decimal
    stand_per_m2: float
    seed_kg_by_rate: float
    stand_by_rate_per_m2: float
    seed_kg_by_population: float
    stand_by_population_per_m2: float
    holes: HolePlan
    affordable_area_m2: float | None
    cautions: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Verdict:
    """What a lot is good for, and the seed that the list is then made for."""

    advice: Advice
    quality: SeedQuality
    tested: bool = False
    rough: bool = False
    poor: Poor | None = None


@dataclass(frozen=True, slots=True)
class Package:
    """What is bought for a field: seed and inoculant go together, and neither is ever thinned out.

    Args:
        seed_kg: sorted seed to sow.
        inoculant_g: inoculant for it; 0 while the seed mass is not settled.
        seed: bags to buy, None when nothing is bought.
        inoculant: packs to buy, None while the seed mass is not settled.
        days: whole days that sowing takes.
    """

    seed_kg: float
    inoculant_g: float
    seed: Purchase | None
    inoculant: Purchase | None
    days: int

    @property
    def total(self) -> Decimal:
        """What all of it costs."""
        cost = Decimal(0) if self.seed is None else self.seed.cost
        return cost if self.inoculant is None else cost + self.inoculant.cost


@dataclass(frozen=True, slots=True)
class Settled:
    """All that a buy list rests on but the area: the lot's verdict, and what every field of it is sown with.

    Args:
        programme: rules, products and prices.
        plan: how the programme grows the crop.
        advice: what to do about seed.
        poor: what to do about a poor lot.
        tested: whether the germination was tested.
        rough: whether a test of too few seeds stands behind the advice.
        ways: both ways to a seed mass.
        seed: the seed on sale.
        inoculant: the inoculant on sale.
    """

    programme: Programme
    plan: CropPlan
    advice: Advice
    poor: Poor | None
    tested: bool
    rough: bool
    ways: SeedWays
    seed: SeedProduct
    inoculant: Inoculant

    @classmethod
    def of(cls, programme: Programme, crop: Crop, lot: Lot, spacing: int = 0) -> Self:
        """What is settled once the lot is known.

        Raises:
            OutOfRange: a spacing outside the programme's, or a test of too few seeds.
            MissingFigure: the programme does not grow the crop or sells nothing for it.
        """
        plan = programme.plan(crop.key)
        within("spacing", spacing, 0, len(plan.spacings) - 1, "1")
        verdict = _verdict(programme, plan, crop, lot)
        ways = SeedWays.settled(plan, crop, plan.spacings[spacing], verdict.quality)
        seed, inoculant = programme.seed(crop.key), programme.inoculant(crop.key)
        return cls(
            programme, plan, verdict.advice, verdict.poor, verdict.tested, verdict.rough, ways, seed, inoculant
        )

    @property
    def own(self) -> bool:
        """Whether seed at hand is sown and none bought."""
        return self.advice in _OWN_SEED

    def check(self, area_m2: float) -> None:
        """Raises OutOfRange for a field outside the programme's limits."""
        within("area", area_m2, self.programme.plot_low_m2, self.programme.plot_high_m2, "m2")

    def package(self, area_m2: float) -> Package:
        """What is bought for a field; never less for a larger one."""
        if self.advice is Advice.TEST_FIRST:
            # Inoculant comes after the seed mass is settled, and before the test nothing is.
            days = sowing_days(area_m2, self.plan.sown_per_day_m2)
            return Package(self.ways.kg(area_m2), 0.0, None, None, days)
        return self.sown_as_it_is(area_m2)

    def sown_as_it_is(self, area_m2: float) -> Package:
        """What is bought for a field whatever is still to be tested: seed that no test comes for is sown as well.

        Of one's own it is then as much as is kept back for a test that may turn out low.
        """
        seed_kg, days = self.ways.kg(area_m2), sowing_days(area_m2, self.plan.sown_per_day_m2)
        grams = inoculant_g(seed_kg, self.inoculant.dose_g_per_kg)
        packs = inoculant_purchase(self.inoculant.packs, grams, days, self.inoculant.opened_life_days)
        return Package(seed_kg, grams, self.bags(seed_kg), packs, days)

    def bags(self, seed_kg: float) -> Purchase | None:
        """The cheapest bags that hold a mass of seed, None where seed at hand is sown."""
        return None if self.own else cheapest_purchase(self.seed.packs, whole_up(seed_kg * _G_PER_KG))

    def buy_list(self, area_m2: float, purse: Decimal | None = None) -> BuyList:
        """The whole list for a field. Raises as the function of that name."""
        self.check(area_m2)
        masses, package = self.ways.masses(area_m2), self.package(area_m2)
        own, watered = self.own, package.inoculant is not None
        affordable_m2 = _affordable_m2(self.programme, area_m2, purse, lambda part: self.package(part).total)
        return BuyList(
            area_m2=area_m2,
            advice=self.advice,
            poor=self.poor,
            germination=self.ways.on_paper,
            germination_tested=self.tested,
            rough=self.rough,
            seed_kg=masses.kg,
            grain_kg=grain_for_seed_kg(masses.kg, self.plan.sorting_loss) if own else None,
            seed_product=None if own else self.seed.key,
            seed_purchase=package.seed,
            inoculant_product=self.inoculant.key,
            inoculant_g=package.inoculant_g,
            water_ml=water_ml(masses.kg, self.inoculant.water_ml_per_kg) if watered else 0.0,
            inoculant_purchase=package.inoculant,
            sowing_days=package.days,
            total=package.total,
            stand_per_m2=masses.stand_per_m2,
            seed_kg_by_rate=masses.by_rate_kg,
            stand_by_rate_per_m2=masses.stand_by_rate_per_m2,
            seed_kg_by_population=masses.by_population_kg,
            stand_by_population_per_m2=masses.stand_by_population_per_m2,
            holes=masses.holes,
            affordable_area_m2=affordable_m2,
            cautions=(*_OF_SEED, *_OF_PACKS) if watered else _OF_SEED,
        )


def buy_list(programme: Programme, crop: Crop, area_m2: float, lot: Lot, choices: Choices = _AS_USUAL) -> BuyList:
    """What to buy for a field, what it costs, and how much of the field a purse is enough for.

    Args:
        programme: rules, products and prices.
        crop: a crop that the programme grows.
        area_m2: the field [m²], within the programme's plots.
        lot: the seed at hand, or seed that is to be bought.
        choices: spacing and purse.

    Returns:
        The list.

    Raises:
        OutOfRange: a field, spacing or purse outside the programme's limits, or a test of too few seeds.
        MissingFigure: the programme does not grow the crop or sells nothing for it.

    Source:
        The formulas of this room, in the order that their results need each other.

    >>> bought = buy_list(programme, crop, 10117.141056, Lot(Origin.BOUGHT))
    >>> bought.seed_kg, bought.inoculant_g, bought.total
    (50.0, 250.0, Decimal('5550'))
    """
    return Settled.of(programme, crop, lot, choices.spacing).buy_list(area_m2, choices.purse)


def _verdict(programme: Programme, plan: CropPlan, crop: Crop, lot: Lot) -> _Verdict:
    product = programme.seed(crop.key)
    labelled = SeedQuality(product.germination, Method.PAPER, product.purity)
    bought = lot.origin is Origin.BOUGHT
    if lot.test is None:
        kept = SeedQuality(plan.keep_back_germination, Method.PAPER, 1.0)
        return _Verdict(Advice.BUY_SEED, labelled) if bought else _Verdict(Advice.TEST_FIRST, kept)
    test = lot.test
    rough = firmness(test, crop.firm_from_seeds, crop.least_seeds, crop.most_seeds) is Firmness.ROUGH
    found = band(test, crop.good_over_percent, crop.poor_under_percent)
    if found is Band.POOR:
        poor = without_other_seed(test, crop.poor_under_percent, crop.refuse_under_percent)
        return _Verdict(Advice.FIND_OTHER, labelled, rough=rough, poor=poor)
    own = Advice.USE_OWN if found is Band.GOOD else Advice.SOW_MORE
    quality = SeedQuality(test.germination, test.method, product.purity if bought else 1.0)
    return _Verdict(Advice.BUY_SEED if bought else own, quality, tested=True, rough=rough)


def _affordable_m2(
    programme: Programme, area_m2: float, purse: Decimal | None, cost: Callable[[float], Decimal]
) -> float | None:
    """The largest field, in the programme's steps, whose package the purse buys; costs never fall with area."""
    if purse is None:
        return None
    if not (purse.is_finite() and 0 <= purse <= programme.purse_max):
        raise OutOfRange("purse", purse, 0, programme.purse_max, programme.currency.symbol)
    if cost(area_m2) <= purse:
        return None
    step_m2 = programme.area_step_m2
    least, most = whole_up(programme.plot_low_m2 / step_m2), floor(area_m2 / step_m2)
    bought = bisect_right(range(least, most + 1), purse, key=lambda steps: cost(steps * step_m2))
    return (least + bought - 1) * step_m2 if bought else 0.0
