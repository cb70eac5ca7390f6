"""A demonstration follows its files: a change that passes the checker is in force from the next message on."""

from __future__ import annotations

import logging
import threading
from collections.abc import Callable, Iterable
from dataclasses import replace
from pathlib import Path

from advisor.dialogue.faults import Fault, Faulty
from advisor.loading import NotThere, files_of
from advisor.service.journal import log_event, place_of
from advisor.service.talking import Edition
from advisor.settings import Settings

#: A change is taken up once the files stayed as they are from one look to the next.
PAUSE_S = 0.3

#: Of each file its path, the time of its last change and its size.
Stamps = frozenset[tuple[Path, int, int]]


class Editions:
    """The book in use and the watch over its files.

    Args:
        first: the book as it was read at the start, from the files as they are now.
        read: reads and checks the files anew; raises Faulty or NotThere for what is wrong in them.
        files: the files that the book is made of, as they are now; asked at every look, since files come and go.
        as_read: the files as they were before the book was read, by default as they are now; what was changed
            since is taken up.
    """

    def __init__(
        self,
        first: Edition,
        read: Callable[[], Edition],
        files: Callable[[], Iterable[Path]],
        as_read: Stamps | None = None,
    ) -> None:
        self._edition = first
        self._read = read
        self._files = files
        self._looked_at = stamps_of(files)
        self._read_from = self._looked_at if as_read is None else as_read

    def now(self) -> Edition:
        """The edition in use; one value, so a message is dealt with by one book from beginning to end."""
        return self._edition

    def look(self) -> None:
        """Takes up what changed, once it stayed the same between two looks: what is half written is left alone.

        Files with a fault change nothing but the faults that the edition tells; the old book goes on.
        """
        stamps = stamps_of(self._files)
        settled, self._looked_at = stamps == self._looked_at, stamps
        if not settled or stamps == self._read_from:
            return
        self._read_from = stamps
        self._edition = self._taken_up()
        faults = len(self._edition.faults)
        log_event("book", book=self._edition.book.fingerprint, faults=faults)

    def run(self, stopping: threading.Event, pause_s: float = PAUSE_S) -> None:
        """Looks again and again until told to stop."""
        while not stopping.wait(pause_s):
            self.look()

    def _taken_up(self) -> Edition:
        try:
            return self._read()
        except Faulty as error:
            return replace(self._edition, faults=error.faults)
        except NotThere as error:
            what, _, instead = str(error).rpartition(": ")
            return replace(self._edition, faults=(Fault("", 0, what, instead),))
        except Exception as error:
            # whatever an author's files do to us, the conversations on the phones go on
            log_event("book", level=logging.ERROR, fault=type(error).__name__, place=place_of(error))
            what = f"a fault of the service while reading the files ({type(error).__name__} at {place_of(error)})"
            return replace(self._edition, faults=(Fault("", 0, what, "undo the last change"),))


def stamps_at(settings: Settings) -> Stamps:
    """The stamps of the files of the settings' book, to be taken before it is read."""
    return stamps_of(lambda: files_of(settings.programme, settings.flows, settings.locales))


def stamps_of(files: Callable[[], Iterable[Path]]) -> Stamps:
    """The stamps of some files, as they are now."""
    try:
        return frozenset(_stamp(file) for file in files())
    except OSError:
        return frozenset()  # a folder that is away for a moment is looked at again


def _stamp(file: Path) -> tuple[Path, int, int]:
    try:
        found = file.stat()
    except OSError:
        return file, 0, -1
    return file, found.st_mtime_ns, found.st_size
