"""A flow as boxes with ways between them, before any form of picture is chosen.

The ways are those of the machine, in its order; the flow only says what an author calls them.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from advisor.dialogue.book import Book
from advisor.dialogue.flows import MENU, PICKED, RETURN, AskKind, Edge, Flow, Screen
from advisor.dialogue.machine import GO, ZERO, Way, other_key

#: Of a screen's text so much is shown, in two lines.
WORDS = 60


@dataclass(frozen=True, slots=True)
class Exit:
    """A way out of a box.

    Args:
        label: what leads that way: an answer, a condition, or both.
        to: name of a box, ``menu`` or ``return``.
        sends: whether it is no way on, but a text that is sent.
    """

    label: str
    to: str
    sends: bool = False


@dataclass(frozen=True, slots=True)
class Box:
    """A screen or a step.

    Args:
        name: its name.
        words: the first words of what it says, or what it does; empty for a step that only decides.
        exits: its ways out, in the order in which they are tried.
        is_shown: whether a grower sees it.
        is_start: whether the flow begins here.
        ends: whether the conversation ends here.
    """

    name: str
    words: str
    exits: tuple[Exit, ...]
    is_shown: bool
    is_start: bool
    ends: bool


@dataclass(frozen=True, slots=True)
class Picture:
    """A flow as boxes, in the order of its file."""

    flow: str
    boxes: tuple[Box, ...]


def picture_of(book: Book, name: str) -> Picture:
    """The picture of a flow of the book."""
    flow = book.flows[name]
    ways: dict[str, list[Way]] = {screen.name: [] for screen in flow.screens}
    for way in book.routers[name].ways():
        ways[way.screen].append(way)
    boxes = [_box(flow, screen, ways[screen.name]) for screen in flow.screens]
    return Picture(name, (*_by_sms(flow), *boxes))


def first_words(text: str) -> str:
    """As much of a text as a box holds.

    >>> first_words("How many spoons?\\nLike 2")
    'How many spoons? Like 2'
    >>> len(first_words("tea " * 40)) <= WORDS
    True
    """
    words = " ".join(text.split())
    return words if len(words) <= WORDS else words[: words.rindex(" ", 0, WORDS - 3)] + " ..."


def _by_sms(flow: Flow) -> Iterator[Box]:
    for one_line in flow.one_lines:
        name = f"SMS {one_line.keyword}"
        yield Box(name, "an SMS in one line", (Exit("", one_line.to),), False, True, False)


def _box(flow: Flow, screen: Screen, ways: list[Way]) -> Box:
    exits = [*_exits(screen, ways), *_sent(screen)]
    return Box(
        screen.name, _words(screen), tuple(exits), screen.say is not None, screen.name == flow.start, screen.ends
    )


def _words(screen: Screen) -> str:
    if screen.call:
        return f"goes through {screen.call}"
    if screen.say is not None:
        return first_words(screen.say.text)
    kept = ", ".join(fact for fact, _ in screen.keeps)
    return f"keeps {kept}" if kept else f"works out {screen.work}" if screen.work else ""


def _exits(screen: Screen, ways: Iterable[Way]) -> Iterator[Exit]:
    for way in ways:
        is_plain_choice = screen.ask is not None and screen.ask.kind is AskKind.CHOICE and way.key == GO
        if is_plain_choice:
            continue  # the ways of the screen stand with each choice that has none of its own
        parts = (_answer(screen, way.key), _asked(way.edge, alone=not (way.edge.when or way.edge.known)))
        label = " ".join(part for part in parts if part)
        yield Exit(label, way.to)


def _answer(screen: Screen, key: str) -> str:
    ask = screen.ask
    if ask is None:
        return ""
    if key == ZERO and ask.zero:
        return f"0 {ask.zero.say}"
    if key == GO:
        return "one of the list" if ask.kind in PICKED else f"types {_A_KIND[ask.kind]}"
    number = int(key.rpartition("_")[2])
    if key == other_key(number):
        other = ask.others[number]
        return f"says {other.word}" if other.word else f"answers {other.way.to[0].to}"
    return f"{number + 1} {ask.choices[number].say}"


_A_KIND = {
    AskKind.NUMBER: "a number",
    AskKind.AREA: "an area",
    AskKind.COUNT_OF: "a count",
    AskKind.MONEY: "money",
    AskKind.DATE: "a day",
    AskKind.TEXT: "a question",
    AskKind.SECRET: "a secret",
    AskKind.GROWER: "a grower",
}


def _asked(edge: Edge, *, alone: bool) -> str:
    if alone:
        return ""
    conditions = [edge.when] if edge.when else []
    return "if " + " and ".join([*conditions, *([f"{edge.known} known"] if edge.known else [])])


def _sent(screen: Screen) -> Iterator[Exit]:
    for number, choice in enumerate(screen.ask.choices if screen.ask else (), 1):
        if choice.sends:
            yield Exit(f"{number} sends", choice.sends, sends=True)


def is_outside(target: str) -> bool:
    """Whether a way leads out of the flow.

    >>> is_outside("menu"), is_outside("sugar")
    (True, False)
    """
    return target in (MENU, RETURN)
