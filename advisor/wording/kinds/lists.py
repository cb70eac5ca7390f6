"""Kinds of values that are no single number: one of a list, a count out of a count, packs, a day."""

from __future__ import annotations

import re
from contextlib import suppress
from dataclasses import dataclass, field
from datetime import date, timedelta
from decimal import Decimal
from functools import lru_cache

from advisor.agronomy.labels import Label
from advisor.wording import measures, numbers
from advisor.wording.errors import BeyondScale, NotOfKind, UnfitKind
from advisor.wording.kinds.kind import Kind
from advisor.wording.numbers import Quantity, exact
from advisor.wording.segments import cost
from advisor.wording.units import units_of
from advisor.wording.voice import Voice

_ISO_DAY = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")
_DECIMALS_OF_A_SIZE = 3
_LEAP_YEAR_DAYS = tuple(date(2000, 1, 1) + timedelta(days=day) for day in range(366))


@dataclass(frozen=True, slots=True)
class OneOf(Kind):
    """A thing with a name in each language: a village, a product, a crop.

    Args:
        labels: key and name of each; the value is the key.
    """

    labels: tuple[tuple[str, Label], ...]
    _label_of: dict[str, Label] = field(init=False, compare=False, repr=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "_label_of", dict(self.labels))
        if not self.labels or len(self._label_of) != len(self.labels):
            raise UnfitKind("a list with nothing in it or with one key twice: give each entry a key of its own")

    def check(self, value: object) -> None:
        if value not in self._label_of:
            raise NotOfKind("entry", value, f"one of {', '.join(self._label_of)}")

    def _said(self, value: object, voice: Voice) -> str:
        return voice.out(self._label_of[str(value)].in_language(voice.language))

    def witness(self, voice: Voice) -> object:
        return max(self._label_of, key=lambda key: cost(self._said(key, voice), voice.alphabet))


@dataclass(frozen=True, slots=True)
class CountOf(Kind):
    """A count out of a count, such as seedlings of a seed test: (grown, sown), grown at most sown.

    Args:
        most: the largest number sown.
    """

    most: int

    def __post_init__(self) -> None:
        if self.most < 1:
            raise UnfitKind(f"a count out of {self.most}: give 1 or more")

    def check(self, value: object) -> None:
        grown, sown = self._pair(value)
        if not 0 <= grown <= sown or not 1 <= sown <= self.most:
            raise BeyondScale("count out of a count", value, (0, 1), (self.most, self.most))

    def _pair(self, value: object) -> tuple[int, int]:
        if isinstance(value, tuple) and len(value) == 2:
            grown, sown = value
            if type(grown) is int and type(sown) is int:
                return grown, sown
        raise NotOfKind("count out of a count", value, "a pair of whole numbers")

    def _said(self, value: object, voice: Voice) -> str:
        grown, sown = (numbers.number(count, voice) for count in self._pair(value))
        return voice.out(voice.glossary.count_of.format(grown, sown))

    def witness(self, voice: Voice) -> object:
        return self.most, self.most


@dataclass(frozen=True, slots=True)
class Day(Kind):
    """A day of a season, said without its year; as a date, or as the ISO 8601 text that records keep.

    >>> Day().check("2027-03-12")
    >>> try:
    ...     Day().check("12/3")
    ... except NotOfKind as wrong:
    ...     print(wrong.value)
    12/3
    """

    def check(self, value: object) -> None:
        self._day(value)

    def _day(self, value: object) -> date:
        if type(value) is date:
            return value
        found = _day_in(value) if isinstance(value, str) else None
        if found is None:
            raise NotOfKind("day", value, "a date, or its text as in 2027-03-12")
        return found

    def _said(self, value: object, voice: Voice) -> str:
        return numbers.day_and_month(self._day(value), voice)

    def witness(self, voice: Voice) -> object:
        return max(_LEAP_YEAR_DAYS, key=lambda day: cost(self._said(day, voice), voice.alphabet))


@lru_cache(maxsize=4096)
def _day_in(text: str) -> date | None:
    """The day of a text; a season has few of them, and every fact that is one is looked at with each message."""
    if _ISO_DAY.fullmatch(text):
        with suppress(ValueError):
            return date.fromisoformat(text)
    return None


@dataclass(frozen=True, slots=True)
class Packs(Kind):
    """Packs to buy: pairs of size in kg and count, "2x25 + 1x5 kg"; none at all is "0 kg".

    Args:
        unit: ``kg`` or ``g``, in which sizes are said.
        sizes: each size on sale [kg] and how many of it there can be at most.
        most_lines: how many sizes one purchase can hold.
    """

    unit: str
    sizes: tuple[tuple[Quantity, int], ...]
    most_lines: int
    _most: dict[Decimal, int] = field(init=False, compare=False, repr=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "_most", {exact(size): most for size, most in self.sizes})
        if self.unit not in units_of("mass"):
            raise UnfitKind(f"packs in {self.unit!r}: use one of {', '.join(units_of('mass'))}")
        well = all(exact(size) > 0 and most >= 0 for size, most in self.sizes)
        if not well or len(self._most) != len(self.sizes) or self.most_lines < 0:
            raise UnfitKind("packs with a size of nothing or one size twice: give each size once, above 0 kg")

    def check(self, value: object) -> None:
        lines = self._lines(value)
        sizes = {exact(size) for size, _ in lines}
        if len(lines) > self.most_lines or len(sizes) != len(lines):
            raise BeyondScale("packs", value, "no line", f"{self.most_lines} lines of different sizes")
        for size, count in lines:
            most = self._most.get(exact(size), 0)
            if not 1 <= count <= most:
                raise BeyondScale(f"packs of {size} kg", count, 1, most)

    def _lines(self, value: object) -> tuple[tuple[Quantity, int], ...]:
        lines = value if isinstance(value, tuple) else (None,)
        for line in lines:
            if not isinstance(line, tuple) or len(line) != 2 or type(line[1]) is not int:
                raise NotOfKind("packs", value, "pairs of size in kg and count")
        return lines

    def _said(self, value: object, voice: Voice) -> str:
        lines = [self._line(size, count, voice) for size, count in self._lines(value)]
        if not lines:
            return measures.mass(0, self.unit, voice)
        # The unit stands once, around the whole sum: a page of 70 characters has no room for more.
        return measures.around(" + ".join(lines), self.unit, voice)

    def _line(self, size_kg: Quantity, count: int, voice: Voice) -> str:
        size = numbers.number(measures.in_unit(size_kg, self.unit), voice, _DECIMALS_OF_A_SIZE)
        return f"{numbers.number(count, voice)}x{size}"

    def witness(self, voice: Voice) -> object:
        on_sale = tuple((size, most) for size, most in self.sizes if most)
        costs = [cost(self._line(size, most, voice), voice.alphabet) for size, most in on_sale]
        by_cost = sorted(range(len(on_sale)), key=lambda place: -costs[place])[: self.most_lines]
        value = tuple(on_sale[place] for place in sorted(by_cost))
        return max(value, (), key=lambda lines: cost(self._said(lines, voice), voice.alphabet))
