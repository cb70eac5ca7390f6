"""What money, packs, shared packs and the purse refuse, in full: name, value, allowed range, unit, what to do."""

from __future__ import annotations

from decimal import Decimal

import pytest

from advisor.agronomy.budget_figures import Budget
from advisor.agronomy.errors import CannotBe, DataFault, MissingFigure, OutOfRange
from advisor.agronomy.loose import cheapest_with_loose
from advisor.agronomy.money import MOST_MONEY, checked_money, checked_price, earned, paid, split_by_share, worth
from advisor.agronomy.packs import Pack, cheapest_purchase, most_packs
from advisor.agronomy.purse import purse_plan
from advisor.agronomy.sharing import read_share_most, share_packs
from advisor.agronomy.tables import read_table

ANY = "below 1e9"
ONE = Decimal(1)
BAG = Pack(50, Decimal(100))
BUDGET = Budget("z", "x", 500, 1000, 1500, None, 0.9, 0.7, Decimal(40), (), 2)


def planned(area_m2=10_000.0, purse=ONE, cost=lambda area_m2, p_part: Decimal(10), parts=10):
    return purse_plan(BUDGET, area_m2, purse, cost, parts)


@pytest.mark.parametrize(
    ("call", "name", "value", "low", "high", "unit"),
    [
        (lambda: checked_money("bill", -ONE), "bill", -ONE, 0, MOST_MONEY, "money"),
        (lambda: checked_money("bill", ONE, Decimal(2)), "bill", ONE, 2, MOST_MONEY, "money"),
        (lambda: checked_money("bill", MOST_MONEY + 1), "bill", MOST_MONEY + 1, 0, MOST_MONEY, "money"),
        (lambda: checked_price("seed", Decimal(0)), "seed", 0, "above 1e-9", MOST_MONEY, "money"),
        (lambda: checked_price("seed", MOST_MONEY + 1), "seed", MOST_MONEY + 1, "above 1e-9", MOST_MONEY, "money"),
        (lambda: worth(-1, ONE), "quantity", -1, 0, 1e12, "1"),
        (lambda: worth(1.1e12, ONE), "quantity", 1.1e12, 0, 1e12, "1"),
        (lambda: paid(ONE, -1), "decimals", -1, 0, 2, "1"),
        (lambda: paid(ONE, 3), "decimals", 3, 0, 2, "1"),
        (lambda: earned(ONE, 3), "decimals", 3, 0, 2, "1"),
        (lambda: split_by_share(ONE, (1, -1), 0), "share", -1, 0, 1e12, "1"),
        (lambda: split_by_share(ONE, (1, 2 * 10**12), 0), "share", 2 * 10**12, 0, 1e12, "1"),
        (lambda: split_by_share(ONE, (0, 0), 0), "shares together", 0, 1, 1e15, "1"),
        (lambda: split_by_share(ONE, (10**12,) * 1001, 0), "shares together", 1001 * 10**12, 1, 1e15, "1"),
        (lambda: split_by_share(-ONE, (1,), 0), "bill", -ONE, 0, MOST_MONEY, "money"),
        (lambda: split_by_share(ONE, (1,), 3), "decimals", 3, 0, 2, "1"),
        (lambda: cheapest_purchase([BAG], -1), "quantity", -1, 0, 10**12, "g"),
        (lambda: cheapest_purchase([BAG], 1, 0), "shares", 0, 1, 10_000, "1"),
        (lambda: cheapest_with_loose([BAG], BAG, -1), "quantity", -1, 0, 10**12, "g"),
        (lambda: share_packs([BAG], [("ann", 1)], 0, 0), "growers in a group", 0, 1, 1000, "1"),
        (lambda: share_packs([BAG], [("ann", 1)], 1001, 0), "growers in a group", 1001, 1, 1000, "1"),
        (lambda: share_packs([BAG], [("ann", 0)], 1, 0), "need", 0, 1, ANY, "g"),
        (lambda: planned(area_m2=0), "area", 0, "above 1e-9", ANY, "m2"),
        (lambda: planned(purse=-ONE), "purse", -ONE, 0, MOST_MONEY, "money"),
        (lambda: planned(parts=0), "parts of the field", 0, 1, 1000, "1"),
        (lambda: planned(parts=1001), "parts of the field", 1001, 1, 1000, "1"),
        (lambda: planned(cost=lambda *_: -ONE), "cost of inputs", -ONE, 0, MOST_MONEY, "money"),
        (
            lambda: planned(cost=lambda area_m2, p_part: 9 - Decimal(p_part)),
            "cost of a part of the package",
            Decimal("8.5"),
            0,
            8,
            "money",
        ),
        (
            lambda: planned(cost=lambda area_m2, p_part: Decimal(9 if p_part else 10)),
            "cost of a part of the package",
            10,
            0,
            9,
            "money",
        ),
        (
            lambda: planned(cost=lambda area_m2, p_part: Decimal(9 if area_m2 > 1000 else 10)),
            "cost of a part of the package",
            10,
            0,
            9,
            "money",
        ),
    ],
)
def test_a_value_outside_its_range_is_refused_with_the_range(call, name, value, low, high, unit):
    with pytest.raises(OutOfRange) as refused:
        call()

    error = refused.value
    assert (error.name, error.value, error.low, error.high, error.unit) == (name, value, low, high, unit)


