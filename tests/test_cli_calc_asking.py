"""``calc``: a function becomes a command by its signature, and amounts are read with their units."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

import pytest
from click.testing import CliRunner
from hypothesis import given
from hypothesis import strategies as st

from advisor.agronomy.limits import above_zero
from advisor.commands.calculating import _command
from advisor.commands.calculator.amounts import NotAnAmount, said_number, typed_amount, units_for
from advisor.commands.calculator.asking import CannotBeAsked, asks_of, options_of
from advisor.commands.calculator.known import FIGURES
from advisor.commands.calculator.listed import Listed


class Size(StrEnum):
    SMALL = "small"
    LARGE = "large"


@dataclass(frozen=True)
class Basket:
    """A basket.

    Args:
        size: how large it is.
        holds_kg: what it holds [kg].
    """

    size: Size
    holds_kg: float


def grain_in_baskets_kg(baskets: int, basket: Basket, tsw_g: float, lost: float = 0.0) -> float:
    """Grain in baskets.

    Args:
        baskets: how many.
        basket: which.
        tsw_g: mass of a thousand seeds [g].
        lost: part that is spilt.

    Source:
        Arithmetic of this test.
    """
    return baskets * above_zero("basket", basket.holds_kg, "kg") * (1 - lost) + 0 * tsw_g


class TestANewCalculation:
    """Its signature and docstring are all that a command needs."""

    BASKETS = Listed("baskets", grain_in_baskets_kg, asks_of(grain_in_baskets_kg, FIGURES), "Baskets", None)

    def test_has_an_option_for_each_argument_and_each_field(self) -> None:
        assert [option.name for option in options_of(self.BASKETS.asks)] == [
            "baskets",
            "size",
            "holds",
            "tsw",
            "lost",
        ]

    def test_is_answered_in_its_unit_with_the_figure_that_stood_in(self) -> None:
        said = CliRunner().invoke(_command(self.BASKETS), ["--baskets", "3", "--size", "small", "--holds", "500g"])

        assert said.output.startswith("about 1.5 kg  Grain in baskets\n")
        assert "130 g  crop soybean: thousand_seed_weight" in said.output

    def test_with_an_argument_that_nobody_can_type_is_not_offered(self) -> None:
        def odd(what: complex) -> float:
            return abs(what)

        with pytest.raises(CannotBeAsked, match="what is <class 'complex'>"):
            asks_of(odd, FIGURES)


class TestAmounts:
    @given(st.floats(0.001, 1e6), st.sampled_from(["m2", "kg", "m", "1", "percent", "kg/ha", "g", "celsius", "s"]))
    def test_are_the_same_in_every_unit_that_may_be_typed(self, number: float, unit: str) -> None:
        for name, factor in units_for(unit).items():
            if not name[0].isdigit():
                assert typed_amount(f"{number!r} {name}", unit) == pytest.approx(number * factor)
                assert typed_amount(f"{number!r}{name}", unit) == pytest.approx(number * factor)
        assert typed_amount(f"{number!r}", unit) == number

    @pytest.mark.parametrize("typed", ["", "acre", "2 acres", "1e", "--", "two"])
    def test_that_are_none_are_refused(self, typed: str) -> None:
        with pytest.raises(NotAnAmount, match="is no amount: give a number"):
            typed_amount(typed, "m2")

    @given(st.floats(1e-3, 1e9))
    def test_are_said_to_four_figures(self, number: float) -> None:
        assert float(said_number(number).replace(",", "")) == pytest.approx(number, rel=6e-4)

    @pytest.mark.parametrize(
        ("amount", "said"), [(Decimal("5550"), "5,550"), (Decimal("12.5"), "12.50"), (Decimal("9.7105"), "9.71")]
    )
    def test_of_money_are_said_to_the_coin(self, amount: Decimal, said: str) -> None:
        assert said_number(amount) == said
