"""``serve`` and ``send``: the service and its sender as processes."""

from __future__ import annotations

import errno
import socket
import tempfile
import threading
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import replace
from typing import TYPE_CHECKING, Any

import click

from advisor.commands.beginning import (
    author_options,
    book_of,
    ended_by_signal,
    open_store,
    read_settings,
    start_log,
    with_store,
)
from advisor.commands.exits import Exit, FoundProblems, WrongUsage
from advisor.settings import SETTINGS, Settings, share_figures, without_keys

if TYPE_CHECKING:
    from flask import Flask

    from advisor.dialogue.book import Book
    from advisor.reloading import Stamps

#: More than a few, since a message waits for its store up to a second, and /health must be answered meanwhile.
THREADS = 32


def settings_table() -> str:
    """The settings, one a line, for ``--help``."""
    lines = [f"  {known.name}  {known.meaning} [{known.default or 'none'}]" for known in SETTINGS]
    return "\n".join(lines)


@click.command(epilog="\b\nSettings, from the environment:\n" + settings_table())
@click.option("--demo", is_flag=True, help="The demonstration programme, on this machine only, keeping nothing.")
@click.option("--port", type=click.IntRange(1, 65535), help="Port to listen on.")
@click.option("--host", help="Address to listen on.")
@click.option("--gateway", metavar="URL", help="Address that outgoing messages are posted to.")
@click.option("--workers", type=click.IntRange(1, 64), help="Processes that answer.")
@author_options
def serve(demo: bool, **options: str | int | None) -> Exit:
    """Answers the gateway over HTTP.

    \b
    Example:
      advisor serve --demo --port 8000 --gateway http://127.0.0.1:9000/sms
    """
    settings = read_settings(demo=demo, **options)
    if settings.ignored:
        click.echo(f"warning: a demonstration does not heed {', '.join(settings.ignored)}", err=True)
    check_keys(settings, serving=True)
    start_log()
    # whatever can be wrong is found before anything is started or made
    from advisor.reloading import stamps_at

    as_read = stamps_at(settings)
    book = book_of(settings, drafting=settings.demo)
    if book.warnings:
        places = len(book.warnings)
        click.echo(
            f"warning: catalogs are behind in {places} places: see advisor flows check --drafting", err=True
        )
    check_place(settings)
    with ExitStack() as stack:
        settings = stack.enter_context(with_store(settings))
        settings = stack.enter_context(with_workers(settings))
        run_server(settings, book, as_read)
    return Exit.DONE


@click.command()
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
    check_keys(settings, serving=False)
    start_log()
    from advisor.app import parts_of
    from advisor.by_book import dialogues_of
    from advisor.store.api import StoreUnavailable

    parts = parts_of(settings, dialogues_of(book_of(settings)))
    open_store(parts.store)
    campaigns = parts.campaigns
    if not once:
        stopping = ended_by_signal()
        if campaigns is not None:
            threading.Thread(target=campaigns.run, args=(stopping,), name="campaigns", daemon=True).start()
        parts.rounds.run(stopping)
        return Exit.DONE
    try:
        while campaigns is not None and campaigns.go_over():
            pass
        click.echo(f"tried {parts.rounds.go_over()} messages")
    except StoreUnavailable as error:
        raise WrongUsage(f"{error.what}: see to it, then send again") from error
    if keys := parts.damage.keys():
        raise FoundProblems(f"damaged keys in the store: {', '.join(keys)}: look at them before going on")
    return Exit.DONE


def check_keys(settings: Settings, *, serving: bool) -> None:
    """Refuses to speak with a gateway without keys, unless that is meant, and then says what it means."""
    if missing := without_keys(settings, serving=serving):
        raise WrongUsage("; ".join(missing))
    if settings.open:
        click.echo("warning: SOWING_OPEN: whoever reaches the service speaks for every grower", err=True)


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


def run_server(settings: Settings, book: Book, as_read: Stamps) -> None:
    """Serves until a signal ends it; what is wrong with the store is found before the workers start."""
    from advisor.app import create_app, start_rounds, store_at
    from advisor.gateway.rates import Tally

    open_store(store_at(settings))
    # made before the workers are, so that they share it
    tally = Tally()

    def load() -> Flask:
        app = create_app(settings, book=book, as_read=as_read, tally=tally)
        start_rounds(app)
        return app

    click.echo(f"listening on http://{_bound(settings)}", err=True)
    gunicorn_of(load, settings).run()


def _bound(settings: Settings) -> str:
    host = f"[{settings.host}]" if ":" in settings.host else settings.host
    return f"{host}:{settings.port}"


def gunicorn_of(load: Callable[[], Flask], settings: Settings) -> Any:
    """The web server around an application, with the worker and the options that the service runs with.

    Args:
        load: makes the application, in each worker.
        settings: host, port and workers.
    """
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
        # no header of a request changes what the server takes it for, whoever sends it
        "forwarded_allow_ips": "",
        "child_exit": child_exit,
    }

    class Server(BaseApplication):  # type: ignore[misc]
        def load_config(self) -> None:
            for name, value in options.items():
                self.cfg.set(name, value)

        def load(self) -> Flask:
            return load()

    return Server()
