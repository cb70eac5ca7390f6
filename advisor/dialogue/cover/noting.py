"""The step once more, with what it visited noted beside its outcome, which stays the same.

Nothing is asked of the step itself. It is given a book that writes down which ways were taken, as the machine
says, and which screens were said; that book lives for one message.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field, fields
from datetime import datetime

from advisor.dialogue.answers import LONGEST, tidy
from advisor.dialogue.book import Book
from advisor.dialogue.cover.points import BACK, HELP, Point, answer_points, condition_point, screen_point
from advisor.dialogue.flows import Edge, Flow
from advisor.dialogue.keys import Key, key_of
from advisor.dialogue.machine import Router, edges_by_key
from advisor.dialogue.registry import Registry, Sight
from advisor.dialogue.step import step
from advisor.dialogue.talk import Event, EventKind, Outcome, Send, Session, Spot, Tell
from advisor.records.grower import Grower
from advisor.wording.voice import Voice


@dataclass(frozen=True, slots=True)
class _Taken:
    spot: Spot
    key: str
    edge: Edge
    of_several: bool


class _NotingRouter(Router):
    """A router that says what another one says, and notes it."""

    def __init__(self, router: Router, flow: Flow, registry: Registry, taken: list[_Taken]) -> None:
        self._router = router
        self._lists = {(screen.name, key): edges for screen in flow.screens for key, edges in edges_by_key(screen)}
        self._conditions = {condition.name: condition.holds for condition in registry.conditions}
        self._flow_name = flow.name
        self._taken = taken

    def certain(self, screen: str, key: str) -> str | None:
        """None: what is certain is noted by ``way`` too."""
        return None

    def way(self, screen: str, key: str, sight: Sight) -> str | None:
        """As the router that it stands for."""
        target = self._router.way(screen, key, sight)
        edges = self._lists.get((screen, key), ())
        edge = next((edge for edge in edges if self._holds(edge, sight)), None)
        if target is not None and edge is not None:
            self._taken.append(_Taken(Spot(self._flow_name, screen), key, edge, len(edges) > 1))
        return target

    def _holds(self, edge: Edge, sight: Sight) -> bool:
        return (not edge.when or self._conditions[edge.when](sight)) and (not edge.known or edge.known in sight)


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class _NotingBook(Book):
    """A book that notes which screens were said."""

    said: list[Spot] = field(default_factory=list)

    def voice(self, spot: Spot, language: str) -> Voice:
        self.said.append(spot)
        return Book.voice(self, spot, language)


def noted_step(
    book: Book, session: Session | None, known: Grower, event: Event, now: datetime
) -> tuple[Outcome, frozenset[Point]]:
    """What one message does, and which points it visited; arguments as of ``step``."""
    taken: list[_Taken] = []
    parts = {part.name: getattr(book, part.name) for part in fields(Book) if part.init}
    parts["routers"] = {
        name: _NotingRouter(router, book.flows[name], book.registry, taken)
        for name, router in book.routers.items()
    }
    noting = _NotingBook(**parts)
    outcome = step(noting, session, known, event, now)
    visited = {*_screens(book, outcome, taken, noting.said), *_answers(book, session, event, outcome, taken)}
    visited |= {condition_point(way.spot, way.edge) for way in taken if way.of_several}
    return outcome, frozenset(visited)


def _screens(book: Book, outcome: Outcome, taken: list[_Taken], said: list[Spot]) -> Iterator[Point]:
    sent = {effect.name for effect in outcome.effects if isinstance(effect, Send)}
    # a page is made last, and what is sent is made before it
    screens = [effect.screen for effect in outcome.effects if isinstance(effect, Tell) and effect.screen]
    told = [Spot(*screen.split(".")) for screen in screens]
    shown = [*said[-1:], *told, *(spot for spot in said if f"{spot.flow}.{spot.screen}" in sent)]
    # a step that calls another flow is left only when that flow returns
    passed = {*(way.spot for way in taken), *(Spot(way.spot.flow, way.edge.to) for way in taken)}
    gone_through = [spot for spot in passed if book.has(spot) and book.screen(spot).say is None]
    for spot in (*shown, *gone_through):
        yield screen_point(spot, book.screen(spot))


def _answers(
    book: Book, session: Session | None, event: Event, outcome: Outcome, taken: list[_Taken]
) -> Iterator[Point]:
    if session is None or event.kind not in (EventKind.ANSWER, EventKind.SMS) or event.place != session.place:
        return
    spot = session.spots[-1]
    if not book.has(spot):
        return
    screen, after = book.screen(spot), outcome.session
    typed = tidy(event.text.strip()[:LONGEST])
    key = key_of(typed, screen.ask, book.voice(spot, session.language))
    moved = after is None or after.spots != session.spots
    name = ""
    if key is Key.BACK:
        name = BACK if moved else ""
    elif key is Key.HELP:
        name = HELP if after is not None and after.notice in ("help", "help_first") else ""
    elif key in (None, Key.ZERO) and (moved or (after is not None and not after.notice)):
        name = next((way.key for way in taken[:1] if way.spot == spot), "")
    yield from (point for point in answer_points(book, spot, screen) if point.name == name)
