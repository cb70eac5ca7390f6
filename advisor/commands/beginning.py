"""What commands begin with: settings read, book loaded, store opened, each mistake said in one line."""

from __future__ import annotations

import logging
import signal
import threading
import time
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import replace
from typing import TYPE_CHECKING, Any

import click

from advisor.commands.bars import LogLines
from advisor.commands.exits import FoundProblems, WrongUsage
from advisor.service.clock import SystemClock
from advisor.service.journal import log_event
from advisor.service.own_redis import NoPrivateStore, private_redis, server_program
from advisor.settings import Settings, SettingsProblem

if TYPE_CHECKING:
    from advisor.dialogue.book import Book
    from advisor.dialogue.checks.material import Material
    from advisor.store.api import Store


class _Lines(logging.Formatter):
    """Lines that begin with the time; its seconds are spelt once a second, not once a line."""

    _spelt = (0, "")

    def formatTime(self, record: logging.LogRecord, datefmt: str | None = None) -> str:  # noqa: N802 - the library's
        second, spelt = self._spelt
        if second != int(record.created):
            second = int(record.created)
            spelt = time.strftime(self.default_time_format, self.converter(second))
            self._spelt = second, spelt
        return f"{spelt},{int(record.msecs):03d}"


def author_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """Adds the options by which an author names files of their own."""
    options = (
        click.option(
            "--programme", metavar="FILE", help="Programme file; without one the demonstration programme."
        ),
        click.option("--flows", metavar="FOLDER", help="Folder of flow files; without one the shipped flows."),
        click.option(
            "--locales", metavar="FOLDER", help="Folder of catalogs and glossaries; without one the shipped."
        ),
    )
    for option in reversed(options):
        command = option(command)
    return command


def read_settings(
    environment: Mapping[str, str] | None = None, /, *, demo: bool, **options: str | int | None
) -> Settings:
    """The settings of the environment, by default that of the process, with what was given on the command line."""
    given = {name: str(value) for name, value in options.items() if value is not None}
    try:
        return Settings.from_env(environment, demo=demo, given=given)
    except SettingsProblem as problem:
        raise WrongUsage(str(problem)) from problem


def start_log() -> None:
    """One line an event of ours on the error stream; of the libraries only what is wrong."""
    handler = LogLines()
    handler.setFormatter(_Lines("%(asctime)s %(levelname)s %(message)s"))
    logging.basicConfig(level=logging.WARNING, handlers=[handler])
    # not in a line, and to be found out for each of them
    logging.logThreads = logging.logProcesses = logging.logMultiprocessing = False
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


def book_of(settings: Settings, *, drafting: bool = False) -> Book:
    """The book of the settings' programme; where it is faulty, everything that is wrong is the message.

    Args:
        settings: which files.
        drafting: what is not translated yet is said in English and told as a warning of the book.
    """
    from advisor.dialogue.building import book_from
    from advisor.dialogue.checks.report import report
    from advisor.dialogue.faults import Faulty

    try:
        return book_from(material_of(settings), drafting=drafting)
    except Faulty as error:
        raise FoundProblems(f"faulty, so nothing of it is served\n\n{report(error.faults, error.left)}") from error


def material_of(settings: Settings) -> Material:
    """Flows, languages and programme of the settings, as far as they can be read."""
    from advisor.loading import NotThere, load_material

    try:
        return load_material(settings.programme, settings.flows, settings.locales)
    except NotThere as error:
        raise WrongUsage(str(error)) from error


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


def ended_by_signal() -> threading.Event:
    """An event that an interrupt or a request to terminate sets."""
    stopping = threading.Event()
    for name in (signal.SIGINT, signal.SIGTERM):
        signal.signal(name, lambda *_: stopping.set())
    return stopping
