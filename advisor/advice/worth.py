"""Is it worth it, for a dialogue: the harvest that pays for the season first, then what is likely to be left.

All that the calculator needs is known once there are a village and a field. Seed of which nothing is known is
taken as bought, which costs most. The price is the grower's own where it was told, else the programme's, and
then the flow says that it is assumed. Bags are said to a tenth below ten and whole above; what must be
harvested is rounded up and what is hoped for down, so that no screen promises a bag too much. A harvest beyond
a good season's is no way to come out even and is not said as a number.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from decimal import Decimal
from functools import lru_cache
from math import ceil, floor

from advisor.advice.buying import lot_of
from advisor.agronomy.bounds import buy_list_bounds
from advisor.agronomy.budget_figures import Budget, budget_of
from advisor.agronomy.buylist import Settled
from advisor.agronomy.crop import Crop
from advisor.agronomy.errors import MissingFigure, OutOfRange
from advisor.agronomy.fertiliser_need import fertiliser_need
from advisor.agronomy.inoculant import inoculant_g, inoculant_purchase, sowing_days
from advisor.agronomy.input_costs import InputCosts
from advisor.agronomy.programme import Programme
from advisor.agronomy.season_money import SeasonMoney, season_cost, season_money
from advisor.agronomy.units import HECTARE_M2
from advisor.dialogue.registry import Calculation, Condition, Sight, Takes
from advisor.wording.kinds import Area, Mass, Money, Number, OneOf, Whole

#: A price so many times the programme's, or so small a part of it, is a slip: most often that of a kilogram.
_STRANGE = 5
_SEASONS = 10
_TENTHS_BELOW = 10
#: Bags are cut at a hair, so that 12.000000001 does not become 13.
_HAIR = 1e-6
_ANY = Decimal(0)

#: What a season's money looks at beside its needs.
SEED = ("lot.origin", "lot.test", "lot.method")
NEEDS = ("grower.village", "plot.area")


def worth(programme: Programme, crop: Crop) -> tuple[Calculation, ...]:
    """The calculations of what a season is worth.

    Args:
        programme: harvests, prices and costs of its zones.
        crop: the crop that is sown.
    """
    runs, scale = MoneyOfField(programme, crop), Scale.of(programme, crop)
    price = {"bag": scale.bag, "price": scale.price, "usual_price": scale.price}
    bags = dict.fromkeys(("even", "even_own", "usual", "bad"), scale.bags)
    sums = dict.fromkeys(("gain", "loss", "least", "worst", "own"), scale.money)
    costs = dict.fromkeys(("inputs", "seed_cost", "feed_cost", "work_cost", "all_costs"), scale.money)
    area = {"area": Area(programme.plot_low_m2, programme.plot_high_m2)}
    seasons = {"losses": Whole(0, _SEASONS)}
    takes = (Takes("grower.village", (OneOf,)), Takes("plot.area", (Area,)), Takes("grower.bag_price", (Money,)))
    return (
        Calculation(
            "bag_price",
            ("grower.village",),
            ("grower.bag_price",),
            tuple(price.items()),
            runs.price,
            also=("strange",),
            takes=takes[::2],
        ),
        Calculation(
            "worth",
            NEEDS,
            (*SEED, "grower.bag_price"),
            tuple({**area, **price, **bags, **sums, **costs, **seasons}.items()),
            runs.worth,
            also=("assumed", "pays"),
            sometimes=("even", "even_own", "gain", "loss", "least", "worst"),
            takes=takes,
        ),
    )


def conditions() -> tuple[Condition, ...]:
    """The conditions on a season's money that flows may name."""

    def pays(name: str, pays: str, *shows: str) -> Condition:
        return Condition(name, ("pays",), lambda sight: sight["pays"] == pays, shows)

    def hired(name: str, assumed: bool) -> Condition:
        return Condition(
            name,
            ("assumed", "usual"),
            lambda sight: "even" in sight and sight["assumed"] is assumed,
            ("even", "even_own"),
        )

    return (
        Condition("price_is_strange", ("strange",), lambda sight: sight["strange"] is True),
        hired("assumed_price_pays", True),
        hired("told_price_pays", False),
        Condition(
            "only_own_work_pays",
            ("usual",),
            lambda sight: "even" not in sight and "even_own" in sight,
            ("even_own",),
        ),
        pays("bad_season_pays", "always", "gain", "least"),
        pays("usual_season_pays", "mostly", "gain", "worst"),
        pays("usual_season_loses", "seldom", "loss", "worst"),
    )


