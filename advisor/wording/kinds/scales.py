"""Kinds of numbers: counts, measures, money and percentages, each between two bounds."""

from __future__ import annotations

import re
from abc import abstractmethod
from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal
from functools import lru_cache
from math import isfinite
from typing import ClassVar

from advisor.wording import measures, numbers
from advisor.wording.errors import BeyondScale, NotOfKind, UnfitKind
from advisor.wording.kinds.kind import Kind
from advisor.wording.kinds.spans import representatives
from advisor.wording.languages import plural_category, plural_forms
from advisor.wording.numbers import Quantity, exact, fixed, trimmed
from advisor.wording.segments import cost
from advisor.wording.units import units_of
from advisor.wording.voice import Voice

_MOST_DECIMALS = 6
_AMOUNT = re.compile(r"-?[0-9]+(\.[0-9]+)?")


class _Scale(Kind):
    """A number between two bounds, both of them allowed."""

    __slots__ = ()
    name: ClassVar[str]

    def check(self, value: object) -> None:
        number = self._quantity(value)
        low, high = self._bounds()
        within = isfinite(number) and (low <= number <= high or exact(low) <= exact(number) <= exact(high))
        if not within:
            raise BeyondScale(self.name, value, low, high)

    def _quantity(self, value: object) -> Quantity:
        if isinstance(value, bool) or not isinstance(value, _NUMBERS):
            raise NotOfKind(self.name, value, "a number")
        return value

    @abstractmethod
    def _bounds(self) -> tuple[Quantity, Quantity]:
        """The smallest and the largest value."""

    def _sound(self, decimals: int = 0) -> None:
        low, high = self._bounds()
        if not isfinite(low) or not isfinite(high) or low > high:
            raise UnfitKind(f"{self.name} from {low} to {high} holds nothing: give the smaller bound first")
        if not 0 <= decimals <= _MOST_DECIMALS:
            raise UnfitKind(f"{self.name} with {decimals} decimals: give 0 to {_MOST_DECIMALS}")


class _Measure(_Scale):
    """A number that is shown with at most so many decimals, perhaps with a unit."""

    __slots__ = ()

    def _unit(self, voice: Voice) -> str:
        """The unit it is said in, empty for none."""
        return ""

    def _decimals(self) -> int:
        return 0

    def _in_unit(self, value: Quantity, voice: Voice) -> Decimal:
        unit = self._unit(voice)
        return measures.in_unit(value, unit) if unit else exact(value)

    def _text(self, shown: Quantity, voice: Voice) -> str:
        unit = self._unit(voice)
        if unit:
            return measures.measure(shown, unit, voice, self._decimals())
        return numbers.number(shown, voice, self._decimals())

    def _said(self, value: object, voice: Voice) -> str:
        low, high = self._bounds()
        # The check forgives the last digits of a float; the words do not go beyond the bounds all the same.
        within = min(max(self._quantity(value), low), high)
        return self._text(self._in_unit(within, voice), voice)

    def witness(self, voice: Voice) -> object:
        low, high = self._bounds()
        ends = (trimmed(self._in_unit(end, voice), self._decimals()) for end in (low, high))
        candidates = representatives(next(ends), next(ends), self._decimals(), _category_in(voice.language))
        shown = max(candidates, key=lambda number: cost(self._text(number, voice), voice.alphabet))
        return self._value(shown, voice)

    def _value(self, shown: Decimal, voice: Voice) -> Quantity:
        """The value that is said as a number; at a bound that is not round, the bound itself."""
        low, high = self._bounds()
        value = shown * measures.si_of(self._unit(voice))
        if value < exact(low):
            return low
        if value > exact(high):
            return high
        return float(value)


#: What a quantity is told in; named, since a union that is written where it is asked is made each time.
_NUMBERS = (int, float, Decimal)


@dataclass(frozen=True, slots=True)
class Whole(_Measure):
    """A whole number.

    >>> try:
    ...     Whole(1, 400).check(500)
    ... except BeyondScale as beyond:
    ...     print(beyond.low, beyond.high)
    1 400
    """

    low: int
    high: int
    name: ClassVar[str] = "whole number"

    def __post_init__(self) -> None:
        self._sound()

    def _bounds(self) -> tuple[Quantity, Quantity]:
        return self.low, self.high

    def _quantity(self, value: object) -> Quantity:
        if isinstance(value, bool) or not isinstance(value, int):
            raise NotOfKind(self.name, value, "a whole number")
        return value

    def _value(self, shown: Decimal, voice: Voice) -> Quantity:
        return int(shown)

    def witnesses(self, voice: Voice) -> tuple[tuple[int, int], ...]:
        """For a counted message: each plural form that the span holds and its count that takes most room.

        Args:
            voice: the language.

        Returns:
            Pairs of form (place in the catalog) and count, by form.
        """
        forms = plural_forms(voice.language)
        found: dict[int, int] = {}
        for shown in representatives(Decimal(self.low), Decimal(self.high), 0, _category_in(voice.language)):
            category = plural_category(shown, voice.language)
            form = forms.index(category) if category in forms else len(forms) - 1
            wider = form in found and self._cost(found[form], voice) >= self._cost(int(shown), voice)
            if not wider:
                found[form] = int(shown)
        return tuple(sorted(found.items()))

    def _cost(self, count: int, voice: Voice) -> int:
        return cost(self._text(count, voice), voice.alphabet)


