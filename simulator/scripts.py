"""Scripted conversations: text files that say what is done on a phone and what it must then show.

A file opens with header lines, then come turns. A turn is one act and, below it, what the phone shows after it::

    title: A wrong answer gets an example
    phone: +99900500001
    language: en
    clock: 2027-03-01T08:00+03:00
    at most: 8 screens, 16 keys

    # Lines like this are for the reader.
    dial
    | How many acres?
    > two
    | Type a number, like 2.5
    | How many acres?

Acts are ``dial`` (``dial 2*1`` dials digits behind the service's code), ``redial`` (the line dropped, the same
phone dials again), ``> text``, ``hang up``, ``sms> text``, ``clock +3d``, ``phone NAME`` and ``round NAME``, which
starts a round of messages for the phones of the script; from then on the clock stops for each message on its way.

A line ``| text`` is a line of the screen; ``closed`` below it says that the session has ended. Lines
``inbox| text`` are one text message; any other line between, an empty one too, starts the next message. The
header may name several phones, each as ``phone: NAME +999...`` on a line of its own; the first is in hand
until ``phone NAME`` takes up another.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from simulator.errors import SimulatorError


class Act(StrEnum):
    """What is done in a turn; the value is how the line begins."""

    DIAL = "dial"
    REDIAL = "redial"
    ANSWER = ">"
    HANG_UP = "hang up"
    SMS = "sms>"
    CLOCK = "clock"
    PHONE = "phone"
    ROUND = "round"


@dataclass(frozen=True, slots=True)
class Seen:
    """What a phone shows after a turn.

    Args:
        screen: the screen, None when none was shown.
        open: whether the service waits for an answer.
        messages: text messages that arrived, oldest first.
    """

    screen: str | None = None
    open: bool = False
    messages: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Line:
    """A line of a file: its number, from 1, and what it says behind its mark."""

    number: int
    text: str


@dataclass(frozen=True, slots=True)
class Turn:
    """One act and what must be seen after it.

    Args:
        act: what is done.
        text: what is typed, dialled, or how far the clock goes.
        line: number of the act's line.
        screen: lines of the screen that must show.
        closed: whether the session must have ended.
        messages: text messages that must arrive, each as its lines.
    """

    act: Act
    text: str
    line: int
    screen: tuple[Line, ...] = ()
    closed: bool = False
    messages: tuple[tuple[Line, ...], ...] = ()

    @property
    def written(self) -> str:
        """The act as its line says it."""
        return f"{self.act} {self.text}".rstrip()


@dataclass(frozen=True, slots=True)
class Limits:
    """How much effort a conversation may cost; None where nothing is said."""

    screens: int | None = None
    keys: int | None = None
    sms: int | None = None


@dataclass(frozen=True, slots=True)
class Script:
    """A conversation.

    Args:
        name: name of its file.
        title: what it shows, in one line.
        phones: (name, number) of each phone; the first is in hand at the start.
        language: the language its phones are set to.
        clock: when it starts.
        limits: the effort it may cost.
        turns: what is done, in order.
    """

    name: str
    title: str
    phones: tuple[tuple[str, str], ...]
    language: str
    clock: datetime
    limits: Limits
    turns: tuple[Turn, ...]


class ScriptFaults(SimulatorError):  # noqa: N818
    """A file that cannot be read as a conversation; all its faults at once.

    Args:
        faults: one line each, with file, line number, what is wrong and what to write.
    """

    def __init__(self, faults: Iterable[str]) -> None:
        self.faults = tuple(faults)
        super().__init__("\n".join(self.faults))


_LIMIT = re.compile(r"([0-9]+) (screens|keys|sms)")


def limits(said: str) -> Limits | None:
    """The limits that ``at most:`` states, None when it cannot be read.

    >>> limits("8 screens, 16 keys")
    Limits(screens=8, keys=16, sms=None)
    """
    found = [_LIMIT.fullmatch(part.strip()) for part in said.split(",")]
    if not all(found):
        return None
    return Limits(**{match[2]: int(match[1]) for match in found if match})


def shown_lines(seen: Seen) -> Iterator[str]:
    """What was seen, as a file writes it."""
    if seen.screen is not None:
        yield from (f"| {line}" if line else "|" for line in seen.screen.split("\n"))
        if not seen.open:
            yield "closed"
    for place, message in enumerate(seen.messages):
        if place:
            yield ""
        yield from (f"inbox| {line}" if line else "inbox|" for line in message.split("\n"))


def rewritten(source: str, turns: Sequence[Turn], seen: Sequence[Seen]) -> str:
    """A file with what was seen in place of what it expected; acts, header and comments stay.

    Args:
        source: the file's text.
        turns: its turns.
        seen: what was seen after each of the first turns; the others stay as they are.
    """
    lines = source.splitlines()
    starts = [turn.line - 1 for turn in turns[: len(seen)]]
    ends = [*(turn.line - 1 for turn in turns[1:]), len(lines)]
    kept = lines[: starts[0]] if starts else lines
    for start, end, what in zip(starts, ends, seen, strict=False):
        kept += _renewed(lines[start:end], what)
    if starts and len(seen) < len(turns):
        kept += lines[turns[len(seen)].line - 1 :]
    return "\n".join(kept) + "\n"


def written(header: Sequence[tuple[str, str]], acts: Sequence[tuple[str, Seen]]) -> str:
    """A new file from a header, and from acts with what was seen after each.

    >>> print(written([("title", "Hello")], [("dial", Seen("Hello", False))]), end="")
    title: Hello
    <BLANKLINE>
    dial
    | Hello
    closed
    """
    turns = [line for act, seen in acts for line in (act, *shown_lines(seen))]
    return "\n".join([*(f"{key}: {value}" for key, value in header), "", *turns]) + "\n"


def is_expected(line: str) -> bool:
    """Whether a line says what must be seen."""
    return line.startswith(("|", "inbox|")) or line.strip() == "closed"


def _renewed(lines: Sequence[str], seen: Seen) -> list[str]:
    last = max((place for place, line in enumerate(lines) if is_expected(line)), default=0)
    comments = [line for line in lines[1 : last + 1] if line.startswith("#")]
    return [lines[0], *comments, *shown_lines(seen), *lines[last + 1 :]]
