"""``growers import``, ``growers schema`` and the table of ``growers export``: many growers at once."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, BinaryIO

import click

from advisor.commands.agent_lists import village_key
from advisor.commands.backups import PERSONAL, used_store
from advisor.commands.bars import progress
from advisor.commands.beginning import book_of, read_settings
from advisor.commands.exits import Exit, FoundProblems, WrongUsage

if TYPE_CHECKING:
    from advisor.records.rows import Remark
    from advisor.service.importing import Brought

#: So many lines are told on the screen; a report has them all.
SHOWN = 20

REPORT_COLUMNS = ("line", "column", "outcome", "reason")


@click.command(name="import")
@click.argument("file", type=click.Path(exists=True, dir_okay=False, path_type=Path))
@click.option("--dry-run", is_flag=True, help="Only say what would happen; nothing is written.")
@click.option(
    "--report",
    type=click.Path(dir_okay=False, path_type=Path),
    help="Write each line that was refused, kept out, merged or doubted into this CSV file, with the reason.",
)
def import_growers(file: Path, dry_run: bool, report: Path | None) -> Exit:
    """Takes in the growers of FILE, a CSV, while the service runs. advisor growers schema describes its columns.

    Each line says how and when its grower agreed; without that it is refused. A file that is broken changes
    nothing; of a sound one each line is taken whole or refused with its reason. What was told later wins, so what
    a grower has said since stays. Nobody on the do-not-contact list is taken in, and a stop stays. Killed, it is
    run again.

    \b
    Examples:
      advisor growers import growers.csv --dry-run
      advisor growers import growers.csv --report refused.csv
    """
    from advisor.by_book import dialogues_of
    from advisor.service.clock import SystemClock
    from advisor.service.identity import Ids
    from advisor.service.importing import Importing, check
    from advisor.service.listing import Days, terms_of
    from advisor.service.tables import BrokenTable

    if report is not None and report.exists() and (not report.is_file() or report.samefile(file)):
        raise WrongUsage(f"{report} would be overwritten: name another file for the report")
    settings, clock = read_settings(demo=False), SystemClock()
    book = book_of(settings)
    terms = terms_of(book.programme, clock.now())
    dialogues = dialogues_of(book)
    with used_store(settings) as store:
        store.open()
        try:
            with file.open("rb") as raw, progress(file.stat().st_size, "reading") as read:
                checked = check(raw, terms, read)
        except BrokenTable as error:
            raise FoundProblems(f"{file}: {error}. Nothing is imported") from error
        importing = Importing(
            store,
            clock,
            Ids(settings.id_secret.encode()),
            dialogues.bands,
            Days(book.zone),
            dialogues.retention,
            writes=not dry_run,
        )
        with progress(len(checked.rows), "growers", shows_place=True) as done:
            brought = importing.bring_in(checked.rows, done)
    remarks = sorted((*checked.remarks, *brought.remarks), key=lambda remark: remark.line)
    if report is not None:
        _write_report(report, remarks)
    counts = Counter(remark.outcome for remark in remarks)
    refused = len({remark.line for remark in remarks if remark.outcome == "refused"})
    _tell(remarks, report)
    click.echo(_summary(brought, counts, refused, dry_run=dry_run))
    if refused:
        raise FoundProblems(f"{refused} of {checked.lines} lines are refused: mend them and import the file again")
    return Exit.DONE


@click.command()
def schema() -> Exit:
    """Shows the columns of a list of growers as Table Schema (Frictionless Data), an open standard, in JSON.

    \b
    Example:
      advisor growers schema > growers.schema.json
    """
    from advisor.service.listing import schema_of

    programme = book_of(read_settings(demo=False)).programme
    click.echo(json.dumps(schema_of(programme), ensure_ascii=False, indent=2))
    return Exit.DONE


def export_table(file: Path, villages: tuple[str, ...]) -> Exit:
    """Writes the table of growers, all or those of some villages, into a file."""
    from advisor.service.exporting import export
    from advisor.service.listing import Days, called, own_phones
    from advisor.store.names import BUCKETS

    settings = read_settings(demo=False)
    book = book_of(settings)
    keys = {village_key(book, name) for name in villages}
    with used_store(settings) as store:
        store.open()
        with _written(file) as out, progress(BUCKETS, "buckets") as count:
            phones = own_phones(book.programme)
            done = export(store, out, Days(book.zone), called(book.programme), keys, phones, count)
    left_out = f"; {done.stopped} who want no messages are left out" if done.stopped else ""
    left_out += (
        f"; phones of agents that are on no list are left out: {done.own_phones}" if done.own_phones else ""
    )
    click.echo(f"{file}: {done.growers} growers{left_out}")
    click.echo(f"warning: {PERSONAL}", err=True)
    if done.damaged:
        raise FoundProblems(f"damaged keys, left out: {', '.join(done.damaged)}: look at them in the store")
    return Exit.DONE


def _write_report(report: Path, remarks: Iterable[Remark]) -> None:
    from advisor.service.exporting import write_table

    with _written(report) as out:
        write_table(
            out,
            REPORT_COLUMNS,
            (
                {
                    "line": str(remark.line),
                    "column": remark.column,
                    "outcome": remark.outcome,
                    "reason": remark.reason,
                }
                for remark in remarks
            ),
        )


@contextmanager
def _written(file: Path) -> Iterator[BinaryIO]:
    """A file that is there whole or not at all, and why it cannot be written in one line."""
    from advisor.service.replacing import replacing

    if file.exists() and not file.is_file():
        raise WrongUsage(f"{file} is no ordinary file, and what is there would be replaced: name another")
    try:
        with replacing(file) as out:
            yield out
    except OSError as error:
        raise WrongUsage(f"{file} cannot be written ({error.strerror}): name a file in another folder") from error


def _tell(remarks: list[Remark], report: Path | None) -> None:
    """The first of the lines that did not come in whole, then of those that did and are doubted."""
    told = [remark for remark in remarks if remark.outcome in ("refused", "kept out", "partly")]
    told += [remark for remark in remarks if remark.outcome == "doubted"]
    for remark in told[:SHOWN]:
        where = f"line {remark.line}" + (f", {remark.column}" if remark.column else "")
        click.echo(f"{where}: {remark.outcome}: {remark.reason}")
    if len(told) > SHOWN:
        rest = f"… and {len(told) - SHOWN} more"
        click.echo(f"{rest}, all in {report}" if report else f"{rest}: --report FILE.csv has all")


def _summary(brought: Brought, counts: Counter[str], refused: int, *, dry_run: bool) -> str:
    told = (
        f"{brought.new} new, {brought.changed} changed, {brought.same} as they were, "
        f"{counts['kept out']} kept out, {refused} lines refused, {counts['merged']} merged, "
        f"{counts['doubted']} doubted"
    )
    return f"dry run, nothing is written: it would be {told}" if dry_run else told
