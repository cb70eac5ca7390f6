"""Bought seed or one's own for a dialogue: what a thousand plants cost of either, and what is sown.

A lot that failed its test is not sown, whatever it costs. Seed grown on for too many seasons is renewed. Seed that
nobody tested, or too little of it, is tested first. Then the cheaper plants are sown. One's own seed costs what it
would fetch as grain; a test counts only where the lot in hand is one's own.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from enum import StrEnum

from advisor.advice.buying import buying, list_for
from advisor.advice.harvest_budget import budgets_for, no_figures
from advisor.advice.keeping_seed import most_kept_kg, to_keep_kg
from advisor.agronomy import cautions
from advisor.agronomy.bounds import buy_list_bounds
from advisor.agronomy.buylist import Advice, BuyList, Origin
from advisor.agronomy.crop import Crop
from advisor.agronomy.land_figures import SavedSeedRules
from advisor.agronomy.packs import Purchase
from advisor.agronomy.programme import Programme
from advisor.agronomy.saved_seed import Cheaper, SeedOffer, cost_of_thousand_plants, own_or_bought, seed_age
from advisor.dialogue.registry import Brings, Calculation, Condition, Sight, Takes
from advisor.wording.kinds import Area, Kind, Mass, Money, OneOf, Percent, Whole

_G_PER_KG = 1000
#: The most seasons that may be typed; flows ask within it.
MOST_SEASONS = 30
_POISON = (Brings(cautions.DRESSED_SEED_IS_POISON),)


class Sow(StrEnum):
    """What is sown, and why."""

    OWN = "own"
    TEST_FIRST = "test_first"
    FAILED = "failed"
    OLD = "old"
    DEARER = "dearer"


def choosing_seed(programme: Programme, crop: Crop) -> tuple[Calculation, ...]:
    """The calculations of choosing seed.

    Args:
        programme: seed on sale, prices of grain, and its rules for seed of one's own.
        crop: the crop that is sown.
    """
    runs, kinds = _Choosing(programme, crop), _kinds(programme, crop)
    of_list = next(each for each in buying(programme, crop) if each.name == "buy_list")
    lot = ("lot.origin", "lot.test", "lot.method", "plot.spacing")
    takes = (
        *(each for each in of_list.takes if each.name in ("plot.area", *lot)),
        Takes("grower.village", (OneOf,)),
    )
    seasons = Takes("lot.seasons", (Whole,))

    def given(*names: str) -> tuple[tuple[str, Kind], ...]:
        return tuple((name, kinds[name]) for name in names)

    return (
        Calculation(
            "bought_seed",
            ("plot.area",),
            ("plot.spacing",),
            given("area", "bought", "cost", "origin", "most"),
            runs.bought,
            takes=tuple(each for each in takes if each.name in ("plot.area", "plot.spacing")),
            brings=_POISON,
        ),
        Calculation(
            "choose_seed",
            ("plot.area", "lot.seasons"),
            (*lot, "grower.village"),
            tuple(kinds.items()),
            runs.choice,
            also=("sow",),
            sometimes=("own", "own_cost", "grain", "seed"),
            takes=(*takes, seasons),
            brings=_POISON,
        ),
    )


def conditions() -> tuple[Condition, ...]:
    """The conditions on the choice of seed that flows may name."""

    def sow_is(name: str, sow: Sow, *shows: str) -> Condition:
        return Condition(name, ("sow",), lambda sight: sight["sow"] is sow, shows)

    own = ("own", "own_cost", "grain", "seed")
    return (
        sow_is("own_seed_is_best", Sow.OWN, *own),
        sow_is("own_seed_is_untested", Sow.TEST_FIRST, *own),
        sow_is("own_seed_is_old", Sow.OLD, *own),
    )


@dataclass(frozen=True, slots=True)
class _Choosing:
    """The calculations themselves, bound to a programme and its crop."""

    programme: Programme
    crop: Crop

    def bought(self, sight: Sight, _now: datetime) -> Mapping[str, object]:
        area_m2 = float(str(sight["plot.area"]))
        purchase = self._bought(sight)
        return {
            "area": area_m2,
            "bought": cost_of_thousand_plants(self._offer(purchase), self.crop.tsw_g, self.crop.emergence),
            "cost": purchase.cost,
            "origin": Origin.BOUGHT.value,
            "most": self._rules().replace_after,
        }

    def choice(self, sight: Sight, now: datetime) -> Mapping[str, object]:
        own, age = self._own(sight), seed_age(int(str(sight["lot.seasons"])), self._rules().replace_after)
        area_m2, plan = float(str(sight["plot.area"])), self.programme.plan(self.crop.key)
        results = {
            **self.bought(sight, now),
            "origin": Origin.SAVED.value,
            "seasons": age.seasons,
            "left": age.left,
            "loss": plan.sorting_loss,
            "next": to_keep_kg(self.programme, self.crop, area_m2)[1],
        }
        if own.advice is Advice.FIND_OTHER:
            return results | {"sow": Sow.FAILED}
        price = max(each.grain_price for each in budgets_for(self.programme, self.crop.key, sight))
        offer = SeedOffer(price, own.germination, sorting_loss=plan.sorting_loss)
        costs = own_or_bought(offer, self._offer(self._bought(sight)), self.crop.tsw_g, self.crop.emergence)
        grain_kg = own.seed_kg if own.grain_kg is None else own.grain_kg
        results |= {
            "own": costs.own,
            "own_cost": Decimal(str(round(grain_kg, 3))) * price,
            "grain": grain_kg,
            "seed": own.seed_kg,
        }
        if age.replace:
            return results | {"sow": Sow.OLD}
        if own.advice is Advice.TEST_FIRST or own.rough:
            return results | {"sow": Sow.TEST_FIRST}
        return results | {"sow": Sow.DEARER if costs.cheaper is Cheaper.BOUGHT else Sow.OWN}

    def _rules(self) -> SavedSeedRules:
        if self.programme.land.saved_seed is None:
            raise no_figures("add a [saved_seed] section to the programme file")
        return self.programme.land.saved_seed

    def _own(self, sight: Sight) -> BuyList:
        """The list for one's own seed; the test of a bought lot says nothing of it."""
        names = ["plot.area", "plot.spacing"]
        if sight.get("lot.origin") == Origin.SAVED:
            names += ["lot.test", "lot.method"]
        known = {name: sight[name] for name in names if sight.get(name) is not None}
        return list_for(self.programme, self.crop, {**known, "lot.origin": Origin.SAVED.value})

    def _bought(self, sight: Sight) -> Purchase:
        known = {name: sight[name] for name in ("plot.area", "plot.spacing") if sight.get(name) is not None}
        found = list_for(self.programme, self.crop, {**known, "lot.origin": Origin.BOUGHT.value})
        if found.seed_purchase is None:  # bought seed without a test is always bought
            raise no_figures("add a seed product of the crop to the programme file")
        return found.seed_purchase

    def _offer(self, purchase: Purchase) -> SeedOffer:
        """Seed on sale, at what a kilogram costs in the bags that the field takes."""
        product = self.programme.seed(self.crop.key)
        kg = Decimal(sum(pack.size * count for pack, count in purchase.lines)) / _G_PER_KG
        return SeedOffer(purchase.cost / kg, product.germination, product.purity)


