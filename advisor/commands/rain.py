"""``rain``: what the gauges showed, and whether the rains have begun, by zone."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date, datetime
from typing import TYPE_CHECKING

import click

from advisor.commands.backups import used_store
from advisor.commands.beginning import book_of, read_settings
from advisor.commands.exits import Exit, WrongUsage

if TYPE_CHECKING:
    from advisor.agronomy.programme import Village
    from advisor.dialogue.book import Book
    from advisor.records.rain_book import RainBook
    from advisor.service.gauging import Gauges, ZoneRain

#: So many of the last readings are shown.
SHOWN = 10


@click.group(invoke_without_command=True)
@click.option("--zone", metavar="KEY", help="Only of this zone.")
@click.pass_context
def rain(context: click.Context, zone: str | None) -> Exit:
    """Shows the readings of each zone, the onset of the rains by the programme's rule, and false starts.

    \b
    Examples:
      advisor rain
      advisor rain read Kesu 2027-11-20 32.5
    """
    if context.invoked_subcommand is not None:
        return Exit.DONE
    from advisor.loading import load_figures, load_onset_rules
    from advisor.service.gauging import judged

    with _used() as (book, gauges, today):
        programme = book.programme
        known = [one.key for one in programme.zones]
        if zone is not None and zone not in known:
            raise WrongUsage(f"--zone is {zone!r}: use one of {', '.join(known)}")
        crop = next(crop for crop in load_figures()[1] if crop.key == programme.crops[0].crop)
        for one in programme.zones:
            if zone in (None, one.key):
                readings = gauges.of(one.key)
                told = judged(programme, crop, load_onset_rules(), one.key, readings, today)
                names = {village.key: village.label.default for village in programme.villages}
                click.echo(f"{one.key}  {one.label.default}")
                for read in readings.readings[-SHOWN:]:
                    by = f"  {read.by}" if read.by else ""
                    click.echo(f"  {read.day}  {names.get(read.village, read.village)}  {read.mm:g} mm{by}")
                click.echo("\n".join(f"  {line}" for line in (*lines(told), *of_rounds(readings))))
    return Exit.DONE


def of_rounds(readings: RainBook) -> list[str]:
    """What rounds that hang on rain were told of a zone, for people; nothing is told where none runs.

    >>> from advisor.records.rain_book import Begun, RainBook
    >>> of_rounds(RainBook((), (Begun(date(2027, 11, 21), date(2027, 11, 20)),)))
    ['told to rounds on 2027-11-21: enough rain on 2027-11-20']
    """
    said = []
    for one in readings.begun:
        false = f", a false start on {one.false}" if one.false else ""
        doubt = ", in doubt since a correction" if one.doubted and not one.false else ""
        said.append(f"told to rounds on {one.noted}: enough rain on {one.day}{false}{doubt}")
    return said


def lines(told: ZoneRain | None) -> list[str]:
    """What is said of a zone, for people."""
    if told is None:
        return ["the programme has no season of the main crop here"]
    if told.onset is None:
        return [f"nothing was read since {told.counted_from}: the onset is not known"]
    found = told.onset
    if found.day is None:
        begun = "not yet surely" if found.earliest else "no"
    else:
        begun = str(found.day) if found.is_sure else f"between {found.earliest} and {found.day}"
    said = [f"rains begun: {begun}  (rule {told.season.onset_rule}, from {told.counted_from})"]
    said += [f"false start: {day}" for day in found.false_starts]
    said += [f"not measured: {found.unknown_days} days"] if found.unknown_days else []
    if told.now is not None:
        missing = f", {told.now.missing_mm:g} mm of rain wanted" if told.now.missing_mm else ""
        said.append(f"sow: {told.now.sow.value}{missing}")
    return said


@rain.command()
@click.argument("village")
@click.argument("day")
@click.argument("mm", type=float)
@click.option("--by", default="", metavar="AGENT", help="Key of the agent who read the gauge.")
def read(village: str, day: str, mm: float, by: str) -> Exit:
    """Keeps what the gauge of VILLAGE showed for DAY, in MM. The same day again is a correction.

    A day that was read and dry is 0; a day that nobody read is left out.

    \b
    Example:
      advisor rain read Kesu 2027-11-20 32.5 --by a1
    """
    from advisor.agronomy.errors import AgronomyError
    from advisor.records.rain_book import Reading

    with _used() as (book, gauges, today):
        place, when = _village(book, village), _day(day)
        if by and book.programme.agent(by) is None:
            raise WrongUsage(f"--by is {by!r}: name an agent of the programme, see `advisor agents`")
        try:
            gauges.reads(place.zone, Reading(place.key, when, mm, by), today)
        except AgronomyError as error:
            raise WrongUsage(str(error)) from error
    click.echo(f"{place.label.default}  {when}  {mm:g} mm")
    return Exit.DONE


@rain.command(name="take-out")
@click.argument("village")
@click.argument("day")
def take_out(village: str, day: str) -> Exit:
    """Takes out what was read in VILLAGE for DAY, where it was no reading.

    \b
    Example:
      advisor rain take-out Kesu 2027-11-20
    """
    with _used() as (book, gauges, _):
        place, when = _village(book, village), _day(day)
        gauges.takes_out(place.zone, place.key, when)
    click.echo("taken out")
    return Exit.DONE


@contextmanager
def _used() -> Iterator[tuple[Book, Gauges, date]]:
    from advisor.service.clock import SystemClock
    from advisor.service.errors import Busy
    from advisor.service.gauging import Gauges
    from advisor.service.identity import Ids

    settings = read_settings(demo=False)
    book = book_of(settings)
    with used_store(settings) as store:
        store.open()
        clock = SystemClock()
        try:
            yield book, Gauges(store, clock, Ids(settings.id_secret.encode())), book.day_of(clock.now())
        except Busy as error:
            raise WrongUsage("others are writing just now: do the same again in a moment") from error


def _village(book: Book, typed: str) -> Village:
    wanted = typed.casefold()
    for village in book.programme.villages:
        if wanted in (village.key.casefold(), village.label.default.casefold()):
            return village
    known = ", ".join(village.label.default for village in book.programme.villages)
    raise WrongUsage(f"VILLAGE is {typed!r}: use one of {known}")


def _day(typed: str) -> date:
    try:
        return datetime.strptime(typed, "%Y-%m-%d").date()  # noqa: DTZ007 - a day has no zone
    except ValueError as error:
        raise WrongUsage(f"DAY is {typed!r}: write it like 2027-11-20") from error
