"""Money figures of a season: what a field yields, what grain fetches, what is paid beside seed, and loans.

Harvests are what growers of the zone get, low, usual and high. A demonstration yield is a figure of its own: it
is what a well-kept trial shows, it is shown beside the plan at most, and it never enters a sum. A programme may
lack all of this; then nothing is said about money beyond the buy list.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from enum import StrEnum

from advisor.agronomy.crop_rows import row_of
from advisor.agronomy.labels import Currency, Label
from advisor.agronomy.tables import Table


class Per(StrEnum):
    """What a cost is paid for."""

    FIELD = "field"
    ACRE = "acre"
    HECTARE = "hectare"
    KG = "kg"


class Who(StrEnum):
    """Who does the work of a cost."""

    HIRED = "hired"
    FAMILY = "family"


@dataclass(frozen=True, slots=True)
class CostLine:
    """A cost beside the inputs that are bought: ploughing, weeding, threshing, bags, transport.

    Args:
        key: short key, never changed.
        label: its name, at most 16 characters in every language.
        amount: money for one of ``per``.
        per: what it is paid for; ``kg`` is of grain harvested.
        who: ``family`` for work that a household may do itself, and then pays nobody for.
    """

    key: str
    label: Label
    amount: Decimal
    per: Per
    who: Who = Who.HIRED


@dataclass(frozen=True, slots=True)
class Budget:
    """Harvest and money of a crop in a zone.

    Args:
        zone: key of the zone.
        crop: key of the crop.
        harvest_low: harvest of a bad season with the full package [kg/ha].
        harvest_middle: the most usual harvest [kg/ha].
        harvest_high: harvest of a good season [kg/ha].
        demonstration: harvest of a well-kept trial [kg/ha], above all of them; None where nobody names one.
        part_half_p: part of the harvest that is left with half the phosphorus, 0 to 1.
        part_no_p: part that is left with none.
        grain_price: price of a kilogram at the farm gate.
        costs: costs beside the inputs that are bought.
        ratio_enough: value-cost ratio from which an input is worth its risk.
    """

    zone: str
    crop: str
    harvest_low: float
    harvest_middle: float
    harvest_high: float
    demonstration: float | None
    part_half_p: float
    part_no_p: float
    grain_price: Decimal
    costs: tuple[CostLine, ...]
    ratio_enough: float

    @property
    def harvest(self) -> tuple[float, float, float]:
        """Low, middle and high harvest [kg/ha]."""
        return self.harvest_low, self.harvest_middle, self.harvest_high

    @property
    def with_own_work(self) -> Budget:
        """The same season where the household does all work that it can; its own days cost nothing."""
        return replace(self, costs=tuple(line for line in self.costs if line.who is Who.HIRED))


class Interest(StrEnum):
    """How a lender counts interest."""

    FLAT = "flat"
    ON_BALANCE = "on_balance"


@dataclass(frozen=True, slots=True)
class LoanTerms:
    """A lender's terms.

    Args:
        key: short key, never changed.
        label: its name, at most 16 characters in every language.
        interest: ``flat`` on what was lent, or ``on_balance`` on what is still owed.
        rate_per_month: interest of a month as a part of what it is counted on, 0 to 1.
        months_apart: months from the loan to the first instalment, and between two.
        instalments: equal instalments, 1 or more.
    """

    key: str
    label: Label
    interest: Interest
    rate_per_month: float
    months_apart: int
    instalments: int


def read_budgets(
    table: Table, languages: Sequence[str], zones: Sequence[str], crops: Sequence[str], currency: Currency
) -> tuple[Budget, ...]:
    """The budgets of a programme from its tables ``[[budgets]]``, none where it has none.

    Args:
        table: the whole file.
        languages: languages of the programme.
        zones: keys of its zones.
        crops: keys of the crops that there are.
        currency: money that prices are in.

    Returns:
        The budgets, in the order of the file.

    Raises:
        Nothing: faults are noted in the table.

    Source:
        The project's own file format.

    >>> from advisor.agronomy.tables import read_table
    >>> read_budgets(read_table("", "programme", {}), ("en",), (), (), Currency("Ul", 0))
    ()
    """
    found = tuple(_budget(row, languages, zones, crops, currency) for row in table.optional_rows("budgets"))
    if table.is_sound:
        table.unique("budgets", [f"{budget.crop} in {budget.zone}" for budget in found])
    return found


def _budget(
    row: Table, languages: Sequence[str], zones: Sequence[str], crops: Sequence[str], currency: Currency
) -> Budget:
    budget = Budget(
        zone=row.one_of("zone", zones),
        crop=row.one_of("crop", crops),
        harvest_low=row.quantity("harvest_low", "kg/ha", 0, 20_000),
        harvest_middle=row.quantity("harvest_middle", "kg/ha", 1, 20_000),
        harvest_high=row.quantity("harvest_high", "kg/ha", 1, 20_000),
        demonstration=row.quantity("demonstration", "kg/ha", 1, 50_000) if row.has("demonstration") else None,
        part_half_p=row.quantity("part_half_p", "1", 0, 1),
        part_no_p=row.quantity("part_no_p", "1", 0, 1),
        grain_price=row.money("grain_price", currency.decimals),
        costs=tuple(
            CostLine(
                cost.text("key", longest=16),
                cost.label("label", languages),
                cost.money("amount", currency.decimals),
                Per(cost.one_of("per", tuple(Per))),
                Who(cost.one_of("who", tuple(Who))) if cost.has("who") else Who.HIRED,
            )
            for cost in row.optional_rows("costs")
        ),
        ratio_enough=row.quantity("ratio_enough", "1", 1, 10),
    )
    row.rising(
        ("harvest_low", budget.harvest_low),
        ("harvest_middle", budget.harvest_middle),
        ("harvest_high", budget.harvest_high),
        *([] if budget.demonstration is None else [("demonstration", budget.demonstration)]),
    )
    row.rising(("part_no_p", budget.part_no_p), ("part_half_p", budget.part_half_p))
    row.unique("costs", [cost.key for cost in budget.costs])
    return budget


def read_loans(table: Table, languages: Sequence[str]) -> tuple[LoanTerms, ...]:
    """The loans that growers of a programme can have, from its tables ``[[loans]]``, none where it has none.

    Args:
        table: the whole file.
        languages: languages of the programme.

    Returns:
        The terms, in the order of the file.

    Raises:
        Nothing: faults are noted in the table.

    Source:
        The project's own file format.

    >>> from advisor.agronomy.tables import read_table
    >>> read_loans(read_table("", "programme", {}), ("en",))
    ()
    """
    found = tuple(
        LoanTerms(
            key=row.text("key", longest=16),
            label=row.label("label", languages),
            interest=Interest(row.one_of("interest", tuple(Interest))),
            rate_per_month=row.quantity("rate", "1/month", 0, 1),
            months_apart=row.whole_quantity("months_apart", "month", 1, 60),
            instalments=row.whole("instalments", 1, 60),
        )
        for row in table.optional_rows("loans")
    )
    table.unique("loans", [loan.key for loan in found])
    return found


def budget_of(budgets: Sequence[Budget], crop: str, zone: str) -> Budget:
    """The budget of a crop in a zone.

    Args:
        budgets: the programme's.
        crop: key of the crop.
        zone: key of the zone.

    Returns:
        The budget.

    Raises:
        MissingFigure: the programme has none.

    Source:
        The programme's file.

    >>> from advisor.agronomy.errors import MissingFigure
    >>> try:
    ...     budget_of((), "pea", "hills")
    ... except MissingFigure as missing:
    ...     missing.name
    'budget of pea in hills'
    """
    return row_of(budgets, crop, zone, "budget", "budgets")
