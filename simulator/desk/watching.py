"""What a demo service says to authors, asked again and again."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from http import HTTPStatus

from simulator.errors import SimulatorError
from simulator.wire import ServiceRefused, ServiceUnreachable, Wire

#: A service that has no such page is asked again after so many looks.
_SKIPPED = 30


@dataclass(frozen=True, slots=True)
class Watched:
    """What was seen at one look.

    Args:
        number: the phone that was asked about.
        is_there: whether the service answered.
        session: what it says of the phone's conversation; empty where it says nothing.
        book: what it says of its book; empty where it says nothing.
    """

    number: str
    is_there: bool = True
    session: Mapping[str, object] = field(default_factory=dict)
    book: Mapping[str, object] = field(default_factory=dict)


class Seeing:
    """Looks at a service; one that says nothing to authors is not asked every time.

    Args:
        wire: the way to it; a look should not wait long.
    """

    def __init__(self, wire: Wire) -> None:
        self._wire = wire
        self._skip: dict[str, int] = {}
        self._last: dict[str, Mapping[str, object]] = {}

    def look(self, number: str) -> Watched:
        """What is to be seen now; after a fault what was seen before, with ``is_there`` false."""
        try:
            session = self._asked(f"session {number}", lambda: self._wire.demo_session(number))
            book = self._asked("book", self._wire.demo_book)
        except ServiceUnreachable:
            last = self._last
            return Watched(number, False, last.get(f"session {number}", {}), last.get("book", {}))
        return Watched(number, True, session, book)

    def _asked(self, what: str, ask: Callable[[], Mapping[str, object]]) -> Mapping[str, object]:
        if self._skip.get(what, 0):
            self._skip[what] -= 1
            return {}
        try:
            self._last[what] = ask()
        except ServiceUnreachable:
            raise
        except SimulatorError as fault:
            is_missing = isinstance(fault, ServiceRefused) and fault.status == HTTPStatus.NOT_FOUND
            self._skip[what] = _SKIPPED if is_missing else 0
            self._last[what] = {}
        return self._last[what]
