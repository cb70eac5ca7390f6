"""Reads the cells of one line into a row, or says of each cell what is wrong with it.

A line is taken whole or not at all. Reasons never hold what stood in a cell: reports are passed on.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta
from decimal import Decimal
from functools import lru_cache
from typing import Any

from advisor.records.own_phones import LISTED
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
        own_phones: numbers of the phones that agents work from; one on the list is a grower's as well.
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
    own_phones: frozenset[str] = frozenset()


class _Wrong(ValueError):  # noqa: N818 - named for what it says
    """What is wrong with a cell, without what stands in it."""


#: What a cell says and what is wrong with it, of which there is one at most; neither where it is empty.
_Told = tuple[Any, str]
#: The columns of facts in the order in which facts are kept.
_BY_NAME = tuple(sorted(FACTS.items(), key=lambda pair: pair[1]))
#: So many different cells are remembered. A list has few villages, days and areas, and each in many lines.
_MOST_REMEMBERED = 4096
_LONG = "x" * (MOST_CHARACTERS + 1)


class RowReader:
    """Reads the lines of one list.

    What a cell says is worked out once for each column; numbers, of which each is another, are not remembered.

    Args:
        terms: what the programme makes of cells.
    """

    def __init__(self, terms: Terms) -> None:
        self._terms = terms
        self._readers: Mapping[str, Callable[[str], Any]] = {
            "number": lambda text: terms.e164(plain_number(text)),
            "consent_how": lambda text: _one_of(text.casefold(), HOWS),
            "consent_on": self._day_told,
            "told_on": self._day_told,
            "language": lambda text: _one_of(text.casefold(), terms.languages),
            "village": lambda text: _named(terms.fold(text), terms.villages, "a village of the programme"),
            "agent": self._agent,
            "field_area": _amount,
            "field_unit": self._unit_m2,
            "seed_origin": lambda text: _one_of(text.casefold(), ORIGINS),
        }
        remembering = lru_cache(_MOST_REMEMBERED)
        self._told = remembering(self._judged)
        self._said = remembering(Said)
        self._area = remembering(self._judged_area)
        self._sowing = remembering(self._judged_sowing)

    def row(self, line: int, cells: Mapping[str, str]) -> Row | tuple[Remark, ...]:
        """The row of a line.

        Args:
            line: the line of the file, from 1.
            cells: the cells by column; columns that the file does not have are left out.

        Returns:
            The row, or everything that is wrong with the line.
        """

        def cell(column: str) -> str:
            text = cells.get(column, "")
            return text if len(text) <= MOST_CHARACTERS else _short(text)

        told: dict[str, _Told] = {"number": self._judged("number", cell("number"))}
        for column in ("consent_how", "consent_on", "told_on", "language", "village", "agent"):
            told[column] = self._told(column, cell(column))
        area, wrong_area = self._area(cell("field_area"), cell("field_unit"))
        consent_on = told["consent_on"][0]
        told_on = told["told_on"][0] or consent_on
        told["field_area"] = (area, "")
        told["sowing_date"] = self._sowing(cell("sowing_date"), told_on)
        told["seed_origin"] = self._told("seed_origin", cell("seed_origin"))
        wrong = [(column, reason) for column, (_, reason) in told.items() if reason]
        if wrong or wrong_area:
            return tuple(Remark(line, column, "refused", reason) for column, reason in (*wrong, *wrong_area))
        facts = [
            self._said(name, value, told_on) for column, name in _BY_NAME if (value := told[column][0]) is not None
        ]
        number = told["number"][0]
        if number in self._terms.own_phones:
            facts = sorted([*facts, self._said(LISTED, True, told_on)], key=lambda said: said.name)
        return Row(line, number, told["consent_how"][0], consent_on, told_on, tuple(facts))

    def _judged(self, column: str, cell: str) -> _Told:
        return _read(column, cell, self._readers[column])

    def _judged_sowing(self, cell: str, told_on: date | None) -> _Told:
        def sowing(text: str) -> str:
            day = _day(text)
            if told_on is not None and abs(day - told_on) > SOWING_WITHIN:
                raise _Wrong(f"more than {SOWING_WITHIN.days} days from the day it was told: look at the year")
            return day.isoformat()

        return _read("sowing_date", cell, sowing)

    def _judged_area(self, cell: str, unit_cell: str) -> tuple[float | None, tuple[tuple[str, str], ...]]:
        """The area in m², of the amount and its unit, which go together; and what is wrong with which of them."""
        amount, wrong_amount = self._judged("field_area", cell)
        unit_m2, wrong_unit = self._judged("field_unit", unit_cell)
        wrong = [("field_area", wrong_amount), ("field_unit", wrong_unit)]
        has_amount, has_unit = bool(plain_cell(cell)), bool(plain_cell(unit_cell))
        if has_amount and not has_unit:
            wrong.append(("field_unit", "is empty beside field_area: give both or none"))
        if has_unit and not has_amount:
            wrong.append(("field_area", "is empty beside field_unit: give both or none"))
        size_m2 = None
        if amount is not None and unit_m2 is not None:
            size_m2, terms = float(amount) * unit_m2, self._terms
            if not terms.area_low_m2 <= size_m2 <= terms.area_high_m2:
                low, high = terms.area_low_m2 / unit_m2, terms.area_high_m2 / unit_m2
                fields = f"{low:.4g} to {high:.4g} in this unit"
                wrong.append(("field_area", f"not a field of this programme: {fields}; look at the unit too"))
        return size_m2, tuple((column, reason) for column, reason in wrong if reason)

    def _agent(self, text: str) -> str:
        if self._terms.agents is not None:
            return _named(self._terms.fold(text), self._terms.agents, "an agent of the programme")
        if _KEY.fullmatch(text) is None:
            raise _Wrong("not a key of an agent: give 1 to 32 letters, digits, dots, dashes or underscores")
        return text

    def _day_told(self, text: str) -> date:
        day, terms = _day(text), self._terms
        if day > terms.today:
            raise _Wrong("a day that is still to come: nobody can have said it yet")
        if day < terms.oldest:
            raise _Wrong(f"before {terms.oldest}: older than the programme keeps anything; ask the grower anew")
        return day

    def _unit_m2(self, text: str) -> float:
        size_m2 = self._terms.units.get(self._terms.fold(text))
        if size_m2 is None:
            raise _Wrong(f"not a unit of area: give one of {', '.join(self._terms.units)}")
        return size_m2


def _short(cell: str) -> str:
    """What a long cell says, or something else that is too long: what is remembered must not fill the memory."""
    text = plain_cell(cell)
    return text if len(text) <= MOST_CHARACTERS else _LONG


def _read(column: str, cell: str, reader: Callable[[str], Any]) -> _Told:
    text = plain_cell(cell)
    if not text:
        return None, _NEEDED.get(column, "")
    if len(text) > MOST_CHARACTERS:
        return None, f"longer than {MOST_CHARACTERS} characters"
    if _CONTROLS.search(text):
        return None, "holds a sign that cannot be seen, such as a line break"
    try:
        return reader(text), ""
    except ValueError as error:
        return None, str(error)


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
    if _AMOUNT.fullmatch(text) is None or not text.strip("0.,"):
        raise _Wrong("not a number above 0, such as 2.5; the unit has a column of its own")
    if _THOUSANDS.fullmatch(text) is not None:
        raise _Wrong("a comma before three digits can mean thousands or parts: write a point, or no comma")
    return Decimal(text.replace(",", "."))
