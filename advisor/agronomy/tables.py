"""Reading a data file row by row: every value is asked for by name and type, and every fault is gathered.

A value that is missing or wrong is noted and replaced by a stand-in of the right type, so that one reading
finds all faults. ``finish`` raises them; nothing read before it may be used.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, time
from decimal import Decimal
from itertools import pairwise
from typing import TypeVar

from advisor.agronomy.errors import DataFault
from advisor.agronomy.figures import MARKS, Figure
from advisor.agronomy.labels import Label
from advisor.agronomy.units import FIGURE_UNITS

#: More than any price or purse; beyond it numbers are no longer exact.
_MOST_MONEY = 10**12
_FIGURE_KEYS = frozenset({"value", "unit", "source", "mark"})

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Page:
    """What all tables of one file share.

    Args:
        file: name of the file or of what it describes.
        sources: keys of the sources that figures may name, and whether each has an address.
        faults: what is wrong so far.
        figures: figures read so far, each with its place in the file.
        tables: tables handed out so far.
    """

    file: str
    sources: Mapping[str, bool]
    faults: list[str] = field(default_factory=list)
    figures: list[tuple[str, Figure]] = field(default_factory=list)
    tables: list[Table] = field(default_factory=list)


class Table:
    """One table of a data file.

    Args:
        values: what the file holds.
        path: where in the file it stands, empty for the whole file.
        page: what all tables of the file share.
    """

    def __init__(self, values: Mapping[str, object], path: str, page: Page) -> None:
        self._values = values
        self._path = path
        self._page = page
        self._asked: set[str] = set()
        page.tables.append(self)

    def text(self, key: str, default: str | None = None, longest: int = 200) -> str:
        """A text; one that is missing is a fault unless a default is given."""
        found = self._value(key, str, "a text in quotes", default)
        if found is not default and not 0 < len(found or "") <= longest:
            self.fault(key, f"has {len(found or '')} characters", f"give 1 to {longest}")
        return found if found is not None else "-"

    def digits(self, key: str, longest: int, default: str | None = None) -> str:
        """A text of digits alone, as numbers that are dialled; empty only where a default is given."""
        found = self.text(key, default, longest)
        if found.strip("0123456789"):
            self.fault(key, f"is {found!r}", "give digits only")
            return "0"
        return found

    def one_of(self, key: str, allowed: Sequence[str]) -> str:
        """A text out of a list."""
        one = f"one of {', '.join(allowed) or 'none'}"
        found = self._value(key, str, one, None)
        if found in allowed:
            return str(found)
        if found is not None:
            self.fault(key, f"is {found!r}", f"give {one}")
        return allowed[0] if allowed else "-"

    def whole(self, key: str, low: int, high: int, default: int | None = None) -> int:
        """A whole number between two limits, both allowed; a missing one is a fault unless a default is given."""
        found = self._value(key, int, "a whole number", default)
        if found is None:
            return low
        if isinstance(found, bool) or not low <= found <= high:
            self.fault(key, f"is {found}", f"give a whole number from {low} to {high}")
            return low
        return found

    def money(self, key: str, decimals: int) -> Decimal:
        """An amount above 0: a whole number, or a text such as "12.50"; a binary fraction is refused."""
        found = self._values.get(key)
        self._asked.add(key)
        if isinstance(found, int | str) and not isinstance(found, bool):
            try:
                amount = Decimal(found)
            except ArithmeticError:
                amount = Decimal(0)
            sound = amount.is_finite() and 0 < amount < _MOST_MONEY
            if sound and -int(amount.as_tuple().exponent) <= decimals:
                return amount
        self.fault(
            key,
            "is missing" if found is None else f"is {found!r}",
            f'give an amount above 0 in quotes with at most {decimals} decimals, as "120", below {_MOST_MONEY:,}',
        )
        return Decimal(1)

    def clock(self, key: str) -> time:
        """A time of day."""
        found = self._value(key, time, "a time of day such as 20:00:00", None)
        return found if found is not None else time(0)

    def optional_days(self, key: str, most: int) -> frozenset[date]:
        """A list of days that may be left out, empty where it is."""
        if not self.has(key):
            return frozenset()
        found = self._value(key, list, "a list of days such as 2027-01-01", None) or []
        if len(found) > most or not all(isinstance(day, date) and not isinstance(day, datetime) for day in found):
            self.fault(key, f"is {found!r}", f"give at most {most} days such as 2027-01-01, without quotes")
            return frozenset()
        self.unique(key, found)
        return frozenset(found)

    def label(self, key: str, languages: Sequence[str], longest: int = 16) -> Label:
        """A name: a text, or a table with ``default`` and a form for each other language."""
        found = self._values.get(key)
        self._asked.add(key)
        forms = {"default": found} if isinstance(found, str) else found
        if not isinstance(forms, dict) or "default" not in forms:
            self.fault(key, "is no name", 'give a text, or { default = "...", sw = "..." }')
            return Label("-")
        for form, name in forms.items():
            if form != "default" and form not in languages:
                self.fault(f"{key}.{form}", "is no language of the programme", f"use {', '.join(languages)}")
            if not isinstance(name, str) or not 0 < len(name) <= longest:
                self.fault(f"{key}.{form}", f"is {name!r}", f"give a name of 1 to {longest} characters")
        return Label(str(forms["default"]), tuple((k, str(v)) for k, v in forms.items() if k != "default"))

    def texts(self, key: str) -> tuple[str, ...]:
        """A list of texts, at least one, no two alike."""
        found = self._value(key, list, "a list of texts", None)
        if found is None:
            return ("-",)
        if not found or not all(isinstance(text, str) and text for text in found):
            self.fault(key, f"is {found!r}", "give at least one text, each in quotes")
            return ("-",)
        self.unique(key, found)
        return tuple(found)

    def optional_texts(self, key: str) -> tuple[str, ...]:
        """A list of texts that may be left out, empty where it is."""
        self._asked.add(key)
        return self.texts(key) if key in self._values else ()

    def quantity(self, key: str, unit: str, low: float, high: float) -> float:
        """A figure in the unit that the calculator keeps it in, between two limits, both allowed.

        The figure itself, with source and mark, is kept on the page under its path.
        """
        figure = self._figure(key)
        if figure is None:
            return low
        kept_in, factor = FIGURE_UNITS.get(figure.unit, ("", 1.0))
        if kept_in != unit:
            units = [name for name, (kept, _) in FIGURE_UNITS.items() if kept == unit]
            self.fault(f"{key}.unit", f"is {figure.unit!r}", f"give {' or '.join(units)}")
            return low
        value = figure.value * factor
        if not low <= value <= high:
            self.fault(key, f"is {value:g} {unit}", f"give {low:g} to {high:g} {unit}")
            return low
        self._page.figures.append((self._place(key), figure))
        return value

    def whole_quantity(self, key: str, unit: str, low: int, high: int) -> int:
        """A figure that is a whole number."""
        value = self.quantity(key, unit, low, high)
        if value != int(value):
            self.fault(key, f"is {value:g}", "give a whole number")
        return int(value)

    def row(self, key: str) -> Table:
        """A table inside this one."""
        return Table(self._value(key, dict, "a table", None) or {}, self._place(key), self._page)

    def has(self, key: str) -> bool:
        """Whether a key that may be left out is there."""
        self._asked.add(key)
        return key in self._values

    def optional_row(self, key: str) -> Table | None:
        """A table inside this one that may be left out, None where it is."""
        return self.row(key) if self.has(key) else None

    def optional_rows(self, key: str) -> tuple[Table, ...]:
        """A list of tables that may be left out, empty where it is."""
        return self.rows(key) if self.has(key) else ()

    def rows(self, key: str) -> tuple[Table, ...]:
        """A list of tables, at least one."""
        found = self._value(key, list, f"one or more [[{self._place(key)}]] tables", None)
        if found is not None and (not found or not all(isinstance(row, dict) for row in found)):
            self.fault(key, "is no list of tables", f"write one or more [[{self._place(key)}]] tables")
            found = None
        return tuple(Table(row, f"{self._place(key)}[{at}]", self._page) for at, row in enumerate(found or [], 1))

    def unique(self, key: str, names: Sequence[object]) -> None:
        """Notes a fault for every name that occurs twice."""
        for name in sorted({str(name) for name in names if names.count(name) > 1}):
            self.fault(key, f"has {name} twice", "give each a name of its own")

    def rising(self, *named: tuple[str, float]) -> None:
        """Notes a fault where numbers that must not fall do; only once each number is sound by itself."""
        if not self.is_sound:
            return
        for (lower, low), (upper, high) in pairwise(named):
            if low > high:
                self.fault(lower, f"is {low:g}, more than {upper}, which is {high:g}", "give them in rising order")

    def contradiction(self, key: str, what: str, instead: str) -> None:
        """Notes a fault of values that do not go together; only once each value is sound by itself."""
        if not self._page.faults:
            self.fault(key, what, instead)

    def fault(self, key: str, what: str, instead: str) -> None:
        """Notes a fault."""
        self._page.faults.append(f"{self._place(key)} {what}: {instead}")

    def finish(self) -> None:
        """Raises everything that is wrong with the file, keys that nobody asked for among it."""
        for table in self._page.tables:
            for key in table._values:
                if key not in table._asked:
                    known = ", ".join(sorted(table._asked)) or "none"
                    table.fault(key, "is not known here", f"take it out, or use one of: {known}")
        if self._page.faults:
            raise DataFault(self._page.file, tuple(self._page.faults))

    @property
    def is_sound(self) -> bool:
        """Whether nothing is wrong with the file so far, so that no stand-in is taken for what it says."""
        return not self._page.faults

    @property
    def figures(self) -> tuple[tuple[str, Figure], ...]:
        """Figures read so far, each with its place in the file."""
        return tuple(self._page.figures)

    def _figure(self, key: str) -> Figure | None:
        found = self._value(key, dict, "a table with value, unit, source and mark", None)
        if found is None:
            return None
        value, unit, source, mark = (found.get(name) for name in ("value", "unit", "source", "mark"))
        before = len(self._page.faults)
        if missing := sorted(_FIGURE_KEYS - found.keys()):
            self.fault(key, f"has no {', '.join(missing)}", "add it to the figure")
        if unknown := sorted(found.keys() - _FIGURE_KEYS):
            self.fault(key, f"has {', '.join(unknown)}", "a figure holds value, unit, source and mark only")
        if "value" in found and (isinstance(value, bool) or not isinstance(value, int | float)):
            self.fault(f"{key}.value", f"is {value!r}", "give a number")
        if "mark" in found and mark not in MARKS:
            self.fault(f"{key}.mark", f"is {mark!r}", f"give one of {', '.join(MARKS)}")
        if "source" in found and source not in tuple(self._page.sources):
            self.fault(f"{key}.source", f"is {source!r}", "give the key of a source in sources.toml")
        elif mark == "published" and not self._page.sources.get(str(source)):
            self.fault(f"{key}.mark", "is published but its source has no address", "name the source it is from")
        if len(self._page.faults) > before:
            return None
        return Figure(float(str(value)), str(unit), str(source), next(known for known in MARKS if known == mark))

    def _value(self, key: str, kind: type[T], what: str, default: T | None) -> T | None:
        """The value under a key, or the default; one that is missing or of another type is a fault."""
        self._asked.add(key)
        found = self._values.get(key)
        if isinstance(found, kind):
            return found
        if found is not None:
            self.fault(key, f"is {found!r}", f"give {what}")
        elif default is None:
            self.fault(key, "is missing", f"give {what}")
        return default

    def _place(self, key: str) -> str:
        return f"{self._path}.{key}" if self._path else key


def read_table(text: str, file: str, known_sources: Mapping[str, bool]) -> Table:
    """The outermost table of a TOML text.

    Args:
        text: the text of the file.
        file: name of the file or of what it describes, for faults.
        known_sources: keys of the sources that figures may name, and whether each has an address.

    Raises:
        DataFault: the text is no TOML.

    Source:
        TOML 1.0.

    >>> table = read_table('name = "Dovi"', "villages", {})
    >>> table.text("name")
    'Dovi'
    >>> table.finish()
    """
    try:
        values = tomllib.loads(text)
    except ValueError as fault:  # no TOML, or a whole number of more digits than anybody writes
        raise DataFault(file, (f"is no TOML: {fault}: mend that line",)) from fault
    return Table(values, "", Page(file, known_sources))
