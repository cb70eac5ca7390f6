"""Paying for a season, for a dialogue: what a short purse drops first, what a loan takes, what sharing saves.

Inoculant and seed are never dropped: where money lacks phosphorus goes first, then area. Of the area that is left
the whole package is told, unless less phosphorus on more land harvests and earns more. A loan is told in bags
of the harvest, since a sum says little before there is one. Packs of seed and inoculant are shared by
neighbours whose fields are taken to be as large as the grower's own; inoculant is shared only where all of it
is sown while an opened pack lives.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from advisor.advice.buying import list_for
from advisor.advice.worth import NEEDS, SEED, MoneyOfField, Scale, no_prices
from advisor.agronomy import cautions
from advisor.agronomy.budget_figures import LoanTerms, Per
from advisor.agronomy.crop import Crop
from advisor.agronomy.inoculant import inoculant_g
from advisor.agronomy.limits import whole_up
from advisor.agronomy.loan import instalment, repayment
from advisor.agronomy.money import paid
from advisor.agronomy.packs import Pack, cheapest_purchase
from advisor.agronomy.programme import Programme
from advisor.agronomy.purse import Gone
from advisor.agronomy.season_money import season_money
from advisor.agronomy.sharing import share_packs
from advisor.dialogue.registry import Brings, Calculation, Condition, Sight, Takes
from advisor.wording.kinds import Area, Kind, Money, OneOf, Whole

#: Most neighbours who are asked about; flows ask within it.
MOST_SHARERS = 20
_G_PER_KG = 1000
_HALF = 0.5
#: Fertiliser is not shared here, and of inoculant alone whoever treats seed is told where it is treated.
_OF_SHARED = (
    Brings(cautions.DRESSED_SEED_IS_POISON),
    Brings(cautions.NO_BARE_HANDS_ON_DRESSED_SEED),
    Brings(cautions.WASH),
    Brings(cautions.KEEP_FROM_CHILDREN_AND_FOOD),
    Brings(cautions.FOLLOW_THE_PACK),
    Brings(cautions.OPENED_PACK_DOES_NOT_KEEP),
)


def paying(programme: Programme, crop: Crop) -> tuple[Calculation, ...]:
    """The calculations of paying for a season.

    Args:
        programme: its prices, loans and rule for sharing.
        crop: the crop that is sown.
    """
    runs, scale = _Paying(MoneyOfField(programme, crop)), Scale.of(programme, crop)
    area = Area(0, programme.plot_high_m2)
    inputs = Money(Decimal(0), scale.inputs)
    purse: dict[str, Kind] = {
        "purse": Money(Decimal(0), programme.purse_max),
        "all_inputs": inputs,
        "cost": inputs,
    }
    whole = Area(programme.plot_low_m2, programme.plot_high_m2)
    purse |= {"part": area, "area": whole, "fewer": scale.bags}
    most_lent = max(scale.inputs, programme.purse_max)
    owed = Money(
        Decimal(0), max((_owed(most_lent, terms, programme) for terms in programme.loans), default=most_lent)
    )
    loan: dict[str, Kind] = {
        "lent_sum": Money(Decimal(0), most_lent),
        "owed": owed,
        "interest": owed,
        "owed_bags": scale.bags,
    }
    loan |= {"usual": scale.bags, "bad": scale.bags}
    shared: dict[str, Kind] = {"sharers": Whole(2, MOST_SHARERS), "most": Whole(1, programme.share_most or 1)}
    all_alone = Money(Decimal(0), scale.inputs * MOST_SHARERS)
    shared |= {"together": all_alone, "alone": all_alone, "saved": all_alone}
    shared |= {"opened": Whole(1, programme.inoculant(crop.key).opened_life_days)}
    takes = (Takes("grower.village", (OneOf,)), Takes("plot.area", (Area,)), Takes("grower.bag_price", (Money,)))
    return (
        Calculation(
            "purse",
            (*NEEDS, "inputs_money"),
            (*SEED, "grower.bag_price"),
            tuple(purse.items()),
            runs.purse,
            also=("gone", "p_part"),
            sometimes=("cost", "part", "fewer"),
            takes=(*takes, Takes("inputs_money", (Money,))),
        ),
        Calculation(
            "loan",
            (*NEEDS, "loan_terms"),
            (*SEED, "grower.bag_price", "lent"),
            tuple(loan.items()),
            runs.loan,
            also=("burden",),
            sometimes=("owed_bags",),
            takes=(*takes, Takes("loan_terms", (OneOf,)), Takes("lent", (Money,))),
        ),
        Calculation(
            "shared_packs",
            ("plot.area", "neighbours"),
            SEED,
            tuple(shared.items()),
            runs.shared,
            takes=(takes[1], Takes("neighbours", (Whole,))),
            brings=_OF_SHARED,
        ),
    )


def conditions() -> tuple[Condition, ...]:
    """The conditions on paying that flows may name."""
    shown = ("cost", "part", "fewer")

    def gone(name: str, gone: Gone | None, *p_parts: float) -> Condition:
        return Condition(
            name,
            ("gone", "p_part"),
            lambda sight: sight["gone"] == gone and (not p_parts or sight["p_part"] in p_parts),
            shown if gone else (),
        )

    def burden(name: str, burden: str, *shows: str) -> Condition:
        return Condition(name, ("burden",), lambda sight: sight["burden"] == burden, shows)

    return (
        gone("purse_pays_all", Gone.NOTHING),
        gone("half_fertiliser_goes", Gone.HALF_P),
        gone("fertiliser_goes", Gone.ALL_P),
        gone("area_goes", Gone.AREA, 1.0),
        gone("area_and_half_go", Gone.AREA, _HALF),
        gone("area_and_fertiliser_go", Gone.AREA, 0.0),
        burden("loan_is_safe", "safe", "owed_bags"),
        burden("loan_is_risky", "risky", "owed_bags"),
        Condition("sharing_saves", ("saved",), lambda sight: sight["saved"] != 0),
    )


@dataclass(frozen=True, slots=True)
class _Paying:
    """The calculations themselves, bound to the money of a programme."""

    money: MoneyOfField

    def purse(self, sight: Sight, _now: datetime) -> Mapping[str, object]:
        money, area_m2 = self.money, self.money.area_m2(sight)
        purse = Decimal(str(sight["inputs_money"]))
        plan = money.inputs(sight).purse_plan(money.budget(sight), area_m2, purse)
        found: dict[str, object] = {"purse": purse, "all_inputs": plan.steps[0].package.cost, "area": area_m2}
        step = plan.chosen
        if step is None:
            return {**found, "gone": None, "p_part": 0.0}
        package = step.package
        # Less phosphorus on more land, where that harvests and leaves more for the money.
        if step.gone is Gone.AREA and plan.best is not None and plan.best.harvest_kg > package.harvest_kg:
            package = plan.best
        return {
            **found,
            "gone": step.gone,
            "p_part": package.p_part,
            "cost": package.cost,
            "part": package.area_m2,
            "fewer": money.bags(plan.steps[0].package.harvest_kg - package.harvest_kg, up=True),
        }

    def loan(self, sight: Sight, _now: datetime) -> Mapping[str, object]:
        money, area_m2 = self.money, self.money.area_m2(sight)
        terms = self._terms(sight)
        budget, decimals = money.budget(sight), money.programme.currency.decimals
        inputs = money.inputs(sight).cost(area_m2, 1.0)
        lent = Decimal(str(sight["lent"])) if "lent" in sight else inputs
        season = season_money(budget, area_m2, inputs, decimals)
        per_kg = sum((line.amount for line in budget.costs if line.per is Per.KG), Decimal(0))
        owed = repayment(lent, terms, budget.grain_price, per_kg, decimals)
        burden = "safe" if owed.total_kg <= season.low.harvest_kg else "risky"
        if owed.total_kg > season.middle.harvest_kg:
            burden = "lost"
        return {
            "lent_sum": lent,
            "owed": owed.total,
            "interest": owed.interest,
            "usual": money.bags(season.middle.harvest_kg),
            "bad": money.bags(season.low.harvest_kg),
            "burden": burden,
            **({} if burden == "lost" else {"owed_bags": money.bags(owed.total_kg, up=True)}),
        }

    def shared(self, sight: Sight, _now: datetime) -> Mapping[str, object]:
        programme, crop, sharers = self.money.programme, self.money.crop, int(str(sight["neighbours"]))
        if programme.share_most is None:
            raise no_prices("add [sharing] to the programme file")
        found = list_for(programme, crop, {"lot.origin": "bought", **sight, "portion": "all"})
        product, most = programme.inoculant(crop.key), min(programme.share_most, sharers)
        decimals = programme.currency.decimals

        def cost(packs: tuple[Pack, ...], grams: float) -> Decimal:
            need = max(1, whole_up(grams))
            return share_packs(packs, [(str(each), need) for each in range(sharers)], most, decimals).cost

        together, alone = Decimal(0), Decimal(0)
        if found.seed_purchase is not None:
            together += cost(programme.seed(crop.key).packs, found.seed_kg * _G_PER_KG)
            alone += found.seed_purchase.cost * sharers
        grams = inoculant_g(found.seed_kg, product.dose_g_per_kg)
        if found.sowing_days <= product.opened_life_days:
            together += cost(product.packs, grams)
            alone += cheapest_purchase(product.packs, max(1, whole_up(grams))).cost * sharers
        return {
            "sharers": sharers,
            "most": most,
            "together": together,
            "alone": alone,
            "saved": alone - together,
            "opened": product.opened_life_days,
        }

    def _terms(self, sight: Sight) -> LoanTerms:
        found = next((terms for terms in self.money.programme.loans if terms.key == sight["loan_terms"]), None)
        if found is None:
            raise no_prices("choose one of the programme's loans")
        return found


def _owed(lent: Decimal, terms: LoanTerms, programme: Programme) -> Decimal:
    return paid(instalment(lent, terms), programme.currency.decimals) * terms.instalments