@pytest.mark.parametrize("amount", ["NaN", "Infinity", "-Infinity"])
def test_what_is_no_number_is_no_money(amount):
    with pytest.raises(OutOfRange):
        checked_money("bill", Decimal(amount), Decimal("-Infinity"))
    with pytest.raises(OutOfRange):
        checked_price("seed", Decimal(amount))


@pytest.mark.parametrize(
    ("call", "expected"),
    [
        (lambda: checked_money("bill", Decimal(0)), 0),
        (lambda: checked_money("bill", Decimal(2), Decimal(2)), 2),
        (lambda: checked_price("seed", MOST_MONEY), MOST_MONEY),
        (lambda: checked_price("seed", Decimal("0.01")), Decimal("0.01")),
        (lambda: worth(0, ONE), 0),
        (lambda: worth(1e12, ONE), 10**12),
        (lambda: paid(Decimal("0.5"), 0), 1),
        (lambda: earned(Decimal("0.999"), 2), Decimal("0.99")),
        (lambda: split_by_share(Decimal(0), (1,), 0), (0,)),
        (lambda: split_by_share(ONE, (0, 1), 0), (0, 1)),
        (lambda: split_by_share(ONE, (10**12,), 2), (1,)),
        (lambda: sum(split_by_share(ONE, (10**12,) * 1000, 0)), 1),
        (lambda: Pack(1, Decimal("0.01")).size, 1),
        (lambda: cheapest_purchase([BAG], 1, 1).cost, 100),
        (lambda: share_packs([BAG], [("ann", 1)], 1, 0).cost, 100),
        (lambda: share_packs([BAG], [("ann", 1)], 1000, 0).cost, 100),
        (lambda: planned(purse=Decimal(0)).short, 10),
        (lambda: planned(parts=1).short, 9),
        (lambda: planned(parts=1000).short, 9),
        (lambda: planned(cost=lambda *_: Decimal(0)).short, 0),
    ],
)
def test_the_edges_themselves_are_allowed(call, expected):
    assert call() == expected


@pytest.mark.parametrize(
    ("call", "name", "said"),
    [
        (
            lambda: Pack(0, ONE),
            "pack_size",
            "a pack of 0 g holds nothing: give its size in grams, 1 or more",
        ),
        (
            lambda: Pack(1, Decimal(0)),
            "pack_price",
            "a pack cannot cost 0: give the dealer's price, above 1e-9 and at most 1e12",
        ),
        (
            lambda: share_packs([BAG], [("ann", 1), ("ann", 2)], 2, 0),
            "grower_twice",
            "a grower is named twice: give each grower one need",
        ),
    ],
)
def test_what_contradicts_itself_is_refused_with_what_to_do(call, name, said):
    with pytest.raises(CannotBe) as refused:
        call()
    assert (refused.value.name, str(refused.value)) == (name, said)


@pytest.mark.parametrize("call", [lambda: cheapest_purchase([], 5), lambda: most_packs([], 5)])
def test_a_dealer_without_packs_is_named_as_missing(call):
    with pytest.raises(MissingFigure) as refused:
        call()
    assert (refused.value.name, refused.value.instead) == (
        "packs on sale",
        "add at least one pack with its price to the programme file",
    )


def most_of(value):
    table = read_table(
        f'[sharing]\nmost = {{ value = {value}, unit = "1", source = "s", mark = "judgement" }}', "p", {"s": False}
    )
    found = read_share_most(table)
    table.finish()
    return found


@pytest.mark.parametrize(
    ("value", "fault"),
    [
        (0, "sharing.most is 0 1: give 1 to 100 1"),
        (101, "sharing.most is 101 1: give 1 to 100 1"),
        (4.5, "sharing.most is 4.5: give a whole number"),
    ],
)
def test_a_number_around_one_scale_that_cannot_be_is_told(value, fault):
    with pytest.raises(DataFault) as refused:
        most_of(value)
    assert refused.value.faults == (fault,)


@pytest.mark.parametrize("value", [1, 4, 100])
def test_a_number_around_one_scale_is_read(value):
    assert most_of(value) == value