@dataclass(frozen=True, slots=True)
class Scale:
    """Bounds of what is said of money and harvests.

    Args:
        inputs: the most that all inputs of a field cost.
        bags: bags of grain.
        bag: a full bag.
        price: price of a bag.
        money: sums of a season.
    """

    inputs: Decimal
    bags: Number
    bag: Mass
    price: Money
    money: Money

    @classmethod
    def of(cls, programme: Programme, crop: Crop) -> Scale:
        """The bounds of a programme; of one without prices nothing is given, and nothing is wide."""
        bag_kg = programme.bag_kg or 1.0
        budgets = [budget for budget in programme.budgets if budget.crop == crop.key]
        high_m2 = programme.plot_high_m2
        most_kg = max((budget.harvest_high * high_m2 / HECTARE_M2 for budget in budgets), default=0)
        dearest = max((budget.grain_price for budget in budgets), default=_ANY) * Decimal(bag_kg) * _STRANGE
        inputs = buy_list_bounds(programme, crop).total
        if programme.fertilising is not None:
            costs = (_inputs(programme, crop, budget).fertiliser[1.0].cost(high_m2) for budget in budgets)
            inputs += max(costs, default=_ANY)
        work = max((_paid(budget, high_m2, most_kg) for budget in budgets), default=_ANY)
        return cls(
            inputs,
            Number(0, ceil(most_kg / bag_kg), 1),
            Mass(bag_kg, bag_kg, "kg", 1),
            Money(_ANY, dearest),
            Money(_ANY, max(inputs + work, dearest * ceil(most_kg / bag_kg)).to_integral_value()),
        )


@dataclass(frozen=True, slots=True)
class MoneyOfField:
    """Costs, harvests and prices of a grower's field, bound to a programme and its crop."""

    programme: Programme
    crop: Crop

    def price(self, sight: Sight, _now: datetime) -> Mapping[str, object]:
        usual = self.usual_price(sight)
        told = self._told_price(sight)
        return {
            "bag": self.bag_kg,
            "price": usual if told is None else told,
            "usual_price": usual,
            "strange": told is not None and not usual / _STRANGE <= told <= usual * _STRANGE,
        }

    def worth(self, sight: Sight, now: datetime) -> Mapping[str, object]:
        price = self.price(sight, now)
        if price["strange"]:
            raise OutOfRange("price of a bag", price["price"], 1, self.usual_price(sight) * _STRANGE, "money")
        budget, area_m2, inputs = self.budget(sight), self.area_m2(sight), self.inputs(sight)
        seed, total = inputs.seed_and_inoculant(area_m2), inputs.cost(area_m2, 1.0)
        decimals = self.programme.currency.decimals
        hired = season_money(budget, area_m2, total, decimals)
        own = season_money(budget.with_own_work, area_m2, total, decimals)
        all_costs, own_work = hired.middle.cost, hired.middle.cost - own.middle.cost
        return {
            **price,
            "area": area_m2,
            "assumed": self._told_price(sight) is None,
            **{name: kg for name, kg in (("even", self._even(hired)), ("even_own", self._even(own))) if kg},
            "usual": self.bags(hired.middle.harvest_kg),
            "bad": self.bags(hired.low.harvest_kg),
            "losses": losses_of(hired.chance_of_loss),
            "own": own_work,
            "inputs": total,
            "seed_cost": seed,
            "feed_cost": total - seed,
            "work_cost": all_costs - total,
            "all_costs": all_costs,
            **_margins(hired),
        }

    def _even(self, money: SeasonMoney) -> float | None:
        """Bags that just pay, where a good season harvests as many."""
        even_kg = money.break_even_kg
        return None if even_kg is None or even_kg > money.high.harvest_kg else self.bags(even_kg, up=True)

    @property
    def bag_kg(self) -> float:
        """Grain in a full bag [kg]."""
        if self.programme.bag_kg is None:
            raise no_prices("add the size of a bag under [harvest]")
        return self.programme.bag_kg

    def bags(self, kg: float, *, up: bool = False) -> float:
        """A mass of grain in bags, to a tenth below ten and whole above."""
        return rounded_bags(kg / self.bag_kg, up=up)

    def area_m2(self, sight: Sight) -> float:
        """The field in hand [m²]."""
        return float(str(sight["plot.area"]))

    def usual_price(self, sight: Sight) -> Decimal:
        """What the programme takes a bag to fetch."""
        return (self._zone_budget(sight).grain_price * Decimal(str(self.bag_kg))).quantize(Decimal(1))

    def budget(self, sight: Sight) -> Budget:
        """Harvest and costs of the grower's zone, at the price that was told."""
        told = self._told_price(sight)
        budget = self._zone_budget(sight)
        return budget if told is None else replace(budget, grain_price=told / Decimal(str(self.bag_kg)))

    def inputs(self, sight: Sight) -> InputCosts:
        """What seed, inoculant and fertiliser cost on parts of the field."""
        lot = tuple(sight.get(name) for name in SEED)
        return _inputs_of(self.programme, self.crop, self._zone_budget(sight), lot)

    def _told_price(self, sight: Sight) -> Decimal | None:
        told = sight.get("grower.bag_price")
        return None if told is None else Decimal(str(told))

    def _zone_budget(self, sight: Sight) -> Budget:
        village = self.programme.village(str(sight["grower.village"]))
        if village is None:
            raise no_prices("choose one of the programme's villages")
        try:
            return budget_of(self.programme.budgets, self.crop.key, village.zone)
        except MissingFigure as missing:
            raise no_prices(missing.instead) from missing


