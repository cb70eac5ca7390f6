"""A demonstration service inside this process, for a phone that must be there at once."""

from __future__ import annotations

import logging
import os
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any

from werkzeug.serving import WSGIRequestHandler, make_server

from advisor.app import create_app, start_rounds
from advisor.by_book import dialogues_of
from advisor.commands.beginning import book_of, read_settings
from advisor.dialogue.book import Book
from advisor.reloading import stamps_at
from advisor.service.talking import Dialogues
from advisor.settings import AUTHORS

#: Libraries and the service itself would write over the phone's screen.
QUIET = ("advisor", "werkzeug")


@contextmanager
def running_in_process(
    gateway: str, dialogues: Callable[[Book], Dialogues] = dialogues_of, /, **options: str | None
) -> Iterator[str]:
    """The demonstration on a free port of the loopback address, while the block runs.

    Args:
        gateway: address to which it posts its messages.
        dialogues: what decides, from the book.
        options: settings that were given on the command line, by name without prefix, in lower case; of the
            environment only what an author sets is heeded.

    Yields:
        its address. It keeps nothing.

    Raises:
        WrongUsage, FoundProblems: what is wrong with settings, flows, catalogs or programme.
    """
    environment = {name: os.environ[name] for name in AUTHORS if name in os.environ}
    settings = read_settings(environment, demo=True, gateway=gateway, **options)
    as_read = stamps_at(settings)
    book = book_of(settings, drafting=True)
    app = create_app(settings, book=book, as_read=as_read, dialogues=dialogues(book))
    with _silence():
        server = make_server(settings.host, 0, app, threaded=True, request_handler=_Handler)
        stopping = start_rounds(app)
        serving = threading.Thread(target=server.serve_forever, name="service", daemon=True)
        serving.start()
        try:
            yield f"http://{settings.host}:{server.server_port}"
        finally:
            stopping.set()
            server.shutdown()
            serving.join()
            server.server_close()


class _Handler(WSGIRequestHandler):
    """Writes no line a request."""

    def log(self, type: str, message: str, *args: Any) -> None:  # noqa: A002 - the library's name
        pass


@contextmanager
def _silence() -> Iterator[None]:
    """A handler that writes nothing keeps the last resort of the logging library, the screen, out of use."""
    silent = logging.NullHandler()
    loggers = [logging.getLogger(name) for name in QUIET]
    for logger in loggers:
        logger.addHandler(silent)
    try:
        yield
    finally:
        for logger in loggers:
            logger.removeHandler(silent)
