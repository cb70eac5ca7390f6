"""What there is to visit in the dialogues, each point with its line in the flow."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from enum import StrEnum

from advisor.dialogue.book import Book
from advisor.dialogue.flows import PICKED, AskKind, Edge, Flow, Screen
from advisor.dialogue.machine import GO, ZERO, choice_key, edges_by_key, other_key
from advisor.dialogue.talk import Spot


class Part(StrEnum):
    """The three things that are counted."""

    SCREENS = "screens"
    ANSWERS = "answers"
    CONDITIONS = "conditions"


#: Answers that are no way out of the screen.
HELP = "help"
BACK = "back"


@dataclass(frozen=True, slots=True)
class Point:
    """Something that a conversation visits or does not.

    Args:
        part: what it counts as.
        spot: the screen that it belongs to.
        name: which one of that screen: of an answer the event of the machine, ``help`` or ``back``; of a condition
            what it asks and where it leads; of a screen nothing.
        line: line in the flow.
        said: what an author calls it.
    """

    part: Part
    spot: Spot
    name: str
    line: int
    said: str


def points_of(book: Book) -> list[Point]:
    """Everything that there is to visit, in the order of the flows.

    A screen is a point of its own, shown or not, on the phone or by SMS. Answers are each choice, what 0 means
    where it is no number, an answer that is typed or picked from a list, one that does not stand there, help
    where the screen has words of its own for it, and going back wherever one can. Each way of a list of several is
    a condition, the last resort too.
    """
    return [point for flow in book.flows.values() for point in _of_flow(book, flow)]


def screen_point(spot: Spot, screen: Screen) -> Point:
    """The point of a screen as a whole."""
    said = "is not shown" if screen.say else "is not gone through"
    return Point(Part.SCREENS, spot, "", screen.line, said)


def answer_points(book: Book, spot: Spot, screen: Screen) -> Iterator[Point]:
    """The points of what can be answered on a screen."""
    ask = screen.ask
    if ask is None:
        return
    for number, choice in enumerate(ask.choices):
        said = f"{number + 1} {choice.say}"
        yield Point(Part.ANSWERS, spot, choice_key(number), choice.line, f"nobody answers '{said}'")
    if ask.kind is not AskKind.CHOICE:
        typed = "picks from the list" if ask.kind in PICKED else "types an answer"
        yield Point(Part.ANSWERS, spot, GO, screen.line, f"nobody {typed}")
    if ask.zero:
        yield Point(Part.ANSWERS, spot, ZERO, ask.zero.line, f"nobody answers '0 {ask.zero.say}'")
    for number, other in enumerate(ask.others):
        said = f"says '{other.word}'" if other.word else f"answers '{other.way.to[0].to}' here"
        yield Point(Part.ANSWERS, spot, other_key(number), other.way.line, f"nobody {said}")
    if screen.help:
        yield Point(Part.ANSWERS, spot, HELP, screen.help_line or screen.line, "nobody asks for help")
    if spot not in (book.root, book.menu):
        yield Point(Part.ANSWERS, spot, BACK, screen.line, "nobody goes back from here")


def condition_point(spot: Spot, edge: Edge) -> Point:
    """The point of one way of a list."""
    asked = " and ".join(
        [*([edge.when] if edge.when else []), *([f"{edge.known} is known"] if edge.known else [])]
    )
    name = f"to '{edge.to}' {'when ' + asked if asked else 'where nothing else holds'}"
    return Point(Part.CONDITIONS, spot, name, edge.line, f"no way is taken {name}")


def condition_points(spot: Spot, screen: Screen) -> Iterable[Point]:
    """The points of the lists of ways out of a screen; a list that several answers share counts once."""
    lists = [edges for _, edges in edges_by_key(screen) if len(edges) > 1]
    return dict.fromkeys(condition_point(spot, edge) for edges in lists for edge in edges)


def _of_flow(book: Book, flow: Flow) -> Iterator[Point]:
    for screen in flow.screens:
        spot = Spot(flow.name, screen.name)
        yield screen_point(spot, screen)
        yield from answer_points(book, spot, screen)
        yield from condition_points(spot, screen)