def rounded_bags(bags: float, *, up: bool = False) -> float:
    """Bags as they are said: to a tenth below ten and whole above, up where they must be harvested.

    >>> rounded_bags(12.7), rounded_bags(12.7, up=True), rounded_bags(1.23, up=True), rounded_bags(1.2, up=True)
    (12, 13, 1.3, 1.2)
    """
    parts = 10 if bags < _TENTHS_BELOW else 1
    whole = ceil(bags * parts - _HAIR) if up else floor(bags * parts + _HAIR)
    return whole / parts if parts > 1 else whole


def losses_of(chance: float) -> int:
    """Seasons out of ten that lose money: none only where none can, and ten only where all must.

    >>> [losses_of(chance) for chance in (0, 0.001, 0.27, 0.96, 1)]
    [0, 1, 3, 9, 10]
    """
    if chance in (0, 1):
        return int(chance * _SEASONS)
    return min(_SEASONS - 1, max(1, round(chance * _SEASONS)))


def no_prices(instead: str) -> MissingFigure:
    """Whatever lacks, the phone says one thing: that there are no prices for the place."""
    return MissingFigure("prices", instead)


def _margins(money: SeasonMoney) -> dict[str, object]:
    """What is kept or lost in a usual and in a bad season; neither is said as a number below 0."""
    usual, bad = money.middle.margin, money.low.margin
    found: dict[str, object] = {"gain": usual} if usual >= 0 else {"loss": -usual}
    found |= {"least": bad} if bad >= 0 else {"worst": -bad}
    return found | {"pays": "always" if bad >= 0 else "mostly" if usual >= 0 else "seldom"}


def _paid(budget: Budget, area_m2: float, kg: float) -> Decimal:
    cost = season_cost(budget, area_m2, _ANY)
    return cost.before_harvest + cost.per_kg * ceil(kg)


def _inputs(programme: Programme, crop: Crop, budget: Budget) -> InputCosts:
    return _inputs_of(programme, crop, budget, (None, None, None))


@lru_cache(maxsize=256)
def _inputs_of(programme: Programme, crop: Crop, budget: Budget, lot: tuple[object, ...]) -> InputCosts:
    """Costs for a lot in a zone; they are the same for all fields, so they are made once."""
    if programme.fertilising is None:
        raise no_prices("add a [fertilising] table to the programme file")
    known = {name: value for name, value in zip(SEED, lot, strict=True) if value is not None}
    settled = Settled.of(programme, crop, lot_of({"lot.origin": "bought", **known}))
    product = settled.inoculant

    def inoculant(seed_kg: float, part_m2: float) -> Decimal:
        # Own seed that waits for its test will need it too, though a buy list does not yet name it.
        grams = inoculant_g(seed_kg, product.dose_g_per_kg)
        days = sowing_days(part_m2, settled.plan.sown_per_day_m2)
        return inoculant_purchase(product.packs, grams, days, product.opened_life_days).cost

    need = fertiliser_need(programme.fertilising.need(crop.key, budget.zone))
    return InputCosts.of(settled, programme.fertilising, need, inoculant)
