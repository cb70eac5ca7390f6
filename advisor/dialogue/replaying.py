"""The same conversation under two books: where it first goes another way, and how."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum

from advisor.dialogue.book import Book
from advisor.dialogue.cover.points import Part, Point
from advisor.dialogue.flows import Screen
from advisor.dialogue.machine import choice_key
from advisor.dialogue.talk import Begin, Drop, Effect, Forget, Keep, Outcome, Send, TakeUp


class Aspect(StrEnum):
    """What can be another, the weightiest first."""

    SCREEN = "screen"
    ANSWER = "answer"
    EFFECTS = "effects"
    WORDS = "words"


@dataclass(frozen=True, slots=True)
class Happened:
    """What one message did.

    Args:
        screen: what was shown, ``flow.screen``; empty for nothing.
        answer: how the message was understood; empty where it answered nothing.
        effects: what it changed, in words and in order.
        words: what the phone showed and what was sent.
    """

    screen: str
    answer: str
    effects: tuple[str, ...]
    words: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Parting:
    """Where two courses of a conversation part.

    Args:
        place: which message, from 0.
        aspect: what is another.
        was: what it was.
        now: what it is now.
    """

    place: int
    aspect: Aspect
    was: str
    now: str


def happened(book: Book, outcome: Outcome, visited: Iterable[Point]) -> Happened:
    """What a message did, from the outcome of its step and what that visited."""
    points = list(visited)
    return Happened(
        _shown(book, outcome, points),
        next(
            (_meaning(book.screen(point.spot), point.name) for point in points if point.part is Part.ANSWERS), ""
        ),
        tuple(map(_effect, outcome.effects)),
        (outcome.reply.text, *(page for one in outcome.effects if isinstance(one, Send) for page in one.pages)),
    )


def first_parting(was: Sequence[Happened], now: Sequence[Happened], aspects: Iterable[Aspect]) -> Parting | None:
    """The first message at which two courses differ in one of some aspects, None where they go alike.

    A course that cannot go on differs in its screen from one that does.

    >>> size = Happened("buy.size", "", (), ("How big?",))
    >>> asked = Happened("buy.size", "", (), ("How large?",))
    >>> first_parting([size], [asked], [Aspect.SCREEN]), first_parting([size], [asked], Aspect).aspect.value
    (None, 'words')
    """
    nothing = Happened("", "", (), ())
    wanted = list(aspects)
    for place in range(max(len(was), len(now))):
        one = was[place] if place < len(was) else nothing
        other = now[place] if place < len(now) else nothing
        for aspect in wanted:
            said, says = _aspect(one, aspect), _aspect(other, aspect)
            if said != says:
                return Parting(place, aspect, said, says)
    return None


def _aspect(what: Happened, aspect: Aspect) -> str:
    match aspect:
        case Aspect.SCREEN:
            return what.screen
        case Aspect.ANSWER:
            return what.answer
        case Aspect.EFFECTS:
            return ", ".join(what.effects)
        case Aspect.WORDS:
            return "\n".join(what.words)


def _shown(book: Book, outcome: Outcome, points: Iterable[Point]) -> str:
    if outcome.session is not None and outcome.reply.open:
        flow, screen = outcome.session.spots[-1]
        return f"{flow}.{screen}"
    sent = {effect.name for effect in outcome.effects if isinstance(effect, Send)}
    ended = (point.spot for point in points if point.part is Part.SCREENS and book.screen(point.spot).say)
    return " ".join(sorted({f"{spot.flow}.{spot.screen}" for spot in ended} - sent))


def _meaning(screen: Screen, name: str) -> str:
    """What an answer means, whatever number it has: what it keeps, or else where it leads."""
    for number, choice in enumerate(screen.ask.choices if screen.ask else ()):
        if name == choice_key(number):
            return choice.value or f"on to {(choice.to or screen.to)[0].to}"
    return name


def _effect(effect: Effect) -> str:
    match effect:
        case Keep(name, value):
            return f"keeps {name}: {value}"
        case Forget(names):
            return f"forgets {' '.join(names)}"
        case TakeUp(scope, place):
            return f"takes up {scope} {place + 1}"
        case Begin(scope):
            return f"begins a {scope}"
        case Drop(scope, place):
            return f"drops {scope} {place + 1}"
        case Send(name):
            return f"sends {name}"
        case _:
            return type(effect).__name__.lower()
