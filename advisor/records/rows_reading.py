"""Reads the cells of one line into a row, or says of each cell what is wrong with it.

A line is taken whole or not at all. Reasons never hold what stood in a cell: reports are passed on.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta
from decimal import Decimal
from typing import TypeVar

from advisor.records.facts import Value
from advisor.records.rows import FACTS, HOWS, ORIGINS, Remark, Row, Said
from advisor.records.rows_cells import plain_cell, plain_number

#: No cell of the schema needs more.
MOST_CHARACTERS = 100
#: A day of sowing further from the day it was told than this is a slip.
SOWING_WITHIN = timedelta(days=400)

_DAY = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")
_AMOUNT = re.compile(r"[0-9]{1,7}(?:[.,][0-9]{1,6})?")
_THOUSANDS = re.compile(r"[0-9]+,[0-9]{3}")
_CONTROLS = re.compile("[\x00-\x1f\x7f-\x9f\u2028\u2029]")
_KEY = re.compile(r"[0-9A-Za-z._-]{1,32}")


@dataclass(frozen=True, slots=True)
class Terms:
    """What a programme makes of cells.

    Args:
        today: the day of the import, in the programme's zone.
        oldest: consent and facts from before this day are not taken: they would be erased for their age.
        languages: codes.
        villages: keys of the villages by folded name or key.
        agents: keys of the agents by folded name or key; None where the programme names none, and any key will do.
        units: sizes of the units of area [m²] by folded key or name.
        area_low_m2: smallest field.
        area_high_m2: largest field.
        fold: how names are made alike.
        e164: reads a number as people type it; ValueError with the reason where it is none.
    """

    today: date
    oldest: date
    languages: tuple[str, ...]
    villages: Mapping[str, str]
    agents: Mapping[str, str] | None
    units: Mapping[str, float]
    area_low_m2: float
    area_high_m2: float
    fold: Callable[[str], str] = field(repr=False)
    e164: Callable[[str], str] = field(repr=False)


T = TypeVar("T")


class _Wrong(ValueError):  # noqa: N818 - named for what it says
    """What is wrong with a cell, without what stands in it."""


def read_row(line: int, cells: Mapping[str, str], terms: Terms) -> Row | tuple[Remark, ...]:
    """The row of a line.

    Args:
        line: the line of the file, from 1.
        cells: the cells by column; columns that the file does not have are left out.
        terms: what the programme makes of them.

    Returns:
        The row, or everything that is wrong with the line.
    """
    reading = _Reading(line, cells, terms)
    number = reading.required("number", reading.number)
    how = reading.required("consent_how", reading.how)
    consent_on = reading.required("consent_on", reading.day_told)
    told_on = reading.optional("told_on", reading.day_told) or consent_on
    found: list[tuple[str, Value | None]] = [
        ("language", reading.optional("language", reading.language)),
        ("village", reading.optional("village", reading.village)),
        ("agent", reading.optional("agent", reading.agent)),
        ("field_area", reading.area()),
        ("sowing_date", reading.optional("sowing_date", lambda text: reading.sowing(text, told_on))),
        ("seed_origin", reading.optional("seed_origin", reading.origin)),
    ]
    if reading.wrong or number is None or how is None or consent_on is None or told_on is None:
        return tuple(reading.wrong)
    facts = (Said(FACTS[column], value, told_on) for column, value in found if value is not None)
    return Row(line, number, how, consent_on, told_on, tuple(sorted(facts, key=lambda fact: fact.name)))


@dataclass(slots=True)
class _Reading:
    """One line while it is read."""

    line: int
    cells: Mapping[str, str]
    terms: Terms
    wrong: list[Remark] = field(default_factory=list)

    def required(self, column: str, read: Callable[[str], T]) -> T | None:
        return self._cell(column, read, needed=True)

    def optional(self, column: str, read: Callable[[str], T]) -> T | None:
        return self._cell(column, read, needed=False)

    def number(self, text: str) -> str:
        return self.terms.e164(plain_number(text))

    def how(self, text: str) -> str:
        return _one_of(text.casefold(), HOWS)

    def language(self, text: str) -> str:
        return _one_of(text.casefold(), self.terms.languages)

    def origin(self, text: str) -> str:
        return _one_of(text.casefold(), ORIGINS)

    def village(self, text: str) -> str:
        return _named(self.terms.fold(text), self.terms.villages, "a village of the programme")

    def agent(self, text: str) -> str:
        if self.terms.agents is not None:
            return _named(self.terms.fold(text), self.terms.agents, "an agent of the programme")
        if _KEY.fullmatch(text) is None:
            raise _Wrong("not a key of an agent: give 1 to 32 letters, digits, dots, dashes or underscores")
        return text

    def day_told(self, text: str) -> date:
        day, terms = _day(text), self.terms
        if day > terms.today:
            raise _Wrong("a day that is still to come: nobody can have said it yet")
        if day < terms.oldest:
            raise _Wrong(f"before {terms.oldest}: older than the programme keeps anything; ask the grower anew")
        return day

    def sowing(self, text: str, told_on: date | None) -> str:
        day = _day(text)
        if told_on is not None and abs(day - told_on) > SOWING_WITHIN:
            raise _Wrong(f"more than {SOWING_WITHIN.days} days from the day it was told: look at the year")
        return day.isoformat()

    def area(self) -> float | None:
        """The area in m², of the amount and its unit, which go together."""
        amount = self.optional("field_area", _amount)
        unit_m2 = self.optional("field_unit", self._unit_m2)
        for column, other in (("field_unit", "field_area"), ("field_area", "field_unit")):
            if not self._is_filled(column) and self._is_filled(other):
                self.wrong.append(
                    Remark(self.line, column, "refused", f"is empty beside {other}: give both or none")
                )
        if amount is None or unit_m2 is None:
            return None
        size_m2, terms = float(amount) * unit_m2, self.terms
        if not terms.area_low_m2 <= size_m2 <= terms.area_high_m2:
            low, high = terms.area_low_m2 / unit_m2, terms.area_high_m2 / unit_m2
            reason = f"not a field of this programme: {low:.4g} to {high:.4g} in this unit; look at the unit too"
            self.wrong.append(Remark(self.line, "field_area", "refused", reason))
        return size_m2

    def _unit_m2(self, text: str) -> float:
        size_m2 = self.terms.units.get(self.terms.fold(text))
        if size_m2 is None:
            raise _Wrong(f"not a unit of area: give one of {', '.join(self.terms.units)}")
        return size_m2

    def _is_filled(self, column: str) -> bool:
        return bool(plain_cell(self.cells.get(column, "")))

    def _cell(self, column: str, read: Callable[[str], T], *, needed: bool) -> T | None:
        text = plain_cell(self.cells.get(column, ""))
        try:
            if len(text) > MOST_CHARACTERS:
                raise _Wrong(f"longer than {MOST_CHARACTERS} characters")
            if _CONTROLS.search(text):
                raise _Wrong("holds a sign that cannot be seen, such as a line break")
            if text:
                return read(text)
            if needed:
                raise _Wrong(_NEEDED[column])
        except ValueError as error:
            self.wrong.append(Remark(self.line, column, "refused", str(error)))
        return None


_NEEDED = {
    "number": "is empty: without a number nobody can be reached",
    "consent_how": "is empty: without consent nothing is kept of anybody; say how it was given",
    "consent_on": "is empty: without consent nothing is kept of anybody; say on which day it was given",
}


def _one_of(text: str, allowed: Iterable[str]) -> str:
    if text not in allowed:
        raise _Wrong(f"not one of {', '.join(allowed)}")
    return text


def _named(folded: str, keys: Mapping[str, str], what: str) -> str:
    if folded not in keys:
        raise _Wrong(f"not {what}: give a name or key of one; advisor growers schema lists them")
    return keys[folded]


def _day(text: str) -> date:
    if _DAY.fullmatch(text) is not None:
        try:
            return date.fromisoformat(text)
        except ValueError:
            raise _Wrong("no day of the calendar") from None
    raise _Wrong("not a day: give year, month and day as 2027-03-01; in other orders days and months are mixed up")


def _amount(text: str) -> Decimal:
    if _AMOUNT.fullmatch(text) is None:
        raise _Wrong("not a number above 0, such as 2.5; the unit has a column of its own")
    if _THOUSANDS.fullmatch(text) is not None:
        raise _Wrong("a comma before three digits can mean thousands or parts: write a point, or no comma")
    return Decimal(text.replace(",", "."))