def _kinds(programme: Programme, crop: Crop) -> dict[str, Kind]:
    bounds, product, plan = buy_list_bounds(programme, crop), programme.seed(crop.key), programme.plan(crop.key)
    dearest = max(pack.price / pack.size for pack in product.packs) * _G_PER_KG
    price = max((each.grain_price for each in programme.budgets if each.crop == crop.key), default=Decimal(0))
    worst = min(plan.keep_back_germination, crop.poor_under_percent / 100)
    bought = SeedOffer(dearest, product.germination, product.purity)
    own = SeedOffer(price, worst, sorting_loss=plan.sorting_loss)
    rules = programme.land.saved_seed
    most = rules.replace_after if rules else 0

    def up_to(sum_: Decimal) -> Money:
        # A coin more, for a germination a hair under the edge.
        return Money(Decimal(0), sum_ + 1)

    return {
        "area": Area(programme.plot_low_m2, programme.plot_high_m2),
        "bought": up_to(cost_of_thousand_plants(bought, crop.tsw_g, crop.emergence)),
        "cost": up_to(bounds.total),
        "origin": OneOf(tuple((each.value, programme.crop_label(crop.key)) for each in Origin)),
        "own": up_to(cost_of_thousand_plants(own, crop.tsw_g, crop.emergence)),
        "own_cost": up_to(Decimal(str(bounds.grain_kg)) * price),
        "grain": Mass(0, bounds.grain_kg, "kg", 1),
        "seed": Mass(0, bounds.seed_kg, "kg", 1),
        "loss": Percent(),
        "next": Mass(0, most_kept_kg(programme, crop)[1], "kg", 1),
        "seasons": Whole(1, MOST_SEASONS),
        "left": Whole(0, most),
        "most": Whole(0, most),
    }
