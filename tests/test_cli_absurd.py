"""What no field, sack or season can be: every calculation answers it with finite numbers or refuses it by type."""

from __future__ import annotations

from decimal import Decimal

import pytest

from advisor.agronomy.errors import AgronomyError, CannotBe, OutOfRange
from advisor.agronomy.limits import LARGEST, SMALLEST, above_zero, not_below, share
from advisor.agronomy.packs import MOST_UNITS, Pack, cheapest_purchase
from advisor.commands.calculator.listed import Listed, calculations
from tests.absurd import NUMBERS, numbers_that_are_none, questions

BAGS = Pack(25_000, Decimal(2600)), Pack(1000, Decimal(125))


@pytest.mark.parametrize(
    "listed", [each for each in calculations() if each.example is not None], ids=lambda listed: listed.name
)
def test_an_absurd_value_is_refused_by_type_or_answered_in_finite_numbers(listed: Listed) -> None:
    broken = []
    for question in questions(listed):
        try:
            where = list(numbers_that_are_none(question.ask()))
        except AgronomyError:
            continue
        except Exception as error:  # whatever else comes out is what is looked for
            where = [repr(error)]
        broken += [f"{question.what}: {each}" for each in where]
    assert broken == []


def test_every_number_of_an_example_is_put_to_every_absurd_value() -> None:
    (rectangle,) = (each for each in calculations() if each.name == "rectangle")

    assert len(list(questions(rectangle))) == 2 * len(NUMBERS)
    assert list(numbers_that_are_none((1.0, {"a": float("inf")}))) == ["result[1][a]"]


def test_the_edges_of_what_a_number_can_be() -> None:
    assert above_zero("area", SMALLEST * 1.001, "m2")
    assert above_zero("area", LARGEST * 0.999, "m2")
    assert not_below("rows", 0, 0, "1") == 0
    assert share("purity", 1) == 1
    for wrong in (SMALLEST, LARGEST, 5e-324, 1e300, float("nan")):
        with pytest.raises(OutOfRange, match="allowed is above 1e-9 to below 1e9"):
            above_zero("area", wrong, "m2")
    for wrong in (-1, LARGEST):
        with pytest.raises(OutOfRange, match="allowed is 0 to below 1e9"):
            not_below("rows", wrong, 0, "1")
    with pytest.raises(OutOfRange, match="allowed is above 1e-9 to 1 "):
        share("purity", SMALLEST)


def test_a_purchase_is_looked_for_up_to_what_a_dealer_can_hold() -> None:
    assert cheapest_purchase(BAGS, MOST_UNITS * 1000).surplus >= 0
    with pytest.raises(OutOfRange, match=f"quantity is .*, allowed is 0 to {MOST_UNITS * 1000} "):
        cheapest_purchase(BAGS, MOST_UNITS * 1000 + 1)
    with pytest.raises(OutOfRange, match="shares is 10001, allowed is 1 to 10000 "):
        cheapest_purchase(BAGS, 1000, 10_001)


@pytest.mark.parametrize("price", ["1e-9", "1.1e12", "NaN", "sNaN"])
def test_a_pack_has_a_price_that_can_be_paid(price: str) -> None:
    assert Pack(1, Decimal(10) ** 12)
    assert Pack(10**9 - 1, Decimal("0.01"))
    with pytest.raises(CannotBe, match="above 1e-9 and at most 1e12"):
        Pack(1, Decimal(price))
    with pytest.raises(CannotBe, match="below 1e9"):
        Pack(10**9, Decimal(1))
