"""``growers``: what an operator does to one grower; for many at once see `growers_tables`."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING

import click

from advisor.commands.backups import PERSONAL, used_store
from advisor.commands.beginning import book_of, read_settings
from advisor.commands.exits import Exit, WrongUsage
from advisor.commands.growers_tables import export_table, import_growers, schema

if TYPE_CHECKING:
    from advisor.dialogue.book import Book


@click.group()
def growers() -> None:
    """Takes growers in from a list and writes such a list; erases one, or moves one to another number.

    \b
    Examples:
      advisor growers import growers.csv --dry-run
      advisor growers erase +999001000001
    """


growers.add_command(import_growers)
growers.add_command(schema)


@growers.command()
@click.argument("number")
@click.option("--yes", is_flag=True, help="Do not ask whether it is meant.")
def erase(number: str, yes: bool) -> Exit:
    """Erases all that is kept of whoever NUMBER belongs to, and sends that number nothing more.

    Works while the service runs. NUMBER has + and country code, or the local form of the programme.

    \b
    Example:
      advisor growers erase 0001000001 --yes
    """
    from advisor.by_book import dialogues_of
    from advisor.service.clock import SystemClock
    from advisor.service.erasing import Erasing
    from advisor.service.errors import Busy
    from advisor.service.identity import Ids

    settings = read_settings(demo=False)
    book = book_of(settings)
    wanted = read_number(number, book)
    if not yes:
        click.confirm("Erase all that is kept of this number? It cannot be undone", abort=True, err=True)
    with used_store(settings) as store:
        store.open()
        erasing = Erasing(store, SystemClock(), dialogues_of(book).bands)
        try:
            removed = erasing.at_the_operators_word(wanted, Ids(settings.id_secret.encode()))
        except Busy as error:
            raise WrongUsage("this grower is writing just now: do the same again in a moment") from error
    if removed.known:
        click.echo(f"erased: {removed.facts} facts, {removed.lines} lines of history")
    else:
        click.echo("nothing was kept of this number; it is on the do-not-contact list now")
    return Exit.DONE


@growers.command()
@click.argument("old")
@click.argument("new")
@click.option("--code", help="The code that the grower got on the old phone, under New number.")
@click.option("--seen", is_flag=True, help="You know the grower and have met: no code is needed.")
def move(old: str, new: str, code: str | None, seen: bool) -> Exit:
    """Moves all that is kept of whoever OLD belongs to, to the number NEW. The old number is a stranger's then.

    Nobody takes over a record by claiming a number: either the code comes from the old phone, or you have met. A
    code is good for a day and for five tries. The new number may not have a record of its own. What waits to be
    sent goes to the new number, but for an SMS that was tried already.

    \b
    Examples:
      advisor growers move +999001000001 +999001000002 --code 482913
      advisor growers move +999001000001 +999001000002 --seen
    """
    from advisor.service.clock import SystemClock
    from advisor.service.errors import Busy
    from advisor.service.identity import Ids
    from advisor.service.moving import CannotMove, Moving

    if (code is None) is not seen:
        raise WrongUsage("give --code with the code from the old phone, or --seen where you have met the grower")
    settings = read_settings(demo=False)
    book = book_of(settings)
    with used_store(settings) as store:
        store.open()
        moving = Moving(store, SystemClock(), Ids(settings.id_secret.encode()))
        try:
            moving.move(read_number(old, book), read_number(new, book), code)
        except CannotMove as error:
            raise WrongUsage(str(error)) from error
        except Busy as error:
            raise WrongUsage("this grower is writing just now: do the same again in a moment") from error
    click.echo("moved: the new number is the grower's within a second of the service's time")
    return Exit.DONE


@growers.command()
@click.argument("what", metavar="FILE.csv|NUMBER")
@click.option(
    "--village", "villages", multiple=True, metavar="NAME", help="Only of this village; can be given again."
)
def export(what: str, villages: tuple[str, ...]) -> Exit:
    """Writes growers into FILE.csv as the table that import takes; or all that is kept of one NUMBER as JSON.

    The table holds those who have agreed and want messages, and opens safely in a spreadsheet. The JSON is for
    that person to see.

    \b
    Examples:
      advisor growers export growers.csv --village Dovi
      advisor growers export +999001000001 > hers.json
    """
    if what.lower().endswith(".csv"):
        return export_table(Path(what), villages)
    if villages:
        raise WrongUsage("--village goes with a table: give the name of a file that ends in .csv")
    return _export_one(what)


def _export_one(number: str) -> Exit:
    from advisor.service.identity import Ids
    from advisor.service.knowing import all_that_is_kept

    settings = read_settings(demo=False)
    wanted = read_number(number, book_of(settings))
    with used_store(settings) as store:
        store.open()
        kept = all_that_is_kept(store, wanted, Ids(settings.id_secret.encode()))
    click.echo(json.dumps(kept, ensure_ascii=False, indent=2))
    click.echo(f"warning: {PERSONAL}", err=True)
    return Exit.DONE


def read_number(typed: str, book: Book) -> str:
    """The number in international form; one that is doubted is warned of."""
    from advisor.service.numbers import Dialling, NoNumber, doubt

    programme = book.programme
    dialling = Dialling(programme.country_code, programme.trunk_prefix, programme.number_length)
    try:
        number = dialling.e164(typed)
    except NoNumber as error:
        raise WrongUsage(str(error)) from error
    if why := doubt(number):
        click.echo(f"warning: {why}", err=True)
    return number
