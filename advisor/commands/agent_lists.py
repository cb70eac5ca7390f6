"""What the lists for an agent share: one walk over the growers, and a table, JSON or a sheet of what was found."""

from __future__ import annotations

import csv
import json
import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from decimal import Decimal
from io import StringIO
from typing import TYPE_CHECKING, Any

import click

from advisor.commands.backups import PERSONAL, used_store
from advisor.commands.bars import progress
from advisor.commands.beginning import book_of, read_settings
from advisor.commands.exits import WrongUsage

if TYPE_CHECKING:
    from advisor.dialogue.book import Book
    from advisor.service.visiting import Visiting

#: What a column can hold; None is an empty cell.
Cell = str | int | float | Decimal | None


@dataclass(frozen=True, slots=True)
class Asked:
    """What was asked for.

    Args:
        book: the book, for names.
        visiting: makes the lists.
        village: key of the one village that is wanted, None for all.
        progress: told how many buckets are done.
    """

    book: Book
    visiting: Visiting
    village: str | None
    progress: Callable[[int], None]

    def named(self, village: str) -> str:
        """The name of a village; of one that the programme has no more, its key."""
        found = self.book.programme.village(village)
        return found.label.default if found is not None else village or "village not known"


def list_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """Adds the options that every list has."""
    options = (
        click.option("--village", metavar="NAME", help="Only of this village, as the programme names it."),
        click.option("--json", "form", flag_value="json", help="As a list of objects, for a tool."),
        click.option("--csv", "form", flag_value="csv", help="As comma-separated values, safe in a spreadsheet."),
    )
    for option in reversed(options):
        command = option(command)
    return command


@contextmanager
def asked_for(village: str | None) -> Iterator[Asked]:
    """Store, book and lists of the settings, with their troubles in one line; a bar on the error stream."""
    from advisor.by_book import visiting_of
    from advisor.service.clock import SystemClock
    from advisor.store.names import BUCKETS

    settings = read_settings(demo=False)
    book = book_of(settings)
    key = None if village is None else village_key(book, village)
    with used_store(settings) as store:
        store.open()
        with progress(BUCKETS, "buckets", file=sys.stderr) as done:
            yield Asked(book, visiting_of(book, store, SystemClock()), key, done)


def village_key(book: Book, wanted: str) -> str:
    """The key of a village by its name in any language, or by its key. Raises WrongUsage."""
    from advisor.service.listing import villages_by_name
    from advisor.wording.folding import folded

    found = villages_by_name(book.programme).get(folded(wanted))
    if found is None:
        names = ", ".join(village.label.default for village in book.programme.villages)
        raise WrongUsage(f"--village is {wanted!r}: use one of {names}")
    return found


def show(form: str | None, rows: Sequence[dict[str, Cell]], head: Sequence[str], table: Callable[[], str]) -> None:
    """Writes a list in the form that is wanted.

    Args:
        form: ``json``, ``csv``, or None for people.
        rows: what there is, one mapping a row, with the keys of ``head``.
        head: names of the columns, also where there is no row.
        table: the list for people.
    """
    if form == "json":
        click.echo(json.dumps(rows, ensure_ascii=False, indent=2, default=_plain))
    elif form == "csv":
        click.echo(_sheet(rows, head), nl=False)
    else:
        click.echo(table())


def warn_of_numbers() -> None:
    """Says that numbers of people were shown."""
    click.echo(f"warning: {PERSONAL}", err=True)


def lined_up(rows: Sequence[Sequence[str]]) -> str:
    """Rows under each other, the first column to the left, all others to the right.

    >>> print(lined_up([("village", "growers"), ("Dovi", "12")]))
    village  growers
    Dovi          12
    """
    widths = [max(map(len, column)) for column in zip(*rows, strict=True)]
    return "\n".join(
        "  ".join(
            cell.rjust(width) if at else cell.ljust(width)
            for at, (cell, width) in enumerate(zip(row, widths, strict=True))
        ).rstrip()
        for row in rows
    )


def _sheet(rows: Sequence[dict[str, Cell]], head: Sequence[str]) -> str:
    """Comma-separated values, RFC 4180; text that a spreadsheet would compute is defused, numbers stay numbers."""
    from advisor.records.rows_cells import number_cell, safe_cell

    def cell(name: str, value: Cell) -> str:
        if name == "number" and value:
            return number_cell(str(value))
        return "" if value is None else safe_cell(value) if isinstance(value, str) else str(value)

    text = StringIO()
    writer = csv.writer(text, lineterminator="\r\n")
    writer.writerow(head)
    writer.writerows([cell(name, row[name]) for name in head] for row in rows)
    return text.getvalue()


def _plain(value: object) -> str:
    if isinstance(value, Decimal):
        return str(value)
    raise TypeError(f"{type(value).__name__} has no form in JSON")
