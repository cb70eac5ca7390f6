"""Bars of long work, and lines of the log that wait until the bar is whole, so that none stands in its midst."""

from __future__ import annotations

import logging
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from typing import TextIO

import click


class LogLines(logging.StreamHandler[TextIO]):
    """Writes lines of the log to the error stream, all at once those that came while they were held."""

    _held: list[logging.LogRecord] | None = None

    def emit(self, record: logging.LogRecord) -> None:
        """Writes a line, or keeps it for later."""
        if self._held is None:
            super().emit(record)
        else:
            self._held.append(record)

    @contextmanager
    def held(self) -> Iterator[None]:
        """Holds lines back for a while."""
        self._held = []
        try:
            yield
        finally:
            lines, self._held = self._held, None
            for record in lines:
                super().emit(record)


@contextmanager
def progress(
    length: int, label: str, *, shows_place: bool = False, file: TextIO | None = None
) -> Iterator[Callable[[int], None]]:
    """A bar, which is told how much is done.

    Args:
        length: how much there is to do.
        label: of what.
        shows_place: whether it says how much is done in figures as well.
        file: where it is drawn; without one on standard output.
    """
    with ExitStack() as lines:
        for handler in logging.getLogger().handlers:
            if isinstance(handler, LogLines):
                lines.enter_context(handler.held())
        with click.progressbar(length=length, label=label, show_pos=shows_place, file=file) as bar:
            # it only knows steps
            yield lambda done: bar.update(done - bar.pos)
