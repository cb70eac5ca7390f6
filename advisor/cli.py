"""The command line. Each command reads its settings, does one thing and ends with a code that scripts can use."""

from __future__ import annotations

import logging
import signal
import sys
import tempfile
import threading
from collections.abc import Callable, Iterator, Sequence
from contextlib import ExitStack, contextmanager
from dataclasses import replace
from enum import IntEnum
from typing import TYPE_CHECKING, Any

import click

from advisor.service.clock import SystemClock
from advisor.service.journal import place_of
from advisor.service.own_redis import NoPrivateStore, private_redis, server_program
from advisor.settings import SETTINGS, Settings, SettingsProblem, share_figures

if TYPE_CHECKING:
    from flask import Flask

    from advisor.dialogue.book import Book

THREADS = 8


class Exit(IntEnum):
    """How a command ended."""

    DONE = 0
    PROBLEMS = 1
    WRONG_USAGE = 2
    UNEXPECTED = 3


class WrongUsage(click.ClickException):
    """A mistake of whoever called; one line says what to do."""

    exit_code = Exit.WRONG_USAGE


class FoundProblems(click.ClickException):
    """What was looked at is faulty; the text says where."""

    exit_code = Exit.PROBLEMS


def settings_table() -> str:
    """The settings, one a line, for ``--help``."""
    lines = [f"  {known.name}  {known.meaning} [{known.default or 'none'}]" for known in SETTINGS]
    return "\n".join(lines)


@click.group()
@click.version_option(package_name="sowing-advisor")
def commands() -> None:
    """Sowing advisor: by SMS and USSD, how much seed and inoculant to buy.

    \b
    Example:
      advisor serve --demo --port 8000
    """


@commands.command(epilog="\b\nSettings, from the environment:\n" + settings_table())
@click.option("--demo", is_flag=True, help="The demonstration programme, on this machine only, keeping nothing.")
@click.option("--port", type=click.IntRange(1, 65535), help="Port to listen on.")
@click.option("--host", help="Address to listen on.")
@click.option("--gateway", metavar="URL", help="Address that outgoing messages are posted to.")
@click.option("--workers", type=click.IntRange(1, 64), help="Processes that answer.")
def serve(demo: bool, **options: str | int | None) -> Exit:
    """Answers the gateway over HTTP.

    \b
    Example:
      advisor serve --demo --port 8000 --gateway http://127.0.0.1:9000/sms
    """
    settings = read_settings(demo=demo, **options)
    start_log()
    with ExitStack() as stack:
        settings = stack.enter_context(with_store(settings))
        settings = stack.enter_context(with_workers(settings))
        run_server(settings)
    return Exit.DONE


@commands.command()
@click.option("--once", is_flag=True, help="Hand over what is due now, then end.")
@click.option("--gateway", metavar="URL", help="Address that messages are posted to.")
def send(once: bool, **options: str | None) -> Exit:
    """Hands outgoing messages to the gateway.

    \b
    Example:
      SOWING_STORE=redis://127.0.0.1:6379/0 advisor send --gateway https://gateway.example/sms
    """
    settings = read_settings(demo=False, **options)
    if not settings.gateway:
        raise WrongUsage("no gateway to hand messages to: give --gateway or set SOWING_GATEWAY")
    if not settings.store.startswith(("redis", "unix")):
        raise WrongUsage("no store to take messages from: set SOWING_STORE to the store that advisor serve uses")
    start_log()
    from advisor.app import dialogues_of, parts_of
    from advisor.store.api import StoreMismatch, StoreUnavailable

    bands = dialogues_of(book_of(settings)).bands
    rounds = parts_of(settings, bands).rounds
    try:
        rounds.store.open()
        if once:
            click.echo(f"tried {rounds.go_over()} messages")
            return Exit.DONE
    except (StoreMismatch, StoreUnavailable) as error:
        raise WrongUsage(str(error)) from error
    rounds.run(ended_by_signal())
    return Exit.DONE


@commands.command(context_settings={"ignore_unknown_options": True}, add_help_option=False)
@click.argument("arguments", nargs=-1, type=click.UNPROCESSED)
def phone(arguments: tuple[str, ...]) -> None:
    """Opens a phone in the terminal, on the demonstration programme unless told otherwise.

    \b
    Example:
      advisor phone --service http://127.0.0.1:8000
    """
    from simulator.cli import main as simulator

    simulator.main(["phone", *arguments], prog_name="advisor")


def read_settings(*, demo: bool, **options: str | int | None) -> Settings:
    """The settings of the environment, with what was given on the command line."""
    given = {name: str(value) for name, value in options.items() if value is not None}
    try:
        return Settings.from_env(demo=demo, given=given)
    except SettingsProblem as problem:
        raise WrongUsage(str(problem)) from problem


