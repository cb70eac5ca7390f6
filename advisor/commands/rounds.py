"""``round``: a series of messages, started, held and seen."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING, Any

import click

from advisor.commands.backups import used_store
from advisor.commands.beginning import book_of, read_settings
from advisor.commands.exits import Exit, FoundProblems, WrongUsage

if TYPE_CHECKING:
    from advisor.campaign.deciding import Running
    from advisor.campaign.previewing import Preview
    from advisor.campaign.rounds import Round
    from advisor.dialogue.book import Book
    from advisor.store.api import RoundRow, RoundState, Standing, Store

_DAY = click.DateTime(["%Y-%m-%d"])


@click.group(name="round")
def rounds() -> None:
    """Starts a round of messages, holds it, and says how it stands.

    advisor send hands the messages over, and plans them.

    \b
    Example:
      advisor round start demo --as demo-2027
    """


def _choosing(command: Callable[..., Exit]) -> Callable[..., Exit]:
    """The options that say which growers a round is for."""
    for option in reversed(
        (
            click.option(
                "--village", "villages", multiple=True, metavar="NAME", help="Only growers of this village."
            ),
            click.option("--language", "languages", multiple=True, metavar="CODE", help="Only who speaks this."),
            click.option("--sowing-from", type=_DAY, metavar="DAY", help="Only who sows on this day or later."),
            click.option("--sowing-to", type=_DAY, metavar="DAY", help="Only who sows on this day or earlier."),
            click.option("--tested/--untested", default=None, help="Only whose seed was tested, or was not."),
        )
    ):
        command = option(command)
    return command


@rounds.command()
@click.argument("file")
@click.option("--as", "name", metavar="NAME", help="Name of this round; without it the one in the file.")
@_choosing
def start(file: str, name: str | None, **chosen: Any) -> Exit:
    """Starts the round of FILE for growers who have agreed. FILE is a path, or a round of the program:
    seed_test, buy_inputs, pick_up, sow_now, false_start, follow_up, nodules, harvest, demo.

    What FILE says now is kept; a change of it later changes nothing. A name is used once: a grower gets each step
    of it once. The same again does no harm. Whom the options choose is looked at until the first message; who had
    one stays in the round. For how many growers it is late is said, and how many another round of this FILE writes
    to as well; advisor round preview says all that it would send.

    \b
    Examples:
      advisor round start seed_test --as seed-test-2027 --village Dovi --untested
      advisor round start seed-test.toml --sowing-from 2027-11-20 --sowing-to 2027-12-05
    """
    from advisor.service.clock import SystemClock, unix_ms
    from advisor.store.api import RoundRow, RoundState

    settings = read_settings(demo=False)
    book, now = book_of(settings), SystemClock().now()
    found, text = _read(file, book, chosen)
    try:
        row = RoundRow(name or found.key, RoundState.RUNNING, unix_ms(now), text.encode())
    except ValueError as error:
        raise WrongUsage(f"--as is {name!r}: give 1 to 64 letters, digits, dots, dashes or underscores") from error
    with used_store(settings) as store:
        store.open()
        is_new = all(one.key != row.key for one in store.rounds())
        can_be_late = any(step.started is not None for step in found.steps)
        there = store.start_round(row)
        warnings = _late(_forecast(store, book, found, now)) if is_new and can_be_late else []
        warnings += _doubled(store, book, found, now, row.key) if is_new else []
    if there is not None:
        held = "it was stopped" if there.state is RoundState.STOPPED else "it was started with another text"
        raise WrongUsage(f"there is a round {row.key} already, and {held}: give another name with --as")
    click.echo(f"{row.key} is started, {len(found.steps)} steps: advisor send plans it and hands it over")
    for line in warnings:
        click.echo(line)
    return Exit.DONE


@rounds.command()
@click.argument("file")
@_choosing
def preview(file: str, **chosen: Any) -> Exit:
    """Says what the round of FILE would send if it were started now: texts, people, days, segments and cost.

    It is reckoned as if nobody answered. A round that hangs on rain is reckoned as if the rains had begun today in
    every zone, and had proved a false start as well. Nothing is sent and nothing is kept.

    \b
    Example:
      advisor round preview seed_test --village Dovi --untested
    """
    from advisor.campaign.previewing import some
    from advisor.commands.round_lines import preview_lines
    from advisor.service.clock import SystemClock

    settings = read_settings(demo=False)
    book, now = book_of(settings), SystemClock().now()
    found, _ = _read(file, book, chosen)
    if found.hangs_on_rain:
        click.echo("as if the rains had begun today in every zone, and had proved a false start as well:")
    with used_store(settings) as store:
        store.open()
        seen = _forecast(store, book, found, now)
        doubled = _doubled(store, book, found, now, "")
    for line in preview_lines(book, seen, chosen["languages"], book.day_of(now)):
        click.echo(line)
    for line in (*_late(seen), *doubled):
        click.echo(line)
    click.echo(
        f"{found.key}: {some(seen.growers, 'grower')}, {some(seen.messages, 'message')} of "
        f"{some(seen.segments, 'segment')}, if nobody answers; to one grower at most "
        f"{some(seen.most, 'message')} of {some(seen.most_segments, 'segment')}"
    )
    price, symbol = book.programme.segment_price, book.programme.currency.symbol
    told = (
        "add segment_price to the programme file" if price is None else f"{symbol} {seen.cost(price):,} at {price}"
    )
    click.echo(f"cost: {told}")
    if any(step.asks for step in found.steps):
        click.echo("who answers by SMS gets fewer of these, and a reply to each answer, which is paid as well")
    return Exit.DONE


@rounds.command()
@click.argument("name")
def pause(name: str) -> Exit:
    """Holds the round NAME: nothing of it leaves and nothing is planned until it goes on.

    \b
    Example:
      advisor round pause demo-2027
    """
    _set(name, lambda states: states.PAUSED)
    click.echo(f"{name} is paused: advisor round go-on {name}")
    return Exit.DONE


@rounds.command(name="go-on")
@click.argument("name")
def go_on(name: str) -> Exit:
    """Lets the paused round NAME go on; what has become too late meanwhile is passed over.

    \b
    Example:
      advisor round go-on demo-2027
    """
    _set(name, lambda states: states.RUNNING)
    click.echo(f"{name} goes on")
    return Exit.DONE


@rounds.command()
@click.argument("name")
@click.option("--yes", is_flag=True, help="Do not ask whether it is meant.")
def stop(name: str, yes: bool) -> Exit:
    """Ends the round NAME for good: nothing of it leaves any more.

    \b
    Example:
      advisor round stop demo-2027 --yes
    """
    if not yes:
        click.confirm(f"Stop {name} for good? It cannot be started again under this name", abort=True, err=True)
    _set(name, lambda states: states.STOPPED)
    click.echo(f"{name} is stopped")
    return Exit.DONE


@rounds.command()
@click.argument("name", required=False)
@click.option("--growers", is_flag=True, help="With a walk over all growers: how many to visit, how seed tested.")
def status(name: str | None, growers: bool) -> Exit:
    """Says how the round NAME stands, or all rounds: figures of the store, without a look at growers.

    Looked at: growers, in 256 parts, by the last pass. Messages, since the start: made, handed over or not;
    passed over, too late to be of use, of which one grower can have several; left out, since another went to the
    same grower. Growers: due a next message in the coming days; and how often one was put on the agent's list,
    also who is off it again.

    \b
    Example:
      advisor round status demo-2027
    """
    with used_store(read_settings(demo=False)) as store:
        store.open()
        rows = [row for row in store.rounds() if name in (None, row.key)]
        found = [(row, store.standing(row.key)) for row in rows]
    if not rows:
        click.echo("no rounds yet: advisor round start demo" if name is None else "", nl=name is None)
        if name is not None:
            raise _unknown(name)
    for row, standing in found:
        click.echo(told(row, standing))
    if growers:
        from advisor.commands.visits import in_short

        click.echo("\n".join(in_short()))
    if keys := sorted({key for _, standing in found for key in standing.damaged}):
        raise FoundProblems(f"damaged keys in the store: {', '.join(keys)}: look at them before going on")
    return Exit.DONE


def _forecast(store: Store, book: Book, found: Round, now: datetime) -> Preview:
    """What a round would send that is started now; one that hangs on rain as if it rained today."""
    from advisor.by_book import speech_of
    from advisor.service.forecasting import forecast

    return forecast(store, _as_started(book, found, now, now), speech_of(book), now, book.default_language)


def _as_started(book: Book, found: Round, started: datetime, now: datetime) -> Running:
    """A round as if it rained today where it hangs on rain."""
    from advisor.by_book import quiet_of, speech_of
    from advisor.campaign.deciding import Running
    from advisor.campaign.previewing import as_if_it_rained

    running = Running(found, started, quiet_of(book.programme), speech_of(book).slowed_by)
    if not found.hangs_on_rain:
        return running
    zone_of = {village.key: village.zone for village in book.programme.villages}
    return as_if_it_rained(running, zone_of, book.day_of(now))


def _doubled(store: Store, book: Book, found: Round, now: datetime, name: str) -> list[str]:
    """Which rounds of the same key go to some of the same growers, who would get messages twice.

    Args:
        store: where rounds and growers are.
        book: the dialogues.
        found: the round that is started, or looked at.
        now: the moment.
        name: the name under which it is started, empty where it is not.
    """
    from advisor.agronomy.errors import DataFault
    from advisor.by_book import speech_of
    from advisor.campaign.previewing import some
    from advisor.campaign.reading import read_round
    from advisor.service.forecasting import twice
    from advisor.store.api import RoundState

    others = []
    for row in store.rounds():
        if row.key == name or row.state is RoundState.STOPPED:
            continue
        try:
            other = read_round(row.text.decode(), book.programme.languages)
        except DataFault:
            continue  # it makes no messages either
        if other.key == found.key:
            others.append(_as_started(book, replace(other, key=row.key), _started(row), now))
    counts = twice(store, _as_started(book, found, now, now), others, speech_of(book), now) if others else {}
    return [
        f"{some(growers, 'grower')} would get messages twice: {other} is a round of {found.key} too; "
        f"advisor round stop {name or other}, or choose other growers"
        for other, growers in counts.items()
    ]


def _late(seen: Preview) -> list[str]:
    """For how many growers a round is started late, and what that means for them."""
    from advisor.campaign.previewing import warning

    return [line for step, growers in seen.late if (line := warning(step, growers))]


def told(row: RoundRow, standing: Standing) -> str:
    """How a round stands, in one line."""
    from advisor.service.ticking import FIGURES

    started = _started(row)
    made, late, merged, closed = (standing.figures.get(figure, 0) for figure in FIGURES)
    all_seen = standing.planned == standing.buckets
    seen = "all growers" if all_seen else f"{standing.planned} of {standing.buckets} parts of the growers"
    return (
        f"{row.key}: {row.state}, started {started:%Y-%m-%d %H:%M} UTC, {seen} looked at; "
        f"messages: {made} made, {late} passed over as too late, {merged} left out beside another; "
        f"growers: {standing.waiting} due soon, {closed} times one put on the agent's list"
    )


def _started(row: RoundRow) -> datetime:
    return datetime(1970, 1, 1, tzinfo=UTC) + timedelta(milliseconds=row.started_ms)


def _read(file: str, book: Book, chosen: Mapping[str, Any]) -> tuple[Round, str]:
    """A round for the growers that were chosen, and its text with them."""
    from advisor.agronomy.errors import DataFault
    from advisor.campaign.choosing import Chosen, as_text
    from advisor.campaign.reading import read_round
    from advisor.commands.agent_lists import village_key
    from advisor.loading import NoRound, load_round
    from advisor.service.forecasting import faults_with

    days = {name: day and day.date() for name in ("sowing_from", "sowing_to") for day in (chosen[name],)}
    first, last = days["sowing_from"], days["sowing_to"]
    if first is not None and last is not None and first > last:
        raise WrongUsage("--sowing-from is after --sowing-to: nobody sows then; give the earlier day first")
    villages = tuple(village_key(book, name) for name in chosen["villages"])
    wanted = Chosen(villages, tuple(chosen["languages"]), **days, tested=chosen["tested"])
    try:
        text = load_round(file) + as_text(wanted)
        found = read_round(text, book.programme.languages)
    except NoRound as error:
        raise WrongUsage(str(error)) from error
    except DataFault as fault:
        raise FoundProblems(f"{file}: {fault}") from fault
    if faults := faults_with(book, found):
        raise FoundProblems(f"{file}: {'; '.join(faults)}")
    return found, text


def _set(name: str, wanted: Callable[[type[RoundState]], RoundState]) -> None:
    from advisor.store.api import RoundState

    state = wanted(RoundState)
    with used_store(read_settings(demo=False)) as store:
        store.open()
        try:
            now = store.set_round(name, state)
        except ValueError:
            now = None
    if now is None:
        raise _unknown(name)
    if now is not state:
        raise WrongUsage(f"{name} was stopped for good: start a round with another name")


def _unknown(name: str) -> WrongUsage:
    return WrongUsage(f"there is no round {name}: advisor round status names all that there are")
