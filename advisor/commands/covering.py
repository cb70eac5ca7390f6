"""Scripted conversations played against a service in this process, whose steps note what they visit."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace
from datetime import datetime
from pathlib import Path
from threading import Lock
from typing import TYPE_CHECKING

from advisor.by_book import dialogues_of
from advisor.commands.exits import WrongUsage
from advisor.commands.inprocess import running_in_process
from advisor.dialogue.cover.noting import noted_step
from advisor.dialogue.cover.points import Point
from simulator.errors import SimulatorError
from simulator.gateway import Gateway
from simulator.house import conversations, joined
from simulator.player import Played, play
from simulator.reading import read
from simulator.scripts import Script
from simulator.wire import Wire

if TYPE_CHECKING:
    from advisor.dialogue.book import Book
    from advisor.dialogue.talk import Event, Outcome, Session
    from advisor.records.grower import Grower
    from advisor.service.talking import Dialogues


class Visits:
    """What the messages that a service took have visited; several may be on the way at once."""

    def __init__(self) -> None:
        self.book: Book | None = None
        self._points: set[Point] = set()
        self._lock = Lock()

    @property
    def points(self) -> frozenset[Point]:
        """What was visited so far."""
        with self._lock:
            return frozenset(self._points)

    def dialogues(self, book: Book) -> Dialogues:
        """The dialogues of a book, with each step noted here."""
        self.book = book

        def noted(session: Session | None, known: Grower, event: Event, now: datetime) -> Outcome:
            outcome, visited = noted_step(book, session, known, event, now)
            with self._lock:
                self._points |= visited
            return outcome

        return replace(dialogues_of(book), step=noted)


def read_scripts(files: Sequence[Path]) -> list[Script]:
    """The conversations of files, of those that go with the program where none is named.

    Raises:
        WrongUsage: one cannot be read.
    """
    try:
        return [read(file.read_text(encoding="utf-8"), file.name) for file in files or conversations()]
    except (SimulatorError, OSError, UnicodeDecodeError) as fault:
        raise WrongUsage(str(fault)) from fault


def visited_by(scripts: Iterable[Script], **options: str | None) -> tuple[Visits, list[Played]]:
    """What conversations visit, and how each went.

    Args:
        scripts: conversations, played one after the other.
        options: files of an author, as of ``running_in_process``.
    """
    visits = Visits()
    with talking_to(visits.dialogues, **options) as (wire, gateway):
        return visits, [play(script, wire, gateway, settle_s=0.0) for script in scripts]


@contextmanager
def talking_to(dialogues: Callable[[Book], Dialogues], /, **options: str | None) -> Iterator[tuple[Wire, Gateway]]:
    """A service in this process that decides by these dialogues, and the line to it.

    Raises:
        WrongUsage: it cannot be reached, or what ``running_in_process`` says of its files.
    """
    try:
        with (
            Gateway(0) as gateway,
            running_in_process(gateway.address, dialogues, **options) as address,
            joined(address, gateway, receipts=False) as wire,
        ):
            yield wire, gateway
    except SimulatorError as fault:
        raise WrongUsage(str(fault)) from fault