def start_log() -> None:
    """One line an event of ours on the error stream; of the libraries only what is wrong."""
    logging.basicConfig(level=logging.WARNING, format="%(asctime)s %(levelname)s %(message)s")
    logging.getLogger("advisor").setLevel(logging.INFO)


@contextmanager
def with_store(settings: Settings) -> Iterator[Settings]:
    """The settings with an address of a store, started where none is given."""
    program = server_program()
    if settings.store:
        yield settings
    elif settings.demo or program is None:
        click.echo("warning: the embedded store keeps nothing when this process ends", err=True)
        if settings.demo:
            click.echo("warning: demonstration: its id secret is known to everybody", err=True)
        else:
            click.echo("warning: set SOWING_STORE, or install redis-server for a store that lasts", err=True)
        yield replace(settings, store="embedded:")
    else:
        try:
            with private_redis(program, settings.data, SystemClock()) as address:
                click.echo(f"private store in {settings.data}: SOWING_STORE={address}", err=True)
                yield replace(settings, store=address)
        except NoPrivateStore as error:
            raise WrongUsage(str(error)) from error


@contextmanager
def with_workers(settings: Settings) -> Iterator[Settings]:
    """The settings with what their number of workers needs."""
    if settings.workers == 1:
        yield settings
    elif not settings.store.startswith(("redis", "unix")):
        raise WrongUsage("the embedded store lives in one process: give --workers 1, or set SOWING_STORE")
    elif settings.demo:
        raise WrongUsage("a demonstration has one clock, in one process: give --workers 1")
    else:
        with tempfile.TemporaryDirectory(prefix="sowing-figures-") as folder:
            share_figures(folder)
            yield replace(settings, figures_folder=folder)


def book_of(settings: Settings) -> Book:
    """The book of the settings' programme."""
    from advisor.agronomy.errors import AgronomyError
    from advisor.dialogue.faults import Faulty
    from advisor.loading import load_book

    try:
        return load_book(settings.programme or None)
    except (Faulty, AgronomyError) as error:
        raise FoundProblems(str(error)) from error
    except (OSError, UnicodeDecodeError) as error:
        if not settings.programme:
            raise
        raise WrongUsage("SOWING_PROGRAMME names a file that cannot be read: give a programme file") from error


def run_server(settings: Settings) -> None:
    """Serves until a signal ends it.

    Whatever is wrong with programme or store is found here, before the workers start; they only fork.
    """
    from advisor.app import create_app, start_rounds, store_at
    from advisor.store.api import StoreMismatch, StoreUnavailable

    book = book_of(settings)
    try:
        store_at(settings).open()
    except StoreMismatch as error:
        raise WrongUsage(str(error)) from error
    except StoreUnavailable as error:
        click.echo(f"warning: {error}", err=True)

    def load() -> Flask:
        app = create_app(settings, book=book)
        start_rounds(app)
        return app

    click.echo(f"listening on http://{_bound(settings)}", err=True)
    _gunicorn(load, settings).run()


def _bound(settings: Settings) -> str:
    host = f"[{settings.host}]" if ":" in settings.host else settings.host
    return f"{host}:{settings.port}"


def _gunicorn(load: Callable[[], Flask], settings: Settings) -> Any:
    from gunicorn.app.base import BaseApplication
    from prometheus_client.multiprocess import mark_process_dead

    def child_exit(_: object, worker: Any) -> None:
        if settings.figures_folder:
            mark_process_dead(worker.pid, settings.figures_folder)  # type: ignore[no-untyped-call]

    options = {
        "bind": _bound(settings),
        "workers": settings.workers,
        "worker_class": "gthread",
        "threads": THREADS,
        "loglevel": "warning",
        "graceful_timeout": 5,
        "control_socket_disable": True,
        "child_exit": child_exit,
    }

    class Server(BaseApplication):  # type: ignore[misc]
        def load_config(self) -> None:
            for name, value in options.items():
                self.cfg.set(name, value)

        def load(self) -> Flask:
            return load()

    return Server()


def ended_by_signal() -> threading.Event:
    """An event that an interrupt or a request to terminate sets."""
    stopping = threading.Event()
    for name in (signal.SIGINT, signal.SIGTERM):
        signal.signal(name, lambda *_: stopping.set())
    return stopping


def main(arguments: Sequence[str] | None = None) -> None:
    """Runs a command and ends the process with its code."""
    try:
        code = commands.main(arguments, prog_name="advisor", standalone_mode=False)
    except click.ClickException as error:
        error.show()
        code = error.exit_code
    except click.Abort:
        code = Exit.UNEXPECTED
    except Exception as error:
        # the text of an unexpected error may hold what a person typed, so only its kind and place are shown
        click.echo(f"advisor: unexpected {type(error).__name__} at {place_of(error)}", err=True)
        code = Exit.UNEXPECTED
    sys.exit(code if isinstance(code, int) else Exit.DONE)
