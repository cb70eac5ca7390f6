"""The command line. Each command reads its settings, does one thing and ends with a code that scripts can use."""

from __future__ import annotations

import errno
import logging
import signal
import socket
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
from advisor.service.journal import log_event, place_of
from advisor.service.own_redis import NoPrivateStore, private_redis, server_program
from advisor.settings import SETTINGS, Settings, SettingsProblem, share_figures
from advisor.wording.segments import ROOM

if TYPE_CHECKING:
    from flask import Flask

    from advisor.dialogue.book import Book
    from advisor.store.api import Store
    from advisor.wording.voice import Voice

#: More than a few, since a message waits for its store up to a second, and /health must be answered meanwhile.
THREADS = 32


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
    if settings.ignored:
        click.echo(f"warning: a demonstration does not heed {', '.join(settings.ignored)}", err=True)
    start_log()
    # whatever can be wrong is found before anything is started or made
    book = book_of(settings)
    check_place(settings)
    with ExitStack() as stack:
        settings = stack.enter_context(with_store(settings))
        settings = stack.enter_context(with_workers(settings))
        run_server(settings, book)
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
    from advisor.store.api import StoreUnavailable

    parts = parts_of(settings, dialogues_of(book_of(settings)).bands)
    open_store(parts.store)
    if not once:
        parts.rounds.run(ended_by_signal())
        return Exit.DONE
    try:
        click.echo(f"tried {parts.rounds.go_over()} messages")
    except StoreUnavailable as error:
        raise WrongUsage(f"{error.what}: see to it, then send again") from error
    if keys := parts.damage.keys():
        raise FoundProblems(f"damaged keys in the store: {', '.join(keys)}: look at them before going on")
    return Exit.DONE


@commands.group()
def flows() -> None:
    """Looks at the dialogues.

    \b
    Example:
      advisor flows check
    """


@flows.command("check")
@click.option("--programme", metavar="FILE", help="Programme file; without one the demonstration programme.")
def check_flows(programme: str | None) -> Exit:
    """Proves the dialogues without running one, or names everything that is wrong, with file and line.

    \b
    Example:
      advisor flows check --programme my-district.toml
    """
    book = book_of(read_settings(demo=True, **({"programme": programme} if programme else {})))
    click.echo(f"{len(book.flows)} flows, {len(book.questions)} screens: proven to fit in every language")
    for voice in book.voices.values():
        click.echo(widths_line(book, voice))
    return Exit.DONE


def widths_line(book: Book, voice: Voice) -> str:
    """How wide the pages of one language get, and how many screens need more than one."""
    layouts = [
        found for (_, spoken, notice), found in book.layouts.items() if spoken == voice.language and not notice
    ]
    widest = max(cost for found in layouts for cost in found.costs)
    several = sum(len(found.pages) > 1 for found in layouts)
    room = ROOM[voice.alphabet]
    return f"  {voice.language}: the widest page holds {widest} of {room}; {several} screens of several pages"


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
    if settings.demo:
        click.echo("warning: demonstration: its id secret is known to everybody", err=True)
        yield replace(settings, store="embedded:")
    elif settings.store:
        yield settings
    elif program is None:
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
    elif settings.demo:
        raise WrongUsage("a demonstration has one clock, in one process: give --workers 1")
    elif not settings.store.startswith(("redis", "unix")):
        raise WrongUsage("the embedded store lives in one process: give --workers 1, or set SOWING_STORE")
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


def check_place(settings: Settings) -> None:
    """Refuses a host and port that the service cannot listen on."""
    family = socket.AF_INET6 if ":" in settings.host else socket.AF_INET
    try:
        with socket.socket(family) as probe:
            # as the server itself does: a port that was just given up is free
            probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            probe.bind((settings.host, settings.port))
    except OSError as error:
        if error.errno == errno.EADDRINUSE:
            what = f"port {settings.port} is taken: give --port or end what listens there"
        else:
            what = f"cannot listen on {_bound(settings)}: give a --host of this machine and a --port above 1023"
        raise WrongUsage(what) from error


def open_store(store: Store) -> None:
    """Opens a store, and says what weakens its promises; one that is not there yet may still come."""
    from advisor.store.api import READY, StoreDamaged, StoreMismatch, StoreRefused, StoreUnavailable

    try:
        store.open()
        _, remark = store.ready()
    except StoreRefused as error:
        raise WrongUsage(f"SOWING_STORE: {error.what}") from error
    except (StoreMismatch, StoreDamaged) as error:
        raise WrongUsage(f"SOWING_STORE: {error}") from error
    except StoreUnavailable as error:
        remark = f"{error.what}: messages are answered 503 until it does"
    if remark != READY:
        click.echo(f"warning: {remark}", err=True)
        log_event("start", level=logging.WARNING, store=remark)


def run_server(settings: Settings, book: Book) -> None:
    """Serves until a signal ends it; what is wrong with the store is found before the workers start."""
    from advisor.app import create_app, start_rounds, store_at

    open_store(store_at(settings))

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

    from advisor.gateway.worker import Worker, close_where_the_end_is_far

    def child_exit(_: object, worker: Any) -> None:
        if settings.figures_folder:
            mark_process_dead(worker.pid, settings.figures_folder)  # type: ignore[no-untyped-call]

    options = {
        "bind": _bound(settings),
        "workers": settings.workers,
        "worker_class": Worker,
        "pre_request": close_where_the_end_is_far,
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