@dataclass(frozen=True, slots=True)
class Number(_Measure):
    """A number without a unit, with at most so many decimals."""

    low: Quantity
    high: Quantity
    decimals: int
    name: ClassVar[str] = "number"

    def __post_init__(self) -> None:
        self._sound(self.decimals)

    def _bounds(self) -> tuple[Quantity, Quantity]:
        return self.low, self.high

    def _decimals(self) -> int:
        return self.decimals


@dataclass(frozen=True, slots=True)
class Area(_Measure):
    """An area, said in the programme's unit.

    Args:
        low_m2: smallest area.
        high_m2: largest area.
        decimals: most decimals shown.
    """

    low_m2: Quantity
    high_m2: Quantity
    decimals: int = 2
    name: ClassVar[str] = "area"

    def __post_init__(self) -> None:
        self._sound(self.decimals)

    def _bounds(self) -> tuple[Quantity, Quantity]:
        return self.low_m2, self.high_m2

    def _decimals(self) -> int:
        return self.decimals

    def _unit(self, voice: Voice) -> str:
        return voice.area_unit


@dataclass(frozen=True, slots=True)
class Mass(_Measure):
    """A mass, said in ``kg`` or ``g``.

    What must be bought is rounded half up like all else, so it is never shown lower than needed by more than half
    a unit in the last place; a calculation that may not fall short at all rounds up to whole packs itself.

    Args:
        low_kg: smallest mass.
        high_kg: largest mass.
        unit: unit it is said in.
        decimals: most decimals shown.
    """

    low_kg: Quantity
    high_kg: Quantity
    unit: str = "kg"
    decimals: int = 0
    name: ClassVar[str] = "mass"

    def __post_init__(self) -> None:
        self._sound(self.decimals)
        _known(self.name, self.unit, units_of("mass"))

    def _bounds(self) -> tuple[Quantity, Quantity]:
        return self.low_kg, self.high_kg

    def _decimals(self) -> int:
        return self.decimals

    def _unit(self, voice: Voice) -> str:
        return self.unit


@dataclass(frozen=True, slots=True)
class Length(_Measure):
    """A length, said in ``m`` or ``cm``.

    Args:
        low_m: shortest length.
        high_m: longest length.
        unit: unit it is said in.
        decimals: most decimals shown.
    """

    low_m: Quantity
    high_m: Quantity
    unit: str = "cm"
    decimals: int = 0
    name: ClassVar[str] = "length"

    def __post_init__(self) -> None:
        self._sound(self.decimals)
        _known(self.name, self.unit, units_of("length"))

    def _bounds(self) -> tuple[Quantity, Quantity]:
        return self.low_m, self.high_m

    def _decimals(self) -> int:
        return self.decimals

    def _unit(self, voice: Voice) -> str:
        return self.unit


@dataclass(frozen=True, slots=True)
class Money(_Scale):
    """A sum of money, said with the decimals of the currency; as a Decimal, or as the text that records keep.

    Args:
        low: smallest sum.
        high: largest sum.
    """

    low: Decimal
    high: Decimal
    name: ClassVar[str] = "sum of money"

    def __post_init__(self) -> None:
        self._sound()

    def _bounds(self) -> tuple[Quantity, Quantity]:
        return self.low, self.high

    def _quantity(self, value: object) -> Quantity:
        if isinstance(value, str) and _AMOUNT.fullmatch(value):
            return Decimal(value)
        if isinstance(value, bool) or not isinstance(value, int | Decimal):
            raise NotOfKind(self.name, value, "a Decimal or its text")
        return value

    def _said(self, value: object, voice: Voice) -> str:
        return numbers.money(self._quantity(value), voice)

    def witness(self, voice: Voice) -> object:
        # All its decimals are always shown, so nothing between the bounds can have more digits than both.
        ends = (fixed(end, voice.currency.decimals) for end in (self.low, self.high))
        pairs = zip(ends, (self.low, self.high), strict=True)
        return max(pairs, key=lambda pair: cost(numbers.money(pair[0], voice), voice.alphabet))[1]


@dataclass(frozen=True, slots=True)
class Percent(_Scale):
    """A fraction from 0 to 1, said as a whole percentage."""

    name: ClassVar[str] = "fraction"

    def _bounds(self) -> tuple[Quantity, Quantity]:
        return 0, 1

    def _said(self, value: object, voice: Voice) -> str:
        return numbers.percent(self._quantity(value), voice)

    def witness(self, voice: Voice) -> object:
        fractions = (Decimal(whole) / 100 for whole in range(101))
        return float(max(fractions, key=lambda part: cost(numbers.percent(part, voice), voice.alphabet)))


@lru_cache(maxsize=64)
def _category_in(language: str) -> Callable[[Decimal], str]:
    """The plural form of a number in a language, the same function each time, by which results are remembered."""
    return lambda number: plural_category(number, language)


def _known(name: str, unit: str, units: tuple[str, ...]) -> None:
    if unit not in units:
        raise UnfitKind(f"{name} in {unit!r}: use one of {', '.join(units)}")
