"""The simulator's command line."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterable, Mapping, Sequence
from enum import IntEnum
from pathlib import Path
from typing import Any

import click

from simulator.errors import SimulatorError
from simulator.gateway import Gateway
from simulator.house import SERVICE, connected, conversations, leaving_on_signals, starting
from simulator.network import gateway
from simulator.opening import phone_opened, phone_options
from simulator.player import Played, play, record
from simulator.reading import read
from simulator.scripts import Script, rewritten
from simulator.signing import keys_for
from simulator.wire import Wire


class ExitCode(IntEnum):
    """How a command ended."""

    DONE = 0
    DIFFERENT = 1
    USAGE = 2
    UNREACHABLE = 3


class _Fault(click.ClickException):
    exit_code = ExitCode.UNREACHABLE


_SERVICE = click.option(
    "--service", metavar="URL", help="A service that runs; without it, a demo service is started."
)
_LISTEN = click.option(
    "--listen",
    metavar="PORT",
    type=click.IntRange(0, 65535),
    default=0,
    help="Port on which this simulator takes the service's SMS; start the service with --gateway http://127.0.0.1:PORT.",
)
_FILES = click.Path(exists=True, dir_okay=False, path_type=Path)
_FOLDER = click.Path(exists=True, file_okay=False)


def _book_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """Adds the options that say which texts the demo service speaks."""
    options = (
        click.option(
            "--programme", metavar="FILE", type=click.Path(exists=True, dir_okay=False), help="Programme file."
        ),
        click.option("--flows", metavar="FOLDER", type=_FOLDER, help="Folder of flow files."),
        click.option("--locales", metavar="FOLDER", type=_FOLDER, help="Folder of catalogs and glossaries."),
    )
    for option in reversed(options):
        command = option(command)
    return command


def _command(service: str | None, book: Mapping[str, str | None]) -> tuple[str, ...]:
    """What starts the demo service, with the texts that are asked for."""
    given = [(f"--{name}", value) for name, value in book.items() if value is not None]
    if service is not None and given:
        raise click.UsageError(f"{given[0][0]} is for a service that is started here: leave it or --service out")
    return (*SERVICE, *(part for pair in given for part in pair))


@click.group()
def main() -> None:
    """Phones that talk to the service as a phone network does.

    \b
    Example:
      python -m simulator phone
    """


main.add_command(gateway)


@main.command()
@_SERVICE
@_LISTEN
@phone_options
def phone(service: str | None, listen: int, **options: Any) -> None:
    """Opens a phone in this terminal.

    \b
    Examples:
      python -m simulator phone
      python -m simulator phone --service http://127.0.0.1:8000 --listen 8001 --number +99900500002
    """
    try:
        sys.exit(phone_opened(starting(service), listen=listen, keys=keys_for(service), **options))
    except SimulatorError as fault:
        raise _Fault(str(fault)) from None


@main.command("play")
@click.argument("files", nargs=-1, type=_FILES)
@_SERVICE
@_LISTEN
@_book_options
@click.option("--language", metavar="CODE", help="Play only the conversations in this language.")
def play_files(
    files: tuple[Path, ...], service: str | None, listen: int, language: str | None, **book: str | None
) -> None:
    """Plays scripted conversations and compares what the phones show.

    Without FILES it plays those that ship with the simulator. Ends with 1 when one differs. A service
    remembers what a phone said, so a running one plays a conversation as written only once.

    \b
    Examples:
      python -m simulator play simulator/conversations/first-buy-list.en.txt
      python -m simulator play --flows my/flows --locales my/locales recorded.txt
    """
    scripts = [_script(file) for file in files or conversations()]
    scripts = [script for script in scripts if language in (None, script.language)]
    if not scripts:
        raise click.UsageError("there is no conversation to play: name a file")

    def play_all(wire: Wire, gateway: Gateway) -> int:
        return _reported(play(script, wire, gateway) for script in scripts)

    sys.exit(_with_service(service, listen, _command(service, book), play_all))


@main.command("record")
@click.argument("files", nargs=-1, required=True, type=_FILES)
@_SERVICE
@_LISTEN
@_book_options
@click.option("--settle", default=0.3, show_default=True, help="Seconds to wait for messages after each turn.")
def record_files(
    files: tuple[Path, ...], service: str | None, listen: int, settle: float, **book: str | None
) -> None:
    """Plays conversations and writes what the phones show into the files.

    Typed lines, header and comments stay as they are. Look at the difference before you keep it.

    \b
    Example:
      python -m simulator record simulator/conversations/first-buy-list.en.txt
    """
    scripts = [(file, _script(file)) for file in files]

    def record_one(file: Path, script: Script, wire: Wire, gateway: Gateway) -> Played:
        played = record(script, wire, gateway, settle_s=settle)
        file.write_text(rewritten(_source(file), script.turns, played.seen), encoding="utf-8")
        return played

    def record_all(wire: Wire, gateway: Gateway) -> int:
        return _reported(record_one(file, script, wire, gateway) for file, script in scripts)

    sys.exit(_with_service(service, listen, _command(service, book), record_all))


def report(played: Played) -> str:
    """What is to be said of a script that was played: one line, and below it what differs."""
    verdict = "differs" if played.differences else "ok"
    lines = [f"{verdict:<8} {played.script.name:<36} {played.cost}"]
    for difference in played.differences:
        lines.append(f"  {played.script.name}:{difference.line}: {difference.what}")
        lines += [f"  {row}" for row in difference.rows]
    return "\n".join(lines)


def _reported(plays: Iterable[Played]) -> int:
    verdicts = []
    for played in plays:
        verdicts.append(not played.differences)
        click.echo(report(played))
    click.echo(f"conversations played: {len(verdicts)}, as written: {sum(verdicts)}")
    return ExitCode.DONE if all(verdicts) else ExitCode.DIFFERENT


def _with_service(
    service: str | None, listen: int, command: Sequence[str], use: Callable[[Wire, Gateway], int]
) -> int:
    try:
        joining = connected(service, port=listen, command=command, keys=keys_for(service))
        with leaving_on_signals(), joining as (wire, gateway):
            return use(wire, gateway)
    except SimulatorError as fault:
        raise _Fault(str(fault)) from None


def _script(file: Path) -> Script:
    try:
        return read(_source(file), file.name)
    except SimulatorError as fault:
        raise click.UsageError(str(fault)) from None


def _source(file: Path) -> str:
    try:
        return file.read_text(encoding="utf-8")
    except UnicodeDecodeError:
        raise click.UsageError(f"{file} is not written in UTF-8: save it as UTF-8") from None
